//! The owner's report: what was found in a piece of equipment, what was done about it, and how that can be proven.
//!
//! Pure: it is given [`Facts`] and gives text. It opens no file, reads no clock, and imports neither `cli` nor `recording`.
//! The same facts give the same bytes.
//!
//! | text | for whom | by |
//! |---|---|---|
//! | HTML, one file that needs nothing from elsewhere | the owner, the next technician | [`page()`] |
//! | CSV, a row for each step of each part | spreadsheets | [`table()`] |
//! | JSON | programs | [`json`] |

mod counts;
mod document;
mod facts;
mod page;
mod photo;
mod sitting_facts;
mod step_row;
mod table;
mod touch;

pub use document::json;
pub use facts::{Facts, FileFacts};
pub use page::page;
pub use photo::Photo;
pub use sitting_facts::{Proof, SittingFacts};
pub use step_row::StepRow;
pub use table::{report_columns, table};
pub use touch::{Touch, TouchPoint};
