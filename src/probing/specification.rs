//! [`Specification`]: what probing must know about the meter.

use crate::meter::Shown;

/// The meter's behaviour on the function in use.
pub trait Specification {
    /// Whether this is what the meter shows while the probes hang in the air.
    fn is_idle(&self, shown: Shown) -> bool;

    /// Standard uncertainty by the meter's accuracy specification at `value`, in the unit of `value`.
    fn standard_uncertainty(&self, value: f64) -> f64;

    /// Size of the last digit at `value`, in the unit of `value`.
    fn resolution(&self, value: f64) -> f64;
}
