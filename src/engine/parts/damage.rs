//! What a spreadsheet has made of a cell that it took for something else.

use crate::engine::source::{Problem, before_misreading};

/// Months as spreadsheets shorten them, in the languages of Europe that write Latin letters and have most speakers.
/// Common practice, no source.
const MONTHS: [&str; 41] = [
    "jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov",
    "dec", // English
    "mrz", "mär", "mai", "okt", "dez", // German
    "janv", "févr", "mars", "avr", "juin", "juil", "août", "sept", "déc", // French
    "ene", "abr", "ago", "dic", // Spanish
    "gen", "mag", "giu", "lug", "set", "ott", // Italian
    "fev", "out", "maj", "mrt", "mei", // Portuguese, Scandinavian, Dutch
];

/// What happened to a designator or a figure; `None` if nothing that shows.
pub(super) fn damage(text: &str) -> Option<Problem> {
    // The quick way for nearly every cell: what is spoilt has one of these in it.
    let may_be = |byte| matches!(byte, b' ' | b'-' | b'.' | b'/' | b'#' | 0x80..);
    if !text.bytes().any(may_be) {
        return None;
    }
    if is_date(text) {
        return Some(spoilt(text, "made a date of it", ""));
    }
    if is_error(text) {
        return Some(made_error(text));
    }
    before_misreading(text).map(|was| {
        Problem(format!(
            "found `{text}`, which was `{was}` before a program took UTF-8 for Windows-1252; write it again, and open the file as UTF-8"
        ))
    })
}

fn spoilt(text: &str, made: &str, such_as: &str) -> Problem {
    Problem(format!(
        "found `{text}`: a spreadsheet has {made}, expected what the drawing has{such_as}; set the cells to text in the spreadsheet and write it again"
    ))
}

/// A formula that came to nothing.
pub(super) fn made_error(text: &str) -> Problem {
    spoilt(text, "taken it for a formula or has no room to show it", "")
}

/// A number with an exponent where a spreadsheet put it.
pub(super) fn made_exponent(text: &str) -> Problem {
    spoilt(
        text,
        "made a rounded number of it",
        ", such as `4E3` or `1 Meg`",
    )
}

/// `02-Jan`, `02. Jan`, `Jan-30`, `02-Jan-26`, `02.01.2026`, `2026-01-02`, each with or without a time behind.
pub(super) fn is_date(text: &str) -> bool {
    let date = match text.split_once(' ') {
        Some((date, time)) if time.contains(':') => date,
        _ => text,
    };
    let pieces: Vec<&str> = date
        .split([' ', '-', '.', '/'])
        .filter(|piece| !piece.is_empty())
        .collect();
    match pieces[..] {
        [day, name] if figures(day, 1..=2) => is_month(name),
        [name, year] => {
            let in_capitals = name.chars().all(char::is_uppercase);
            is_month(name) && !in_capitals && figures(year, 2..=4) && date.contains([' ', '-'])
        }
        [day, name, year] if is_month(name) => figures(day, 1..=2) && figures(year, 2..=4),
        [first, second, third] => {
            figures(second, 1..=2)
                && ((figures(first, 1..=2) && figures(third, 4..=4))
                    || (figures(first, 4..=4) && figures(third, 1..=2)))
        }
        _ => false,
    }
}

/// `4.00E+03`, as a spreadsheet writes `4E3` and what is too long for it.
pub(super) fn is_exponent(text: &str) -> bool {
    let Some((mantissa, exponent)) = text.split_once('E') else {
        return false;
    };
    let (whole, fraction) = mantissa.split_once(['.', ',']).unwrap_or((mantissa, "0"));
    figures(whole, 1..=1)
        && figures(fraction, 1..=15)
        && exponent
            .strip_prefix(['+', '-'])
            .is_some_and(|power| figures(power, 2..=3))
}

/// `#NAME?`, `#REF!`, `#DIV/0!`, `#N/A`, `####`: a formula that came to nothing, and a number wider than its column.
pub(super) fn is_error(text: &str) -> bool {
    let Some(word) = text.strip_prefix('#') else {
        return false;
    };
    let named = word.strip_suffix(['!', '?']).is_some_and(|word| {
        word.chars()
            .all(|c| c.is_uppercase() || matches!(c, '/' | '0'))
    });
    (named && word.len() > 1)
        || matches!(word, "N/A" | "NV")
        || (word.len() > 1 && word.bytes().all(|byte| byte == b'#'))
}

fn is_month(text: &str) -> bool {
    let lower = text.to_lowercase();
    MONTHS.contains(&lower.as_str())
}

fn figures(text: &str, count: std::ops::RangeInclusive<usize>) -> bool {
    count.contains(&text.len()) && text.bytes().all(|byte| byte.is_ascii_digit())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_spreadsheet_took_for_a_date_is_told_from_designators_and_values() {
        for date in [
            "02-Jan",
            "2-Jan",
            "02. Jan",
            "2. Mrz",
            "02-janv",
            "5-Oct",
            "Jan-30",
            "Jan 30",
            "02-Jan-26",
            "01/02/2026",
            "1.2.2026",
            "2026-02-01",
            "2026-02-01 00:00:00",
        ] {
            assert!(is_date(date), "{date}");
        }
        for other in [
            "R1", "1-2", "T1.pri", "1-2-3", "DEC-12", "4.7k", "10 H", "12 Mai k", "6.3V", "1/2W",
            "-10/+50%", "1.2.3", "100-200", "V1 pin 6", "", "2",
        ] {
            assert!(!is_date(other), "{other}");
        }
    }

    #[test]
    fn an_exponent_of_a_spreadsheet_is_told_from_a_written_one() {
        for made in ["4.00E+03", "4,00E+03", "1E+12", "1.00E-06", "4.7E-08"] {
            assert!(is_exponent(made), "{made}");
        }
        for written in ["4E3", "4.7e3", "1e+06", "E12", "47.0E+03", "4.00E+3 Ω"] {
            assert!(!is_exponent(written), "{written}");
        }
    }

    #[test]
    fn formulas_that_came_to_nothing_are_told_from_remarks() {
        for error in [
            "#NAME?", "#REF!", "#DIV/0!", "#N/A", "#####", "#WERT!", "#NV",
        ] {
            assert!(is_error(error), "{error}");
        }
        for remark in ["# ref", "#", "#anode loads", "#R1?", "##", "#!"] {
            assert!(!is_error(remark), "{remark}");
        }
    }
}
