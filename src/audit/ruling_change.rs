//! [`RulingChange`]: what becomes of one measurement under other rules.

use std::fmt;

use serde::Serialize;

use crate::judge::Verdict;
use crate::quantity::{Band, Quantity, format_band};

/// What becomes of one measurement under other rules.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RulingChange {
    /// Reference designator.
    #[serde(rename = "ref")]
    pub designator: String,
    /// Which measurement of the part.
    pub step: String,
    /// Limits before and after, where they change.
    #[serde(serialize_with = "as_words")]
    pub limits: Option<(Quantity, Band, Band)>,
    /// Verdict before and after; `None` where nothing was judged.
    #[serde(serialize_with = "as_names")]
    pub verdicts: (Option<Verdict>, Option<Verdict>),
    /// Which rules make the difference, in words.
    pub because: Vec<String>,
}

impl RulingChange {
    /// Whether the verdict changes.
    pub fn changes_verdict(&self) -> bool {
        self.verdicts.0 != self.verdicts.1
    }
}

impl fmt::Display for RulingChange {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (before, after) = (name(self.verdicts.0), name(self.verdicts.1));
        write!(f, "{} {}: ", self.designator, self.step)?;
        if self.changes_verdict() {
            write!(f, "{before} -> {after}")?;
        } else {
            write!(f, "still {after}")?;
        }
        if let Some((quantity, before, after)) = self.limits {
            let (before, after) = (format_band(quantity, before), format_band(quantity, after));
            write!(f, "; limits {before} -> {after}")?;
        }
        self.because
            .iter()
            .try_for_each(|because| write!(f, "\n    {because}"))
    }
}

fn name(verdict: Option<Verdict>) -> &'static str {
    verdict.map_or("not judged", Verdict::name)
}

fn as_names<S: serde::Serializer>(
    verdicts: &(Option<Verdict>, Option<Verdict>),
    serializer: S,
) -> Result<S::Ok, S::Error> {
    [name(verdicts.0), name(verdicts.1)].serialize(serializer)
}

fn as_words<S: serde::Serializer>(
    limits: &Option<(Quantity, Band, Band)>,
    serializer: S,
) -> Result<S::Ok, S::Error> {
    let words = limits
        .map(|(quantity, before, after)| [before, after].map(|band| format_band(quantity, band)));
    words.serialize(serializer)
}
