//! [`DecimalMark`]: how a table writes decimals, and its numbers written anew with a point.

use strum::Display;

use std::ops::Range;

use super::{Fault, Problem, TableRemark};

/// The decimal sign of a table.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Display)]
#[strum(serialize_all = "lowercase")]
pub enum DecimalMark {
    /// `4.7k`; a comma may part thousands.
    Point,
    /// `4,7k`; a point may part thousands.
    Comma,
}

impl DecimalMark {
    /// The decimal sign that a setting means: `.` or `,`.
    pub fn named(text: &str) -> Option<Self> {
        match text {
            "." => Some(Self::Point),
            "," => Some(Self::Comma),
            _ => None,
        }
    }

    /// The sign, and the one that may part thousands.
    const fn signs(self) -> (char, char) {
        match self {
            Self::Point => ('.', ','),
            Self::Comma => (',', '.'),
        }
    }

    /// A run of figures, points and commas with a point for this sign, and without what parts thousands.
    fn plain(self, run: &str) -> String {
        let (decimal, thousands) = self.signs();
        run.replace(thousands, "").replace(decimal, ".")
    }
}

/// Reading of the numbers of a table.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Decimals {
    /// As they stand: columns are parted by commas and nothing was declared.
    AsWritten,
    /// Each by itself, as far as it can be read in one way only.
    EachByItself,
    /// Other numbers of the table show the sign. What could be read in two ways is refused all the same.
    Detected(DecimalMark),
    /// The settings say the sign.
    Declared(DecimalMark),
}

/// Possible meanings of the points and commas of a number.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Writing {
    /// There are none.
    Whole,
    /// Numbers fit this decimal sign alone.
    Only(DecimalMark),
    /// A comma or point that is the decimal sign, or parts thousands: `1,000`.
    Either,
    /// Numbers fit neither.
    Neither,
}

/// A number of a cell that was written with something to part thousands: as it stands, and how it was read.
pub(crate) type Grouped = (String, String);

impl Decimals {
    /// The text with its numbers written with a point, and the numbers in which thousands were parted.
    pub(crate) fn plain(self, text: &str) -> Result<(String, Vec<Grouped>), Problem> {
        let (mut plain, mut grouped, mut copied) = (String::new(), Vec::new(), 0);
        for run in runs(text) {
            let number = &text[run.clone()];
            let mark = match (writing(number), self) {
                (_, Self::AsWritten) | (Writing::Whole, _) => continue,
                (Writing::Only(mark), Self::EachByItself) => mark,
                (Writing::Only(mark), Self::Detected(sign) | Self::Declared(sign))
                    if mark == sign =>
                {
                    mark
                }
                (Writing::Either, Self::Declared(sign)) => sign,
                (Writing::Either, _) => return Err(two_meanings(text, number)),
                (Writing::Only(_), Self::Detected(sign) | Self::Declared(sign)) => {
                    return Err(Problem(format!(
                        "found `{number}` in `{text}`, expected decimals with a {sign}, as the list or `decimal` under [sheet] in job.toml has them"
                    )));
                }
                (Writing::Neither, _) => return Err(no_number(text, number)),
            };
            let read = mark.plain(number);
            if number.contains(mark.signs().1) {
                grouped.push((number.to_owned(), read.clone()));
            }
            plain.push_str(&text[copied..run.start]);
            plain.push_str(&read);
            copied = run.end;
        }
        plain.push_str(&text[copied..]);
        Ok((plain, grouped))
    }
}

/// The decimal signs that the numbers of a cell show, whatever the rest of the table says.
fn shown(text: &str) -> impl Iterator<Item = DecimalMark> {
    runs(text).filter_map(|run| match writing(&text[run]) {
        Writing::Only(mark) => Some(mark),
        _ => None,
    })
}

/// Advice on a cell that cannot be read where commas were not expected; `None` if it has no comma between figures.
pub(crate) fn with_comma(text: &str) -> Option<Problem> {
    let run = runs(text).find(|run| text[run.clone()].contains(','))?;
    let number = &text[run];
    let expected = |words: &str| Problem(format!("found a comma in `{text}`, expected {words}"));
    Some(match writing(number) {
        Writing::Either => two_meanings(text, number),
        Writing::Only(DecimalMark::Comma) => expected(
            "a full stop as the decimal sign; if the list writes decimals with a comma, say `decimal = \",\"` under [sheet] in job.toml",
        ),
        Writing::Only(DecimalMark::Point) => expected(
            "nothing between thousands; if the list has commas there, say `decimal = \".\"` under [sheet] in job.toml",
        ),
        Writing::Whole | Writing::Neither => no_number(text, number),
    })
}

fn no_number(text: &str, number: &str) -> Problem {
    Problem(format!(
        "found `{text}`, expected in `{number}` one decimal sign at most, and three figures between those that part thousands"
    ))
}

fn two_meanings(text: &str, number: &str) -> Problem {
    let sign = if number.contains(',') {
        DecimalMark::Comma
    } else {
        DecimalMark::Point
    };
    let other = match sign {
        DecimalMark::Comma => DecimalMark::Point,
        DecimalMark::Point => DecimalMark::Comma,
    };
    // `1.000` is to be shown as 1: a number without idle zeros.
    let short = |mark: DecimalMark| {
        let plain = mark.plain(number);
        match plain.split_once('.') {
            Some(_) => plain.trim_end_matches('0').trim_end_matches('.').to_owned(),
            None => plain,
        }
    };
    Problem(format!(
        "found `{text}`, which is ambiguous: `{number}` is {} if the {sign} is the decimal sign, and {} if it parts thousands; write it in one way, or say `decimal` under [sheet] in job.toml",
        short(sign),
        short(other)
    ))
}

/// The first cell that shows each decimal sign.
#[derive(Default)]
pub(super) struct Evidence([Option<Shown>; 2]);

/// A cell that shows the decimal sign.
struct Shown {
    line: usize,
    column: &'static str,
    text: String,
}

impl Evidence {
    /// Takes in a cell.
    pub(super) fn see(&mut self, line: usize, column: &'static str, text: &str) {
        for mark in shown(text) {
            self.0[mark as usize].get_or_insert_with(|| Shown {
                line,
                column,
                text: text.trim().to_owned(),
            });
        }
    }

    /// Decides by what was seen: the remark that says how numbers are read, or the fault that cells contradict each other.
    pub(super) fn decimals(
        self,
        remarks: &mut Vec<TableRemark>,
        faults: &mut Vec<Fault>,
    ) -> Decimals {
        let (mark, one) = match self.0 {
            [Some(point), Some(comma)] => {
                faults.push(contradiction(&point, &comma));
                return Decimals::EachByItself;
            }
            [Some(one), None] => (DecimalMark::Point, one),
            [None, Some(one)] => (DecimalMark::Comma, one),
            [None, None] => return Decimals::EachByItself,
        };
        remarks.push(TableRemark::Decimal {
            mark,
            row: one.line,
            text: one.text,
        });
        Decimals::Detected(mark)
    }
}

/// The fault of two cells that show different signs; it stands at the later one.
fn contradiction(point: &Shown, comma: &Shown) -> Fault {
    let (point, comma) = ((point, DecimalMark::Point), (comma, DecimalMark::Comma));
    let ((earlier, other), (later, mark)) = if point.0.line <= comma.0.line {
        (point, comma)
    } else {
        (comma, point)
    };
    let words = format!(
        "found decimals with a {mark} in `{}` and with a {other} in `{}` in row {}, expected one of them; write all alike",
        later.text, earlier.text, earlier.line
    );
    Fault::in_column(later.line, later.column, Problem(words))
}

/// Where figures with points and commas stand in a text. The figure of `X2` belongs to no number, nor does a comma behind it.
fn runs(text: &str) -> impl Iterator<Item = Range<usize>> {
    let bytes = text.as_bytes();
    let is_sign = |at: usize| matches!(bytes.get(at), Some(b'.' | b','));
    let is_figure = |at: usize| bytes.get(at).is_some_and(u8::is_ascii_digit);
    let mut at = 0;
    std::iter::from_fn(move || {
        while at < bytes.len() {
            let start = at;
            let class = start > 0 && matches!(bytes[start - 1], b'X' | b'x' | b'Y' | b'y');
            if class {
                while is_figure(at) {
                    at += 1;
                }
                at += usize::from(at == start || is_sign(at));
                continue;
            }
            let begins = is_figure(start)
                || (is_sign(start)
                    && is_figure(start + 1)
                    && !text[..start].ends_with(char::is_alphabetic));
            if !begins {
                at += 1;
                continue;
            }
            while is_figure(at) || (is_sign(at) && is_figure(at + 1)) {
                at += 1;
            }
            return Some(start..at);
        }
        None
    })
}

/// Possible meanings of the points and commas of a run.
fn writing(run: &str) -> Writing {
    let commas = run.matches(',').count();
    let points = run.matches('.').count();
    let fits = |mark: DecimalMark| fits(run, mark);
    match (fits(DecimalMark::Point), fits(DecimalMark::Comma)) {
        _ if commas + points == 0 => Writing::Whole,
        (true, true) => Writing::Either,
        (true, false) => Writing::Only(DecimalMark::Point),
        (false, true) => Writing::Only(DecimalMark::Comma),
        (false, false) => Writing::Neither,
    }
}

/// Whether a run is a number with that decimal sign: at most one of it, and before it thousands parted well or not at all.
fn fits(run: &str, mark: DecimalMark) -> bool {
    let (decimal, thousands) = mark.signs();
    let mut pieces = run.split(decimal);
    let whole = pieces.next().unwrap_or_default();
    let fraction = pieces.next().unwrap_or_default();
    let mut groups = whole.split(thousands);
    let first = groups.next().unwrap_or_default();
    let mut groups = groups.peekable();
    let parted = groups.peek().is_some();
    pieces.next().is_none()
        && !fraction.contains(thousands)
        && (!parted || ((1..=3).contains(&first.len()) && !first.starts_with('0')))
        && groups.all(|group| group.len() == 3)
}

#[cfg(test)]
mod tests {
    use super::*;

    const COMMA: Decimals = Decimals::Declared(DecimalMark::Comma);
    const POINT: Decimals = Decimals::Declared(DecimalMark::Point);

    fn plain(text: &str, decimals: Decimals) -> String {
        decimals
            .plain(text)
            .unwrap_or_else(|problem| panic!("{text}: {problem}"))
            .0
    }

    #[test]
    fn declared_commas_are_written_as_points() {
        for (text, expected) in [
            ("4,7k", "4.7k"),
            ("0,047 uF", "0.047 uF"),
            (",047 MFD", ".047 MFD"),
            ("-10/+50%", "-10/+50%"),
            ("-2,5/+7,5 %", "-2.5/+7.5 %"),
            ("6,3V 0,3A", "6.3V 0.3A"),
            ("T1,6A 250V", "T1.6A 250V"),
            ("1.234,5", "1234.5"),
            ("1.234.567", "1234567"),
            ("1,000", "1.000"),
            ("1.000", "1000"),
            ("4,00E+03", "4.00E+03"),
            ("4K7", "4K7"),
            ("38,5:1", "38.5:1"),
            ("X2,275V~", "X2,275V~"),
            ("X1/Y2, 250V", "X1/Y2, 250V"),
            ("450V,0,5W", "450V,0.5W"),
            ("400 V.W.", "400 V.W."),
            (".M.F.D.", ".M.F.D."),
            ("", ""),
        ] {
            assert_eq!(plain(text, COMMA), expected, "{text}");
        }
    }

    #[test]
    fn declared_points_may_have_commas_between_thousands() {
        for (text, expected) in [
            ("1,000", "1000"),
            ("1,234.5 pF", "1234.5 pF"),
            ("4.7k", "4.7k"),
            ("1.000", "1.000"),
            ("450V, 1/2W", "450V, 1/2W"),
        ] {
            assert_eq!(plain(text, POINT), expected, "{text}");
        }
    }

    #[test]
    fn what_parts_thousands_is_told() {
        let (_, grouped) = COMMA.plain("1.234,5 pF").unwrap();
        assert_eq!(grouped, [("1.234,5".to_owned(), "1234.5".to_owned())]);
        assert_eq!(COMMA.plain("4,7k").unwrap().1, []);
    }

    #[test]
    fn what_has_two_meanings_is_refused_unless_declared() {
        for decimals in [
            Decimals::EachByItself,
            Decimals::Detected(DecimalMark::Comma),
            Decimals::Detected(DecimalMark::Point),
        ] {
            for (text, one, thousand) in [("1,000", "1", "1000"), ("47.500 pF", "47.5", "47500")] {
                let said = decimals.plain(text).unwrap_err().to_string();
                assert!(said.contains(&format!(" is {one} if")), "{said}");
                assert!(said.contains(&format!(" and {thousand} if")), "{said}");
            }
        }
        assert_eq!(plain("0,047", Decimals::EachByItself), "0.047");
    }

    #[test]
    fn the_other_sign_and_no_number_are_refused() {
        let said = |decimals: Decimals, text| decimals.plain(text).unwrap_err().to_string();
        assert!(said(COMMA, "4.7k").contains("expected decimals with a comma"));
        assert!(said(POINT, "4,7k").contains("expected decimals with a point"));
        for text in ["1,2,3", "1.2.3", "1,23.4,5", "1.2345,6"] {
            let said = said(COMMA, text);
            assert!(said.contains("one decimal sign at most"), "{said}");
        }
    }

    #[test]
    fn numbers_show_their_sign_where_only_one_fits() {
        let shown = |text| shown(text).collect::<Vec<_>>();
        assert_eq!(shown("4,7k"), [DecimalMark::Comma]);
        assert_eq!(shown("0,047"), [DecimalMark::Comma]);
        assert_eq!(shown("1.234,5"), [DecimalMark::Comma]);
        assert_eq!(shown("1,234.5"), [DecimalMark::Point]);
        assert_eq!(shown("4.7k"), [DecimalMark::Point]);
        for nothing in ["1,000", "1.000", "820", "4K7", "X2,275V", "V.W."] {
            assert_eq!(shown(nothing), [], "{nothing}");
        }
    }
}
