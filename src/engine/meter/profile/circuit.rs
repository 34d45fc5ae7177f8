//! [`Circuit`]: as which of two circuits a meter takes a part.

use serde::Deserialize;

use super::Field;
use crate::engine::impedance::PairKind;
use crate::engine::quantity::Quantity;

/// The equivalent circuit that a capacitance or an inductance belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Circuit {
    /// The loss is a resistance in series with it: Cs, Ls.
    #[default]
    Series,
    /// The loss is a resistance across it: Cp, Lp.
    Parallel,
}

impl Circuit {
    /// The word of a profile.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Series => "series",
            Self::Parallel => "parallel",
        }
    }

    /// The pair that `quantity` in this circuit and `second` beside it are; `None` if they are none that tells an impedance.
    pub const fn pair(self, quantity: Quantity, second: Field) -> Option<PairKind> {
        Some(match (quantity, second, self) {
            (Quantity::Capacitance, Field::Loss, Self::Series) => PairKind::CsD,
            (Quantity::Capacitance, Field::Loss, Self::Parallel) => PairKind::CpD,
            (Quantity::Capacitance, Field::Esr, Self::Series) => PairKind::CsEsr,
            (Quantity::Capacitance, Field::ParallelResistance, Self::Parallel) => PairKind::CpRp,
            (Quantity::Inductance, Field::Quality, Self::Series) => PairKind::LsQ,
            (Quantity::Inductance, Field::Quality, Self::Parallel) => PairKind::LpQ,
            (Quantity::Resistance, Field::Reactance, Self::Series) => PairKind::RX,
            _ => return None,
        })
    }
}
