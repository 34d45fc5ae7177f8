//! [`RulingChange`]: what becomes of one measurement under other rules.

use std::fmt;

use serde::Serialize;

/// What becomes of one measurement under other rules.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RulingChange {
    /// Reference designator.
    #[serde(rename = "ref")]
    pub designator: String,
    /// Which measurement of the part.
    pub step: String,
    /// Limits before and after in words, where they change.
    pub limits: Option<[String; 2]>,
    /// Names of the verdict before and after; `not judged` where there is none.
    pub verdicts: [&'static str; 2],
    /// Which rules make the difference, in words.
    pub because: Vec<String>,
}

impl RulingChange {
    /// Whether the verdict changes.
    pub fn changes_verdict(&self) -> bool {
        self.verdicts[0] != self.verdicts[1]
    }
}

impl fmt::Display for RulingChange {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let [before, after] = self.verdicts;
        write!(f, "{} {}: ", self.designator, self.step)?;
        if self.changes_verdict() {
            write!(f, "{before} -> {after}")?;
        } else {
            write!(f, "still {after}")?;
        }
        if let Some([before, after]) = &self.limits {
            write!(f, "; limits {before} -> {after}")?;
        }
        self.because
            .iter()
            .try_for_each(|because| write!(f, "\n    {because}"))
    }
}
