//! The law of a track, by its share at half the travel.
//!
//! A linear track has half its resistance there, and a control may be off by a fifth of that (MIL-PRF-94G, 3.5.3: within ± 20 % of
//! what the curve of its law says). Audio and reverse laws differ from maker to maker, so their bands are wide.

use crate::engine::impedance::Uncertain;
use crate::engine::judge::check::{Aspect, Check};
use crate::engine::judge::judgement::{Case, Looked};
use crate::engine::judge::lcr::Rated;
use crate::engine::judge::wiper::TrackValue;
use crate::engine::parts::{Law, Part, Step};
use crate::engine::quantity::{Amount, Band, Quantity, Tolerance, format_value};
use crate::engine::statistics::square;

/// Distance from half the travel at which a hand sets a wiper by eye: half-width, as a share of the travel
/// (common practice, no source).
const BY_EYE: f64 = 0.05;

/// The share of the track from the wiper at half its travel to the end where it starts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MiddleShare {
    pub least: f64,
    /// The expected share.
    pub expected: f64,
    pub most: f64,
}

/// The share at half the travel that a track of this law may have.
pub const fn middle_share(law: Law) -> MiddleShare {
    let (least, expected, most) = match law {
        Law::Linear => (0.4, 0.5, 0.6), // MIL-PRF-94G, 3.5.3: ± 20 % of 50 %
        Law::Audio => (0.05, 0.15, 0.30), // common practice, no source: 10 % to 20 % are usual, with ± 50 % about those
        Law::Reverse => (0.70, 0.85, 0.95), // the audio law from the other end
    };
    MiddleShare {
        least,
        expected,
        most,
    }
}

/// Share of the resistance per share of the travel at the steepest place of a law; of an unknown one that of an audio law.
///
/// Of the exponential law r(x) = (bˣ - 1)/(b - 1) that has the share m at half the travel, b = (1/m - 1)², it is the end:
/// b ln b/(b - 1).
pub fn steepest(law: Option<Law>) -> f64 {
    match law {
        Some(Law::Linear) => 1.0,
        Some(Law::Audio | Law::Reverse) | None => slope(1.0),
    }
}

/// Law at half the travel, which tells how much a hand's error there matters.
fn slope_at_middle(law: Law) -> f64 {
    match law {
        Law::Linear => 1.0,
        Law::Audio | Law::Reverse => slope(0.5),
    }
}

/// Slope of the exponential law of an audio track at the travel `x`.
fn slope(x: f64) -> f64 {
    let b = square(1.0 / middle_share(Law::Audio).expected - 1.0);
    libm::log(b) * libm::pow(b, x) / (b - 1.0)
}

/// The measurement as an entry of a plan: what the nominal track has there; `None` without a law.
pub(super) fn entry(part: &Part) -> Option<Part> {
    let share = middle_share(part.law?);
    let track = part.nominal.value();
    let percent = |to: f64| 100.0 * (to / share.expected - 1.0).abs();
    let tolerance = Tolerance::percent(percent(share.least), percent(share.most)).ok()?;
    Some(Part {
        step: Step::Middle,
        also: Vec::new(),
        nominal: Amount::new(Quantity::Resistance, share.expected * track)?,
        tolerance,
        band: band(share, track)?,
        ..part.clone()
    })
}

fn band(share: MiddleShare, track: f64) -> Option<Band> {
    Band::new(share.least * track, share.most * track)
}

/// The value that settled on an entry made by [`entry`], as a share of its track.
pub(in crate::engine::judge) fn look(case: Case<'_>) -> Looked {
    let part = case.part;
    let law = part.law.unwrap_or(Law::Linear);
    let share = middle_share(law);
    let exact = Uncertain::exact(part.nominal.value() / share.expected);
    let track = case.beside.track.unwrap_or(TrackValue {
        ohms: exact,
        measured: false,
    });
    let band = band(share, track.ohms.value).unwrap_or(part.band);
    let by_eye = BY_EYE / 3f64.sqrt() * slope_at_middle(law) * track.ohms.value;
    let of_track = share.expected * track.ohms.u;
    let (grounds, mut checks) = case.look_at(band, |read| {
        let u = libm::hypot(libm::hypot(read.u, by_eye), of_track);
        Rated::plain(Uncertain::new(read.value, u))
    });
    if let Some(judged) = grounds.value {
        let words = words(law, share, judged.value, track);
        checks.push(Check::remark(Aspect::Law, words));
    }
    (grounds, checks)
}

fn words(law: Law, share: MiddleShare, value: f64, track: TrackValue) -> String {
    let percent = |share: f64| format!("{:.0} %", 100.0 * share);
    let origin = if track.measured {
        "as measured"
    } else {
        "nominal, which is less sure: measure its value first"
    };
    format!(
        "{} of the track at half its travel, {law}: {} to {} ({} {origin}; that a hand finds the middle within {} of the travel is \
         taken into account)",
        percent(value / track.ohms.value),
        percent(share.least),
        percent(share.most),
        format_value(Quantity::Resistance, track.ohms.value, 4),
        percent(BY_EYE)
    )
}

#[cfg(test)]
mod tests {
    use approx::assert_relative_eq;

    use super::*;

    #[test]
    fn reverse_is_audio_from_the_other_end() {
        let (audio, reverse) = (middle_share(Law::Audio), middle_share(Law::Reverse));
        assert_relative_eq!(audio.expected + reverse.expected, 1.0);
        assert_relative_eq!(audio.least + reverse.most, 1.0);
        assert_relative_eq!(audio.most + reverse.least, 1.0);
    }
}
