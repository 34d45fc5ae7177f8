//! A settled value and a part give a verdict.
//!
//! Pure. A verdict carries the limits, the rule and the probability of conformity it came from, so that it can be
//! explained and audited.

pub mod capacitor;
mod conformity;
mod in_circuit;
mod judgement;
mod one_sided;
pub mod policy;
mod rule;
mod toml_error;
mod verdict;

pub use conformity::{normal_cdf, probability_of_conformity};
pub use judgement::{Judgement, judge};
pub use policy::Policy;
pub use rule::{Rule, UnknownRule};
pub use toml_error::TomlError;
pub use verdict::{Reason, Side, Verdict};
