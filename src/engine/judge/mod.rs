//! A settled value and a part give a verdict.
//!
//! Pure. A verdict carries the limits, the rule and the probability of conformity it came from, so that it can be
//! explained and audited.

mod at_mains;
mod at_point;
mod by_policy;
pub mod capacitor;
mod check;
mod conditions;
mod conduction;
mod conformity;
pub mod discharge;
pub mod drift;
mod feed;
mod figure;
mod fitted;
mod grounds;
mod in_circuit;
mod judgement;
mod lcr;
mod leads;
mod leakage;
mod loops;
mod loss;
mod makes;
mod one_sided;
mod own_value;
pub mod point;
pub mod policy;
mod rule;
pub mod safety;
mod solution;
mod turns;
mod verdict;
pub mod winding;
mod winding_at_20;
pub mod wiper;

pub use check::{Aspect, Check, WITH_LIFTED, overall};
pub use conditions::Conditions;
pub use conformity::probability_of_conformity;
pub use feed::Feeds;
pub use figure::BadFigure;
pub use fitted::Fitted;
pub use grounds::{Found, Grounds};
pub use in_circuit::lone_capacitors;
pub use judgement::{Beside, Judgement, deciding, judge, judge_own_value};
pub use lcr::LcrReading;
pub use leakage::{LeakageTest, Soaked};
pub use loops::{LoopFacts, LoopGroup, Loops};
pub(super) use loss::stated as stated_loss;
pub use loss::{LossKind, LossReading};
pub use own_value::{OwnVerdict, Trust, contradiction, judge_own, limits_of};
pub use policy::Policy;
pub use rule::{Rule, UnknownRule};
pub use solution::{Judged, Solution};
pub use turns::{LARGEST_FED_VOLTS, turns_entries};
pub use verdict::{Reason, Side, Verdict};

use crate::engine::parts::{Part, Step};

/// A further measurement of a wiper or a contact as an entry of a plan: `part` with the nominal value and the band of that
/// measurement. `None` where the list says too little for it, and for measurements of another kind.
pub fn further_entry(part: &Part, step: Step) -> Option<Part> {
    match step {
        Step::Make { .. } => Some(makes::entry(part, step)),
        _ => wiper::entry(part, step),
    }
}
