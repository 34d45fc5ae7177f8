//! [`Command`]: what the person can say during a sitting.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Serialize};

use crate::engine::parts::Choice;

/// Command of the person during a sitting. Recordings and JSON keep its text form.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(into = "String", try_from = "String")]
pub enum Command {
    /// Take the following part of the list in hand, whatever became of this one.
    Next,
    /// Take the preceding part of the list in hand.
    Back,
    /// Leave the part in hand out, and go on to the next one that is still to be measured.
    Skip,
    /// Measure the part that was judged last once more.
    Redo,
    /// The value just judged is that of this part; without a name that of the one it reads like.
    Was(Option<String>),
    /// Take all parts at a place in hand at once.
    At(String),
    /// The value that is asked about is that of this part.
    Is(String),
    /// Say that the value asked about is of the part which the question names there, counted from 1.
    Answer(u8),
    /// Let the value be written down for all of these parts, and for none alone; without names for those that the question names.
    OneOf(Option<String>),
    /// Take a part in hand by its designator, or the first at a place that is still to be measured.
    Goto(String),
    /// Write a remark into the recording: on the part that its first word names, else on the part just judged until the probes touch
    /// the next.
    Note(String),
    /// "The probes are on it": from now on no reading means an open part.
    On,
    /// "The probes are shorted": what settles now is the resistance of the leads, to be taken off every resistance.
    Zero,
    /// Voltage is on the capacitor in hand from now: that many volt, or the one of its test.
    Soak(Option<f64>),
    /// Agree to the caution that is shown before a voltage.
    Heed,
    /// Go on although a capacitor was not seen discharged: its designator or `all`, and why.
    Override(String),
    /// "The power is on": from now on test points are read.
    Live,
    /// A lead of this part is lifted: it is out of circuit from now on.
    Lifted(String),
    /// The lead is joined again.
    Rejoined(String),
    /// Decide what becomes of a part.
    Decide {
        /// Its designator; without one it is the part that was judged last.
        designator: Option<String>,
        /// What becomes of it.
        choice: Choice,
        /// The reason; may be empty.
        reason: String,
    },
    /// End the sitting.
    End,
}

/// Not a command.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error(
    "unknown command `{found}`, expected next, back, skip, redo, goto DESIGNATOR|PLACE, at PLACE, is DESIGNATOR, answer NUMBER, one of [DESIGNATORS], was [DESIGNATOR], note [DESIGNATOR] TEXT, on, zero, heed, soak [VOLT], override DESIGNATOR|all REASON, live, lifted DESIGNATOR, rejoined DESIGNATOR, decide [DESIGNATOR] keep|replace|order|fitted|accept [REASON] or end"
)]
pub struct UnknownCommand {
    found: String,
}

impl FromStr for Command {
    type Err = UnknownCommand;

    fn from_str(text: &str) -> Result<Self, UnknownCommand> {
        let text = text.trim();
        let (word, rest) = split_word(text);
        let unknown = || UnknownCommand {
            found: text.to_owned(),
        };
        match (word, rest.is_empty()) {
            ("next", true) => Ok(Self::Next),
            ("back", true) => Ok(Self::Back),
            ("skip", true) => Ok(Self::Skip),
            ("redo", true) => Ok(Self::Redo),
            ("at", false) => Ok(Self::At(rest.to_owned())),
            ("is", false) => Ok(Self::Is(rest.to_owned())),
            ("answer", false) => rest.parse().map(Self::Answer).map_err(|_| unknown()),
            ("one", false) => one_of(rest).ok_or_else(unknown),
            ("was", true) => Ok(Self::Was(None)),
            ("was", false) => Ok(Self::Was(Some(rest.to_owned()))),
            ("on", true) => Ok(Self::On),
            ("zero", true) => Ok(Self::Zero),
            ("heed", true) => Ok(Self::Heed),
            ("live", true) => Ok(Self::Live),
            ("soak", true) => Ok(Self::Soak(None)),
            ("end", true) => Ok(Self::End),
            ("soak", false) => volts(rest)
                .map(|volts| Self::Soak(Some(volts)))
                .ok_or_else(unknown),
            ("decide", false) => decision(rest).ok_or_else(unknown),
            // Without a word behind it, it is refused with what to write.
            ("override", _) => Ok(Self::Override(rest.to_owned())),
            ("goto", false) => Ok(Self::Goto(rest.to_owned())),
            ("lifted", false) => Ok(Self::Lifted(rest.to_owned())),
            ("rejoined", false) => Ok(Self::Rejoined(rest.to_owned())),
            ("note", false) => Ok(Self::Note(rest.to_owned())),
            _ => Err(unknown()),
        }
    }
}

impl TryFrom<String> for Command {
    type Error = UnknownCommand;

    fn try_from(text: String) -> Result<Self, UnknownCommand> {
        text.parse()
    }
}

impl From<Command> for String {
    fn from(command: Command) -> Self {
        command.to_string()
    }
}

impl fmt::Display for Command {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Next => f.write_str("next"),
            Self::Back => f.write_str("back"),
            Self::Skip => f.write_str("skip"),
            Self::Redo => f.write_str("redo"),
            Self::At(place) => write!(f, "at {place}"),
            Self::Is(designator) => write!(f, "is {designator}"),
            Self::Answer(number) => write!(f, "answer {number}"),
            Self::OneOf(None) => f.write_str("one of"),
            Self::OneOf(Some(designators)) => write!(f, "one of {designators}"),
            Self::Was(None) => f.write_str("was"),
            Self::Was(Some(designator)) => write!(f, "was {designator}"),
            Self::Goto(designator) => write!(f, "goto {designator}"),
            Self::Note(text) => write!(f, "note {text}"),
            Self::On => f.write_str("on"),
            Self::Zero => f.write_str("zero"),
            Self::Heed => f.write_str("heed"),
            Self::Soak(None) => f.write_str("soak"),
            Self::Soak(Some(volts)) => write!(f, "soak {volts}"),
            Self::Live => f.write_str("live"),
            Self::Lifted(designator) => write!(f, "lifted {designator}"),
            Self::Rejoined(designator) => write!(f, "rejoined {designator}"),
            Self::Override(said) if said.is_empty() => f.write_str("override"),
            Self::Override(said) => write!(f, "override {said}"),
            Self::Decide {
                designator,
                choice,
                reason,
            } => {
                f.write_str("decide")?;
                let words = [
                    designator.as_deref().unwrap_or_default(),
                    choice.name(),
                    reason,
                ];
                let mut said = words.into_iter().filter(|word| !word.is_empty());
                said.try_for_each(|word| write!(f, " {word}"))
            }
            Self::End => f.write_str("end"),
        }
    }
}

/// `[DESIGNATOR] CHOICE [REASON]`; a first word that is a choice is no designator.
fn decision(text: &str) -> Option<Command> {
    let (first, rest) = split_word(text);
    let (designator, choice, reason) = if let Ok(choice) = first.parse() {
        (None, choice, rest)
    } else {
        let (second, reason) = split_word(rest);
        (Some(first.to_owned()), second.parse().ok()?, reason)
    };
    Some(Command::Decide {
        designator,
        choice,
        reason: reason.to_owned(),
    })
}

/// `of [DESIGNATORS]`.
fn one_of(text: &str) -> Option<Command> {
    let (of, rest) = split_word(text);
    let named = (!rest.is_empty()).then(|| rest.to_owned());
    (of == "of").then_some(Command::OneOf(named))
}

/// The first word, and what stands behind it.
fn split_word(text: &str) -> (&str, &str) {
    let (word, rest) = text.split_once(char::is_whitespace).unwrap_or((text, ""));
    (word, rest.trim())
}

/// A voltage above zero: `250`, `250 V`.
fn volts(text: &str) -> Option<f64> {
    let number = text.strip_suffix(['V', 'v']).unwrap_or(text);
    let volts: f64 = number.trim_end().parse().ok()?;
    (volts.is_finite() && volts > 0.0).then_some(volts)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn commands_read_back_as_they_were_written() {
        for text in [
            "next",
            "back",
            "skip",
            "redo",
            "was",
            "was R3",
            "at V2",
            "is R4",
            "answer 2",
            "one of",
            "one of R4, R5",
            "on",
            "end",
            "goto R12",
            "note cracked at one end",
            "zero",
            "heed",
            "soak",
            "soak 250",
            "live",
            "override",
            "override C5 removed from the chassis",
            "decide replace",
            "decide replace drifted too far",
            "decide R12 accept 8 % high and nothing depends on it",
            "decide T1.pri keep",
        ] {
            assert_eq!(text.parse::<Command>().unwrap().to_string(), text);
        }
    }

    #[test]
    fn a_decision_names_its_part_or_means_the_last_one() {
        let of = |designator: Option<&str>, choice, reason: &str| Command::Decide {
            designator: designator.map(str::to_owned),
            choice,
            reason: reason.to_owned(),
        };
        for (text, expected) in [
            (
                "decide  R12   Replace  drifted",
                of(Some("R12"), Choice::Replace, "drifted"),
            ),
            ("decide fitted", of(None, Choice::Fitted, "")),
            (
                "decide order replace it soon",
                of(None, Choice::Order, "replace it soon"),
            ),
        ] {
            assert_eq!(text.parse(), Ok(expected), "{text}");
        }
    }

    #[test]
    fn what_is_no_command_is_named() {
        for text in [
            "",
            "soak much",
            "soak -3",
            "goto",
            "at",
            "answer many",
            "one",
            "one R4",
            "note",
            "next please",
            "NEXT",
            "quit",
            "decide",
            "decide R12",
            "decide R12 because replace",
            "decide perhaps",
        ] {
            assert!(text.parse::<Command>().is_err(), "{text}");
        }
    }
}
