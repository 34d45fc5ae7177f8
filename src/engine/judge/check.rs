//! [`Check`]: one thing that was looked at, and what came of it.

use super::verdict::Verdict;

/// What a check is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Aspect {
    /// The value against its band.
    Value,
    /// The resistance of the leads, taken off.
    Leads,
    /// What leads and fixture add to a capacitance or inductance, taken off.
    Fixture,
    /// A capacitance brought from the circuit that the meter reports to the one that the part is rated in.
    Circuit,
    /// The resistance of a winding, brought to 20 °C.
    Temperature,
    /// The safety class of a capacitor at the mains.
    SafetyClass,
    /// The loss of a capacitor: tan δ or ESR.
    Loss,
    /// The current that a capacitor passes at rated voltage, and its insulation.
    Leakage,
    /// What is left between a wiper at its stop and the end there.
    EndResistance,
    /// The share of its track that a wiper has at half its travel.
    Law,
    /// A wiper on its way from stop to stop.
    Sweep,
    /// How far the makes of a contact lie apart.
    Spread,
    /// The voltage of a point as this meter should read it, where the sheet's meter loaded the circuit.
    Loading,
    /// The ratio of turns, from two voltages.
    Turns,
    /// A role of the policy that is held to another band.
    Role,
    /// A part that the policy replaces whatever it reads.
    Replacement,
}

impl Aspect {
    /// The word for people.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Value => "value",
            Self::Leads => "leads",
            Self::Fixture => "fixture",
            Self::Circuit => "equivalent circuit",
            Self::Temperature => "temperature",
            Self::SafetyClass => "safety class",
            Self::Loss => "loss",
            Self::Leakage => "leakage",
            Self::EndResistance => "end resistance",
            Self::Law => "law",
            Self::Sweep => "sweep",
            Self::Spread => "spread",
            Self::Loading => "loading",
            Self::Turns => "turns ratio",
            Self::Role => "role",
            Self::Replacement => "policy",
        }
    }
}

/// One thing that was looked at.
#[derive(Debug, Clone, PartialEq)]
pub struct Check {
    /// What it is about.
    pub aspect: Aspect,
    /// What follows for the part; `None` where it is only remarked, or could not be judged.
    pub verdict: Option<Verdict>,
    /// What was found, with its numbers, as a clause for people.
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
}

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
