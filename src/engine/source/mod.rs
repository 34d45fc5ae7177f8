//! Texts that people write by hand or save from a spreadsheet, as text: TOML, and tables. One way to read each, one voice for what is
//! wrong with them.
//!
//! Pure: takes the bytes of a file, opens none.

mod decimal_mark;
mod encoding;
mod lines;
mod separator;
mod table;
mod text_error;

pub(crate) use decimal_mark::{Decimals, Grouped, with_comma};
pub(crate) use encoding::{before_misreading, decode};
pub(crate) use lines::csv_writer;
pub(crate) use table::{Layout, Row, Table, each_record, read_rows, width};
pub(crate) use text_error::{Mark, TomlText};

pub use decimal_mark::DecimalMark;
pub use encoding::{TextEncoding, utf8};
pub use lines::{cell, from_cell};
pub use separator::Separator;
pub use table::{Dialect, TableRemark};
pub use text_error::{Fault, Problem, TextError};
