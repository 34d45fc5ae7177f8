//! [`Cells`]: the cells of a row on their way from what a spreadsheet writes to what the trade writes.
//!
//! Behind them: what a spreadsheet has made of a cell that it took for something else.

use std::borrow::Cow;

use super::header::{Column, Header};
use crate::engine::source::{
    Decimals, Fault, Grouped, Problem, TableRemark, before_misreading, from_cell, with_comma,
};

/// The cells of one row, plain: blanks even, numbers with a point for the decimal sign.
pub(super) struct Cells {
    /// The record that is to be read.
    pub(super) record: csv::StringRecord,
    /// Cells that a spreadsheet has spoilt, or that have two meanings; such a cell is empty in the record.
    pub(super) errors: Vec<Fault>,
    /// Findings about how the table was saved.
    pub(super) remarks: Vec<TableRemark>,
    /// Cells that held odd blanks.
    pub(super) odd: usize,
}

impl Cells {
    /// Makes the cells of a record plain that the program knows; others stay as they are.
    pub(super) fn of(
        record: &csv::StringRecord,
        line: usize,
        header: &Header,
        decimals: Decimals,
    ) -> Self {
        let mut cells = Self {
            record: csv::StringRecord::new(),
            errors: Vec::new(),
            remarks: Vec::new(),
            odd: 0,
        };
        let plain = record
            .iter()
            .enumerate()
            .map(|(place, text)| match header.column(place) {
                Some(column) => header.with_unit(place, cells.plain(column, text, line, decimals)),
                None => Cow::Borrowed(text),
            });
        let mut plain: Vec<Cow<'_, str>> = plain.collect();
        if let Some([first, further]) = header.both_ratings()
            && let Some(more) = plain.get(further).cloned()
            && let Some(rating) = plain.get_mut(first)
        {
            *rating = Cow::Owned(format!("{rating} {more}"));
        }
        cells.record = plain.into_iter().collect();
        cells
    }

    fn plain<'a>(
        &mut self,
        column: Column,
        text: &'a str,
        line: usize,
        decimals: Decimals,
    ) -> Cow<'a, str> {
        let (text, odd) = match column {
            // A remark of several lines stays one.
            Column::Role | Column::Note | Column::Group => without_odd(text),
            _ => even(text),
        };
        self.odd += usize::from(odd);
        let bare = text.trim();
        let wrong = match column {
            Column::Ref | Column::Value if is_exponent(bare) => Some(made_exponent(bare)),
            Column::Ref => damage(bare),
            Column::From | Column::To if is_date(bare) => {
                self.remarks.push(TableRemark::DateAsPlace {
                    row: line,
                    column: column.name(),
                    found: bare.to_owned(),
                });
                None
            }
            column if column.is_text() => None,
            _ => damage(bare),
        };
        if let Some(problem) = wrong {
            return self.refuse(column, line, problem);
        }
        let as_written = decimals == Decimals::AsWritten && !bare.starts_with('\'');
        if column.is_text() || as_written {
            return text;
        }
        match numbers(column, &text, decimals) {
            Ok((plain, grouped)) => {
                self.remarks
                    .extend(
                        grouped
                            .into_iter()
                            .map(|(found, read)| TableRemark::Thousands {
                                row: line,
                                column: column.name(),
                                found,
                                read,
                            }),
                    );
                Cow::Owned(plain)
            }
            Err(problem) => self.refuse(column, line, problem),
        }
    }

    fn refuse(&mut self, column: Column, line: usize, problem: Problem) -> Cow<'static, str> {
        self.errors
            .push(Fault::in_column(line, column.name(), problem));
        Cow::Borrowed("")
    }

    /// The errors of the row, with what is known of its cells: one error a cell, and of a comma what it may mean.
    pub(super) fn explain(
        mut self,
        found: Vec<Fault>,
        written: &csv::StringRecord,
        header: &Header,
        decimals: Decimals,
    ) -> Vec<Fault> {
        let spoilt: Vec<_> = self.errors.iter().map(|error| error.column).collect();
        let others = found
            .into_iter()
            .filter(|error| error.column.is_none() || !spoilt.contains(&error.column));
        self.errors.extend(others.map(|mut error| {
            let comma = Column::ALL
                .into_iter()
                .filter(|column| !column.is_text() && decimals == Decimals::AsWritten)
                .find(|column| Some(column.name()) == error.column)
                .and_then(|column| written.get(header.place(column)?))
                .and_then(|text| with_comma(text.trim()));
            if let Some(problem) = comma {
                error.problem = problem;
            }
            error
        }));
        self.errors
    }
}

/// The numbers of a cell with a point for the decimal sign. Of partners the voltages alone are numbers: a designator may have a
/// point in it.
fn numbers(
    column: Column,
    text: &str,
    decimals: Decimals,
) -> Result<(String, Vec<Grouped>), Problem> {
    if column != Column::With {
        return decimals.plain(from_cell(text.trim_start()));
    }
    let (mut words, mut grouped) = (Vec::new(), Vec::new());
    for word in text.split_whitespace() {
        if is_voltage(word) {
            let (plain, thousands) = decimals.plain(word)?;
            words.push(plain);
            grouped.extend(thousands);
        } else {
            words.push(word.to_owned());
        }
    }
    Ok((words.join(" "), grouped))
}

/// Whether a cell can show the decimal sign of its list. What a spreadsheet has spoilt cannot.
pub(super) fn showing(column: Column, text: &str) -> bool {
    let text = text.trim();
    match column {
        _ if is_exponent(text) || damage(text).is_some() => false,
        Column::With => text.split_whitespace().all(is_voltage),
        column => !column.is_text(),
    }
}

fn is_voltage(word: &str) -> bool {
    word.ends_with(['V', 'v'])
        && word.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '.' | ',' | '-' | '+'))
}

/// The text in one line, with plain blanks, and whether it had odd ones. Line ends and tabs within a cell are nothing odd.
pub(super) fn even(text: &str) -> (Cow<'_, str>, bool) {
    let (text, odd) = without_odd(text);
    if text
        .bytes()
        .any(|byte| matches!(byte, b'\r' | b'\n' | b'\t'))
    {
        let plain = text.replace("\r\n", " ").replace(['\r', '\n', '\t'], " ");
        return (Cow::Owned(plain), odd);
    }
    (text, odd)
}

/// The text with plain blanks for those that do not break and without what has no width, and whether there were such.
fn without_odd(text: &str) -> (Cow<'_, str>, bool) {
    let is_blank = |c: char| matches!(c, '\u{a0}' | '\u{2007}' | '\u{202f}');
    let has_no_width = |c: char| {
        matches!(
            c,
            '\u{ad}' | '\u{200b}'..='\u{200f}' | '\u{2060}' | '\u{feff}'
        )
    };
    if text.is_ascii() || !text.contains(|c| is_blank(c) || has_no_width(c)) {
        return (Cow::Borrowed(text), false);
    }
    let plain = text.chars().filter(|c| !has_no_width(*c));
    let plain = plain.map(|c| if is_blank(c) { ' ' } else { c }).collect();
    (Cow::Owned(plain), true)
}

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

/// Damage to a designator or a figure; `None` if none shows.
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
    fn odd_blanks_become_plain_ones_and_nothing_else_changes() {
        assert_eq!(even("4.7\u{a0}k\u{200b}"), (Cow::from("4.7 k"), true));
        assert_eq!(even("a\r\nb\tc"), (Cow::from("a b c"), false));
        assert_eq!(without_odd("a\nb"), (Cow::from("a\nb"), false));
        assert_eq!(even("±½ Ω"), (Cow::from("±½ Ω"), false));
    }

    #[test]
    fn a_designator_with_a_point_is_no_number() {
        let comma = Decimals::Declared(crate::engine::source::DecimalMark::Comma);
        let read = |text| numbers(Column::With, text, comma).map(|(plain, _)| plain);
        assert_eq!(read("T1.2 R8  12,9V"), Ok("T1.2 R8 12.9V".to_owned()));
        assert!(showing(Column::With, "12,9V") && !showing(Column::With, "T1.2 12,9V"));
    }

    #[test]
    fn the_apostrophe_against_formulas_is_taken_off() {
        let read = |text| numbers(Column::Value, text, Decimals::AsWritten).map(|(plain, _)| plain);
        assert_eq!(read("'-12 V"), Ok("-12 V".to_owned()));
        assert_eq!(read("'12 V"), Ok("'12 V".to_owned()));
    }

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
