//! [`Check`]: one thing that was looked at, and what came of it.

use serde::{Deserialize, Serialize};
use strum::{IntoStaticStr, VariantArray};

use super::verdict::Verdict;

/// Subject of a check.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(into = "&str", try_from = "String")]
#[derive(IntoStaticStr, VariantArray)]
#[strum(serialize_all = "lowercase")]
pub enum Aspect {
    /// The value against its band.
    Value,
    /// The resistance of the leads, taken off.
    Leads,
    /// The addition of leads and fixture to a capacitance or inductance, taken off.
    Fixture,
    /// A capacitance brought from the circuit that the meter reports to the one that the part is rated in.
    #[strum(serialize = "equivalent circuit")]
    Circuit,
    /// The resistance of a winding, brought to 20 °C.
    Temperature,
    /// The resistance of a winding, taken as it is since it could not be brought to 20 °C.
    #[strum(serialize = "not at 20 °C")]
    NotAt20,
    /// The value of a part that was fitted, against the limits of its article.
    Article,
    /// Value against what its place in the circuit needs.
    #[strum(serialize = "circuit")]
    InPlace,
    /// The rating of a part that has only to conduct.
    Rating,
    /// The safety class of a capacitor at the mains.
    #[strum(serialize = "safety class")]
    SafetyClass,
    /// The loss of a capacitor: tan δ or ESR.
    Loss,
    /// The current that a capacitor passes at rated voltage, and its insulation.
    Leakage,
    /// Resistance left between a wiper at its stop and the end there.
    #[strum(serialize = "end resistance")]
    EndResistance,
    /// The share of its track that a wiper has at half its travel.
    Law,
    /// A wiper on its way from stop to stop.
    Sweep,
    /// Distance of the makes of a contact.
    Spread,
    /// The voltage of a point as this meter should read it, where the sheet's meter loaded the circuit.
    Loading,
    /// The rating of a capacitor that bears the voltage of a point.
    #[strum(serialize = "above rating")]
    Overvoltage,
    /// The ratio of turns, from two voltages.
    #[strum(serialize = "turns ratio")]
    Turns,
    /// Other parts joined to it in circuit.
    Network,
    /// A role of the policy that is held to another band.
    Role,
    /// A part that the policy replaces whatever it reads.
    #[strum(serialize = "policy")]
    Replacement,
}

words!(Aspect: ALL, name, named);

impl TryFrom<String> for Aspect {
    type Error = String;

    fn try_from(word: String) -> Result<Self, String> {
        Self::named(&word).ok_or_else(|| format!("found `{word}`, expected what a check is about"))
    }
}

/// One thing that was looked at.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Check {
    /// Property that was looked at.
    pub aspect: Aspect,
    /// Consequence for the part; `None` where it is only remarked, or could not be judged.
    pub verdict: Option<Verdict>,
    /// Finding with its numbers, as a clause for people.
    pub words: String,
}

impl Check {
    /// Something worth saying, from which no verdict follows.
    pub(super) fn remark(aspect: Aspect, words: String) -> Self {
        Self {
            aspect,
            verdict: None,
            words,
        }
    }

    /// The words without what stands in brackets.
    pub fn brief(&self) -> &str {
        self.words.split(" (").next().unwrap_or(&self.words)
    }

    /// The checks as the cell of a table: `leads: 1.15 Ω less 0.15 Ω of the leads is 1 Ω | loss fail: tan δ 0.2 ...`. A bar or a
    /// backslash in the words has a backslash in front.
    pub fn cell(checks: &[Self]) -> String {
        let text = |check: &Self| {
            let verdict = check.verdict.map(|verdict| format!(" {verdict}"));
            let words = check.words.replace('\\', "\\\\").replace('|', "\\|");
            let verdict = verdict.unwrap_or_default();
            format!("{}{verdict}: {words}", check.aspect.name())
        };
        checks.iter().map(text).collect::<Vec<_>>().join(" | ")
    }

    /// The checks that [`cell`](Self::cell) wrote; `None` if it never writes such a text.
    pub fn in_cell(text: &str) -> Option<Vec<Self>> {
        if text.is_empty() {
            return Some(Vec::new());
        }
        let mut written = vec![String::new()];
        let mut signs = text.chars();
        while let Some(sign) = signs.next() {
            let last = written.last_mut()?;
            match sign {
                '\\' => last.push(signs.next()?),
                '|' => written.push(String::new()),
                sign => last.push(sign),
            }
        }
        let count = written.len();
        let each = written.iter().enumerate().map(|(place, text)| {
            let text = if place == 0 {
                text
            } else {
                text.strip_prefix(' ')?
            };
            let text = if place + 1 == count {
                text
            } else {
                text.strip_suffix(' ')?
            };
            Self::written(text)
        });
        each.collect()
    }

    /// One check: its aspect, its verdict if it has one, a colon and its words.
    fn written(text: &str) -> Option<Self> {
        let (head, words) = text.split_once(": ")?;
        let check = |aspect, verdict| Self {
            aspect,
            verdict,
            words: words.to_owned(),
        };
        if let Some(aspect) = Aspect::named(head) {
            return Some(check(aspect, None));
        }
        Aspect::ALL.into_iter().find_map(|aspect| {
            let verdict = head.strip_prefix(aspect.name())?.strip_prefix(' ')?;
            Some(check(aspect, Some(Verdict::named(verdict)?)))
        })
    }
}

/// Beginning of a remark on a reading of another circuit than the list has: leads of the parts named behind it were lifted.
pub const WITH_LIFTED: &str = "read with a lead lifted of ";

/// The verdict on the whole: the worst of all, where a plain or conditional fail outweighs an inconclusive check, and that
/// one outweighs any pass.
pub fn overall(verdicts: impl IntoIterator<Item = Verdict>) -> Option<Verdict> {
    verdicts
        .into_iter()
        .max_by_key(|verdict| verdict.severity())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn checks_go_into_a_cell_and_come_back() {
        let check = |aspect, verdict, words: &str| Check {
            aspect,
            verdict,
            words: words.to_owned(),
        };
        let words = [
            "plain",
            "",
            "a | b: c; d",
            "\\|",
            "ends with \\",
            " | ",
            "1: 2",
        ];
        for aspect in Aspect::ALL {
            for verdict in Verdict::ALL.map(Some).into_iter().chain([None]) {
                let checks: Vec<Check> = words.map(|words| check(aspect, verdict, words)).into();
                for some in (0..=checks.len()).map(|count| &checks[..count]) {
                    let text = Check::cell(some);
                    assert_eq!(Check::in_cell(&text).as_deref(), Some(some), "{text}");
                }
            }
        }
        for foreign in ["nothing", "loss good: 1", "loss: 1|leads: 2", "loss: \\"] {
            assert_eq!(Check::in_cell(foreign), None, "{foreign}");
        }
    }

    #[test]
    fn the_worst_counts_and_a_proven_fault_outweighs_a_doubt() {
        assert_eq!(
            overall([Verdict::Pass, Verdict::Inconclusive]),
            Some(Verdict::Inconclusive)
        );
        assert_eq!(
            overall([Verdict::Fail, Verdict::Inconclusive]),
            Some(Verdict::Fail)
        );
        assert_eq!(
            overall([Verdict::Pass, Verdict::ConditionalPass]),
            Some(Verdict::ConditionalPass)
        );
        assert_eq!(overall([]), None);
    }
}
