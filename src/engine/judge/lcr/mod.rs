//! A settled value as one of a pair that tells an impedance, and what is judged of it.
//!
//! A value is judged in the form that the meter reports, series or parallel, with one exception: an electrolytic is rated
//! by its series capacitance (IEC 60384-1 and 60384-4, as quoted on a maker's page), and the parallel one that a meter may
//! report is smaller by 1 + D².
//! The loss is judged as the meter reports it, tan δ or ESR; a parallel resistance becomes tan δ, which is what limits are
//! given in. Uncertainties go through the impedance to first order, and value and loss that come of one impedance keep
//! what they have in common until each is judged.

mod rated;
mod reading;

pub(super) use rated::{Rated, as_rated};
pub use reading::{LcrError, LcrReading};
