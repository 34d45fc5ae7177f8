//! [`Step`]: one of the measurements of a part.

use std::fmt;

use super::{Kind, Problem};

/// Which measurement of a part. Every part has its value measured, a ratio by two voltages; the column `also` asks for more.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Default)]
pub enum Step {
    /// What the list states as its value.
    #[default]
    Value,
    /// The current that a capacitor passes at rated voltage, after its time.
    Leakage,
    /// The alternating voltage on the primary of a transformer, the first of two that make a ratio.
    Primary,
    /// That on its secondary, with which the ratio is known.
    Secondary,
}

impl Step {
    /// The word for lists, screens and files.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Value => "value",
            Self::Leakage => "leakage",
            Self::Primary => "primary",
            Self::Secondary => "secondary",
        }
    }

    /// Whether a part of that kind can be asked for it.
    const fn suits(self, kind: Kind) -> bool {
        match self {
            Self::Value => true,
            Self::Leakage => matches!(kind, Kind::Capacitor),
            Self::Primary | Self::Secondary => matches!(kind, Kind::Ratio),
        }
    }

    /// The steps that the column `also` asks for: words parted by blanks, each once.
    pub(super) fn read_also(text: &str, kind: Option<Kind>) -> Result<Vec<Self>, Problem> {
        let mut steps = Vec::new();
        for word in text.split_whitespace() {
            let wrong = || Problem::Also {
                found: word.to_owned(),
            };
            let step = match word.to_ascii_lowercase().as_str() {
                "leakage" => Self::Leakage,
                _ => return Err(wrong()),
            };
            if let Some(kind) = kind.filter(|kind| !step.suits(*kind)) {
                return Err(Problem::AlsoOfKind {
                    found: word.to_owned(),
                    kind,
                });
            }
            if steps.contains(&step) {
                return Err(wrong());
            }
            steps.push(step);
        }
        Ok(steps)
    }
}

impl fmt::Display for Step {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_capacitor_can_be_asked_for_its_leakage_and_a_resistor_cannot() {
        let read = |text, kind| Step::read_also(text, Some(kind));
        assert_eq!(read("", Kind::Resistor), Ok(vec![]));
        assert_eq!(read("Leakage", Kind::Capacitor), Ok(vec![Step::Leakage]));
        assert!(matches!(
            read("leakage", Kind::Resistor),
            Err(Problem::AlsoOfKind { .. })
        ));
        for text in ["leek", "leakage leakage", "value"] {
            assert!(
                matches!(read(text, Kind::Capacitor), Err(Problem::Also { .. })),
                "{text}"
            );
        }
    }
}
