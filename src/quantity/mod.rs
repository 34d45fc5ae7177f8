//! Physical quantities as the trade writes them: units, prefixes, markings, preferred values, time stamps.
//!
//! Pure: imports nothing that opens a file, a port or a clock.

mod band;
mod stamp;

pub use band::Band;
pub use stamp::Stamp;

/// What is measured. Values are kept in the SI base unit of the quantity.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Quantity {
    /// Electrical resistance, in ohm.
    Resistance,
    /// Capacitance, in farad.
    Capacitance,
}

impl Quantity {
    /// Every quantity the program knows.
    pub const ALL: [Self; 2] = [Self::Resistance, Self::Capacitance];

    /// The word used in messages and in files.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Resistance => "resistance",
            Self::Capacitance => "capacitance",
        }
    }

    /// The SI symbol of its unit.
    pub const fn symbol(self) -> &'static str {
        match self {
            Self::Resistance => "Ω",
            Self::Capacitance => "F",
        }
    }

    /// The unit's name in ASCII, as column names use it.
    pub const fn unit_name(self) -> &'static str {
        match self {
            Self::Resistance => "ohm",
            Self::Capacitance => "farad",
        }
    }
}

impl std::fmt::Display for Quantity {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.name())
    }
}

/// A value with its quantity. The value is finite and in the SI base unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Amount {
    quantity: Quantity,
    value: f64,
}

impl Amount {
    /// An amount of `value` SI base units; `None` if the value is not finite.
    pub fn new(quantity: Quantity, value: f64) -> Option<Self> {
        value.is_finite().then_some(Self { quantity, value })
    }

    /// What it is an amount of.
    pub const fn quantity(self) -> Quantity {
        self.quantity
    }

    /// The value in the SI base unit (ohm, farad).
    pub const fn value(self) -> f64 {
        self.value
    }
}
