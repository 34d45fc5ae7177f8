//! [`Parameter`]: one figure that an LCR meter shows of an impedance.

use std::fmt;

/// A real quantity derived from an impedance Z = R + jX at one frequency.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Parameter {
    /// Cs, capacitance of the series equivalent, in farad.
    SeriesCapacitance,
    /// Cp, capacitance of the parallel equivalent, in farad.
    ParallelCapacitance,
    /// Ls, inductance of the series equivalent, in henry.
    SeriesInductance,
    /// Lp, inductance of the parallel equivalent, in henry.
    ParallelInductance,
    /// ESR, equivalent series resistance, the real part R of the impedance, in ohm.
    SeriesResistance,
    /// Rp, resistance of the parallel equivalent, in ohm.
    ParallelResistance,
    /// D = tan δ = R/|X|, the dissipation factor.
    DissipationFactor,
    /// Q = |X|/R, the quality factor.
    QualityFactor,
    /// |Z| in ohm.
    Magnitude,
    /// θ, the angle of the impedance in degrees, negative for a capacitance.
    Angle,
    /// R, the real part of the impedance, in ohm.
    Resistance,
    /// X, the imaginary part of the impedance, in ohm, negative for a capacitance.
    Reactance,
    /// cos φ = R/|Z|, the power factor.
    PowerFactor,
}

impl Parameter {
    /// Every parameter.
    pub const ALL: [Self; 13] = [
        Self::SeriesCapacitance,
        Self::ParallelCapacitance,
        Self::SeriesInductance,
        Self::ParallelInductance,
        Self::SeriesResistance,
        Self::ParallelResistance,
        Self::DissipationFactor,
        Self::QualityFactor,
        Self::Magnitude,
        Self::Angle,
        Self::Resistance,
        Self::Reactance,
        Self::PowerFactor,
    ];

    /// Its usual symbol.
    pub const fn symbol(self) -> &'static str {
        match self {
            Self::SeriesCapacitance => "Cs",
            Self::ParallelCapacitance => "Cp",
            Self::SeriesInductance => "Ls",
            Self::ParallelInductance => "Lp",
            Self::SeriesResistance => "ESR",
            Self::ParallelResistance => "Rp",
            Self::DissipationFactor => "D",
            Self::QualityFactor => "Q",
            Self::Magnitude => "|Z|",
            Self::Angle => "θ",
            Self::Resistance => "R",
            Self::Reactance => "X",
            Self::PowerFactor => "cos φ",
        }
    }

    /// The symbol of its unit, empty for a plain number.
    pub const fn unit(self) -> &'static str {
        match self {
            Self::SeriesCapacitance | Self::ParallelCapacitance => "F",
            Self::SeriesInductance | Self::ParallelInductance => "H",
            Self::SeriesResistance
            | Self::ParallelResistance
            | Self::Magnitude
            | Self::Resistance
            | Self::Reactance => "Ω",
            Self::Angle => "°",
            Self::DissipationFactor | Self::QualityFactor | Self::PowerFactor => "",
        }
    }

    /// Whether a passive part can show that finite value.
    ///
    /// R and X may have either sign: a resistance near zero comes out negative now and then, and R-X is what a fixture's
    /// residuals are read in. θ is taken over the whole circle for the same reason.
    pub fn admits(self, value: f64) -> bool {
        match self {
            Self::SeriesCapacitance
            | Self::ParallelCapacitance
            | Self::SeriesInductance
            | Self::ParallelInductance
            | Self::ParallelResistance
            | Self::QualityFactor => value > 0.0,
            Self::SeriesResistance | Self::DissipationFactor | Self::Magnitude => value >= 0.0,
            Self::PowerFactor => (0.0..=1.0).contains(&value),
            Self::Angle => (-180.0..=180.0).contains(&value),
            Self::Resistance | Self::Reactance => true,
        }
    }

    /// What [`Self::admits`] wants, in words.
    pub const fn range(self) -> &'static str {
        match self {
            Self::SeriesCapacitance
            | Self::ParallelCapacitance
            | Self::SeriesInductance
            | Self::ParallelInductance
            | Self::ParallelResistance
            | Self::QualityFactor => "more than 0",
            Self::SeriesResistance | Self::DissipationFactor | Self::Magnitude => "0 or more",
            Self::PowerFactor => "0 to 1",
            Self::Angle => "-180 to 180",
            Self::Resistance | Self::Reactance => "any finite number",
        }
    }
}

impl fmt::Display for Parameter {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.symbol())
    }
}
