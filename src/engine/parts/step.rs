//! [`Step`]: one of the measurements of a part.

use std::fmt;

use serde::{Deserialize, Serialize};
use strum::IntoStaticStr;

use super::Kind;
use crate::engine::source::Problem;

/// A measurement of a part. Every part has its value measured, a ratio by two voltages; the column `also` asks for more.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Default, Serialize, Deserialize,
)]
#[serde(into = "String", try_from = "String")]
#[derive(IntoStaticStr)]
#[strum(serialize_all = "lowercase")]
pub enum Step {
    /// Value that the list states.
    #[default]
    Value,
    /// The current that a capacitor passes at rated voltage, after its time.
    Leakage,
    /// The resistance from a potentiometer's wiper, at its stop, to the end of the track there.
    Stop,
    /// The resistance from a potentiometer's wiper, at half its travel, to the end where it starts.
    Middle,
    /// A potentiometer's wiper dragged from one stop to the other, as one touch.
    Sweep,
    /// A contact opened and closed once more.
    Make {
        /// Number of the make, counted from 1; the first is that of the value.
        number: u8,
        /// Number of all makes; 0 where a row of the results names it, which does not say.
        of: u8,
    },
    /// The alternating voltage on the primary of a transformer, the first of two that make a ratio.
    Primary,
    /// Voltage on its secondary, with which the ratio is known.
    Secondary,
    /// The resistance between two places of the circuit, whatever is joined there.
    Between,
    /// The own value of a part in circuit, from such readings. It stands for the value.
    Own,
}

/// The most makes of a contact that a list can ask for.
const MOST_MAKES: u8 = 20;

words!(Step: name);

impl Step {
    /// The step that a row of the results names, as [`Display`](fmt::Display) writes it.
    pub fn named(text: &str) -> Option<Self> {
        const PLAIN: [Step; 9] = [
            Step::Value,
            Step::Leakage,
            Step::Stop,
            Step::Middle,
            Step::Sweep,
            Step::Primary,
            Step::Secondary,
            Step::Between,
            Step::Own,
        ];
        if let Some(number) = text.strip_prefix("make ") {
            let number = number.parse().ok().filter(|number| *number > 0)?;
            return Some(Self::Make { number, of: 0 });
        }
        PLAIN.into_iter().find(|step| step.name() == text)
    }

    /// Whether both are the same measurement of a part, of however many makes; its value is one whether it was measured alone or not.
    pub fn is(self, other: Self) -> bool {
        match (self, other) {
            (
                Self::Make { number: one, .. },
                Self::Make {
                    number: another, ..
                },
            ) => one == another,
            (Self::Value | Self::Own, Self::Value | Self::Own) => true,
            _ => self == other,
        }
    }

    /// Whether a part of that kind can be asked for it.
    const fn suits(self, kind: Kind) -> bool {
        match self {
            Self::Value => true,
            Self::Leakage => matches!(kind, Kind::Capacitor),
            Self::Stop | Self::Middle | Self::Sweep => matches!(kind, Kind::Potentiometer),
            Self::Make { .. } => matches!(kind, Kind::Switch),
            Self::Primary | Self::Secondary => matches!(kind, Kind::Ratio),
            Self::Between | Self::Own => false,
        }
    }

    /// The steps that the column `also` asks for: words parted by blanks, each once; of makes a number stands in front.
    pub(super) fn read_also(text: &str, kind: Option<Kind>) -> Result<Vec<Self>, Problem> {
        let mut steps: Vec<Self> = Vec::new();
        let mut words = text.split_whitespace();
        while let Some(word) = words.next() {
            let number = word.bytes().all(|byte| byte.is_ascii_digit());
            let found = match words.clone().next().filter(|_| number) {
                Some(unit) => format!("{word} {unit}"),
                None => word.to_owned(),
            };
            let asked = asked(&found).ok_or_else(|| none_or_twice(&found))?;
            if number {
                words.next();
            }
            let first = asked.first().copied().unwrap_or_default();
            if let Some(kind) = kind.filter(|kind| !first.suits(*kind)) {
                let expected = "a measurement that such a part has";
                return Err(Problem::of_kind(&found, kind, expected));
            }
            if steps.iter().any(|step| step.name() == first.name()) {
                return Err(none_or_twice(&found));
            }
            steps.extend(asked);
        }
        Ok(steps)
    }

    /// The text that asks for these steps, as a list has it.
    pub fn also_text(steps: &[Self]) -> String {
        let words = steps.iter().filter_map(|step| match step {
            Self::Make { number: 2, of } => Some(format!("{of} makes")),
            Self::Make { .. } => None,
            step => Some(step.name().to_owned()),
        });
        words.collect::<Vec<_>>().join(" ")
    }
}

/// A further measurement that there is not, or the same one twice.
fn none_or_twice(found: &str) -> Problem {
    Problem::cell(
        found,
        "what else is to be measured, each once, or nothing: `leakage` of a capacitor, `stop`, `middle` or `sweep` of a potentiometer, makes of a switch such as `5 makes` (2 to 20)",
    )
}

/// Steps that a word asks for; `None` if it is none.
fn asked(word: &str) -> Option<Vec<Step>> {
    Some(match word.to_ascii_lowercase().as_str() {
        "leakage" => vec![Step::Leakage],
        "stop" => vec![Step::Stop],
        "middle" => vec![Step::Middle],
        "sweep" => vec![Step::Sweep],
        word => {
            let of: u8 = word.strip_suffix(" makes")?.parse().ok()?;
            if !(2..=MOST_MAKES).contains(&of) {
                return None;
            }
            (2..=of).map(|number| Step::Make { number, of }).collect()
        }
    })
}

impl From<Step> for String {
    fn from(step: Step) -> Self {
        step.to_string()
    }
}

impl TryFrom<String> for Step {
    type Error = String;

    fn try_from(text: String) -> Result<Self, String> {
        Self::named(&text).ok_or_else(|| format!("found `{text}`, expected a step"))
    }
}

impl fmt::Display for Step {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Make { number, .. } => write!(f, "make {number}"),
            step => f.write_str(step.name()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_step_is_found_again_by_what_a_row_says() {
        let make = Step::Make { number: 3, of: 5 };
        for step in [Step::Value, Step::Sweep, Step::Secondary, make] {
            assert!(Step::named(&step.to_string()).is_some_and(|found| found.is(step)));
        }
        assert!(!make.is(Step::Make { number: 2, of: 5 }) && !make.is(Step::Value));
        for foreign in ["", "make", "make 0", "Value"] {
            assert_eq!(Step::named(foreign), None);
        }
    }

    fn read(text: &str, kind: Kind) -> Result<Vec<Step>, Problem> {
        Step::read_also(text, Some(kind))
    }

    fn said(text: &str, kind: Kind) -> String {
        read(text, kind).unwrap_err().to_string()
    }

    #[test]
    fn a_capacitor_can_be_asked_for_its_leakage_and_a_resistor_cannot() {
        assert_eq!(read("", Kind::Resistor), Ok(vec![]));
        assert_eq!(read("Leakage", Kind::Capacitor), Ok(vec![Step::Leakage]));
        assert!(said("leakage", Kind::Resistor).contains("that such a part has"));
        for text in ["leek", "leakage leakage", "value"] {
            assert!(said(text, Kind::Capacitor).contains("each once"), "{text}");
        }
    }

    #[test]
    fn a_potentiometer_can_be_asked_for_three_things_in_any_order() {
        assert_eq!(
            read("sweep Stop middle", Kind::Potentiometer),
            Ok(vec![Step::Sweep, Step::Stop, Step::Middle])
        );
        assert!(said("sweep", Kind::Switch).contains("that such a part has"));
    }

    #[test]
    fn makes_are_counted_and_the_first_is_that_of_the_value() {
        let steps = read("3 makes", Kind::Switch).unwrap();
        let titles: Vec<String> = steps.iter().map(Step::to_string).collect();
        assert_eq!(titles, ["make 2", "make 3"]);
        assert_eq!(Step::also_text(&steps), "3 makes");
        for text in [
            "makes",
            "3",
            "1 makes",
            "21 makes",
            "3 stop",
            "3 makes 2 makes",
        ] {
            assert!(said(text, Kind::Switch).contains("each once"), "{text}");
        }
        assert!(said("3 makes", Kind::Fuse).contains("that such a part has"));
    }
}
