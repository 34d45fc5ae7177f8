//! [`ListErrors`]: everything that is wrong with a parts list, with row and column.

use std::fmt;

use thiserror::Error;

use super::{DecimalMark, Kind, Separator};
use crate::engine::quantity::{Amount, RatingError, Tolerance, ToleranceError, ValueError};

/// One thing that is wrong.
#[derive(Debug, Clone, PartialEq, Error)]
pub struct ListError {
    /// The line of the file that the row begins on, counted from one.
    pub row: usize,
    /// The column's name, where one column is at fault.
    pub column: Option<&'static str>,
    /// What is wrong.
    #[source]
    pub problem: Problem,
}

impl ListError {
    /// A fault of a whole row or file.
    pub(super) const fn in_file(row: usize, problem: Problem) -> Self {
        Self {
            row,
            column: None,
            problem,
        }
    }

    /// A fault of one cell.
    pub(super) const fn in_column(row: usize, column: &'static str, problem: Problem) -> Self {
        Self {
            row,
            column: Some(column),
            problem,
        }
    }
}

impl fmt::Display for ListError {
    /// `row:column: found ..., expected ...`, ready to stand behind a file's name and a colon.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.column {
            Some(column) => write!(f, "{}:{column}: {}", self.row, self.problem),
            None => write!(f, "{}: {}", self.row, self.problem),
        }
    }
}

/// What can be wrong: what was found and what was expected.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum Problem {
    /// The file holds nothing.
    #[error(
        "found an empty file, expected a line that names the columns `ref,kind,value,...` and a row for each part"
    )]
    EmptyFile,
    /// The file has a header and nothing else.
    #[error("found no row below the names of the columns, expected one for each part")]
    NoRows,
    /// The file is not in UTF-8.
    #[error("found at byte {offset} what is not UTF-8, expected text; save the file as UTF-8")]
    NotUtf8 {
        /// How many bytes of the file stand before it.
        offset: usize,
    },
    /// A quoted field that is never closed.
    #[error(
        "found a quotation mark that is never closed, expected another one at the end of the field"
    )]
    UnclosedQuote,
    /// The file begins as UTF-16 and is none.
    #[error("found what is no UTF-16, expected text as the file begins; save it as UTF-8")]
    NotUtf16,
    /// A byte that no text has.
    #[error(
        "found a zero byte, expected text; if the file is UTF-16 it lacks its byte order mark, so save it as UTF-8"
    )]
    ZeroByte,
    /// Columns parted by something else than was said.
    #[error(
        "found columns parted by {found}, expected {expected}, as `separator` under [sheet] in job.toml or a first line `sep=` says; change that, or save the file anew"
    )]
    WrongSeparator {
        /// What parts them.
        found: Separator,
        /// What was said.
        expected: Separator,
    },
    /// A first line for spreadsheets that names no separator that there is.
    #[error("found `{found}`, expected `sep=,`, `sep=;` or `sep=` and a tab; delete the line")]
    SeparatorLine {
        /// The line.
        found: String,
    },
    /// Two separators that make equally good columns.
    #[error(
        "found names of columns that can be read in two ways, parted by {first}: {first_columns}; parted by {second}: {second_columns}; expected one; say `separator` under [sheet] in job.toml"
    )]
    TwoSeparators {
        /// The one.
        first: Separator,
        /// The names that it makes.
        first_columns: String,
        /// The other.
        second: Separator,
        /// The names that it makes.
        second_columns: String,
    },
    /// Numbers with either decimal sign.
    #[error(
        "found decimals with a {mark} in `{found}` and with a {other_mark} in `{other}` in row {other_row}, expected one of them; write all alike"
    )]
    TwoDecimals {
        /// The cell.
        found: String,
        /// Its decimal sign.
        mark: DecimalMark,
        /// The cell with the other sign.
        other: String,
        /// That sign.
        other_mark: DecimalMark,
        /// The row of that cell.
        other_row: usize,
    },
    /// A number that is two, depending on the decimal sign.
    #[error(
        "found `{found}`, which is ambiguous: `{number}` is {decimal} if the {sign} is the decimal sign, and {thousands} if it parts thousands; write it in one way, or say `decimal` under [sheet] in job.toml"
    )]
    TwoNumbers {
        /// The cell.
        found: String,
        /// The number.
        number: String,
        /// What stands in it.
        sign: DecimalMark,
        /// What it is with that for the decimal sign.
        decimal: Box<str>,
        /// What it is with the other one.
        thousands: Box<str>,
    },
    /// The other decimal sign than that of the list.
    #[error(
        "found `{number}` in `{found}`, expected decimals with a {expected}, as the list or `decimal` under [sheet] in job.toml has them"
    )]
    OtherDecimal {
        /// The cell.
        found: String,
        /// The number.
        number: String,
        /// The sign of the list.
        expected: DecimalMark,
    },
    /// A decimal comma where there are none.
    #[error(
        "found a comma in `{found}`, expected a full stop as the decimal sign; if the list writes decimals with a comma, say `decimal = \",\"` under [sheet] in job.toml"
    )]
    DecimalComma {
        /// The cell.
        found: String,
        /// The number.
        number: String,
    },
    /// Commas between thousands where there are none.
    #[error(
        "found a comma in `{found}`, expected nothing between thousands; if the list has commas there, say `decimal = \".\"` under [sheet] in job.toml"
    )]
    ThousandsComma {
        /// The cell.
        found: String,
        /// The number.
        number: String,
    },
    /// Points and commas that make no number.
    #[error(
        "found `{found}`, expected in `{number}` one decimal sign at most, and three figures between those that part thousands"
    )]
    NoNumber {
        /// The cell.
        found: String,
        /// What should be a number.
        number: String,
    },
    /// A date where none belongs.
    #[error(
        "found `{found}`: a spreadsheet has made a date of it, expected what the drawing has; set the cells to text in the spreadsheet and write it again"
    )]
    MadeDate {
        /// The text.
        found: String,
    },
    /// A number with an exponent where a spreadsheet put it.
    #[error(
        "found `{found}`: a spreadsheet has made a rounded number of it, expected what the drawing has, such as `4E3` or `1 Meg`; set the cells to text in the spreadsheet and write it again"
    )]
    MadeExponent {
        /// The text.
        found: String,
    },
    /// A formula that came to nothing.
    #[error(
        "found `{found}`: a spreadsheet has taken it for a formula or has no room to show it, expected what the drawing has; set the cells to text in the spreadsheet and write it again"
    )]
    MadeError {
        /// The text.
        found: String,
    },
    /// UTF-8 that was misread and saved.
    #[error(
        "found `{found}`, which was `{was}` before a program took UTF-8 for Windows-1252; write it again, and open the file as UTF-8"
    )]
    Misread {
        /// The text.
        found: String,
        /// What it was.
        was: String,
    },
    /// A required column is not there.
    #[error("found no such column, expected at least `ref`, `kind` and `value`")]
    MissingColumn,
    /// Two columns of the same name.
    #[error("found two columns of this name, expected one")]
    ColumnTwice,
    /// Too many or too few fields.
    #[error(
        "found {found} fields, expected {expected} as in the first line; put text that contains what parts the columns in quotation marks"
    )]
    FieldCount {
        /// How many the row has.
        found: usize,
        /// How many the header has.
        expected: usize,
    },
    /// No designator.
    #[error("found no designator, expected one such as `R12`")]
    NoDesignator,
    /// The designator is in use.
    #[error("found `{found}` again, first in row {first}; expected each designator once")]
    Duplicate {
        /// The designator.
        found: String,
        /// The row that has it.
        first: usize,
    },
    /// An unknown kind, or none.
    #[error("found {}, expected {}", quoted(found), Kind::names())]
    Kind {
        /// The text.
        found: String,
    },
    /// The value cannot be read.
    #[error(transparent)]
    Value(ValueError),
    /// The tolerance cannot be read.
    #[error(transparent)]
    Tolerance(ToleranceError),
    /// The tolerance differs from the one that a letter behind the value states.
    #[error(
        "found `{found}`, expected {marked} as the letter behind the value says, or a value without the letter"
    )]
    TwoTolerances {
        /// The text of the column.
        found: String,
        /// What the letter says.
        marked: Tolerance,
    },
    /// A tolerance of a part that has only to conduct.
    #[error(
        "found `{found}` for a {kind}, expected no tolerance: its value is the largest resistance it may have"
    )]
    ToleranceOfLimit {
        /// The text.
        found: String,
        /// The kind of the part.
        kind: Kind,
    },
    /// A bare number as the value of a part that carries ratings.
    #[error(
        "found `{found}` without a unit, expected a resistance such as `50 Ω`, a rating such as `500 mA`, or nothing"
    )]
    BareRating {
        /// The text.
        found: String,
    },
    /// A loss, leakage or frequency for a kind that has none.
    #[error(
        "found `{found}` for a {kind}, expected nothing; capacitors, windings and coils have such limits"
    )]
    LimitOfKind {
        /// The text.
        found: String,
        /// The kind of the part.
        kind: Kind,
    },
    /// The loss limit cannot be read.
    #[error("found `{found}`, expected the largest loss factor tan δ, such as `0.15`, or nothing")]
    Loss {
        /// The text.
        found: String,
    },
    /// The leakage limit cannot be read.
    #[error(
        "found `{found}`, expected the largest leakage with its unit, such as `0.5 mA`, or nothing"
    )]
    Leakage {
        /// The text.
        found: String,
    },
    /// The frequency of the loss limit cannot be read.
    #[error(
        "found `{found}`, expected the frequency of the loss limit, such as `120 Hz` or `1 kHz`, or nothing"
    )]
    Frequency {
        /// The text.
        found: String,
    },
    /// The meter of a service sheet for a kind that has no voltage.
    #[error(
        "found `{found}` for a {kind}, expected nothing; only a point is on a sheet of voltages"
    )]
    SheetOfKind {
        /// The text.
        found: String,
        /// The kind of the part.
        kind: Kind,
    },
    /// The sensitivity of the sheet's meter cannot be read.
    #[error(
        "found `{found}`, expected the sensitivity of the sheet's meter in ohm per volt, such as `1000` or `20k`, or nothing"
    )]
    OhmPerVolt {
        /// The text.
        found: String,
    },
    /// The range of the sheet's meter cannot be read.
    #[error(
        "found `{found}`, expected the end of the range that the sheet's meter was on, such as `300 V`, or nothing"
    )]
    SheetRange {
        /// The text.
        found: String,
    },
    /// The sheet's meter cannot have shown the value on that range.
    #[error(
        "found `{found}`, expected a range that shows the value of the row; check both on the sheet"
    )]
    AboveSheetRange {
        /// The text.
        found: String,
    },
    /// The source resistance of a point cannot be read.
    #[error(
        "found `{found}`, expected the resistance behind the point, such as `100k`, or nothing if it is not known"
    )]
    SourceOhm {
        /// The text.
        found: String,
    },
    /// One of the columns of the sheet's meter without the other.
    #[error(
        "found nothing, expected `sheet_ohm_per_volt` and `sheet_range` together, and both wherever `source_ohm` is stated"
    )]
    NoSheetMeter,
    /// A partner that the list does not have.
    #[error(
        "found `{found}`, expected designators of this list or a voltage such as `250V`, separated by blanks"
    )]
    UnknownPartner {
        /// The word.
        found: String,
    },
    /// A part that is its own partner.
    #[error("found `{found}`, the part itself; expected the parts that it works with")]
    OwnPartner {
        /// The word.
        found: String,
    },
    /// A further measurement that there is not, or the same one twice.
    #[error(
        "found `{found}`, expected what else is to be measured, each once, or nothing: `leakage` of a capacitor, `stop`, `middle` or `sweep` of a potentiometer, makes of a switch such as `5 makes` (2 to 20)"
    )]
    Also {
        /// The word.
        found: String,
    },
    /// A further measurement that such a part does not have.
    #[error("found `{found}` for a {kind}, expected a measurement that such a part has")]
    AlsoOfKind {
        /// The word.
        found: String,
        /// The kind of the part.
        kind: Kind,
    },
    /// The law of a potentiometer cannot be read.
    #[error("found `{found}`, expected `linear`, `audio`, `reverse` or nothing")]
    Law {
        /// The text.
        found: String,
    },
    /// The law of a potentiometer as a maker's letter.
    #[error(
        "found `{found}`, expected `linear`, `audio` or `reverse`: the letter means different laws in different countries"
    )]
    LawLetter {
        /// The letter.
        found: String,
    },
    /// A law for a kind that has no wiper.
    #[error("found `{found}` for a {kind}, expected nothing; only a potentiometer has a law")]
    LawOfKind {
        /// The text.
        found: String,
        /// The kind of the part.
        kind: Kind,
    },
    /// A measurement at half the travel without the law that tells what to expect there.
    #[error(
        "found nothing, expected `linear`, `audio` or `reverse`, since `also` asks for `middle`"
    )]
    NoLaw,
    /// No resistance of a load.
    #[error(
        "found `{found}`, expected the resistance that loads the secondary, such as `8 Ω`, or nothing"
    )]
    Load {
        /// The text.
        found: String,
    },
    /// A load at another part than a ratio.
    #[error("found `{found}` for a {kind}, expected a load at a ratio of turns only")]
    LoadOfKind {
        /// The text.
        found: String,
        /// The kind of the part.
        kind: Kind,
    },
    /// The largest value that may stand in cannot be read.
    #[error(
        "found `{found}`, expected the largest capacitance that may stand in for it, such as `50uF`, or nothing"
    )]
    Largest {
        /// The text.
        found: String,
    },
    /// The largest value that may stand in is less than the value.
    #[error(
        "found `{found}`, expected no less than the value of the row, {nominal}; the column is for the most that the rectifier allows"
    )]
    LargestBelowValue {
        /// The text.
        found: String,
        /// The nominal value.
        nominal: Amount,
    },
    /// A largest value at another part than a capacitor.
    #[error("found `{found}` for a {kind}, expected nothing; only a capacitor has a largest value")]
    LargestOfKind {
        /// The text.
        found: String,
        /// The kind of the part.
        kind: Kind,
    },
    /// The rating cannot be read.
    #[error(transparent)]
    Rating(RatingError),
    /// An unknown material.
    #[error(
        "found `{found}`, expected `carbon`, `film`, `wirewound`, `paper`, `electrolytic`, `mica`, `ceramic`, `oil` or nothing"
    )]
    Material {
        /// The text.
        found: String,
    },
    /// A material that no such part is made of.
    #[error("found `{found}` for a {kind}, expected {materials}", materials = materials_of(*kind))]
    MaterialOfKind {
        /// The text.
        found: String,
        /// The kind of the part.
        kind: Kind,
    },
    /// Neither yes nor no.
    #[error("found `{found}`, expected `yes`, `no` or nothing")]
    InCircuit {
        /// The text.
        found: String,
    },
}

fn quoted(text: &str) -> String {
    if text.is_empty() {
        "nothing".to_owned()
    } else {
        format!("`{text}`")
    }
}

fn materials_of(kind: Kind) -> String {
    let suiting = super::Material::ALL
        .into_iter()
        .filter(|material| material.suits(kind));
    let names = suiting.map(|material| format!("`{material}`"));
    names
        .chain(["or nothing".to_owned()])
        .collect::<Vec<String>>()
        .join(", ")
}

/// Everything that is wrong with a file; at least one thing, in the order of the rows.
#[derive(Debug, Clone, PartialEq, Error)]
pub struct ListErrors(Vec<ListError>);

impl ListErrors {
    pub(super) fn new(mut errors: Vec<ListError>) -> Self {
        errors.sort_by_key(|error| error.row);
        Self(errors)
    }

    /// The errors, in the order of the rows.
    pub fn errors(&self) -> &[ListError] {
        &self.0
    }
}

impl fmt::Display for ListErrors {
    /// One line for each.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (at, error) in self.0.iter().enumerate() {
            let end = if at + 1 < self.0.len() { "\n" } else { "" };
            write!(f, "{error}{end}")?;
        }
        Ok(())
    }
}
