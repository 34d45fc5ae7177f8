//! Limit of a part that has only to conduct: a resistance that the list states, or what follows from the rating printed on it.

use super::{Kind, Part, ToleranceOrigin};
use crate::engine::quantity::{Amount, Drawing, MarkedValue, Quantity, format_stated, parse_value};
use crate::engine::source::Problem;

/// The largest resistance, in ohm, that such a part may have where the list states neither a resistance nor a rating.
const LIMITS: [(Kind, f64); 3] = [
    (Kind::Switch, 1.0), // common practice, no source: a clean contact and the leads stay well below
    (Kind::Fuse, 500.0), // the most that follows from a rating below, rounded up
    (Kind::Lamp, 2000.0), // common practice, no source: twice a cold filament of 5 W for the mains
];

/// Rated current in ampere and largest voltage drop at it in volt: IEC 60127-7, standard sheet 1, page 2, as quoted in a public
/// extract of the standard.
const DROPS: [(f64, f64); 28] = [
    (0.032, 7.0),
    (0.05, 5.0),
    (0.063, 4.4),
    (0.08, 3.8),
    (0.1, 3.5),
    (0.125, 2.5),
    (0.16, 2.2),
    (0.2, 1.8),
    (0.25, 1.4),
    (0.315, 1.3),
    (0.4, 1.0),
    (0.5, 0.9),
    (0.63, 0.8),
    (0.8, 0.6),
    (1.0, 0.5),
    (1.25, 0.4),
    (1.6, 0.3),
    (2.0, 0.3),
    (2.5, 0.3),
    (3.15, 0.3),
    (4.0, 0.3),
    (5.0, 0.3),
    (6.3, 0.3),
    (8.0, 0.22),
    (10.0, 0.22),
    (12.5, 0.18),
    (16.0, 0.14),
    (20.0, 0.1),
];

/// Multiple of those drops that a fuse may have: IEC 60127-2, standard sheet 1, allows cartridges about twice as much (from
/// memory). Cold it has less, so that a sound one stays below.
const DROPS_ALLOWED: f64 = 2.0;

/// Share of its hot resistance that a lamp may have when cold: about a tenth is usual, twice that is put up with (common
/// practice, no source). A textbook's lamp of 2.9 V and 0.30 A, hot 9.67 Ω, has 1.1 Ω at 20 °C (Halliday, Resnick and Walker,
/// as quoted on a public page).
const COLD_SHARE: f64 = 0.2;

/// Largest voltage drop of a closed contact at its rated current, in volt (common practice, no source).
const CONTACT_DROP: f64 = 0.5;

/// The largest resistance, in ohm, of a part of this kind whose list states none; `None` for a kind that has a value.
pub fn default_limit(kind: Kind) -> Option<f64> {
    LIMITS
        .into_iter()
        .find_map(|(of, limit)| (of == kind).then_some(limit))
}

/// Source of a limit by rating, as a clause for people; empty for a kind that has a value.
pub const fn limit_by_rating(kind: Kind) -> &'static str {
    match kind {
        Kind::Fuse => {
            "twice the largest voltage drop at its rated current by IEC 60127-7, standard sheet 1, since IEC 60127-2 allows \
             cartridges that much (from memory)"
        }
        Kind::Lamp => {
            "a fifth of its resistance at its rating, where a cold filament has about a tenth (common practice)"
        }
        Kind::Switch => "half a volt at its rated current, and 1 Ω at most (common practice)",
        _ => "",
    }
}

/// Reason why a fuse with `said` printed on it may not go in where `part` is listed: it would blow too late, or could not break the
/// circuit. `None` where nothing speaks against it, or the list tells no rating.
pub fn unfit_fuse(part: &Part, said: &str) -> Option<String> {
    let (listed, new) = (Load::of(&part.value_text), Load::of(said));
    let amperes = (part.kind == Kind::Fuse).then_some(listed.amperes)??;
    let current = |amperes| format_stated(Quantity::Current, amperes);
    let volts = listed
        .volts
        .or(part.rating.ac_volts)
        .or(part.rating.dc_volts);
    let why = match new.amperes {
        None => format!(
            "`{said}` tells no current, the listed fuse is for {}",
            current(amperes)
        ),
        Some(new) if new > amperes * (1.0 + 1e-9) => {
            format!(
                "{} is more than the listed {}",
                current(new),
                current(amperes)
            )
        }
        Some(_) => {
            let (new, listed) = new.volts.zip(volts).filter(|(new, listed)| new < listed)?;
            let volts = |volts| format_stated(Quantity::Voltage, volts);
            format!("{} is less than the listed {}", volts(new), volts(listed))
        }
    };
    Some(format!(
        "{why}. A fuse is replaced by one of its own current and never a larger one, for at least its own voltage; else what it protects can burn"
    ))
}

/// The largest resistance of a part with that printed on it, ohm; `None` where that does not tell it.
fn rated(kind: Kind, load: Load) -> Option<f64> {
    match kind {
        Kind::Fuse => by_drop(load.amperes?),
        Kind::Lamp => Some(COLD_SHARE * load.hot_ohms()?),
        Kind::Switch => Some((CONTACT_DROP / load.amperes?).min(default_limit(kind)?)),
        _ => None,
    }
}

/// By the row of its own rated current, else by that of the next smaller one, which allows more; below the smallest nothing follows.
fn by_drop(amperes: f64) -> Option<f64> {
    let (rated, drop) = DROPS.iter().rev().find(|(rated, _)| *rated <= amperes)?;
    Some(DROPS_ALLOWED * drop / rated)
}

/// The limit that holds, and where it is from. `limit` is that of the kind.
///
/// A resistance is the limit. A rating that is printed on the part (`500 mA`, `6.3V 0.3A`) gives one, if it tells enough.
pub(super) fn limit(
    text: &str,
    kind: Kind,
    limit: f64,
    drawing: Drawing,
) -> Result<(MarkedValue, ToleranceOrigin), Problem> {
    let load = Load::of(text);
    if text.is_empty() || load != Load::default() {
        let (ohms, origin) = match rated(kind, load) {
            Some(ohms) => (ohms, ToleranceOrigin::Rating),
            None => (limit, ToleranceOrigin::Default),
        };
        let amount = Amount::new(Quantity::Resistance, ohms).expect("the tables hold numbers");
        let value = MarkedValue {
            amount,
            tolerance: None,
            remarks: Vec::new(),
        };
        return Ok((value, origin));
    }
    // A fuse marked `2` is one for two ampere, not one of two ohms.
    let bare = |byte: u8| byte.is_ascii_digit() || byte == b'.';
    if kind != Kind::Switch && text.bytes().all(bare) {
        return Err(Problem(format!(
            "found `{text}` without a unit, expected a resistance such as `50 Ω`, a rating such as `500 mA`, or nothing"
        )));
    }
    match parse_value(text, Some(Quantity::Resistance), drawing) {
        Ok(value) if value.tolerance.is_some() => Err(tolerance_of_limit(text, kind)),
        Ok(value) => Ok((value, ToleranceOrigin::Stated)),
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

/// Rating printed on a fuse, a lamp or a switch, as far as there is one.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
struct Load {
    amperes: Option<f64>,
    volts: Option<f64>,
    watts: Option<f64>,
}

impl Load {
    /// The numbers of amperes, volts and watts in a text: `T1.6A 250V`, `1/4 A`, `500 mA`.
    fn of(text: &str) -> Self {
        let packed: Vec<char> = text.chars().filter(|c| !c.is_whitespace()).collect();
        let mut load = Self::default();
        for (at, unit) in packed.iter().enumerate() {
            let ends_word = packed.get(at + 1).is_none_or(|c| !c.is_alphabetic());
            let own = match unit {
                'A' | 'a' => &mut load.amperes,
                'V' | 'v' => &mut load.volts,
                'W' | 'w' => &mut load.watts,
                _ => continue,
            };
            if ends_word && own.is_none() {
                *own = number_before(&packed[..at]);
            }
        }
        load
    }

    /// Resistance at the rating, ohm.
    fn hot_ohms(self) -> Option<f64> {
        match (self.volts, self.amperes, self.watts) {
            (Some(volts), Some(amperes), _) => Some(volts / amperes),
            (Some(volts), None, Some(watts)) => Some(volts * volts / watts),
            (None, Some(amperes), Some(watts)) => Some(watts / (amperes * amperes)),
            _ => None,
        }
    }
}

/// The number above zero that these signs end with, its prefix applied. `M` is milli: nobody fuses mega-amperes.
fn number_before(signs: &[char]) -> Option<f64> {
    let (prefix, number) = match signs.split_last()? {
        ('k', number) => (1e3, number),
        ('m' | 'M', number) => (1e-3, number),
        ('u' | 'µ' | 'μ', number) => (1e-6, number),
        _ => (1.0, signs),
    };
    let is_figure = |c: &char| c.is_ascii_digit() || ".,/½¼¾".contains(*c);
    let first = number.iter().rposition(|c| !is_figure(c));
    let figures: String = number[first.map_or(0, |at| at + 1)..].iter().collect();
    let value = prefix * written(&figures)?;
    (value.is_finite() && value > 0.0).then_some(value)
}

/// `1.6`, `1/4`, `¼`, `1½`. A comma parts one number from the next.
fn written(figures: &str) -> Option<f64> {
    let figures = figures.rsplit(',').next()?;
    let fractions = [('½', 0.5), ('¼', 0.25), ('¾', 0.75)];
    if let Some((sign, part)) = fractions
        .into_iter()
        .find(|(sign, _)| figures.ends_with(*sign))
    {
        let whole = figures.trim_end_matches(sign);
        let whole: f64 = if whole.is_empty() {
            0.0
        } else {
            whole.parse().ok()?
        };
        return Some(whole + part);
    }
    match figures.split_once('/') {
        Some((over, under)) => Some(over.parse::<f64>().ok()? / under.parse::<f64>().ok()?),
        None => figures.parse().ok(),
    }
}

#[cfg(test)]
mod tests {
    use approx::assert_relative_eq;

    use super::*;

    #[test]
    fn every_kind_that_has_only_to_conduct_has_a_limit_and_no_other() {
        for kind in Kind::ALL {
            assert_eq!(default_limit(kind).is_some(), kind.conducts(), "{kind}");
        }
    }

    #[test]
    fn ratings_are_told_from_resistances() {
        for (text, amperes, volts, watts) in [
            ("500 mA", Some(0.5), None, None),
            ("500MA", Some(0.5), None, None),
            ("T1.6A 250V", Some(1.6), Some(250.0), None),
            ("1/4 A", Some(0.25), None, None),
            ("¼A", Some(0.25), None, None),
            ("1½ A", Some(1.5), None, None),
            ("6.3V 0.3A", Some(0.3), Some(6.3), None),
            ("6.5 v, 300 ma", Some(0.3), Some(6.5), None),
            ("8 V 1.6 W", None, Some(8.0), Some(1.6)),
        ] {
            let load = Load {
                amperes,
                volts,
                watts,
            };
            assert_eq!(Load::of(text), load, "{text}");
        }
        for text in ["50 mΩ", "4K7", "1R5", "4Q7", "A", "2 amb", "", "100"] {
            assert_eq!(Load::of(text), Load::default(), "{text}");
        }
    }

    /// Largest drops by the sheet: 0.5 V at 1 A, 1.4 V at 250 mA, 7 V at 32 mA, 0.1 V at 20 A; cold lamps as quoted above.
    #[test]
    fn a_limit_follows_from_a_rating_that_tells_enough() {
        for (kind, text, ohms) in [
            (Kind::Fuse, "1A", 1.0),
            (Kind::Fuse, "F250mA 250V", 11.2),
            (Kind::Fuse, "1.1 A", 1.0),
            (Kind::Fuse, "32 mA", 437.5),
            (Kind::Fuse, "30 A", 0.01),
            (Kind::Lamp, "6.3V 0.3A", 4.2),
            (Kind::Lamp, "8V 1.6W", 8.0),
            (Kind::Lamp, "0.2A 1.6W", 8.0),
            (Kind::Switch, "2 A 250 V", 0.25),
            (Kind::Switch, "100 mA", 1.0),
        ] {
            let found = rated(kind, Load::of(text)).unwrap();
            assert_relative_eq!(found, ohms, max_relative = 1e-12);
        }
        for (kind, text) in [
            (Kind::Fuse, "250V"),
            (Kind::Fuse, "20 mA"),
            (Kind::Lamp, "6.3V"),
            (Kind::Lamp, ""),
            (Kind::Resistor, "1 A"),
        ] {
            assert_eq!(rated(kind, Load::of(text)), None, "{kind} {text}");
        }
    }

    #[test]
    fn a_larger_fuse_is_never_allowed_more() {
        let limits = DROPS.map(|(amperes, _)| by_drop(amperes).unwrap());
        assert!(limits.is_sorted_by(|a, b| a >= b), "{limits:?}");
        assert!(limits[0] <= default_limit(Kind::Fuse).unwrap());
    }
}
