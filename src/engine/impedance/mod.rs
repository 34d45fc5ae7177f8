//! Meaning of an LCR meter's pair of values: impedance, its equivalents, and what the test leads add.
//!
//! The way through the room: a checked [`Pair`] at a test frequency gives an [`Impedance`] with a covariance matrix;
//! [`Residuals`] take away what fixture and leads add; [`Impedance::equivalent`] gives any [`Parameter`] of it with its
//! standard uncertainty; [`compare_windings`] looks for a shorted turn.
//!
//! Uncertainties are propagated to first order, J U Jᵀ with analytic derivatives (JCGM 100:2008, 5.1 and 5.2;
//! for several output quantities JCGM 102:2011, clause 6.2; clauses from memory), correlations included. The test
//! frequency counts as exact: a meter's synthesised frequency is far more accurate than its impedance (common practice,
//! no source).
//!
//! Pure: imports nothing that opens a file, a port or a clock, and no other room.

mod complex_impedance;
mod covariance;
mod equivalent;
mod formula;
mod pair;
mod parameter;
mod residuals;
mod shorted_turn;
mod uncertain;

pub use complex_impedance::{ComplexEstimate, Impedance, ImpedanceError};
pub use covariance::{Covariance, CovarianceError};
pub use equivalent::NoEquivalent;
pub use formula::{angular_frequency, parallel_capacitance, parallel_inductance};
pub use pair::{Pair, PairError};
pub use parameter::{PairKind, Parameter};
pub use residuals::{CorrectionError, Residuals, behind_two_elements};
pub use shorted_turn::{SIBLING_SPREAD, compare_windings};
pub use uncertain::Uncertain;
