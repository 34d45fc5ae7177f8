//! [`MainsPlace`]: where a capacitor sits on the mains side.

use std::fmt;

/// Where a capacitor sits on the mains side; decides which family of classes it needs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum MainsPlace {
    /// From one line to the other: its failure burns, but shocks nobody. Needs X, or Y of the same rated voltage.
    AcrossLine,
    /// From a line to chassis, earth or aerial: its failure puts the mains on what people touch. Needs Y.
    LineToChassis,
    /// At the mains, but the list does not say between what.
    Unstated,
}

/// Wordings of an across-line capacitor (common practice, no source).
const ACROSS: [&str; 8] = [
    "across line",
    "across mains",
    "line to line",
    "line to neutral",
    "live to neutral",
    "mains to mains",
    "x capacitor",
    "class x",
];

/// Wordings of a capacitor from the line to what can be touched (common practice, no source).
const TO_CHASSIS: [&str; 16] = [
    "line to chassis",
    "mains to chassis",
    "live to chassis",
    "neutral to chassis",
    "line to earth",
    "mains to earth",
    "live to earth",
    "neutral to earth",
    "line to ground",
    "mains to ground",
    "line bypass",
    "mains bypass",
    "aerial isolating",
    "earth isolating",
    "y capacitor",
    "class y",
];

impl MainsPlace {
    /// The place that a role of the parts list names, upper and lower case alike, hyphens as blanks, without `the`.
    /// A role that speaks of the mains in other words is [`MainsPlace::Unstated`]; `None` if it does not speak of them.
    pub fn in_role(role: &str) -> Option<Self> {
        let plain = plain_words(role);
        let names = |phrase: &&str| format!(" {plain} ").contains(&format!(" {phrase} "));
        if TO_CHASSIS.iter().any(names) {
            Some(Self::LineToChassis)
        } else if ACROSS.iter().any(names) {
            Some(Self::AcrossLine)
        } else if plain.split(' ').any(|word| word == "mains") {
            Some(Self::Unstated)
        } else {
            None
        }
    }

    /// The words for people.
    pub const fn name(self) -> &'static str {
        match self {
            Self::AcrossLine => "across the line",
            Self::LineToChassis => "line to chassis",
            Self::Unstated => "at the mains",
        }
    }
}

impl fmt::Display for MainsPlace {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

/// Lower-case words with one blank between; the article is left out.
fn plain_words(role: &str) -> String {
    let lower = role.to_lowercase().replace(['-', '_', '/', ','], " ");
    let words: Vec<&str> = lower
        .split_whitespace()
        .filter(|word| *word != "the")
        .collect();
    words.join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_role_names_the_place() {
        for (role, place) in [
            ("across the line", Some(MainsPlace::AcrossLine)),
            ("Across-line", Some(MainsPlace::AcrossLine)),
            ("line-to-chassis", Some(MainsPlace::LineToChassis)),
            ("Mains to chassis, buzz", Some(MainsPlace::LineToChassis)),
            ("aerial isolating", Some(MainsPlace::LineToChassis)),
            ("mains filter", Some(MainsPlace::Unstated)),
            ("coupling", None),
            ("AVC line", None),
            ("", None),
        ] {
            assert_eq!(MainsPlace::in_role(role), place, "{role}");
        }
    }

    #[test]
    fn the_names_read_back() {
        for place in [
            MainsPlace::AcrossLine,
            MainsPlace::LineToChassis,
            MainsPlace::Unstated,
        ] {
            assert_eq!(MainsPlace::in_role(place.name()), Some(place));
        }
    }
}
