//! The profiles that come with the program.

/// A profile that comes with the program.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Shipped {
    /// The name by which it is asked for.
    pub name: &'static str,
    /// Its text, richly commented: a starting point for an own one.
    pub text: &'static str,
}

const SHIPPED: [Shipped; 3] = [
    Shipped {
        name: "scpi-multimeter",
        text: include_str!("../../../../device-profiles/scpi-multimeter.toml"),
    },
    Shipped {
        name: "scpi-lcr-meter",
        text: include_str!("../../../../device-profiles/scpi-lcr-meter.toml"),
    },
    Shipped {
        name: "talk-only-line-meter",
        text: include_str!("../../../../device-profiles/talk-only-line-meter.toml"),
    },
];

/// Every profile that comes with the program.
pub fn shipped_profiles() -> &'static [Shipped] {
    &SHIPPED
}

/// The one of that name.
pub fn shipped_profile(name: &str) -> Option<&'static Shipped> {
    SHIPPED.iter().find(|shipped| shipped.name == name)
}

#[cfg(test)]
mod tests {
    use super::{shipped_profile, shipped_profiles};
    use crate::engine::meter::{Field, Idle, Mode, Profile};
    use crate::engine::quantity::Quantity::{
        AcVoltage, Capacitance, Current, Inductance, Resistance, Voltage,
    };

    fn profile(name: &str) -> Profile {
        Profile::parse(shipped_profile(name).unwrap().text, name)
            .unwrap_or_else(|error| panic!("{error}"))
    }

    #[test]
    fn every_shipped_profile_is_understood() {
        for shipped in shipped_profiles() {
            assert_eq!(profile(shipped.name).name(), shipped.name);
        }
        assert!(shipped_profile("no such meter").is_none());
    }

    #[test]
    fn the_shipped_profiles_are_what_their_names_say() {
        let multimeter = profile("scpi-multimeter");
        assert!(multimeter.functions().map(|(quantity, _)| quantity).eq([
            Resistance,
            Capacitance,
            Voltage,
            Current,
            AcVoltage
        ]));
        assert_eq!(multimeter.idle(Resistance), Idle::Overload);
        let lcr = profile("scpi-lcr-meter");
        assert!(
            lcr.function(Capacitance)
                .unwrap()
                .fields()
                .second_is()
                .is_some()
        );
        let coil = lcr.function(Inductance).unwrap();
        assert_eq!(
            (coil.fields().second_is(), coil.frequency()),
            (Some(Field::Quality), Some(1000.0))
        );
        for quantity in [Capacitance, Inductance] {
            let second = lcr.second_uncertainty(quantity, 1e-6, 0.01);
            assert!(second.is_some_and(|u| u > 0.0), "{quantity}");
        }
        assert!(matches!(multimeter.idle(Voltage), Idle::Below(limit) if limit > 0.0));
        assert!(matches!(lcr.idle(Capacitance), Idle::Below(limit) if limit > 0.0));
        let talk = profile("talk-only-line-meter");
        assert_eq!((talk.mode(), talk.identify()), (Mode::Talk, None));
    }
}
