//! [`Answer`] and [`Substitute`]: what may stand in for a part, and why.

use std::fmt;

use super::{Arrangement, Share};
use crate::engine::parts::Article;
use crate::engine::quantity::{Amount, Band, format_value};

/// What may stand in, the best first.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Answer {
    /// What may stand in; empty if nothing may, and then the last of the warnings says why.
    pub choices: Vec<Substitute>,
    /// What the person should know before choosing.
    pub warnings: Vec<String>,
}

/// One part or two that may stand in for another.
#[derive(Debug, Clone, PartialEq)]
pub struct Substitute {
    /// What to ask for: one part, or the two of a pair.
    pub articles: Vec<Article>,
    /// How they are connected.
    pub arrangement: Arrangement,
    /// What they measure together, nominally.
    pub value: Amount,
    /// What they may measure at worst, both off to one side, in the SI base unit.
    pub worst: Band,
    /// What they measure with some 95 % probability: rectangular distributions, u = a/√3, k = 2; never wider than the worst.
    pub statistical: Band,
    /// What each takes of voltage and current, in the order of the articles.
    pub shares: Vec<Share>,
    /// Whether all that it may measure is allowed.
    pub keeps_band: bool,
    /// What the sort is called in the table of goods.
    pub sort: String,
    /// Where the row of that table is from.
    pub source: String,
    /// Why it may stand in, in words.
    pub reasons: Vec<String>,
}

/// `33 µF 450 V ±20 % electrolytic`, `2 × 68 µF 250 V ±20 % electrolytic in series, 34 µF`.
impl fmt::Display for Substitute {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.articles[..] {
            [first, second] if first == second => write!(f, "2 × {first}")?,
            articles => {
                let words: Vec<String> = articles.iter().map(ToString::to_string).collect();
                f.write_str(&words.join(" and "))?;
            }
        }
        if self.arrangement != Arrangement::Single {
            let value = format_value(self.value.quantity(), self.value.value(), 4);
            write!(f, " {}, {value}", self.arrangement)?;
        }
        Ok(())
    }
}
