//! [`parse_value`]: a value as the trade writes it.

use super::value_reader::ValueReader;
use super::value_reader::parse_ratio;
use super::written_number::WrittenNumber;
use super::{Amount, Drawing, Quantity, Remark, Tolerance, ValueError};

/// A value that was understood.
#[derive(Debug, Clone, PartialEq)]
pub struct MarkedValue {
    /// The value itself.
    pub amount: Amount,
    /// The tolerance, where a letter behind the value gave one: `473K`, `4K7J`.
    pub tolerance: Option<Tolerance>,
    /// Decisions made while reading.
    pub remarks: Vec<Remark>,
}

/// Reads a value as the trade writes it.
///
/// Accepted are: numbers with a word (`4.7k`, `1 Meg`, `.047 MFD`, `470 MMF`, `250 pF`, `820 ohms`), the letter code of
/// IEC 60062 (`4K7`, `6R8`, `p33`, `2µ2`) with or without a tolerance letter, and for capacitors the code of three
/// figures in picofarad (`473`, `104`, `229`) with or without a tolerance letter. Halves and quarters may be written as
/// fractions (`½ Meg`, `1/4 Meg`).
///
/// A bare number is in ohm for a resistance. For a capacitance it is in microfarad if it is below one (reported), the
/// three-figure code if it is that (reported), and otherwise ambiguous: `250` is refused, `250 pF` is not. So is a third
/// figure of nought (`220` is 22 pF by the code, 220 pF in plain writing).
/// `mF` and `MF` are microfarad, as old lists mean them (reported).
/// A decimal comma is refused, because old lists separate thousands by it.
///
/// An inductance and a current must name their unit (`10 H`, `500mH`, `47uA`, `0.3 mA`); a voltage without one is in volt. Voltages
/// and currents may have a sign: `-12 V`. An alternating voltage has none; it is written `6.3 V AC` or `6.3 V~`. A ratio of turns is
/// `38:1` or a plain number. A capital `M` before henry, volt or ampere is a thousandth (reported).
///
/// Without a `quantity` the text is tried as a resistance and a capacitance; if it is good for both it is ambiguous. It is an
/// inductance, a voltage or a current if it names that unit: `250 V`, `6.3 V AC`. What could be either a unit of these or a tolerance
/// letter (`100µH`: 100 µF with the letter H) is ambiguous.
///
/// # Errors
/// [`ValueError`] says what was found and what was expected.
pub fn parse_value(
    text: &str,
    quantity: Option<Quantity>,
    drawing: Drawing,
) -> Result<MarkedValue, ValueError> {
    if let Some(quantity) = quantity {
        return parse_as(text, quantity, drawing);
    }
    if text.contains(':') {
        return parse_ratio(text);
    }
    let resistance = parse_as(text, Quantity::Resistance, drawing);
    let capacitance = parse_as(text, Quantity::Capacitance, drawing);
    match (resistance, capacitance) {
        (Ok(resistance), Ok(capacitance)) => Err(ValueError::AmbiguousQuantity {
            text: text.trim().to_owned(),
            resistance: resistance.amount,
            capacitance: capacitance.amount,
        }),
        (Ok(value), Err(_)) | (Err(_), Ok(value)) => match by_unit(text, drawing) {
            Some(other) => Err(unit_or_letter(text, &value, &other)),
            None => Ok(value),
        },
        (Err(resistance), Err(capacitance)) => {
            by_unit(text, drawing).ok_or_else(|| ValueError::of_both(resistance, capacitance))
        }
    }
}

/// The text as a quantity that is known by its unit alone.
pub(super) fn by_unit(text: &str, drawing: Drawing) -> Option<MarkedValue> {
    let written = WrittenNumber::split(sign(text.trim()).1).ok()?;
    if written.word.is_empty() {
        return None;
    }
    let known_by_unit = [
        Quantity::Inductance,
        Quantity::Voltage,
        Quantity::Current,
        // Behind the direct one: a `V` without more is that.
        Quantity::AcVoltage,
    ];
    known_by_unit
        .into_iter()
        .find_map(|quantity| parse_as(text, quantity, drawing).ok())
}

/// The error for a text whose last letter is a unit or the tolerance of `value`.
pub(super) fn unit_or_letter(text: &str, value: &MarkedValue, other: &MarkedValue) -> ValueError {
    ValueError::Ambiguous {
        text: text.trim().to_owned(),
        meanings: format!(
            "{} with a tolerance letter or {}; put a blank before the unit, or say which quantity is meant",
            value.amount, other.amount
        ),
    }
}

/// The sign of a text that may have one, and what follows it.
fn sign(text: &str) -> (f64, &str) {
    match text.strip_prefix(['-', '−', '–']) {
        Some(rest) => (-1.0, rest.trim_start()),
        None => (1.0, text.strip_prefix('+').unwrap_or(text).trim_start()),
    }
}

fn parse_as(text: &str, quantity: Quantity, drawing: Drawing) -> Result<MarkedValue, ValueError> {
    if quantity == Quantity::Ratio {
        return parse_ratio(text);
    }
    let reader = ValueReader {
        text: text.trim(),
        quantity,
        drawing,
    };
    if !quantity.is_signed() {
        return parse_size(reader, reader.text);
    }
    let (sign, size) = sign(reader.text);
    let mut value = parse_size(reader, size)?;
    if let Some(amount) = Amount::new(quantity, sign * value.amount.value()) {
        value.amount = amount;
    }
    Ok(value)
}

/// Reads `text`, which has no sign any more.
fn parse_size(reader: ValueReader<'_>, text: &str) -> Result<MarkedValue, ValueError> {
    let written = WrittenNumber::split(text)?;
    if written.is_within() {
        return reader.letter_code(&written);
    }
    if reader.quantity == Quantity::Capacitance
        && written.is_three_figures()
        && let Some(value) = reader.three_figure_code(&written)?
    {
        return Ok(value);
    }
    if written.word.is_empty() {
        reader.bare(&written)
    } else {
        reader.number_and_word(&written)
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    const MODERN: Drawing = Drawing {
        m_is_thousand: false,
    };
    const M_IS_THOUSAND: Drawing = Drawing {
        m_is_thousand: true,
    };

    fn check(text: &str, quantity: Quantity, value: f64, remarks: &[Remark]) {
        let read = parse_value(text, Some(quantity), MODERN)
            .unwrap_or_else(|error| panic!("{text}: {error}"));
        assert_eq!(read.amount, Amount::new(quantity, value).unwrap(), "{text}");
        assert_eq!(read.remarks, remarks, "{text}");
    }

    #[test]
    fn resistances_are_read_in_every_writing() {
        for text in [
            "4K7",
            "4k7",
            "4.7k",
            "4.7 K",
            "4.7kΩ",
            "4.7 k\u{2126}",
            "4700",
            "4700 ohms",
            "4.7 K ohms",
            "4.7 kilohms",
            "4.7e3",
            "4K70",
            "0.0047M",
        ] {
            check(text, Quantity::Resistance, 4700.0, &[]);
        }
        for text in [
            "1 Meg", "1M", "1M0", "1 MΩ", "1 megohm", "1 MEG.", "1000K", "1 Megs",
        ] {
            check(text, Quantity::Resistance, 1e6, &[]);
        }
        check("½ Meg", Quantity::Resistance, 500e3, &[]);
        check("1/4 meg", Quantity::Resistance, 250e3, &[]);
        check("6R8", Quantity::Resistance, 6.8, &[]);
        check("820", Quantity::Resistance, 820.0, &[]);
        check("R47", Quantity::Resistance, 0.47, &[]);
        check(
            "12 mΩ",
            Quantity::Resistance,
            0.012,
            &[Remark::SmallMIsMilli],
        );
    }

    #[test]
    fn capacitances_are_read_in_every_writing() {
        for text in [
            "47n",
            "47nF",
            ".047 MFD",
            "0.047uF",
            ".047 µF",
            ".047 \u{3bc}F",
            "47 NF",
            "47000 pF",
            "47000 MMF",
            "47000 µµF",
            "47000 uuF",
            "0.047 mfd.",
            ".047 M.F.D.",
        ] {
            check(text, Quantity::Capacitance, 47e-9, &[]);
        }
        check("470 MMF", Quantity::Capacitance, 470e-12, &[]);
        check("470 MMFD", Quantity::Capacitance, 470e-12, &[]);
        check("250 pF", Quantity::Capacitance, 250e-12, &[]);
        check("16uF", Quantity::Capacitance, 16e-6, &[]);
        check("2µ2", Quantity::Capacitance, 2.2e-6, &[]);
        check("p33", Quantity::Capacitance, 0.33e-12, &[]);
        check(
            "16 mF",
            Quantity::Capacitance,
            16e-6,
            &[Remark::MfIsMicrofarad],
        );
        check(
            "16MF",
            Quantity::Capacitance,
            16e-6,
            &[Remark::MfIsMicrofarad],
        );
        check("1m0", Quantity::Capacitance, 1e-3, &[Remark::SmallMIsMilli]);
        check(
            ".05",
            Quantity::Capacitance,
            0.05e-6,
            &[Remark::BareMicrofarad],
        );
    }

    #[test]
    fn old_notation_is_a_setting_and_is_reported() {
        let old = |text| {
            parse_value(text, Some(Quantity::Resistance), M_IS_THOUSAND)
                .map(|read| (read.amount.value(), read.remarks))
        };
        assert_eq!(old("10M"), Ok((10e3, vec![Remark::MIsThousand])));
        assert_eq!(old("22 m"), Ok((22e3, vec![Remark::MIsThousand])));
        assert_eq!(old("1 Meg"), Ok((1e6, vec![])));
        assert_eq!(old("1Ω"), Ok((1.0, vec![Remark::OmegaMayBeMillion])));
        assert!(matches!(
            parse_value("22 m", Some(Quantity::Resistance), MODERN),
            Err(ValueError::Ambiguous { .. })
        ));
    }

    #[test]
    fn what_has_two_meanings_is_refused() {
        for text in [
            "250", "220", "016", "8", "50", "1000", "470N", "470P", "8M", "8 m", "473P", "100K",
        ] {
            let read = parse_value(text, Some(Quantity::Capacitance), MODERN);
            assert!(
                matches!(
                    read,
                    Err(ValueError::Ambiguous { .. } | ValueError::Tolerance { .. })
                ),
                "{text}: {read:?}"
            );
        }
        for text in ["473", "473K", ".05", "8MF"] {
            assert!(
                matches!(
                    parse_value(text, None, MODERN),
                    Err(ValueError::AmbiguousQuantity { .. })
                ),
                "{text}"
            );
        }
    }

    #[test]
    fn the_writing_tells_the_quantity_where_it_can() {
        let quantity = |text| parse_value(text, None, MODERN).map(|read| read.amount.quantity());
        for text in ["4K7", "820", "6R8", "470K", "1 Meg", "10M"] {
            assert_eq!(quantity(text), Ok(Quantity::Resistance), "{text}");
        }
        for text in ["47n", ".047 MFD", "250 pF", "2µ2", "8 MF"] {
            assert_eq!(quantity(text), Ok(Quantity::Capacitance), "{text}");
        }
    }

    #[test]
    fn inductances_voltages_and_currents_are_read_in_every_writing() {
        for (text, quantity, value) in [
            ("10 H", Quantity::Inductance, 10.0),
            ("10 Hy", Quantity::Inductance, 10.0),
            ("4H7", Quantity::Inductance, 4.7),
            ("500mH", Quantity::Inductance, 0.5),
            ("2.5 millihenries", Quantity::Inductance, 2.5e-3),
            ("100 µH", Quantity::Inductance, 100e-6),
            ("100 uH", Quantity::Inductance, 100e-6),
            ("250V", Quantity::Voltage, 250.0),
            ("250", Quantity::Voltage, 250.0),
            ("+250 volts", Quantity::Voltage, 250.0),
            ("250 V.D.C.", Quantity::Voltage, 250.0),
            ("6.3 V AC", Quantity::AcVoltage, 6.3),
            ("6.3V~", Quantity::AcVoltage, 6.3),
            ("250 VAC", Quantity::AcVoltage, 250.0),
            ("6.3 V.A.C.", Quantity::AcVoltage, 6.3),
            ("500 mV AC", Quantity::AcVoltage, 0.5),
            ("6.3 V", Quantity::AcVoltage, 6.3),
            ("6.3", Quantity::AcVoltage, 6.3),
            ("-12 V", Quantity::Voltage, -12.0),
            ("− 12 V", Quantity::Voltage, -12.0),
            ("1.5kV", Quantity::Voltage, 1500.0),
            ("6V3", Quantity::Voltage, 6.3),
            ("47uA", Quantity::Current, 47e-6),
            ("0.3 mA", Quantity::Current, 0.3e-3),
            ("-2 amps", Quantity::Current, -2.0),
        ] {
            check(text, quantity, value, &[]);
        }
        let milli = &[Remark::CapitalMIsMilli];
        check("10 MH", Quantity::Inductance, 10e-3, milli);
        check("60 MA", Quantity::Current, 60e-3, milli);
        check("20 MV", Quantity::Voltage, 20e-3, milli);
    }

    #[test]
    fn only_a_voltage_and_a_current_may_be_negative_and_none_is_zero() {
        let error = |text, quantity| parse_value(text, Some(quantity), MODERN).unwrap_err();
        for (text, quantity) in [
            ("-10 H", Quantity::Inductance),
            ("0 H", Quantity::Inductance),
            ("-47n", Quantity::Capacitance),
            ("0 mH", Quantity::Inductance),
            ("--12 V", Quantity::Voltage),
        ] {
            assert!(
                matches!(error(text, quantity), ValueError::NotPositive { .. }),
                "{text}"
            );
        }
        for (text, quantity) in [("0 V", Quantity::Voltage), ("-0 mA", Quantity::Current)] {
            assert!(
                matches!(error(text, quantity), ValueError::Zero { .. }),
                "{text}"
            );
        }
    }

    #[test]
    fn a_unit_is_needed_where_there_is_no_usual_one() {
        let error = |text, quantity| parse_value(text, Some(quantity), MODERN).unwrap_err();
        for (text, quantity) in [("10", Quantity::Inductance), ("0.5", Quantity::Current)] {
            assert!(
                matches!(error(text, quantity), ValueError::Ambiguous { .. }),
                "{text}"
            );
        }
        for (text, quantity) in [
            ("10m", Quantity::Inductance),
            ("10 kΩ", Quantity::Inductance),
            ("250 VAC", Quantity::Voltage),
            ("250 V~", Quantity::Voltage),
            ("1K5", Quantity::Voltage),
            ("5 V", Quantity::Current),
        ] {
            assert!(
                matches!(error(text, quantity), ValueError::UnknownUnit { .. }),
                "{text}: {:?}",
                error(text, quantity)
            );
        }
    }

    #[test]
    fn the_unit_tells_the_quantity_unless_it_may_be_a_tolerance_letter() {
        let quantity = |text| parse_value(text, None, MODERN).map(|read| read.amount.quantity());
        for text in ["10 H", "10H", "500mH", "100 µH"] {
            assert_eq!(quantity(text), Ok(Quantity::Inductance), "{text}");
        }
        for text in ["250V", "-12 V", "1.5kV"] {
            assert_eq!(quantity(text), Ok(Quantity::Voltage), "{text}");
        }
        assert_eq!(quantity("47uA"), Ok(Quantity::Current));
        for text in ["100µH", "47nH", "10MH"] {
            assert!(
                matches!(quantity(text), Err(ValueError::Ambiguous { .. })),
                "{text}: {:?}",
                quantity(text)
            );
        }
    }

    #[test]
    fn a_letter_behind_the_value_is_its_tolerance() {
        let tolerance =
            |text, quantity| parse_value(text, Some(quantity), MODERN).map(|read| read.tolerance);
        for text in ["4K7K", "470RK", "47KK", "47MK"] {
            assert_eq!(
                tolerance(text, Quantity::Resistance),
                Ok(Tolerance::symmetric(10.0).ok()),
                "{text}"
            );
        }
        for text in ["473K", "4n7K", "47nK", "100pK", "2µ2K"] {
            assert_eq!(
                tolerance(text, Quantity::Capacitance),
                Ok(Tolerance::symmetric(10.0).ok()),
                "{text}"
            );
        }
        assert_eq!(
            tolerance("1MF", Quantity::Resistance),
            Ok(Tolerance::symmetric(1.0).ok())
        );
    }

    #[test]
    fn what_is_no_value_is_refused_with_the_reason() {
        let error = |text| parse_value(text, Some(Quantity::Resistance), MODERN).unwrap_err();
        assert_eq!(error(" "), ValueError::Empty);
        assert!(matches!(error("4,7k"), ValueError::Comma { .. }));
        assert!(matches!(error("-4K7"), ValueError::NotPositive { .. }));
        assert!(matches!(error("0"), ValueError::NotPositive { .. }));
        assert!(matches!(error("0R0"), ValueError::NotPositive { .. }));
        assert!(matches!(error("47 nF"), ValueError::UnknownUnit { .. }));
        assert!(matches!(error("1e999"), ValueError::OutOfRange { .. }));
        assert!(matches!(error("1e-999"), ValueError::OutOfRange { .. }));
        for text in [
            "K",
            "4K7K7",
            "4 K7",
            "4.7K7",
            "1.2.3",
            "10 000",
            "k\u{2009}",
            ".",
            ".",
        ] {
            assert!(
                matches!(
                    error(text),
                    ValueError::NotAValue { .. } | ValueError::UnknownUnit { .. }
                ),
                "{text}: {:?}",
                error(text)
            );
        }
    }

    proptest! {
        #[test]
        fn no_text_makes_the_parser_panic(text in "\\PC*", short in "[0-9.eE+kKMRmpnuµΩFJ ]{0,10}") {
            for quantity in Quantity::ALL.map(Some).into_iter().chain([None]) {
                let _ = parse_value(&text, quantity, MODERN);
                let _ = parse_value(&short, quantity, M_IS_THOUSAND);
            }
        }
    }
}
