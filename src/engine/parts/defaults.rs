//! The tolerance that holds where a list states none.

use super::{Kind, Material};
use crate::engine::quantity::Tolerance;

/// One line: kind, material (`None`: not stated), per cent downward, per cent upward.
type Line = (Kind, Option<Material>, f64, f64);

/// Every pair that a list can state, of the kinds that have a tolerance. Source of a line: see the comment behind it.
const TABLE: [Line; 19] = [
    (Kind::Resistor, None, 20.0, 20.0), // common practice, no source: 20 % unless marked
    (Kind::Resistor, Some(Material::Carbon), 20.0, 20.0), // common practice, no source: 20 % unless marked
    (Kind::Resistor, Some(Material::Film), 5.0, 5.0),     // common practice, no source
    (Kind::Resistor, Some(Material::Wirewound), 10.0, 10.0), // common practice, no source
    (Kind::Capacitor, None, 20.0, 20.0),                  // common practice, no source
    (Kind::Capacitor, Some(Material::Paper), 20.0, 20.0), // common practice, no source
    (Kind::Capacitor, Some(Material::Oil), 20.0, 20.0),   // common practice, no source
    (Kind::Capacitor, Some(Material::Electrolytic), 20.0, 80.0), // common practice, no source: one of several usual pairs
    (Kind::Capacitor, Some(Material::Mica), 20.0, 20.0), // 20 % is understood where a mica part marks none, as quoted in a public text on moulded mica codes
    (Kind::Capacitor, Some(Material::Ceramic), 20.0, 20.0), // common practice, no source
    (Kind::Capacitor, Some(Material::Film), 10.0, 10.0), // common practice, no source
    (Kind::Winding, None, 20.0, 20.0),                   // common practice, no source
    (Kind::Potentiometer, None, 20.0, 20.0),             // common practice, no source
    (Kind::Potentiometer, Some(Material::Carbon), 20.0, 20.0), // common practice, no source
    (Kind::Potentiometer, Some(Material::Film), 20.0, 20.0), // common practice, no source
    (Kind::Potentiometer, Some(Material::Wirewound), 10.0, 10.0), // common practice, no source
    (Kind::Coil, None, 20.0, 20.0),                      // common practice, no source
    (Kind::Point, None, 15.0, 15.0), // common practice, no source: service sheets hold to within 15 to 20 %
    (Kind::Ratio, None, 5.0, 5.0),   // common practice, no source
];

/// The tolerance taken for a part of this kind and material when the list states none; for a material that does not suit
/// the kind, that of the kind alone. For a part that has only to conduct it is [`Tolerance::MAXIMUM`].
pub fn default_tolerance(kind: Kind, material: Option<Material>) -> Tolerance {
    if kind.conducts() {
        return Tolerance::MAXIMUM;
    }
    let line = |material| {
        TABLE
            .iter()
            .find(|line| line.0 == kind && line.1 == material)
    };
    let line = line(material).or_else(|| line(None)).unwrap_or(&TABLE[0]);
    Tolerance::percent(line.2, line.3)
        .expect("the table holds no negative tolerance and none of zero")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_kind_has_a_line_for_every_material_that_suits_it_and_for_none() {
        for kind in Kind::ALL {
            let lines = |material| {
                TABLE
                    .iter()
                    .filter(|line| line.0 == kind && line.1 == material)
                    .count()
            };
            assert_eq!(lines(None), usize::from(!kind.conducts()), "{kind}");
            for material in Material::ALL {
                assert_eq!(
                    lines(Some(material)),
                    usize::from(material.suits(kind)),
                    "{kind}, {material}"
                );
            }
        }
    }

    #[test]
    fn every_line_is_a_tolerance() {
        for line in TABLE {
            assert_eq!(
                Ok(default_tolerance(line.0, line.1)),
                Tolerance::percent(line.2, line.3)
            );
        }
    }
}
