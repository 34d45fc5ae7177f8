//! [`Marking`]: all that stands on a part in one line: value, tolerance, rating.

use thiserror::Error;

use super::value::{by_unit, unit_or_letter};
use super::{
    Amount, Drawing, MarkedValue, Quantity, Rating, RatingError, Remark, Tolerance, ToleranceError,
    ValueError, parse_rating, parse_tolerance, parse_value,
};

/// Content of a part's marking.
#[derive(Debug, Clone, PartialEq)]
pub struct Marking {
    /// The nominal value.
    pub amount: Amount,
    /// The tolerance, where one is stated.
    pub tolerance: Option<Tolerance>,
    /// The rating, as far as it is stated.
    pub rating: Rating,
    /// Decisions made while reading.
    pub remarks: Vec<Remark>,
}

/// Reason why a line is no marking.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum MarkingError {
    /// The value cannot be read.
    #[error(transparent)]
    Value(#[from] ValueError),
    /// The tolerance cannot be read.
    #[error(transparent)]
    Tolerance(#[from] ToleranceError),
    /// A voltage or a current stands where the value should.
    #[error(
        "found `{text}`, a {quantity}, expected the part's value first; if the {quantity} is the value, say so"
    )]
    RatingFirst {
        /// The first piece.
        text: String,
        quantity: Quantity,
    },
    /// The rating is stated twice.
    #[error(transparent)]
    Rating(#[from] RatingError),
    /// A piece that is neither tolerance nor rating.
    #[error(
        "found `{piece}` beside the value, expected a tolerance such as `10%` or a rating such as `450V`"
    )]
    Piece { piece: String },
    /// Two tolerances that differ.
    #[error("found two tolerances, {first} and {second}, expected one")]
    TwoTolerances { first: Tolerance, second: Tolerance },
}

/// Most blanks that one value, tolerance or rating may contain, plus one: `- 10 / + 50 %`.
const LONGEST: usize = 6;

/// Reads a line such as `4K7 10%`, `473K 400V` or `16uF 450V -10/+50%`. The value comes first.
///
/// Without a `quantity` the line is tried as a resistance and as a capacitance. If it is good for both, a voltage and no
/// power beside it make it a capacitance (reported); otherwise it is ambiguous. `220K 400V` is refused too: the voltage
/// speaks for a capacitance, which the value then leaves open. A value that names a unit of inductance is one (`10 H 20%`);
/// a voltage or a current is never taken for the value unless `quantity` says so, because on a part it is a rating.
///
/// # Errors
/// [`MarkingError`] says which piece was not understood.
pub fn parse_marking(
    text: &str,
    quantity: Option<Quantity>,
    drawing: Drawing,
) -> Result<Marking, MarkingError> {
    if let Some(quantity) = quantity {
        return parse_as(text, quantity, drawing);
    }
    if text.contains(':') {
        return parse_as(text, Quantity::Ratio, drawing);
    }
    let inductance = inductance(text, drawing);
    let first = text.split_whitespace().next().unwrap_or_default();
    // `0.5 H`: nobody writes half an ohm of 3 % so.
    if let Some(inductance) = inductance.clone().filter(|_| is_bare(first)) {
        return inductance;
    }
    let resistance = parse_as(text, Quantity::Resistance, drawing);
    let capacitance = parse_as(text, Quantity::Capacitance, drawing);
    match (resistance, capacitance) {
        (Ok(resistance), Ok(capacitance)) => choose(text, &resistance, capacitance),
        (Ok(resistance), Err(MarkingError::Value(error)))
            if error.is_ambiguity() && resistance.rating.is_voltage_only() =>
        {
            Err(error.into())
        }
        (Ok(marking), Err(_)) | (Err(_), Ok(marking)) => unless_unit(first, marking, drawing),
        (Err(resistance), Err(capacitance)) => {
            inductance.unwrap_or_else(|| Err(neither(first, drawing, resistance, capacitance)))
        }
    }
}

/// Whether no letter stands in `piece`: a number without its unit.
fn is_bare(piece: &str) -> bool {
    !piece.contains(char::is_alphabetic)
}

/// `marking`, unless the tolerance letter in its `first` piece may as well be a unit: `100µH 400V`.
fn unless_unit(first: &str, marking: Marking, drawing: Drawing) -> Result<Marking, MarkingError> {
    let alone = parse_value(first, Some(marking.amount.quantity()), drawing);
    match (alone, by_unit(first, drawing)) {
        (Ok(value), Some(other)) => Err(unit_or_letter(first, &value, &other).into()),
        _ => Ok(marking),
    }
}

/// The marking of an inductance; `None` if the value is none.
fn inductance(text: &str, drawing: Drawing) -> Option<Result<Marking, MarkingError>> {
    match parse_as(text, Quantity::Inductance, drawing) {
        Err(MarkingError::Value(_)) => None,
        marking => Some(marking),
    }
}

/// The error for a line that is neither a resistance nor a capacitance.
fn neither(
    first: &str,
    drawing: Drawing,
    resistance: MarkingError,
    capacitance: MarkingError,
) -> MarkingError {
    let rating = |value: &MarkedValue| value.amount.quantity() != Quantity::Inductance;
    if let Some(value) = by_unit(first, drawing).filter(rating) {
        return MarkingError::RatingFirst {
            text: first.to_owned(),
            quantity: value.amount.quantity(),
        };
    }
    match (resistance, capacitance) {
        (MarkingError::Value(resistance), MarkingError::Value(capacitance)) => {
            ValueError::of_both(resistance, capacitance).into()
        }
        (MarkingError::Value(_), error) | (error, _) => error,
    }
}

/// Settles which quantity is meant, or says that it cannot be told.
fn choose(
    text: &str,
    resistance: &Marking,
    mut capacitance: Marking,
) -> Result<Marking, MarkingError> {
    if capacitance.rating.is_voltage_only() {
        capacitance.remarks.push(Remark::CapacitanceByVoltage);
        return Ok(capacitance);
    }
    Err(MarkingError::Value(ValueError::AmbiguousQuantity {
        text: text.trim().to_owned(),
        resistance: resistance.amount,
        capacitance: capacitance.amount,
    }))
}

fn parse_as(text: &str, quantity: Quantity, drawing: Drawing) -> Result<Marking, MarkingError> {
    let parted = part_statements(text);
    let pieces: Vec<&str> = parted.split_whitespace().collect();
    let (value, used) = leading_value(&pieces, quantity, drawing).map_err(|error| {
        let begin = pieces.get(..2).unwrap_or_default();
        unknown_unit(begin, quantity, drawing).unwrap_or_else(|| error.into())
    })?;
    let mut marking = Marking {
        amount: value.amount,
        tolerance: value.tolerance,
        rating: Rating::default(),
        remarks: value.remarks,
    };
    let mut rest = &pieces[used..];
    while !rest.is_empty() {
        let used = marking.take(rest).map_err(|error| {
            let begin = pieces.len() - rest.len();
            unknown_unit(&pieces[..=begin], quantity, drawing).unwrap_or(error)
        })?;
        rest = &rest[used..];
    }
    Ok(marking)
}

/// The error for a bare number and a word that may be meant as its unit: `47 nX`.
fn unknown_unit(pieces: &[&str], quantity: Quantity, drawing: Drawing) -> Option<MarkingError> {
    let [number, word] = pieces else {
        return None;
    };
    let is_word = word.chars().all(char::is_alphabetic);
    let nominal = Amount::new(quantity, 1.0)?;
    let is_known = parse_tolerance(word, nominal).is_ok() || parse_rating(word).is_ok();
    if !is_bare(number) || !is_word || is_known {
        return None;
    }
    match parse_value(&pieces.join(" "), Some(quantity), drawing) {
        Err(error @ ValueError::UnknownUnit { .. }) => Some(error.into()),
        _ => None,
    }
}

/// Puts blanks where statements meet without one: at a comma before a blank, before `±`, and at a slash behind a unit
/// (`22µF/350V`).
fn part_statements(text: &str) -> String {
    let mut before = ' ';
    let slashes = text.chars().map(|c| {
        let parts = c == '/' && before.is_alphabetic();
        before = c;
        if parts { ' ' } else { c }
    });
    slashes
        .collect::<String>()
        .replace('±', " ±")
        .replace(", ", " ")
}

/// The longest start of the pieces that is a value, and how many pieces it takes.
fn leading_value(
    pieces: &[&str],
    quantity: Quantity,
    drawing: Drawing,
) -> Result<(MarkedValue, usize), ValueError> {
    let parsed = |count: usize| parse_value(&pieces[..count].join(" "), Some(quantity), drawing);
    let longest = pieces.len().min(LONGEST);
    for count in (2..=longest).rev() {
        match parsed(count) {
            Ok(value) => return Ok((value, count)),
            Err(error) if error.is_ambiguity() || error.is_number() => return Err(error),
            Err(_) => {}
        }
    }
    // With nothing longer the first piece alone decides, and its error is the one to show.
    parsed(longest.min(1)).map(|value| (value, 1))
}

impl Marking {
    /// Takes one tolerance or rating off the start of `pieces`; says how many pieces it took.
    fn take(&mut self, pieces: &[&str]) -> Result<usize, MarkingError> {
        for count in (1..=pieces.len().min(LONGEST)).rev() {
            let text = pieces[..count].join(" ");
            if let Ok(tolerance) = parse_tolerance(&text, self.amount) {
                self.set_tolerance(tolerance)?;
                return Ok(count);
            }
            if let Ok(rating) = parse_rating(&text) {
                self.rating.merge(rating, &text)?;
                return Ok(count);
            }
        }
        Err(self.why_not(pieces))
    }

    fn set_tolerance(&mut self, second: Tolerance) -> Result<(), MarkingError> {
        match self.tolerance {
            Some(first) if first != second => Err(MarkingError::TwoTolerances { first, second }),
            _ => {
                self.tolerance = Some(second);
                Ok(())
            }
        }
    }

    /// The most telling error for pieces that are neither.
    fn why_not(&self, pieces: &[&str]) -> MarkingError {
        let piece = pieces[0].trim_matches(',').to_owned();
        match (parse_tolerance(&piece, self.amount), parse_rating(&piece)) {
            (
                Err(ToleranceError::NotATolerance { .. }),
                Err(error @ (RatingError::NotPositive { .. } | RatingError::Twice { .. })),
            ) => error.into(),
            (Err(ToleranceError::NotATolerance { .. }) | Ok(_), _) => MarkingError::Piece { piece },
            (Err(error), _) => error.into(),
        }
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn marking(text: &str) -> Marking {
        parse_marking(text, None, Drawing::default())
            .unwrap_or_else(|error| panic!("{text}: {error}"))
    }

    #[test]
    fn value_tolerance_and_rating_stand_in_one_line() {
        let read = marking("16uF 450V -10/+50%");
        assert_eq!(
            read.amount,
            Amount::new(Quantity::Capacitance, 16e-6).unwrap()
        );
        assert_eq!(read.tolerance, Tolerance::percent(10.0, 50.0).ok());
        assert_eq!(read.rating.dc_volts, Some(450.0));
        let read = marking("1 Meg ± 10 % 1/2 W");
        assert_eq!(Some(read.amount), Amount::new(Quantity::Resistance, 1e6));
        assert_eq!(read.tolerance, Tolerance::symmetric(10.0).ok());
        assert_eq!(read.rating.watts, Some(0.5));
        assert_eq!(marking("22µF/350V").rating.dc_volts, Some(350.0));
        let read = marking("4K7±5%, 450V, 1/2W");
        assert_eq!(read.tolerance, Tolerance::symmetric(5.0).ok());
        assert_eq!(
            (read.rating.dc_volts, read.rating.watts),
            (Some(450.0), Some(0.5))
        );
        assert_eq!(
            marking(".047 MFD 400 V.W. GMV").tolerance,
            Some(Tolerance::GUARANTEED_MINIMUM)
        );
        assert_eq!(
            marking("250 pF - 10 / + 50 %").tolerance,
            Tolerance::percent(10.0, 50.0).ok()
        );
    }

    #[test]
    fn a_voltage_settles_the_quantity_and_is_reported() {
        let read = marking("473K 400V");
        assert_eq!(
            read.amount,
            Amount::new(Quantity::Capacitance, 47e-9).unwrap()
        );
        assert_eq!(read.tolerance, Tolerance::symmetric(10.0).ok());
        assert_eq!(
            read.remarks,
            [Remark::ThreeFigureCode, Remark::CapacitanceByVoltage]
        );
        assert!(parse_marking("220K 400V", None, Drawing::default()).is_err());
        assert_eq!(
            marking("220K 1/2W 400V").amount.value().to_bits(),
            220e3_f64.to_bits()
        );
        let without = parse_marking("473K", None, Drawing::default());
        assert!(matches!(
            without,
            Err(MarkingError::Value(ValueError::AmbiguousQuantity { .. }))
        ));
    }

    #[test]
    fn an_inductance_is_known_by_its_unit_and_a_voltage_is_a_rating() {
        let read = marking("10 H 20% 400V");
        assert_eq!(Some(read.amount), Amount::new(Quantity::Inductance, 10.0));
        assert_eq!(read.tolerance, Tolerance::symmetric(20.0).ok());
        assert_eq!(read.rating.dc_volts, Some(400.0));
        for (text, henry) in [
            ("10 H", 10.0),
            ("0.5 H", 0.5),
            ("500mH", 0.5),
            ("100 µH", 1e-4),
        ] {
            let read = marking(text);
            assert_eq!(
                (Some(read.amount), read.tolerance),
                (Amount::new(Quantity::Inductance, henry), None),
                "{text}"
            );
        }
        assert_eq!(
            Some(marking("47K H").amount),
            Amount::new(Quantity::Resistance, 47e3)
        );
        for text in ["250V", "250V 47n", "47uA", "250VAC"] {
            assert!(
                matches!(
                    parse_marking(text, None, Drawing::default()),
                    Err(MarkingError::RatingFirst { .. })
                ),
                "{text}"
            );
        }
        for text in ["-12 V", "100µH 400V", "47nH"] {
            assert!(
                parse_marking(text, None, Drawing::default()).is_err(),
                "{text}"
            );
        }
        let volts = parse_marking("-12 V 5%", Some(Quantity::Voltage), Drawing::default());
        let volts = volts.unwrap_or_else(|error| panic!("{error}"));
        assert_eq!(Some(volts.amount), Amount::new(Quantity::Voltage, -12.0));
        assert_eq!(volts.tolerance, Tolerance::symmetric(5.0).ok());
    }

    #[test]
    fn pieces_not_understood_are_named() {
        let error = |text| {
            parse_marking(text, None, Drawing::default())
                .unwrap_err()
                .to_string()
        };
        assert!(error("4K7 big").contains("`big`"), "{}", error("4K7 big"));
        assert!(error("4K7 10% 5%").contains("two tolerances"));
        assert!(error("4K7 -10%").contains("negative"));
        assert!(error("47n 400V 350V").contains("`350V`"));
        assert!(error("47n P").contains("ambiguous"));
        assert!(error("").contains("found nothing"));
        assert!(error("   ").contains("found nothing"));
    }

    proptest! {
        #[test]
        fn no_text_makes_the_parser_panic(text in "\\PC*", short in "[0-9.KMRpnuFV%±+/ -]{0,16}") {
            let _ = parse_marking(&text, None, Drawing::default());
            for quantity in Quantity::ALL.map(Some).into_iter().chain([None]) {
                let _ = parse_marking(&short, quantity, Drawing { m_is_thousand: true });
            }
        }
    }
}
