//! [`Meters`]: the meters of a sitting, and which of them measures what.

use std::iter::once;
use std::sync::Arc;

use super::plan::PlanError;
use super::setup::{Setup, profile_file};
use crate::engine::meter::{Function, Profile};
use crate::engine::quantity::Quantity;

/// The name of the first meter, which is the only one of most sittings.
pub const FIRST_METER: &str = "meter";

/// A meter that takes part in a sitting.
#[derive(Debug, Clone)]
pub struct PlannedMeter {
    name: String,
    profile: Arc<Profile>,
}

impl PlannedMeter {
    /// Name at the bench.
    pub fn name(&self) -> &str {
        &self.name
    }

    pub const fn profile(&self) -> &Arc<Profile> {
        &self.profile
    }
}

/// All of them, at least one; the place is the number of a meter.
#[derive(Debug, Clone)]
pub(super) struct Meters(Vec<PlannedMeter>);

impl Meters {
    /// Meters of a set-up. Their numbers follow each other, since an input names its meter by it.
    ///
    /// # Errors
    /// If a profile has errors or is not there, or a name serves twice.
    pub(super) fn of(setup: &Setup) -> Result<Self, PlanError> {
        let mut meters: Vec<PlannedMeter> = Vec::new();
        let first = (0, FIRST_METER, setup.setting(Setup::PROFILE_NAME));
        let further = setup.meters().filter(|(number, _)| *number > 0);
        let further = further.map(|(number, meter)| (number, &*meter.name, &*meter.profile));
        for (expected, (number, name, profile)) in (0..).zip(once(first).chain(further)) {
            if expected != number {
                let what = format!("the meter {expected}");
                return Err(PlanError::Missing { what });
            }
            if meters.iter().any(|meter| meter.name == name) {
                let name = name.to_owned();
                return Err(PlanError::NameTaken { name });
            }
            let text = setup.needed_text(&profile_file(number))?;
            meters.push(PlannedMeter {
                name: name.to_owned(),
                profile: Arc::new(Profile::parse(text, profile)?),
            });
        }
        Ok(Self(meters))
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
        let with_pair = || place(&|function| function.pair.is_some());
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
    use crate::engine::settings::BenchMeter;

    fn setup(first: &str) -> Setup {
        Setup::of("", first, shipped_profile(first).unwrap().text)
    }

    fn with(first: &str, name: &str, profile: &str) -> Setup {
        let meter = BenchMeter {
            name: name.to_owned(),
            profile: profile.to_owned(),
            port: String::new(),
        };
        setup(first).with_meter(meter, shipped_profile(profile).unwrap().text)
    }

    fn meters(first: &str, further: &str) -> Meters {
        Meters::of(&with(first, "other", further)).unwrap()
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
        let one = Meters::of(&setup("scpi-lcr-meter")).unwrap();
        assert_eq!(one.measuring(Quantity::Voltage), None);
    }

    #[test]
    fn two_meters_of_one_name_are_refused() {
        let twice = with("scpi-lcr-meter", FIRST_METER, "scpi-multimeter");
        let error = Meters::of(&twice).unwrap_err();
        assert!(error.to_string().contains("`meter`"), "{error}");
    }

    #[test]
    fn a_meter_that_is_left_out_or_has_no_profile_is_named() {
        let other = |number| {
            let two = with("scpi-lcr-meter", "other", "scpi-multimeter");
            let (_, meter) = two.meters().last().unwrap();
            setup("scpi-lcr-meter").numbered(number, meter.clone())
        };
        for (number, said) in [(1, "`profile-1.toml`"), (2, "the meter 1")] {
            let error = Meters::of(&other(number)).unwrap_err().to_string();
            assert!(error.contains(said), "{error}");
        }
    }
}
