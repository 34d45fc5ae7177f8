//! Sentences of the board: a verdict and why, a leakage in the making, counts and times.

use super::scene::Word;
use super::sign;
use crate::engine::judge::Found;
use crate::engine::quantity::{Quantity, format_value};
use crate::engine::sitting::{Counts, Row};
use crate::views::state::{Soak, State};
use crate::views::told::{Mood, mood, mood_of};

/// A verdict in lines: its word, the value, why, and what else was looked at.
pub(super) fn verdict(row: &Row) -> Vec<(String, Mood)> {
    let word = row.word().to_uppercase();
    let sign = sign(row.verdict);
    let mut lines = vec![(format!("{sign} {word}  {}", row.words()), mood_of(row))];
    if row.deciding().is_some() {
        lines.push((row.reason.clone(), mood_of(row)));
    }
    lines.push((of_value(row), Mood::Plain));
    lines.extend(row.further_doubts().map(|(check, verdict)| {
        let words = format!("{}: {}", check.aspect.name(), check.brief());
        (words, mood(verdict))
    }));
    if row.attempt > 1 {
        lines.push((format!("attempt {}", row.attempt), Mood::Quiet));
    }
    lines
}

/// How far the value is off, and what that says by itself.
fn of_value(row: &Row) -> String {
    let reason = match row.deciding() {
        Some(_) => row.grounds().verdict().1.words(),
        None => &row.reason,
    };
    match row.value {
        _ if row.found == Found::Open => format!("nothing conducts, {}", row.deviation()),
        Some(_) => format!("{}, {reason}", row.deviation()),
        None => format!("{reason}, {}", row.deviation()),
    }
}

/// A leakage: what is to be done, or how long the voltage has been on and where the current goes.
pub(super) fn soak(state: &State, soak: &Soak) -> Word {
    let read_after = clock(soak.read_after_s);
    let Some(applied) = soak.applied_us else {
        let volts = format_value(Quantity::Voltage, soak.volts, 4).replace(' ', "");
        if let Some(caution) = &soak.caution {
            let lines = vec![(caution.clone(), Mood::Bad)];
            return Word::new("HEED", Mood::Doubtful, lines);
        }
        let lines = vec![
            ("Voltage kills; the part may burst.".to_owned(), Mood::Bad),
            (
                "One lead off, a resistor in series, a supply with a current limit, nobody near."
                    .to_owned(),
                Mood::Plain,
            ),
        ];
        return Word::new(volts, Mood::Doubtful, lines);
    };
    if soak.missed {
        let lines = vec![(
            "no reading came at the time of the limit; `soak` begins again".to_owned(),
            Mood::Plain,
        )];
        return Word::new("MISSED", Mood::Bad, lines).cut_out();
    }
    let elapsed = state.at_us.saturating_sub(applied) as f64 * 1e-6;
    let mut lines = vec![(format!("of {read_after}"), Mood::Plain)];
    let mut word_mood = Mood::Plain;
    if let Some(report) = &soak.report {
        if let Some(trend) = report.trend {
            lines.push((trend.name().to_owned(), Mood::Plain));
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
    Word::new(clock(elapsed), word_mood, lines)
}

/// Counts in the order of the verdicts, without empty ones.
pub(super) fn counts(counts: &Counts) -> Vec<(usize, &'static str, Mood)> {
    [
        (counts.pass, "pass", Mood::Good),
        (counts.conditional_pass, "conditional pass", Mood::Good),
        (counts.conditional_fail, "conditional fail", Mood::Doubtful),
        (counts.fail, "fail", Mood::Bad),
        (counts.inconclusive, "inconclusive", Mood::Unsure),
        (counts.unsettled, "did not settle", Mood::Doubtful),
        (counts.skipped, "skipped", Mood::Doubtful),
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
    use crate::engine::judge::{Aspect, Check, Verdict};
    use crate::engine::sitting::{What, examples};

    #[test]
    fn the_check_that_decides_is_told_once_and_before_the_value() {
        let What::Judged(record) = examples::judged(Verdict::Fail) else {
            panic!("no verdict")
        };
        let check = |aspect, verdict, words: &str| Check {
            aspect,
            verdict: Some(verdict),
            words: words.to_owned(),
        };
        let row = Row {
            in_circuit: false,
            reason: "safety class: none marked".to_owned(),
            checks: vec![
                check(Aspect::SafetyClass, Verdict::Fail, "none marked"),
                check(Aspect::Loss, Verdict::ConditionalPass, "tan δ 0.2"),
            ],
            ..record.row
        };
        let lines = verdict(&row).into_iter().map(|(line, _)| line);
        let expected = [
            "safety class: none marked",
            "+0.3 % of 4.7 kΩ, inside its band",
            "loss: tan δ 0.2",
            "attempt 2",
        ];
        assert_eq!(lines.skip(1).collect::<Vec<_>>(), expected);
    }

    #[test]
    fn times_are_written_as_on_a_clock() {
        assert_eq!(clock(0.4), "0:00");
        assert_eq!(clock(151.7), "2:31");
        assert_eq!(clock(3900.0), "1 h 05");
    }
}
