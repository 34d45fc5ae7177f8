//! [`Conductor`]: the metal of a winding.

/// The temperature that resistances are referred to, in degree Celsius (IEC 60028).
pub const REFERENCE_CELSIUS: f64 = 20.0;

/// Temperature coefficient of the resistance of annealed copper at 20 °C, per kelvin: 0.00393 (IEC 60028, from memory;
/// 3930 ppm/K as quoted by a maker from a handbook).
pub const TEMPERATURE_COEFFICIENT: f64 = 0.003_93;

/// The metal of a winding.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Conductor {
    /// Copper.
    #[default]
    Copper,
    /// Conductor-grade aluminium.
    Aluminium,
}

impl Conductor {
    /// The constant k of the resistance's line R ~ k + T, in degree Celsius: 234.5 for copper, 225.0 for conductor-grade
    /// aluminium (as quoted in a public text on motors from a safety standard, 49.8).
    pub const fn constant(self) -> f64 {
        match self {
            Self::Copper => 234.5,
            Self::Aluminium => 225.0,
        }
    }

    /// The word for people.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Copper => "copper",
            Self::Aluminium => "aluminium",
        }
    }
}
