//! [`Parameter`]: one figure that an LCR meter shows of an impedance; [`PairKind`]: the two that it shows together.

use strum::{Display, IntoStaticStr, VariantArray};

use std::fmt;
use std::str::FromStr;

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
}

impl Parameter {
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
            Self::Angle => (-180.0..=180.0).contains(&value),
            Self::Resistance | Self::Reactance => true,
        }
    }

    /// The range that [`Self::admits`] wants, in words.
    pub const fn range(self) -> &'static str {
        match self {
            Self::SeriesCapacitance
            | Self::ParallelCapacitance
            | Self::SeriesInductance
            | Self::ParallelInductance
            | Self::ParallelResistance
            | Self::QualityFactor => "more than 0",
            Self::SeriesResistance | Self::DissipationFactor | Self::Magnitude => "0 or more",
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

/// The pair of figures that a meter sends of one measurement.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Display, IntoStaticStr, VariantArray)]
pub enum PairKind {
    /// Series capacitance in farad and dissipation factor.
    #[strum(serialize = "Cs-D")]
    CsD,
    /// Parallel capacitance in farad and dissipation factor.
    #[strum(serialize = "Cp-D")]
    CpD,
    /// Series capacitance in farad and equivalent series resistance in ohm.
    #[strum(serialize = "Cs-ESR")]
    CsEsr,
    /// Parallel capacitance in farad and parallel resistance in ohm.
    #[strum(serialize = "Cp-Rp")]
    CpRp,
    /// Series inductance in henry and quality factor.
    #[strum(serialize = "Ls-Q")]
    LsQ,
    /// Parallel inductance in henry and quality factor.
    #[strum(serialize = "Lp-Q")]
    LpQ,
    /// Magnitude in ohm and angle in degrees.
    #[strum(serialize = "Z-θ")]
    ZTheta,
    /// Real and imaginary part of the impedance in ohm.
    #[strum(serialize = "R-X")]
    RX,
}

words!(PairKind: ALL, name);

impl PairKind {
    /// The two parameters, in the order in which they are sent.
    pub const fn parameters(self) -> [Parameter; 2] {
        use Parameter as P;
        match self {
            Self::CsD => [P::SeriesCapacitance, P::DissipationFactor],
            Self::CpD => [P::ParallelCapacitance, P::DissipationFactor],
            Self::CsEsr => [P::SeriesCapacitance, P::SeriesResistance],
            Self::CpRp => [P::ParallelCapacitance, P::ParallelResistance],
            Self::LsQ => [P::SeriesInductance, P::QualityFactor],
            Self::LpQ => [P::ParallelInductance, P::QualityFactor],
            Self::ZTheta => [P::Magnitude, P::Angle],
            Self::RX => [P::Resistance, P::Reactance],
        }
    }
}

/// There is no pair of that name.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error(
    "unknown pair `{found}`, expected one of `Cs-D`, `Cp-D`, `Cs-ESR`, `Cp-Rp`, `Ls-Q`, `Lp-Q`, `Z-θ` (or `Z-theta`), `R-X`"
)]
pub struct UnknownPairKind {
    found: String,
}

impl FromStr for PairKind {
    type Err = UnknownPairKind;

    /// The kind of that [name](PairKind::name); `Z-theta` is for keyboards without θ.
    fn from_str(text: &str) -> Result<Self, UnknownPairKind> {
        if text == "Z-theta" {
            return Ok(Self::ZTheta);
        }
        let mut all = Self::ALL.into_iter();
        all.find(|kind| kind.name() == text)
            .ok_or_else(|| UnknownPairKind {
                found: text.to_owned(),
            })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_name_reads_back() {
        for kind in PairKind::ALL {
            assert_eq!(kind.to_string().parse(), Ok(kind));
        }
        assert_eq!("Z-theta".parse(), Ok(PairKind::ZTheta));
    }

    #[test]
    fn a_name_is_made_of_the_symbols_of_its_parameters() {
        for kind in PairKind::ALL {
            let [first, second] = kind.parameters().map(Parameter::symbol);
            let first = first.trim_matches('|');
            assert_eq!(kind.name(), format!("{first}-{second}"));
        }
    }

    #[test]
    fn an_unknown_name_is_answered_with_every_known_one() {
        let message = "C-D".parse::<PairKind>().unwrap_err().to_string();
        assert!(message.starts_with("unknown pair `C-D`"), "{message}");
        for kind in PairKind::ALL {
            assert!(message.contains(&format!("`{kind}`")), "{message}");
        }
    }
}
