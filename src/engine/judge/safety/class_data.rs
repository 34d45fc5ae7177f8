//! [`ClassData`]: what IEC 60384-14 says of each class.
//!
//! The standard itself was not at hand. X1 and X2 as quoted in makers' public data sheets, X3 and the impulse tests and
//! ratings of the Y classes as quoted in public articles on safety capacitors; that X3 has no impulse test is from memory.

use crate::engine::quantity::SafetyClass;

/// The two families of classes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ClassFamily {
    /// Where a failure cannot give a shock: between lines.
    X,
    /// Where a failure could give a shock: from line to what can be touched.
    Y,
}

/// The rated alternating voltages that a class is defined for, in volt.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RatedVolts {
    /// The lowest, included.
    pub lowest: f64,
    pub highest: f64,
    /// Whether the highest is included.
    pub highest_included: bool,
}

impl RatedVolts {
    /// Whether a part of the class can be rated for `volts`.
    pub fn contains(self, volts: f64) -> bool {
        self.lowest <= volts
            && (volts < self.highest || self.highest_included && volts == self.highest)
    }
}

/// Requirements of the standard on a class.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ClassData {
    pub class: SafetyClass,
    pub family: ClassFamily,
    /// Peak voltage of the impulse test for a capacitance up to 1 µF, in kilovolt; `None` where there is no such test.
    pub impulse_test_kilovolts: Option<f64>,
    /// Rated voltages of the class; not given for X.
    pub rated: Option<RatedVolts>,
    /// Withdrawn in later editions of the standard (from memory).
    pub withdrawn: bool,
    /// Bridges double or reinforced insulation by itself.
    pub reinforced: bool,
}

/// The row of `class` in the table of IEC 60384-14 (as quoted, see the module).
pub const fn class_data(class: SafetyClass) -> ClassData {
    match class {
        SafetyClass::X1 => x(class, Some(4.0)),
        SafetyClass::X2 => x(class, Some(2.5)),
        SafetyClass::X3 => x(class, None),
        SafetyClass::Y1 => y(class, Some(8.0), rated(0.0, 500.0, true)),
        SafetyClass::Y2 => y(class, Some(5.0), rated(150.0, 300.0, true)),
        SafetyClass::Y3 => y(class, None, rated(150.0, 250.0, true)),
        SafetyClass::Y4 => y(class, Some(2.5), rated(0.0, 150.0, false)),
    }
}

impl ClassData {
    /// Whether a part of this class may stand in for one of class `wanted`
    /// of the same rated voltage: a Y may stand in for an X, never the other way round (as quoted in public articles). That
    /// the impulse test must not be weaker is our own reading.
    pub fn may_replace(self, wanted: SafetyClass) -> bool {
        let wanted = class_data(wanted);
        let test = |data: Self| data.impulse_test_kilovolts.unwrap_or(0.0);
        let family = self.family == wanted.family || self.family == ClassFamily::Y;
        let insulation = self.reinforced || !wanted.reinforced;
        family && insulation && test(self) >= test(wanted)
    }
}

const fn x(class: SafetyClass, test: Option<f64>) -> ClassData {
    ClassData {
        class,
        family: ClassFamily::X,
        impulse_test_kilovolts: test,
        rated: None,
        withdrawn: matches!(class, SafetyClass::X3),
        reinforced: false,
    }
}

const fn y(class: SafetyClass, test: Option<f64>, rated: RatedVolts) -> ClassData {
    ClassData {
        class,
        family: ClassFamily::Y,
        impulse_test_kilovolts: test,
        rated: Some(rated),
        withdrawn: matches!(class, SafetyClass::Y3),
        reinforced: matches!(class, SafetyClass::Y1),
    }
}

const fn rated(lowest: f64, highest: f64, highest_included: bool) -> RatedVolts {
    RatedVolts {
        lowest,
        highest,
        highest_included,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_x_never_stands_in_for_a_y() {
        for class in SafetyClass::ALL {
            for wanted in SafetyClass::ALL {
                let (has, wants) = (class_data(class), class_data(wanted));
                if has.family == ClassFamily::X && wants.family == ClassFamily::Y {
                    assert!(!has.may_replace(wanted), "{class} for {wanted}");
                }
            }
            assert!(class_data(class).may_replace(class), "{class} for itself");
            assert!(
                class_data(SafetyClass::Y1).may_replace(class),
                "Y1 for {class}"
            );
        }
        assert!(class_data(SafetyClass::Y2).may_replace(SafetyClass::X1));
        assert!(class_data(SafetyClass::Y2).may_replace(SafetyClass::X2));
        assert!(!class_data(SafetyClass::Y2).may_replace(SafetyClass::Y1));
        assert!(!class_data(SafetyClass::X2).may_replace(SafetyClass::X1));
        // The impulse test of Y4 is weaker than that of X1.
        assert!(!class_data(SafetyClass::Y4).may_replace(SafetyClass::X1));
    }
}
