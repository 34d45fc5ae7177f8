//! [`Unit`]: the unit that some meters write behind a number, with its SI prefix.

use crate::engine::quantity::Quantity;

/// What a unit suffix says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unit {
    /// No suffix: the SI base unit of whatever was asked for.
    Unsaid,
    /// A unit of a quantity that the program knows.
    Of {
        /// The quantity.
        quantity: Quantity,
        /// The power of ten of the prefix.
        exponent: i32,
    },
    /// Degree of angle.
    Degree,
    /// Radian.
    Radian,
    /// A unit of something else: alternating ampere, hertz, second, watt, siemens, degree Celsius or per cent.
    Foreign,
}

/// The unit's spelling in upper case, longest first, and what it measures.
const KNOWN: [(&[u8], Quantity); 12] = [
    (b"OHMS", Quantity::Resistance),
    (b"OHM", Quantity::Resistance),
    (b"FARADS", Quantity::Capacitance),
    (b"FARAD", Quantity::Capacitance),
    (b"F", Quantity::Capacitance),
    (b"HENRY", Quantity::Inductance),
    (b"H", Quantity::Inductance),
    (b"VAC", Quantity::AcVoltage),
    (b"VDC", Quantity::Voltage),
    (b"V", Quantity::Voltage),
    (b"ADC", Quantity::Current),
    (b"A", Quantity::Current),
];

/// Units that a meter sends when its knob stands elsewhere.
const FOREIGN: [&[u8]; 7] = [b"AAC", b"DEGC", b"DEG", b"HZ", b"S", b"W", b"%"];

impl Unit {
    /// Understands a suffix such as `OHM`, `kOhm`, `MOHM`, `nF`; `None` if it is no unit at all.
    ///
    /// Case is ignored but for one letter: `m` is milli, `M` before ohm is mega (as IEEE 488.2 has it for `MOHM`, from memory)
    /// and before farad, henry, volt and ampere milli (the suffix `M` of IEEE 488.2, from memory; nobody owns a megafarad). A
    /// voltage or a current without further mark is a direct one.
    pub fn parse(text: &[u8]) -> Option<Self> {
        let text = text.trim_ascii();
        if text.is_empty() {
            return Some(Self::Unsaid);
        }
        if text.eq_ignore_ascii_case(b"DEG") {
            return Some(Self::Degree);
        }
        if text.eq_ignore_ascii_case(b"RAD") {
            return Some(Self::Radian);
        }
        for (spelling, quantity) in KNOWN {
            if let Some(prefix) = without_ending(text, spelling) {
                return exponent(prefix.trim_ascii_end(), quantity)
                    .map(|exponent| Self::Of { quantity, exponent });
            }
        }
        let foreign = |unit: &&[u8]| without_ending(text, unit).is_some_and(is_prefix);
        FOREIGN.iter().any(foreign).then_some(Self::Foreign)
    }
}

fn without_ending<'a>(text: &'a [u8], ending: &[u8]) -> Option<&'a [u8]> {
    let (start, end) = text.split_at_checked(text.len().checked_sub(ending.len())?)?;
    end.eq_ignore_ascii_case(ending).then_some(start)
}

/// Whether it is a prefix of one letter, or none.
fn is_prefix(text: &[u8]) -> bool {
    text.len() <= 1 && text.iter().all(|letter| b"GgMmKkUuNnPp".contains(letter))
}

fn exponent(prefix: &[u8], quantity: Quantity) -> Option<i32> {
    Some(match prefix {
        b"" => 0,
        b"T" | b"t" => 12,
        b"G" | b"g" => 9,
        b"M" if quantity == Quantity::Resistance => 6,
        b"M" | b"m" => -3,
        b"K" | b"k" => 3,
        b"U" | b"u" => -6,
        b"N" | b"n" => -9,
        b"P" | b"p" => -12,
        _ if prefix.eq_ignore_ascii_case(b"MA") || prefix.eq_ignore_ascii_case(b"MEG") => 6,
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::Unit;
    use crate::engine::quantity::Quantity::{
        AcVoltage, Capacitance, Current, Inductance, Resistance, Voltage,
    };

    #[test]
    fn units_with_prefixes_are_understood() {
        for (text, quantity, exponent) in [
            ("OHM", Resistance, 0),
            (" kOhm", Resistance, 3),
            ("MOHM", Resistance, 6),
            ("MAOHM", Resistance, 6),
            ("Megohm", Resistance, 6),
            ("mOhms", Resistance, -3),
            ("G OHM", Resistance, 9),
            ("nF", Capacitance, -9),
            ("UF", Capacitance, -6),
            ("MF", Capacitance, -3),
            ("p farad", Capacitance, -12),
            ("VDC", Voltage, 0),
            ("mV", Voltage, -3),
            ("MV", Voltage, -3),
            ("kVDC", Voltage, 3),
            ("VAC", AcVoltage, 0),
            ("mVAC", AcVoltage, -3),
            ("A", Current, 0),
            ("uA", Current, -6),
            ("MADC", Current, -3),
            ("uH", Inductance, -6),
            ("MH", Inductance, -3),
            (" henry", Inductance, 0),
        ] {
            assert_eq!(
                Unit::parse(text.as_bytes()),
                Some(Unit::Of { quantity, exponent }),
                "{text}"
            );
        }
    }

    #[test]
    fn units_of_other_quantities_are_told_from_rubbish() {
        for text in ["kHz", "AAC", "degC", "%"] {
            assert_eq!(Unit::parse(text.as_bytes()), Some(Unit::Foreign), "{text}");
        }
        for text in ["xyzzy", "OH", "qF", "3", "E+"] {
            assert_eq!(Unit::parse(text.as_bytes()), None, "{text}");
        }
        assert_eq!(Unit::parse(b"  "), Some(Unit::Unsaid));
    }
}
