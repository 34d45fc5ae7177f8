//! The cell that states what loads the secondary of a transformer.

use super::optional_cell::{Belongs, optional_cell};
use super::{Kind, Problem};
use crate::engine::quantity::{Drawing, Quantity, parse_value};

/// Ratios, which a load is seen through.
const OF_RATIOS: Belongs = Belongs {
    to: |kind| matches!(kind, Kind::Ratio),
    otherwise: |found, kind| Problem::LoadOfKind { found, kind },
};

/// The load, in ohm, as the drawing writes resistances: `8`, `15 Ω`.
pub(super) fn load_ohm(
    text: &str,
    kind: Option<Kind>,
    drawing: Drawing,
) -> Result<Option<f64>, Problem> {
    let read = |text: &str| {
        let value = parse_value(text, Some(Quantity::Resistance), drawing).ok()?;
        value.tolerance.is_none().then(|| value.amount.value())
    };
    optional_cell(text, kind, &OF_RATIOS, read, |found| Problem::Load {
        found,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_load_is_a_resistance_above_zero_at_a_ratio() {
        let load = |text, kind| load_ohm(text, Some(kind), Drawing::default());
        assert_eq!(load("8", Kind::Ratio), Ok(Some(8.0)));
        assert_eq!(load("15 ohms", Kind::Ratio), Ok(Some(15.0)));
        assert_eq!(load("", Kind::Resistor), Ok(None));
        for text in ["0", "-8", "8 V", "loud"] {
            assert!(
                matches!(load(text, Kind::Ratio), Err(Problem::Load { .. })),
                "{text}"
            );
        }
        let of_coil = load("8", Kind::Coil);
        assert!(matches!(of_coil, Err(Problem::LoadOfKind { .. })));
    }
}
