//! [`Specification`]: what probing must know about the meter.

use crate::engine::meter::{Idle, Profile, Shown};
use crate::engine::quantity::Quantity;

/// The meter's behaviour on the function in use.
pub trait Specification {
    /// Whether this is what the meter shows while the probes hang in the air.
    fn is_idle(&self, shown: Shown) -> bool;

    /// Standard uncertainty by the meter's accuracy specification at `value`, in the unit of `value`.
    fn standard_uncertainty(&self, value: f64) -> f64;

    /// Size of the last digit at `value`, in the unit of `value`.
    fn resolution(&self, value: f64) -> f64;
}

/// A profile's answers for one of its functions.
#[derive(Debug, Clone, Copy)]
pub struct OnFunction<'a> {
    /// The meter.
    pub profile: &'a Profile,
    /// Its function.
    pub quantity: Quantity,
}

impl Specification for OnFunction<'_> {
    fn is_idle(&self, shown: Shown) -> bool {
        match (self.profile.idle(self.quantity), shown) {
            (Idle::Overload, Shown::Overload) => true,
            (Idle::Below(limit), Shown::Value(value)) => {
                value < limit && (value > -limit || !self.quantity.is_signed())
            }
            _ => false,
        }
    }

    fn standard_uncertainty(&self, value: f64) -> f64 {
        self.profile
            .accuracy(self.quantity, value)
            .map_or(f64::INFINITY, |accuracy| accuracy.standard_uncertainty())
    }

    fn resolution(&self, value: f64) -> f64 {
        self.profile
            .accuracy(self.quantity, value)
            .map_or(0.0, |accuracy| accuracy.resolution)
    }
}
