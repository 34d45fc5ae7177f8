//! A settled value and a part give a verdict.
//!
//! Pure. A verdict carries the limits, the rule and the probability of conformity it came from, so that it can be
//! explained and audited.

mod bad_figure;
mod conformity;
pub mod discharge;
pub mod drift;
mod figure;
mod in_circuit;
mod judgement;
pub mod point;
mod rule;
pub mod safety;
mod verdict;
pub mod winding;

pub use bad_figure::BadFigure;
pub use conformity::{normal_cdf, probability_of_conformity};
pub use judgement::{Judgement, judge};
pub use rule::{Rule, UnknownRule};
pub use verdict::{Reason, Side, Verdict};
