//! [`Reply`]: an answer line, understood.

use super::profile::NoImpedance;
use super::{Derivation, Field, Fields, Number, NumberError, Sentinels, Shown, Unit};
use crate::engine::quantity::Quantity;

/// Reason why a line is no reply of the form that the profile describes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum ReplyError {
    /// The line has another number of fields.
    #[error(
        "found {found} fields where the profile lists {expected}: check `fields` of the profile"
    )]
    FieldCount {
        /// Fields found.
        found: usize,
        /// Fields that the profile lists.
        expected: usize,
    },
    /// A field is not what the profile says of it.
    #[error("field {field}: {why}")]
    Field {
        /// Number of the field, counted from one.
        field: usize,
        /// Fault of it.
        why: FieldError,
    },
    /// The reply names no unit and the profile has several functions, so that nothing tells what it is a reading of.
    #[error(
        "the line names no unit, and the profile has more than one function: nothing tells what was measured"
    )]
    WhichQuantity,
    /// More than ten times the largest range of the profile: no meter shows that.
    #[error("the number is more than ten times the largest range of the profile")]
    BeyondRanges,
    /// The line came together with the answer before it, so that it cannot answer a later question.
    #[error("the line answers no question: the meter sent more than it was asked for")]
    Unasked,
}

/// Fault of a field.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum FieldError {
    /// It is not a number.
    #[error(transparent)]
    Number(#[from] NumberError),
    /// Something that is no unit follows the number.
    #[error("what follows the number is no unit")]
    Unit,
    /// The unit behind a number is not that of the field in the profile.
    #[error(
        "the unit is not that of {}: check `fields` of the profile, and what the meter is set to send",
        .0.words()
    )]
    ForeignUnit(Field),
    /// The magnitude of an impedance is below zero.
    #[error("the magnitude of an impedance is below zero: check `fields` of the profile")]
    Magnitude,
    /// The angle of an impedance is more than half a turn.
    #[error(
        "the angle is more than half a turn: check whether the meter sends degrees (`angle_deg`) or radian (`angle_rad`)"
    )]
    Angle,
}

impl FieldError {
    /// As that of the field at `index`, counted from zero.
    const fn at(self, index: usize) -> ReplyError {
        ReplyError::Field {
            field: index + 1,
            why: self,
        }
    }
}

/// Content of a line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reply {
    /// The value, in the SI base unit.
    pub shown: Shown,
    /// The unit behind the value; where the value was derived from an impedance in ohm, that of the value.
    pub unit: Unit,
    /// The second value, in the SI base unit; `None` where there is none or the meter has no number for it.
    pub second: Option<f64>,
}

impl Reply {
    /// Understands one line. A value that the reply does not hold is derived, see [`Fields::derivation`]. Fields are separated by commas (or semicolons); one separator at the end is tolerated. Allocates nothing.
    ///
    /// # Errors
    /// If the number of fields, a number or a unit is not as described.
    pub fn parse(line: &[u8], fields: &Fields, sentinels: &Sentinels) -> Result<Self, ReplyError> {
        let line = line.trim_ascii();
        let line = line
            .strip_suffix(b";")
            .or_else(|| line.strip_suffix(b","))
            .unwrap_or(line);
        let separator = |b: &u8| matches!(b, b',' | b';');
        let found = 1 + line.iter().filter(|b| separator(b)).count();
        if found != fields.count {
            return Err(ReplyError::FieldCount {
                found,
                expected: fields.count,
            });
        }
        let mut reply = Self {
            shown: Shown::NotANumber,
            unit: Unit::Unsaid,
            second: None,
        };
        let mut second = Shown::NotANumber;
        let mut status = None;
        for (index, text) in line.split(separator).enumerate() {
            let at = |error: FieldError| error.at(index);
            if index == fields.value {
                (reply.shown, reply.unit) = field(text, sentinels).map_err(at)?;
            } else if fields.second() == Some(index) {
                second = second_field(text, fields, sentinels).map_err(at)?;
            } else if fields.status == Some(index) {
                status = sentinels.status(plain(text).map_err(at)?);
            }
        }
        match fields.derivation.as_ref() {
            None => reply.second = number(second),
            Some(derivation) => {
                let open = reply.shown == Shown::Overload || second == Shown::Overload;
                reply.derive(second, fields, derivation)?;
                // Open leads are beyond the meter's range as it sees them: what was derived says so already.
                status = status.filter(|status| !(open && *status == Shown::Overload));
            }
        }
        reply.shown = status.unwrap_or(reply.shown);
        Ok(reply)
    }

    /// Puts what an impedance means in place of what is written.
    fn derive(
        &mut self,
        second: Shown,
        fields: &Fields,
        derivation: &Derivation,
    ) -> Result<(), ReplyError> {
        self.unit = derived_unit(self.unit, derivation.quantity());
        if matches!(self.unit, Unit::Unsaid | Unit::Of { .. }) {
            (self.shown, self.second) =
                derivation
                    .of(self.shown, second)
                    .map_err(|wrong| match wrong {
                        NoImpedance::Magnitude => FieldError::Magnitude.at(fields.value),
                        // Only the second field holds an angle.
                        NoImpedance::Angle => FieldError::Angle.at(fields.second().unwrap_or(1)),
                    })?;
        }
        Ok(())
    }
}

/// The unit of a value of `quantity` that was derived from a number with `unit`: ohm becomes its own, its own is none of
/// an impedance.
fn derived_unit(unit: Unit, quantity: Quantity) -> Unit {
    match unit {
        Unit::Of {
            quantity: Quantity::Resistance,
            ..
        } => Unit::Of {
            quantity,
            exponent: 0,
        },
        Unit::Of { quantity: own, .. } if own == quantity => Unit::Foreign,
        other => other,
    }
}

/// The field of the second value, whose unit must fit.
fn second_field(text: &[u8], fields: &Fields, sentinels: &Sentinels) -> Result<Shown, FieldError> {
    let (shown, unit) = field(text, sentinels)?;
    match fields.second_written() {
        Some(expected) if !expected.admits(unit) => Err(FieldError::ForeignUnit(expected)),
        _ => Ok(shown),
    }
}

/// A field that holds a value: a word or a number, and perhaps a unit.
fn field(text: &[u8], sentinels: &Sentinels) -> Result<(Shown, Unit), FieldError> {
    let unit = |rest| Unit::parse(rest).ok_or(FieldError::Unit);
    if let Some((shown, rest)) = sentinels.word(text) {
        return Ok((shown, unit(rest)?));
    }
    let (number, rest) = Number::scan(text)?;
    let unit = unit(rest)?;
    let shown = match (sentinels.classify(number.value(0)?), unit) {
        (Shown::Value(_), Unit::Of { exponent, .. }) if exponent != 0 => {
            Shown::Value(number.value(exponent)?)
        }
        (shown, _) => shown,
    };
    Ok((shown, unit))
}

/// A field that holds a bare number.
fn plain(text: &[u8]) -> Result<f64, FieldError> {
    let (number, rest) = Number::scan(text)?;
    if rest.trim_ascii().is_empty() {
        Ok(number.value(0)?)
    } else {
        Err(FieldError::Unit)
    }
}

fn number(shown: Shown) -> Option<f64> {
    match shown {
        Shown::Value(value) => Some(value),
        Shown::Overload | Shown::NotANumber => None,
    }
}

#[cfg(test)]
mod tests {
    use super::{FieldError, Reply, ReplyError, Unit};
    use crate::engine::meter::{EquivalentCircuit, Field, Fields, Sentinels, Shown};
    use crate::engine::quantity::Quantity::{Capacitance, Resistance};
    use proptest::prelude::*;

    fn lcr() -> Fields {
        Fields::new(
            &[Field::Capacitance, Field::Loss, Field::Status],
            Capacitance,
        )
        .unwrap()
    }

    /// A capacitance at 1 kHz from these two fields of an impedance.
    fn from(first: Field, second: Field) -> Fields {
        let list = [first, second, Field::Status];
        Fields::derived(&list, Capacitance, EquivalentCircuit::Series, Some(1e3)).unwrap()
    }

    fn parse(line: &str, fields: &Fields) -> Result<Reply, ReplyError> {
        let sentinels = Sentinels {
            overload_words: vec!["OL".to_owned()],
            status_overload: vec![1.0],
            ..Sentinels::default()
        };
        Reply::parse(line.as_bytes(), fields, &sentinels)
    }

    #[test]
    fn value_second_value_and_status_are_taken_from_their_fields() {
        let reply = parse("+4.71230E-08,+1.2E-02,+0", &lcr()).unwrap();
        assert_eq!(
            (reply.shown, reply.second),
            (Shown::Value(4.7123e-8), Some(0.012))
        );
        assert_eq!(
            parse("+4.7E-08,+9.91E+37,+0;", &lcr()).unwrap().second,
            None
        );
        assert_eq!(
            parse("+4.7E-08,+1E-2,-1", &lcr()).unwrap().shown,
            Shown::NotANumber
        );
    }

    #[test]
    fn a_unit_suffix_with_prefix_scales_the_value() {
        let fields = Fields::one();
        let reply = parse("4.7123 kOhm", &fields).unwrap();
        assert_eq!(
            (reply.shown, reply.unit),
            (
                Shown::Value(4712.3),
                Unit::Of {
                    quantity: Resistance,
                    exponent: 3
                }
            )
        );
        assert_eq!(
            parse("47.1nF", &fields).unwrap().shown,
            Shown::Value(47.1e-9)
        );
        let reply = parse("OL MOHM", &fields).unwrap();
        assert_eq!(
            (reply.shown, reply.unit),
            (
                Shown::Overload,
                Unit::Of {
                    quantity: Resistance,
                    exponent: 6
                }
            )
        );
    }

    #[test]
    fn what_does_not_fit_is_a_typed_error() {
        assert_eq!(
            parse("1,2", &lcr()),
            Err(ReplyError::FieldCount {
                found: 2,
                expected: 3
            })
        );
        assert_eq!(parse("1,2,3x", &lcr()), Err(FieldError::Unit.at(2)));
        assert!(matches!(
            parse("hello", &Fields::one()),
            Err(ReplyError::Field {
                field: 1,
                why: FieldError::Number(_)
            })
        ));
        assert_eq!(parse("4.7+03", &Fields::one()), Err(FieldError::Unit.at(0)));
    }

    #[test]
    fn a_field_that_is_missing_is_named() {
        let missing = parse("+4.7E-08,+0", &lcr()).unwrap_err().to_string();
        assert!(missing.starts_with("found 2 fields where the profile lists 3"));
        let empty = parse("+4.7E-08,,+0", &lcr()).unwrap_err().to_string();
        assert_eq!(empty, "field 2: no number found where digits were expected");
    }

    #[test]
    fn a_unit_that_is_not_that_of_the_second_value_is_named() {
        for (line, expected) in [
            ("47nF,0.012 V,0", Field::Loss),
            ("47nF,1.2 %,0", Field::Loss),
        ] {
            let field = 2;
            let error = FieldError::ForeignUnit(expected).at(field - 1);
            assert_eq!(parse(line, &lcr()), Err(error), "{line}");
        }
        let list = [Field::Capacitance, Field::Esr, Field::Status];
        let esr = Fields::new(&list, Capacitance).unwrap();
        assert_eq!(parse("47nF,1.5 kOhm,0", &esr).unwrap().second, Some(1500.0));
        let error = parse("47nF,1.5 mV,0", &esr).unwrap_err().to_string();
        assert!(
            error.starts_with("field 2: the unit is not that of equivalent series resistance"),
            "{error}"
        );
    }

    /// 47 nF with D 0.008 at 1 kHz is 3386.38374401 Ω at -89.54164354° (mpmath 1.3, from Z = ESR + 1/(jωCs)).
    #[test]
    fn a_capacitance_is_derived_from_magnitude_and_angle() {
        let degrees = from(Field::Impedance, Field::AngleDeg);
        let radians = from(Field::Impedance, Field::AngleRad);
        for (line, fields) in [
            ("3386.38374401,-89.54164354,0", &degrees),
            ("3.38638374401 kOhm,-89.54164354 DEG,0", &degrees),
            ("3386.38374401 OHM,-1.56279650 RAD,0", &radians),
        ] {
            let reply = parse(line, fields).unwrap();
            let Shown::Value(farad) = reply.shown else {
                panic!("{reply:?}")
            };
            assert!((farad / 47e-9 - 1.0).abs() < 1e-9, "{line}: {farad}");
            assert!((reply.second.unwrap() - 0.008).abs() < 1e-8, "{line}");
            let of_capacitance = Unit::Of {
                quantity: Capacitance,
                exponent: 0,
            };
            assert!([Unit::Unsaid, of_capacitance].contains(&reply.unit));
        }
    }

    #[test]
    fn open_leads_read_as_no_capacitance_whatever_the_status_says() {
        let fields = from(Field::Impedance, Field::AngleDeg);
        for line in ["9.9E37,9.91E37,0", "9.9E37,9.91E37,1", "OL,0,1"] {
            assert_eq!(
                parse(line, &fields).unwrap().shown,
                Shown::Value(0.0),
                "{line}"
            );
        }
        let beyond = parse("100,-89,1", &fields).unwrap().shown;
        assert_eq!(beyond, Shown::Overload);
        let no_reading = parse("9.9E37,0,-1", &fields).unwrap().shown;
        assert_eq!(no_reading, Shown::NotANumber);
    }

    #[test]
    fn what_is_no_impedance_is_named() {
        let polar = from(Field::Impedance, Field::AngleDeg);
        let parts = from(Field::Resistance, Field::Reactance);
        assert_eq!(parse("-5,-89,0", &polar), Err(FieldError::Magnitude.at(0)));
        let error = parse("5,-189,0", &polar).unwrap_err();
        assert_eq!(error, FieldError::Angle.at(1));
        assert!(
            error
                .to_string()
                .contains("degrees (`angle_deg`) or radian")
        );
        assert!(matches!(
            parse("5,-1.5 RAD,0", &polar),
            Err(ReplyError::Field {
                field: 2,
                why: FieldError::ForeignUnit(_)
            })
        ));
        // A capacitance where an impedance is expected is nothing that was asked for.
        assert_eq!(parse("47nF,-300,0", &parts).unwrap().unit, Unit::Foreign);
        let volts = parse("230 V,-300,0", &parts).unwrap().unit;
        assert!(matches!(volts, Unit::Of { quantity, .. } if quantity != Capacitance));
    }

    proptest! {
        #[test]
        fn any_bytes_are_a_reply_or_an_error(bytes in prop::collection::vec(any::<u8>(), 0..60)) {
            let _ = Reply::parse(&bytes, &lcr(), &Sentinels::default());
            let _ = Reply::parse(&bytes, &Fields::one(), &Sentinels::default());
        }

        #[test]
        fn near_misses_are_a_reply_or_an_error(line in "[-+0-9.eE ,;kMnFOHLohm]{0,40}") {
            let _ = parse(&line, &lcr());
            let _ = parse(&line, &Fields::one());
            let _ = parse(&line, &from(Field::Impedance, Field::AngleDeg));
            let _ = parse(&line, &from(Field::Resistance, Field::Reactance));
        }
    }
}
