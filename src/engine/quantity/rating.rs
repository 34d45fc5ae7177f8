//! [`Rating`]: the voltage, power, current and safety class that a part is made for.
//!
//! [`SafetyClass`]: the class of a capacitor across or from the mains.

use std::fmt;

use strum::{Display, IntoStaticStr, VariantArray};
use thiserror::Error;

use super::format::with_prefix;
use super::written_number::Decimal;
use super::{Quantity, format_value};

/// Ratings of a part, as far as they are stated.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Rating {
    /// Direct voltage, in volt. A voltage without a mark is one.
    pub dc_volts: Option<f64>,
    /// Alternating voltage (root mean square), in volt.
    pub ac_volts: Option<f64>,
    /// Power, in watt.
    pub watts: Option<f64>,
    /// Current, in ampere: of a choke or a winding.
    pub amperes: Option<f64>,
    /// Safety classes, in the order stated: `X1/Y2` has two.
    pub classes: Vec<SafetyClass>,
}

/// Reason why a text is no rating.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum RatingError {
    /// A piece of the text is in none of the forms.
    #[error("found `{piece}`, expected a rating such as `450V`, `275V~`, `1/2W` or `X2`")]
    NotARating { piece: String },
    /// A number without a unit.
    #[error("found `{piece}` without a unit, expected volts or watts such as `450V` or `1/2W`")]
    NoUnit { piece: String },
    /// Zero, or a division by it.
    #[error("found `{piece}`, expected a rating above zero")]
    NotPositive { piece: String },
    /// Something stated twice.
    #[error("found `{piece}` after another rating of the same sort, expected one")]
    Twice {
        /// The second statement.
        piece: String,
    },
}

/// Meaning of a unit behind a rating.
#[derive(Clone, Copy)]
enum Load {
    DirectVolts,
    AlternatingVolts,
    Watts,
    Amperes,
}

/// Reads ratings parted by blanks, commas or semicolons: `450V`, `450 VDC`, `250V~`, `250 VAC`, `1kV`, `450 V.W.`
/// (working volts), `1/2W`, `½ W`, `500mW`, `80mA`, `X2 275V~`, `X1/Y2`. No text is no rating.
///
/// # Errors
/// [`RatingError`] names the piece that is not understood.
pub fn parse_rating(text: &str) -> Result<Rating, RatingError> {
    let text = part_slashes(text);
    let mut pieces = text
        .split([' ', '\t', '\u{a0}', ',', ';', '\n', '\r'])
        .filter(|piece| !piece.is_empty())
        .peekable();
    let mut rating = Rating::default();
    while let Some(piece) = pieces.next() {
        if let Some(classes) = parse_classes(piece) {
            rating.classes.extend(classes);
            continue;
        }
        let mut whole = piece.to_owned();
        while let Some(next) = pieces.next_if(|next| belongs_to(&whole, next)) {
            whole.push_str(next);
        }
        rating.add(&whole)?;
    }
    Ok(rating)
}

impl Rating {
    /// Whether nothing is stated.
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }

    /// Whether a voltage or a safety class is stated and no power, as on a capacitor.
    pub(super) fn is_voltage_only(&self) -> bool {
        let voltage = self.dc_volts.is_some() || self.ac_volts.is_some();
        let other = self.watts.is_some() || self.amperes.is_some();
        (voltage || !self.classes.is_empty()) && !other
    }

    /// Takes over what `other` states.
    ///
    /// # Errors
    /// If both state the same sort of load; `piece` is the text of `other`.
    pub(in crate::engine) fn merge(&mut self, other: Self, piece: &str) -> Result<(), RatingError> {
        let twice = |a: Option<f64>, b: Option<f64>| a.is_some() && b.is_some();
        if twice(self.dc_volts, other.dc_volts)
            || twice(self.ac_volts, other.ac_volts)
            || twice(self.watts, other.watts)
            || twice(self.amperes, other.amperes)
        {
            return Err(RatingError::Twice {
                piece: piece.to_owned(),
            });
        }
        self.dc_volts = self.dc_volts.or(other.dc_volts);
        self.ac_volts = self.ac_volts.or(other.ac_volts);
        self.watts = self.watts.or(other.watts);
        self.amperes = self.amperes.or(other.amperes);
        self.classes.extend(other.classes);
        Ok(())
    }

    /// Adds one load such as `450V`.
    fn add(&mut self, piece: &str) -> Result<(), RatingError> {
        let (number, unit) = piece.split_at(unit_start(piece));
        let failed = || RatingError::NotARating {
            piece: piece.to_owned(),
        };
        let number = parse_number(number).ok_or_else(failed)?;
        if unit.is_empty() {
            return Err(RatingError::NoUnit {
                piece: piece.to_owned(),
            });
        }
        let (load, power) = parse_unit(unit).ok_or_else(failed)?;
        let value =
            super::written_number::tidy(number * super::written_number::power_of_ten(power));
        if !(value.is_finite() && value > 0.0) {
            return Err(RatingError::NotPositive {
                piece: piece.to_owned(),
            });
        }
        let mut other = Self::default();
        match load {
            Load::DirectVolts => other.dc_volts = Some(value),
            Load::AlternatingVolts => other.ac_volts = Some(value),
            Load::Watts => other.watts = Some(value),
            Load::Amperes => other.amperes = Some(value),
        }
        self.merge(other, piece)
    }
}

/// A slash behind a unit parts two ratings (`250V~/X2`); one behind a figure does not (`1/2W`, `X1/Y2`).
fn part_slashes(text: &str) -> String {
    let mut before = ' ';
    let parted = text.trim().chars().map(|c| {
        let parts = c == '/' && !before.is_ascii_digit();
        before = c;
        if parts { ' ' } else { c }
    });
    parted.collect()
}

/// `X2`, or several with slashes between.
fn parse_classes(piece: &str) -> Option<Vec<SafetyClass>> {
    piece.split('/').map(SafetyClass::named).collect()
}

/// Whether `next` is the unit, or the rest of the unit, of what came before.
fn belongs_to(whole: &str, next: &str) -> bool {
    let unit = format!("{}{next}", &whole[unit_start(whole)..]);
    !next.starts_with(|c: char| c.is_ascii_digit())
        && SafetyClass::named(next).is_none()
        && parse_unit(&unit).is_some()
}

/// Where the number ends and the unit begins.
fn unit_start(piece: &str) -> usize {
    piece
        .find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | '/' | '½' | '¼' | '¾')))
        .unwrap_or(piece.len())
}

/// `450`, `0.5`, `1/2` or `½`.
fn parse_number(text: &str) -> Option<f64> {
    match text {
        "½" => return Some(0.5),
        "¼" => return Some(0.25),
        "¾" => return Some(0.75),
        _ => {}
    }
    match text.split_once('/') {
        Some((above, below)) => Some(above.parse::<f64>().ok()? / below.parse::<f64>().ok()?),
        None => text.parse().ok(),
    }
}

/// Quantity of the unit, and its power of ten.
fn parse_unit(unit: &str) -> Option<(Load, i32)> {
    let plain: String = unit
        .chars()
        .filter(|c| *c != '.')
        .collect::<String>()
        .to_ascii_lowercase();
    let (plain, power) = match plain.strip_prefix('k') {
        Some(rest) => (rest, 3),
        None => (plain.as_str(), 0),
    };
    match plain {
        // `VW` and `WV` are working volts, direct (common practice, no source).
        "v" | "volt" | "volts" | "vdc" | "v=" | "v⎓" | "vw" | "wv" | "wvdc" | "vdcw" | "dcwv"
        | "dcv" => Some((Load::DirectVolts, power)),
        "v~" | "vac" | "vacw" | "acv" | "vrms" => Some((Load::AlternatingVolts, power)),
        "w" | "watt" | "watts" => Some((Load::Watts, power)),
        "mw" => Some((Load::Watts, power - 3)),
        "a" | "amp" | "amps" | "ampere" | "amperes" if power == 0 => Some((Load::Amperes, 0)),
        // Small or capital: nobody rates a choke in megaampere.
        "ma" => Some((Load::Amperes, -3)),
        "ua" | "µa" | "μa" => Some((Load::Amperes, -6)),
        _ => None,
    }
}

impl fmt::Display for Rating {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut pieces: Vec<String> = self.classes.iter().map(ToString::to_string).collect();
        let written = |value: f64| Decimal::shortest(value).divided_by_power_of_ten(0);
        // As values are, but below a volt, where a rating has no prefix.
        let volts = |volts| match Decimal::shortest(volts) {
            written if volts < 1.0 => format!("{} V", written.divided_by_power_of_ten(0)),
            written => with_prefix(Quantity::Voltage, &written),
        };
        pieces.extend(self.dc_volts.map(volts));
        pieces.extend(self.ac_volts.map(|ac| format!("{}~", volts(ac))));
        pieces.extend(self.watts.map(|watts| format!("{} W", written(watts))));
        let current = |amperes| format_value(Quantity::Current, amperes, 6);
        pieces.extend(self.amperes.map(current));
        f.write_str(&pieces.join(", "))
    }
}

/// Classes of capacitors for suppression of mains interference, IEC 60384-14 (as quoted in makers' public sheets).
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Display, IntoStaticStr, VariantArray,
)]
pub enum SafetyClass {
    /// Between lines, high pulses.
    X1,
    /// Between lines, general.
    X2,
    /// Between lines, low pulses; withdrawn in later editions.
    X3,
    /// Line to chassis, bridges double or reinforced insulation.
    Y1,
    /// Line to chassis, bridges basic insulation.
    Y2,
    /// Line to chassis; withdrawn in later editions.
    Y3,
    /// Line to chassis below 150 V.
    Y4,
}

words!(SafetyClass: ALL, name);

impl SafetyClass {
    /// The class of that name, upper and lower case alike.
    pub fn named(text: &str) -> Option<Self> {
        Self::ALL
            .into_iter()
            .find(|class| class.name().eq_ignore_ascii_case(text))
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn check(
        text: &str,
        dc_volts: Option<f64>,
        ac_volts: Option<f64>,
        watts: Option<f64>,
        classes: &[SafetyClass],
    ) {
        let expected = Rating {
            dc_volts,
            ac_volts,
            watts,
            amperes: None,
            classes: classes.to_vec(),
        };
        assert_eq!(parse_rating(text).as_ref(), Ok(&expected), "{text}");
        assert_eq!(
            parse_rating(&expected.to_string()),
            Ok(expected),
            "{text}, written and read again"
        );
    }

    #[test]
    fn voltages_are_read_in_every_writing() {
        for text in [
            "450V",
            "450 VDC",
            "450 V.W.",
            "450 v",
            "0.45kV",
            "450 volts",
            "450 V DC",
            "450WV",
            "450 V. D.C.",
        ] {
            check(text, Some(450.0), None, None, &[]);
        }
        for text in ["250V~", "250VAC", "250 V AC", "250 V ~", "250 vac"] {
            check(text, None, Some(250.0), None, &[]);
        }
        check("1kV", Some(1000.0), None, None, &[]);
    }

    #[test]
    fn powers_are_read_in_every_writing() {
        for text in ["1/2W", "0.5 W", "500mW", "½W", "½ watt", ".5W", "1/2 W"] {
            check(text, None, None, Some(0.5), &[]);
        }
    }

    #[test]
    fn one_cell_may_hold_several() {
        check("X2 275V~", None, Some(275.0), None, &[SafetyClass::X2]);
        check("250V~/X2", None, Some(250.0), None, &[SafetyClass::X2]);
        check(
            "x1/y2, 250 VAC",
            None,
            Some(250.0),
            None,
            &[SafetyClass::X1, SafetyClass::Y2],
        );
        check("350V 1/4W", Some(350.0), None, Some(0.25), &[]);
        check(
            "630V-/250V~".replace('-', "=").as_str(),
            Some(630.0),
            Some(250.0),
            None,
            &[],
        );
        check("", None, None, None, &[]);
    }

    #[test]
    fn what_is_no_rating_is_refused() {
        assert_eq!(
            parse_rating("450"),
            Err(RatingError::NoUnit {
                piece: "450".into()
            })
        );
        assert_eq!(
            parse_rating("0V"),
            Err(RatingError::NotPositive { piece: "0V".into() })
        );
        assert_eq!(
            parse_rating("1/0W"),
            Err(RatingError::NotPositive {
                piece: "1/0W".into()
            })
        );
        assert_eq!(
            parse_rating("450V 350V"),
            Err(RatingError::Twice {
                piece: "350V".into()
            })
        );
        assert_eq!(
            parse_rating("-450V"),
            Err(RatingError::NotARating {
                piece: "-450V".into()
            })
        );
        assert_eq!(
            parse_rating("big"),
            Err(RatingError::NotARating {
                piece: "big".into()
            })
        );
    }

    proptest! {
        #[test]
        fn no_text_makes_the_parser_panic(text in "\\PC*", short in "[0-9./½VWXYkm~ =,]{0,12}") {
            let _ = parse_rating(&text);
            let _ = parse_rating(&short);
        }
    }
}
