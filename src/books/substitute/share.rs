//! [`Share`]: what each of two parts takes of the voltage, the current and the power.

/// A part of the whole, 0 to 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fraction {
    /// With both parts at their nominal values.
    pub nominal: f64,
    /// With the two off to opposite sides as far as their tolerances allow.
    pub largest: f64,
}

impl Fraction {
    /// All of it.
    pub const WHOLE: Self = Self {
        nominal: 1.0,
        largest: 1.0,
    };
}

/// What one part takes of the load.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Share {
    /// Of the voltage.
    pub volts: Fraction,
    /// Of the current.
    pub current: Fraction,
}

impl Share {
    /// All of everything: a part alone.
    pub const WHOLE: Self = Self {
        volts: Fraction::WHOLE,
        current: Fraction::WHOLE,
    };

    pub(super) const fn of_voltage(volts: Fraction) -> Self {
        Self {
            volts,
            current: Fraction::WHOLE,
        }
    }

    pub(super) const fn of_current(current: Fraction) -> Self {
        Self {
            volts: Fraction::WHOLE,
            current,
        }
    }

    /// Of the power: one of the two is the whole.
    pub fn power(self) -> Fraction {
        Fraction {
            nominal: self.volts.nominal * self.current.nominal,
            largest: self.volts.largest * self.current.largest,
        }
    }
}
