//! Limits of a capacitor beyond its capacitance: loss and ESR, leakage current, insulation, and the soak that shows
//! a leakage current.
//!
//! Pure, as the whole room. Figures live in tables (TOML texts that a person can replace), each row with its source; the
//! code holds the forms only. What the parts list does not support is an answer of its own, [`CannotJudge`], and never a
//! guess.

mod ageing;
mod insulation;
mod leakage;
mod limits;
mod loss_judgement;
mod loss_limit;
mod loss_table;
#[cfg(test)]
pub(in crate::engine::judge) mod sample;
mod soak;
mod subject;
pub(in crate::engine::judge) mod table;

pub use ageing::AgeingTable;
pub use insulation::{InsulationForm, InsulationLimit, insulation_ohm, insulation_product_s};
pub use leakage::{LeakageLimit, LeakageTable, ReadAfter};
pub use limits::{Stated, Tables};
pub use loss_judgement::{LossBasis, LossJudgement, LossMeasurement, judge_esr, judge_loss};
pub(super) use loss_limit::LossLimit;
pub use loss_limit::{StatedLoss, esr_ohm};
pub use loss_table::LossTable;
pub use soak::{Direction, Forecast, Mark, SOAK_CAUTIONS, Soak, SoakReason, SoakReport};
pub use subject::{CannotJudge, Condition, Missing};
pub use table::ShippedTable;
