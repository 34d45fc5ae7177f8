//! What people write by hand or save from a spreadsheet, as text: TOML, and tables. One way to read each, one voice for what is
//! wrong with them.
//!
//! Pure: takes the bytes of a file, opens none.

mod cell;
mod decimal_mark;
mod encoding;
mod lines;
mod separator;
mod table;
mod table_remark;
mod text_error;
mod toml_text;

pub(crate) use cell::csv_writer;
pub(crate) use decimal_mark::{Decimals, Grouped, with_comma};
pub(crate) use encoding::before_misreading;
pub(crate) use table::{Layout, Row, Table, each_record, read_rows, width};
pub(crate) use text_error::Mark;
pub(crate) use toml_text::TomlText;

pub use cell::{cell, from_cell};
pub use decimal_mark::DecimalMark;
pub use encoding::{TextEncoding, utf8};
pub use separator::Separator;
pub use table::Dialect;
pub use table_remark::TableRemark;
pub use text_error::{Fault, Problem, TextError};
