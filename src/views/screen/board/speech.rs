//! Sentences of the board: a verdict and why, a leakage in the making, counts and times.

use super::scene::Word;
use crate::engine::judge::Verdict;
use crate::engine::quantity::{Quantity, format_value};
use crate::views::feed::{Counts, Found, Judged, Soak, State};
use crate::views::screen::Mood;
use crate::views::screen::line::mood;

/// A verdict in lines: its word, the value, why, and what else was looked at.
pub(super) fn verdict(judged: &Judged) -> Vec<(String, Mood)> {
    let word = judged.verdict.name().to_uppercase();
    let mut lines = vec![(format!("{word}  {}", judged.words), mood(judged.verdict))];
    lines.push((why(judged), Mood::Plain));
    for check in &judged.checks {
        let words = check.words.split(" (").next().unwrap_or_default();
        match check.verdict {
            Some(Verdict::Pass) | None => {}
            Some(verdict) => lines.push((format!("{}: {words}", check.aspect), mood(verdict))),
        }
    }
    if judged.attempt > 1 {
        lines.push((format!("attempt {}", judged.attempt), Mood::Quiet));
    }
    lines
}

fn why(judged: &Judged) -> String {
    let nominal = judged
        .band
        .nominal
        .map(|nominal| format_value(judged.quantity, nominal, 4));
    let listed = nominal.unwrap_or_default();
    match (judged.percent_off, judged.percent_of_limit) {
        _ if judged.found == Found::Open => format!("nothing conducts, listed {listed}"),
        (Some(off), _) => format!("{off:+.1} % of {listed}, {}", judged.reason),
        (None, Some(share)) => format!("{share:.0} % of what is allowed, {}", judged.reason),
        (None, None) => format!("{}, listed {listed}", judged.reason),
    }
}

/// A leakage: what is to be done, or how long the voltage stands and where the current goes.
pub(super) fn soak(state: &State, soak: &Soak) -> Word {
    let read_after = clock(soak.read_after_s);
    let of = |text: &str, mood, cut_out, lines| Word {
        text: text.to_owned(),
        short: None,
        cut_out,
        mood,
        lines,
    };
    let Some(applied) = soak.applied_us else {
        let volts = format_value(Quantity::Voltage, soak.volts, 4).replace(' ', "");
        let lines = vec![
            ("Voltage kills; the part may burst.".to_owned(), Mood::Bad),
            (
                "One lead off, a resistor in series, a supply with a current limit, nobody near."
                    .to_owned(),
                Mood::Plain,
            ),
        ];
        return of(&volts, Mood::Doubtful, false, lines);
    };
    if soak.missed {
        let lines = vec![(
            "no reading came at the time of the limit; `soak` begins anew".to_owned(),
            Mood::Plain,
        )];
        return of("MISSED", Mood::Bad, true, lines);
    }
    let elapsed = state.at_us.saturating_sub(applied) as f64 * 1e-6;
    let mut lines = vec![(format!("of {read_after}"), Mood::Plain)];
    let mut word_mood = Mood::Plain;
    if let Some(report) = &soak.report {
        if let Some(trend) = &report.trend {
            lines.push((trend.clone(), Mood::Plain));
        }
        if let Some(expected) = &report.expected {
            let shown = |ampere| format_value(Quantity::Current, ampere, 3);
            lines.push((
                format!(
                    "expected after {}: {} to {} (95 %)",
                    clock(expected.after_s),
                    shown(expected.low),
                    shown(expected.high)
                ),
                Mood::Plain,
            ));
        }
        if let Some(verdict) = report.verdict {
            word_mood = mood(verdict);
            lines.insert(
                1,
                (format!("{verdict} so far: {}", report.reason), word_mood),
            );
        }
    }
    of(&clock(elapsed), word_mood, false, lines)
}

/// What there is of each, in the order of the verdicts.
pub(super) fn counts(counts: &Counts) -> Vec<(usize, &'static str, Mood)> {
    [
        (counts.pass, "pass", Mood::Good),
        (counts.conditional_pass, "conditional pass", Mood::Doubtful),
        (counts.conditional_fail, "conditional fail", Mood::Bad),
        (counts.fail, "fail", Mood::Bad),
        (counts.inconclusive, "inconclusive", Mood::Doubtful),
        (counts.unsettled, "did not settle", Mood::Doubtful),
        (counts.skipped, "left out", Mood::Doubtful),
    ]
    .into_iter()
    .filter(|(count, ..)| *count > 0)
    .collect()
}

/// Minutes and seconds, from an hour on hours and minutes: `2:31`, `1 h 05`.
pub(super) fn clock(seconds: f64) -> String {
    let seconds = seconds.max(0.0) as u64;
    if seconds >= 3600 {
        format!("{} h {:02}", seconds / 3600, seconds / 60 % 60)
    } else {
        format!("{}:{:02}", seconds / 60, seconds % 60)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_are_written_as_on_a_clock() {
        assert_eq!(clock(0.4), "0:00");
        assert_eq!(clock(151.7), "2:31");
        assert_eq!(clock(3900.0), "1 h 05");
    }
}
