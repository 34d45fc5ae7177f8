//! [`Reply`]: an answer line, understood.

use super::{Fields, Number, NumberError, Sentinels, Shown, Unit};

/// Why a line is no reply of the form that the profile describes.
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
    /// A field is not a number.
    #[error("field {field}: {why}")]
    Number {
        /// Which field, counted from one.
        field: usize,
        /// What is wrong with it.
        why: NumberError,
    },
    /// Something that is no unit follows the number.
    #[error("field {field}: what follows the number is no unit")]
    Unit {
        /// Which field, counted from one.
        field: usize,
    },
    /// The reply names no unit and the profile has several functions, so that nothing tells what it is a reading of.
    #[error(
        "the line names no unit, and the profile has more than one function: nothing tells what was measured"
    )]
    WhichQuantity,
    /// The line came together with the answer before it, so that it cannot answer a later question.
    #[error("the line answers no question: the meter sent more than it was asked for")]
    Unasked,
}

/// What a line says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reply {
    /// The value, in the SI base unit.
    pub shown: Shown,
    /// The unit behind the value.
    pub unit: Unit,
    /// The second value, in the SI base unit; `None` where there is none or the meter has no number for it.
    pub second: Option<f64>,
}

impl Reply {
    /// Understands one line. Fields are separated by commas (or semicolons); one separator at the end is tolerated. Allocates nothing.
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
        if found != fields.count() {
            return Err(ReplyError::FieldCount {
                found,
                expected: fields.count(),
            });
        }
        let mut reply = Self {
            shown: Shown::NotANumber,
            unit: Unit::Unsaid,
            second: None,
        };
        let mut status = None;
        for (index, text) in line.split(separator).enumerate() {
            if index == fields.value() {
                (reply.shown, reply.unit) = field(text, index, sentinels)?;
            } else if fields.second() == Some(index) {
                reply.second = number(field(text, index, sentinels)?.0);
            } else if fields.status() == Some(index) {
                status = sentinels.status(plain(text, index)?);
            }
        }
        reply.shown = status.unwrap_or(reply.shown);
        Ok(reply)
    }
}

/// A field that holds a value: a word or a number, and perhaps a unit.
fn field(text: &[u8], index: usize, sentinels: &Sentinels) -> Result<(Shown, Unit), ReplyError> {
    let unit = |rest| Unit::parse(rest).ok_or(ReplyError::Unit { field: index + 1 });
    if let Some((shown, rest)) = sentinels.word(text) {
        return Ok((shown, unit(rest)?));
    }
    let not_a_number = |why| ReplyError::Number {
        field: index + 1,
        why,
    };
    let (number, rest) = Number::scan(text).map_err(not_a_number)?;
    let unit = unit(rest)?;
    let shown = match (
        sentinels.classify(number.value(0).map_err(not_a_number)?),
        unit,
    ) {
        (Shown::Value(_), Unit::Of { exponent, .. }) if exponent != 0 => {
            Shown::Value(number.value(exponent).map_err(not_a_number)?)
        }
        (shown, _) => shown,
    };
    Ok((shown, unit))
}

/// A field that holds a bare number.
fn plain(text: &[u8], index: usize) -> Result<f64, ReplyError> {
    let not_a_number = |why| ReplyError::Number {
        field: index + 1,
        why,
    };
    let (number, rest) = Number::scan(text).map_err(not_a_number)?;
    if rest.trim_ascii().is_empty() {
        number.value(0).map_err(not_a_number)
    } else {
        Err(ReplyError::Unit { field: index + 1 })
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
    use super::{Reply, ReplyError, Unit};
    use crate::meter::{Field, Fields, Sentinels, Shown};
    use crate::quantity::Quantity::{Capacitance, Resistance};
    use proptest::prelude::*;

    fn lcr() -> Fields {
        Fields::new(
            &[Field::Capacitance, Field::Loss, Field::Status],
            Capacitance,
        )
        .unwrap()
    }

    fn parse(line: &str, fields: &Fields) -> Result<Reply, ReplyError> {
        let sentinels = Sentinels {
            overload_words: vec!["OL".to_owned()],
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
        assert_eq!(parse("1,2,3x", &lcr()), Err(ReplyError::Unit { field: 3 }));
        assert!(matches!(
            parse("hello", &Fields::one()),
            Err(ReplyError::Number { field: 1, .. })
        ));
        assert_eq!(
            parse("4.7+03", &Fields::one()),
            Err(ReplyError::Unit { field: 1 })
        );
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
        }
    }
}
