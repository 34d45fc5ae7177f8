//! What an LCR meter's pair of values means: impedance, its equivalents, and what the test leads add.
//!
//! The way through the room: a checked [`Pair`] at a test frequency gives an [`Impedance`] with a covariance matrix;
//! [`Residuals`] take away what fixture and leads add; [`Impedance::equivalent`] gives any [`Parameter`] of it with its
//! standard uncertainty, and [`Impedance::pair`] any other pair. [`comparability`] says whether a limit given at another
//! frequency can be judged at all; [`compare_windings`] looks for a shorted turn.
//!
//! Uncertainties are propagated to first order, J U Jᵀ with analytic derivatives (JCGM 100:2008, 5.1 and 5.2;
//! for several output quantities JCGM 102:2011, clause 6.2; clauses from memory), correlations included. The test
//! frequency counts as exact: a meter's synthesised frequency is far more accurate than its impedance (common practice,
//! no source).
//!
//! Pure: imports nothing that opens a file, a port or a clock, and no other room.

mod capacitor;
mod complex_estimate;
mod complex_impedance;
mod correction;
mod covariance;
mod equivalent;
mod inductor;
mod leads;
mod pair;
mod pair_error;
mod pair_impedance;
mod pair_kind;
mod parameter;
mod residuals;
mod shorted_turn;
mod test_frequency;
mod uncertain;

pub use capacitor::{
    angular_frequency, capacitive_reactance, dissipation_factor, dissipation_factor_of_parallel,
    esr, esr_of_parallel, parallel_capacitance, parallel_resistance, power_factor,
    series_capacitance,
};
pub use complex_estimate::ComplexEstimate;
pub use complex_impedance::{Impedance, ImpedanceError};
pub use correction::{behind_symmetrical_two_port, behind_two_elements, through_two_elements};
pub use covariance::{Covariance, CovarianceError};
pub use equivalent::{NoEquivalent, NoPair};
pub use inductor::{
    inductive_reactance, parallel_inductance, parallel_resistance_of_winding, quality,
    series_inductance,
};
pub use leads::{lead_excess, without_leads};
pub use pair::Pair;
pub use pair_error::PairError;
pub use pair_kind::{PairKind, UnknownPairKind};
pub use parameter::Parameter;
pub use residuals::{CorrectionError, ResidualModel, Residuals};
pub use shorted_turn::{
    SIBLING_SPREAD, ShortedTurn, WindingComparison, WindingError, compare_windings,
};
pub use test_frequency::{
    Comparability, FREQUENCY_TOLERANCE, FrequencyError, JudgedParameter, comparability,
};
pub use uncertain::Uncertain;
