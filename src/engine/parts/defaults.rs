//! What holds where a list states nothing: the limit of a part that has only to conduct, and the tolerance of any other.

use super::{Kind, Material};
use crate::engine::quantity::{Amount, Drawing, MarkedValue, Quantity, Tolerance, parse_value};
use crate::engine::source::Problem;

/// The largest resistance, in ohm, that such a part may have where the list states none. The leads of a two-wire measurement
/// are in it.
const LIMITS: [(Kind, f64); 3] = [
    (Kind::Switch, 1.0), // common practice, no source: a clean contact and the leads stay well below
    (Kind::Fuse, 50.0), // common practice, no source: the wire of a fuse for some ten milliampere has tens of ohms
    (Kind::Lamp, 1000.0), // common practice, no source: a cold filament for the mains has some hundred ohms
];

/// The largest resistance, in ohm, of a part of this kind whose list states none; `None` for a kind that has a value.
pub fn default_limit(kind: Kind) -> Option<f64> {
    LIMITS
        .into_iter()
        .find_map(|(of, limit)| (of == kind).then_some(limit))
}

/// The limit that holds, and whether it is the default. `limit` is that of the kind.
///
/// A resistance is the limit. Nothing, and on a fuse or a lamp the rating that is printed on it (`500 mA`, `6.3V 0.3A`),
/// leave the default.
pub(super) fn limit(
    text: &str,
    kind: Kind,
    limit: f64,
    drawing: Drawing,
) -> Result<(MarkedValue, bool), Problem> {
    let rated = matches!(kind, Kind::Fuse | Kind::Lamp);
    if text.is_empty() || (rated && is_rating(text)) {
        let amount = Amount::new(Quantity::Resistance, limit).expect("the table holds numbers");
        let value = MarkedValue {
            amount,
            tolerance: None,
            remarks: Vec::new(),
        };
        return Ok((value, true));
    }
    // A fuse marked `2` is one for two ampere, not one of two ohms.
    if rated
        && text
            .bytes()
            .all(|byte| byte.is_ascii_digit() || byte == b'.')
    {
        return Err(Problem(format!(
            "found `{text}` without a unit, expected a resistance such as `50 Ω`, a rating such as `500 mA`, or nothing"
        )));
    }
    match parse_value(text, Some(Quantity::Resistance), drawing) {
        Ok(value) if value.tolerance.is_some() => Err(tolerance_of_limit(text, kind)),
        Ok(value) => Ok((value, false)),
        Err(error) => Err(Problem::said(error)),
    }
}

/// A tolerance of a part that has only to conduct.
pub(super) fn tolerance_of_limit(found: &str, kind: Kind) -> Problem {
    Problem::of_kind(
        found,
        kind,
        "no tolerance: its value is the largest resistance it may have",
    )
}

/// Whether a number of volts, amperes or watts stands in the text: `T1.6A 250V`, `1/4 A`, `500 mA`.
fn is_rating(text: &str) -> bool {
    let packed: Vec<char> = text.chars().filter(|c| !c.is_whitespace()).collect();
    let ends_word = |at: usize| packed.get(at).is_none_or(|c| !c.is_alphabetic());
    let is_figure = |c: &char| c.is_ascii_digit() || matches!(c, '.' | '½' | '¼' | '¾');
    packed.iter().enumerate().any(|(at, unit)| {
        let before = &packed[..at];
        let prefixed = before
            .split_last()
            .filter(|(prefix, _)| "kmMuµμ".contains(**prefix));
        let number = prefixed.map_or(before, |(_, number)| number);
        matches!(unit, 'A' | 'a' | 'V' | 'v' | 'W' | 'w')
            && number.last().is_some_and(is_figure)
            && ends_word(at + 1)
    })
}

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
    (Kind::Point, None, 10.0, 10.0),                     // common practice, no source
    (Kind::Ratio, None, 5.0, 5.0),                       // common practice, no source
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
    fn every_kind_that_has_only_to_conduct_has_a_limit_and_no_other() {
        for kind in Kind::ALL {
            assert_eq!(default_limit(kind).is_some(), kind.conducts(), "{kind}");
        }
    }

    #[test]
    fn ratings_are_told_from_resistances() {
        for text in [
            "500 mA",
            "500mA",
            "T1.6A 250V",
            "1/4 A",
            "¼A",
            "6.3V 0.3A",
            "6.5 v, 300 ma",
            "8 V 1.6 W",
        ] {
            assert!(is_rating(text), "{text}");
        }
        for text in ["50 mΩ", "4K7", "1R5", "4Q7", "A", "2 amb", "", "100"] {
            assert!(!is_rating(text), "{text}");
        }
    }

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
