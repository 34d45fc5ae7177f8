//! [`summary`]: a state in a few lines, for somebody who joins.

use crate::engine::sitting::{LinkNews, Row, Summary};
use crate::views::state::{Stage, State};
use crate::views::told::{Line, Mood};

/// What the sitting is, the last verdicts, what is wrong, and what is in hand.
pub(super) fn summary(state: &State) -> Vec<Line> {
    let line = |text: String, mood| Line { text, mood };
    let mut lines = vec![line(head(state), Mood::Plain)];
    // The latest verdict comes last, where the next one will stand.
    let last = state.last.iter().rev();
    lines.extend(last.map(|record| line(verdict(&record.row), Mood::Quiet)));
    lines.extend(trouble(state).map(|text| line(text, Mood::Bad)));
    lines.extend(now(state).map(|text| line(text, Mood::Plain)));
    lines
}

fn head(state: &State) -> String {
    let title = if state.title.is_empty() {
        "a sitting"
    } else {
        &state.title
    };
    format!(
        "{title}, since {}: {}",
        state.began,
        progress(&state.progress)
    )
}

/// `3 of 40 parts done: 2 pass, 1 left out`.
fn progress(progress: &Summary) -> String {
    let said: Vec<String> = progress
        .named()
        .map(|(count, name)| format!("{count} {name}"))
        .collect();
    let colon = if said.is_empty() { "" } else { ": " };
    format!(
        "{} of {} parts done{colon}{}",
        progress.done,
        progress.parts,
        said.join(", ")
    )
}

fn verdict(row: &Row) -> String {
    let verdict = row.verdict.name().to_uppercase();
    let again = if row.attempt > 1 {
        format!(", attempt {}", row.attempt)
    } else {
        String::new()
    };
    format!(
        "{:<8} {:<24} {verdict:<17} {} ({}){again}",
        row.title(),
        row.words(),
        row.reason,
        row.band_words()
    )
}

/// What stays wrong until it is mended.
fn trouble(state: &State) -> impl Iterator<Item = String> {
    let lost = match &state.link {
        Some(LinkNews::Lost { reason }) => Some(format!("link lost: {reason}; trying again")),
        _ => None,
    };
    let trouble = state.meter.trouble.as_ref();
    let meter = trouble.map(|trouble| trouble.words.clone());
    lost.into_iter().chain(meter)
}

/// What is to be done now.
fn now(state: &State) -> Option<String> {
    let in_hand = |to_do: &str| {
        let entry = state.in_hand.as_ref()?;
        Some(format!("  {:<8} {}{to_do}", entry.title, entry.what))
    };
    match state.stage {
        Stage::Waiting => None,
        Stage::Part => in_hand(""),
        Stage::Discharge => in_hand(": discharged? voltmeter across it"),
        Stage::Soak => in_hand(": leakage under voltage"),
        Stage::Zero => Some("zero: hold the probes on each other".to_owned()),
        Stage::Apart => Some("zero: hold the probes apart".to_owned()),
        Stage::NothingLeft => Some("every part of the list was taken in hand".to_owned()),
        Stage::Ended => Some("the sitting is over".to_owned()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::sitting::Counts;

    #[test]
    fn progress_names_only_what_there_is() {
        let mut some = Summary {
            parts: 40,
            ..Summary::default()
        };
        assert_eq!(progress(&some), "0 of 40 parts done");
        some.done = 3;
        some.counts = Counts {
            pass: 2,
            skipped: 1,
            not_reached: 37,
            ..Counts::default()
        };
        assert_eq!(progress(&some), "3 of 40 parts done: 2 pass, 1 left out");
    }

    #[test]
    fn a_lost_link_is_told_before_what_is_in_hand() {
        let mut state = State {
            title: "an amplifier".to_owned(),
            began: "2056-11-03T19:25:30+01:00".to_owned(),
            stage: Stage::NothingLeft,
            ..State::default()
        };
        state.link = Some(LinkNews::Lost {
            reason: "the port went away".to_owned(),
        });
        let lines: Vec<String> = summary(&state).into_iter().map(|line| line.text).collect();
        assert_eq!(
            lines,
            [
                "an amplifier, since 2056-11-03T19:25:30+01:00: 0 of 0 parts done",
                "link lost: the port went away; trying again",
                "every part of the list was taken in hand",
            ]
        );
    }
}
