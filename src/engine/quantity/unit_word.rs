//! The words behind a number: prefix and unit, in SI and in the writing of old lists.
//!
//! Old words (`MFD`, `MMF`, `µµF`, `M` for a thousand) as a page on the notation of the 1930s gives them.

use super::{Drawing, Quantity, Remark};

/// What a word behind a number turned out to be.
pub(super) enum UnitWord {
    /// A power of ten of the base unit, and what has to be said about it.
    Power(i32, Option<Remark>),
    /// A word with more than one meaning: the meanings, and what to write instead.
    Ambiguous(&'static str),
    /// No word of this quantity.
    Unknown,
}

/// Units that a resistance may carry, the longest first.
const OHM: [&str; 4] = ["ohms", "ohm", "Ω", "ω"];
/// Units that a capacitance may carry, the longest first.
const FARAD: [&str; 4] = ["farads", "farad", "fd", "f"];
/// Units that an inductance may carry, the longest first. `Hy` is common practice, no source.
const HENRY: [&str; 5] = ["henries", "henrys", "henry", "hy", "h"];
/// Units that a direct voltage may carry, the longest first.
const VOLT: [&str; 5] = ["volts", "volt", "vdc", "v=", "v"];
/// Units that an alternating voltage may carry, the longest first.
const VOLT_AC: [&str; 7] = ["voltsac", "voltac", "volts", "volt", "vac", "v~", "v"];
/// Units that a current may carry, the longest first.
const AMPERE: [&str; 6] = ["amperes", "ampere", "amps", "adc", "amp", "a"];

/// Reads `word`: letters without blanks or dots, micro and omega already in one code point each.
/// `within` says that figures follow the word, as in `4K7`.
pub(super) fn unit_word(
    word: &str,
    quantity: Quantity,
    drawing: Drawing,
    within: bool,
) -> UnitWord {
    match quantity {
        Quantity::Resistance => resistance(word, drawing),
        Quantity::Capacitance => capacitance(word, within),
        Quantity::Ratio => UnitWord::Unknown,
        Quantity::Inductance | Quantity::Voltage | Quantity::Current | Quantity::AcVoltage => {
            with_unit(word, quantity)
        }
    }
}

const fn units(quantity: Quantity) -> &'static [&'static str] {
    match quantity {
        Quantity::Resistance => &OHM,
        Quantity::Capacitance => &FARAD,
        Quantity::Inductance => &HENRY,
        Quantity::Voltage => &VOLT,
        Quantity::Current => &AMPERE,
        Quantity::AcVoltage => &VOLT_AC,
        Quantity::Ratio => &[],
    }
}

/// Whether `word` is a unit of `quantity` without a prefix.
pub(super) fn is_plain_unit(word: &str, quantity: Quantity) -> bool {
    units(quantity)
        .iter()
        .any(|unit| word.eq_ignore_ascii_case(unit))
}

fn resistance(word: &str, drawing: Drawing) -> UnitWord {
    let (prefix, unit) = split_unit(word, &OHM);
    match prefix {
        "" if drawing.m_is_thousand && unit == Some("Ω") => {
            UnitWord::Power(0, Some(Remark::OmegaMayBeMillion))
        }
        "" => UnitWord::Power(0, None),
        "r" | "R" if unit.is_none() => UnitWord::Power(0, None),
        "M" | "m" if drawing.m_is_thousand => UnitWord::Power(3, Some(Remark::MIsThousand)),
        "M" => UnitWord::Power(6, None),
        "m" if unit.is_some() => UnitWord::Power(-3, Some(Remark::SmallMIsMilli)),
        "m" => UnitWord::Ambiguous("a million, a thousand or a thousandth; write `M`, `k` or `mΩ`"),
        _ => named_prefix(prefix, unit.is_some()),
    }
}

fn named_prefix(prefix: &str, has_unit: bool) -> UnitWord {
    let power = match prefix.to_ascii_lowercase().as_str() {
        "k" | "kil" | "kilo" => 3,
        "meg" | "megs" | "mega" => 6,
        "g" | "gig" | "giga" => 9,
        "t" | "ter" | "tera" => 12,
        "milli" if has_unit => -3,
        "u" | "µ" | "micro" if has_unit => -6,
        "n" | "nano" if has_unit => -9,
        "p" | "pico" if has_unit => -12,
        _ => return UnitWord::Unknown,
    };
    UnitWord::Power(power, None)
}

fn capacitance(word: &str, within: bool) -> UnitWord {
    let (prefix, unit) = split_unit(word, &FARAD);
    let lower = prefix.to_ascii_lowercase();
    match (lower.as_str(), unit) {
        ("", Some(_)) => UnitWord::Power(0, None),
        ("m", Some("fd")) | ("u" | "µ" | "micro", _) => UnitWord::Power(-6, None),
        ("m", Some(_)) => UnitWord::Power(-6, Some(Remark::MfIsMicrofarad)),
        ("m", None) if within && prefix == "m" => UnitWord::Power(-3, Some(Remark::SmallMIsMilli)),
        ("m", None) => UnitWord::Ambiguous(
            "microfarad on old lists, otherwise a thousandth of a farad; write `µF`",
        ),
        ("mm" | "uu" | "µµ" | "micromicro", Some(_)) | ("p" | "pico", _) => {
            UnitWord::Power(-12, None)
        }
        ("n" | "nano", _) => UnitWord::Power(-9, None),
        ("milli", Some(_)) => UnitWord::Power(-3, None),
        _ => UnitWord::Unknown,
    }
}

/// A word that must name its unit: `mH`, `kV`, `µA`.
///
/// A capital `M` is a thousandth: lists in capitals write `10 MH` and `60 MA` (common practice, no source), and nobody
/// measures megahenry, megavolt or megaampere on a chassis.
fn with_unit(word: &str, quantity: Quantity) -> UnitWord {
    let (prefix, Some(_)) = split_unit(word, units(quantity)) else {
        return UnitWord::Unknown;
    };
    if prefix == "M" {
        return UnitWord::Power(-3, Some(Remark::CapitalMIsMilli));
    }
    let power = match prefix.to_ascii_lowercase().as_str() {
        "" => 0,
        // `47KH` is 47 kΩ with the letter H: there are no kilohenries.
        "k" | "kilo" if quantity != Quantity::Inductance => 3,
        "m" | "milli" => -3,
        "u" | "µ" | "micro" => -6,
        "n" | "nano" => -9,
        "p" | "pico" => -12,
        _ => return UnitWord::Unknown,
    };
    UnitWord::Power(power, None)
}

/// Takes a unit off the end of `word`, upper and lower case alike.
fn split_unit<'a>(word: &'a str, units: &[&'static str]) -> (&'a str, Option<&'static str>) {
    for &unit in units {
        let start = word.len().checked_sub(unit.len());
        let split = start.and_then(|start| Some((word.get(..start)?, word.get(start..)?)));
        if let Some((prefix, end)) = split
            && end.eq_ignore_ascii_case(unit)
        {
            return (prefix, Some(unit));
        }
    }
    (word, None)
}
