//! What a capacitor is held to beyond its capacitance: loss and ESR, leakage current, insulation, and the soak that shows
//! a leakage current.
//!
//! Pure, as the whole room. Figures live in tables (TOML texts that a person can replace), each row with its source; the
//! code holds the forms only. What the parts list does not support is an answer of its own, [`CannotJudge`], and never a
//! guess.

mod cannot_judge;
mod condition;
mod insulation_limit;
mod insulation_table;
mod leakage_limit;
mod leakage_table;
mod limits;
mod loss_judgement;
mod loss_limit;
mod loss_table;
pub(in crate::engine::judge) mod material;
#[cfg(test)]
pub(in crate::engine::judge) mod sample;
mod series_resistance;
mod soak;
mod subject;
mod table;

pub use cannot_judge::{CannotJudge, Check, Missing};
pub use condition::Condition;
pub use insulation_limit::{InsulationForm, InsulationLimit, insulation_ohm, insulation_product_s};
pub use insulation_table::InsulationTable;
pub use leakage_limit::{LeakageLimit, ReadAfter};
pub use leakage_table::{LeakageForm, LeakageTable};
pub use limits::{Limits, Stated, Tables};
pub use loss_judgement::{LossBasis, LossJudgement, LossMeasurement, judge_esr, judge_loss};
pub use loss_limit::{LossLimit, LossRow, StatedLoss};
pub use loss_table::LossTable;
pub use series_resistance::esr_ohm;
pub use soak::{
    Direction, Forecast, Mark, NoForecast, SOAK_CAUTIONS, Soak, SoakError, SoakReason, SoakReport,
    Trend,
};
pub use table::Table;
