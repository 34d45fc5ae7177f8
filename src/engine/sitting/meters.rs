//! [`Meters`]: the meters of a sitting, and which of them measures what.

use std::sync::Arc;

use super::plan::PlanError;
use crate::engine::meter::{Function, Profile};
use crate::engine::quantity::Quantity;

/// The name of the first meter, which is the only one of most sittings.
pub const FIRST_METER: &str = "meter";

/// A meter beside the first, by its texts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FurtherMeter<'a> {
    /// What it is called at the bench.
    pub name: &'a str,
    /// Text of its profile.
    pub profile: &'a str,
    /// Name of its profile.
    pub profile_name: &'a str,
}

/// A meter that takes part in a sitting.
#[derive(Debug, Clone)]
pub struct PlannedMeter {
    name: String,
    profile: Arc<Profile>,
}

impl PlannedMeter {
    /// What it is called at the bench.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Its profile.
    pub const fn profile(&self) -> &Arc<Profile> {
        &self.profile
    }
}

/// All of them, at least one; the place is the number of a meter.
#[derive(Debug, Clone)]
pub(super) struct Meters(Vec<PlannedMeter>);

impl Meters {
    /// The first meter by its profile, and the further ones by their texts.
    ///
    /// # Errors
    /// If a profile has errors, or a name serves twice.
    pub(super) fn of(first: Profile, further: &[FurtherMeter<'_>]) -> Result<Self, PlanError> {
        let mut meters = Self(vec![PlannedMeter {
            name: FIRST_METER.to_owned(),
            profile: Arc::new(first),
        }]);
        for &FurtherMeter {
            name,
            profile,
            profile_name,
        } in further
        {
            if meters.0.iter().any(|meter| meter.name == name) {
                return Err(PlanError::NameTaken {
                    name: name.to_owned(),
                });
            }
            meters.0.push(PlannedMeter {
                name: name.to_owned(),
                profile: Arc::new(Profile::parse(profile, profile_name)?),
            });
        }
        Ok(meters)
    }

    pub(super) fn all(&self) -> &[PlannedMeter] {
        &self.0
    }

    /// The meter for that quantity: the first that measures it; but the first that tells a pair where an impedance is to be
    /// told, since a capacitance without its loss is half a finding.
    pub(super) fn measuring(&self, quantity: Quantity) -> Option<usize> {
        let place = |suits: &dyn Fn(&Function) -> bool| {
            self.0
                .iter()
                .position(|meter| meter.profile.function(quantity).is_some_and(suits))
        };
        let of_impedance = matches!(quantity, Quantity::Capacitance | Quantity::Inductance);
        let with_pair = || place(&|function| function.pair().is_some());
        of_impedance
            .then(with_pair)
            .flatten()
            .or_else(|| place(&|_| true))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::meter::shipped_profile;

    fn profile(name: &str) -> Profile {
        Profile::parse(shipped_profile(name).unwrap().text, name).unwrap()
    }

    fn meters(first: &str, further: &str) -> Meters {
        let further = FurtherMeter {
            name: "other",
            profile: shipped_profile(further).unwrap().text,
            profile_name: further,
        };
        Meters::of(profile(first), &[further]).unwrap()
    }

    #[test]
    fn a_capacitance_goes_to_the_meter_that_tells_its_loss_in_either_order() {
        let meters_of = [
            (meters("scpi-multimeter", "scpi-lcr-meter"), 1),
            (meters("scpi-lcr-meter", "scpi-multimeter"), 0),
        ];
        for (meters, bridge) in meters_of {
            assert_eq!(meters.measuring(Quantity::Capacitance), Some(bridge));
            assert_eq!(meters.measuring(Quantity::Inductance), Some(bridge));
            assert_eq!(meters.measuring(Quantity::Voltage), Some(1 - bridge));
        }
    }

    #[test]
    fn anything_else_goes_to_the_first_that_measures_it() {
        let meters = meters("scpi-lcr-meter", "scpi-multimeter");
        assert_eq!(meters.measuring(Quantity::Resistance), Some(0));
        let one = Meters::of(profile("scpi-lcr-meter"), &[]).unwrap();
        assert_eq!(one.measuring(Quantity::Voltage), None);
    }

    #[test]
    fn two_meters_of_one_name_are_refused() {
        let shipped = shipped_profile("scpi-multimeter").unwrap();
        let further = FurtherMeter {
            name: FIRST_METER,
            profile: shipped.text,
            profile_name: shipped.name,
        };
        let error = Meters::of(profile("scpi-lcr-meter"), &[further]).unwrap_err();
        assert!(error.to_string().contains("`meter`"), "{error}");
    }
}
