//! [`bells`]: what is left where no audio program is.

use super::cue::Cue;

/// How often the terminal's bell rings for a cue, from none to five times.
///
/// A bell has neither pitch nor length, so only the count is left, and people count to three without effort: one is good,
/// two asks for a look, three is bad. A contact does not ring: it would be taken for a verdict.
pub const fn bells(cue: Cue) -> u32 {
    match cue {
        Cue::Contact => 0,
        Cue::Settled | Cue::Pass | Cue::LinkBack => 1,
        Cue::ConditionalPass | Cue::Inconclusive | Cue::NoValue | Cue::Refused => 2,
        Cue::ConditionalFail | Cue::Fail => 3,
        Cue::LinkLost => 4,
        Cue::StillCharged => 5,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn good_doubtful_bad_and_dangerous_ring_differently() {
        let counts = [
            Cue::Contact,
            Cue::Pass,
            Cue::Inconclusive,
            Cue::Fail,
            Cue::LinkLost,
            Cue::StillCharged,
        ]
        .map(bells);
        assert_eq!(counts, [0, 1, 2, 3, 4, 5]);
    }
}
