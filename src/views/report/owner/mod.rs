//! The owner's report: what was found in a piece of equipment, what was done about it, and how that can be proven.
//!
//! Pure: it is given [`Facts`] and gives text. It opens no file, reads no clock, and imports neither `cli` nor `recording`.
//! The same facts give the same bytes.
//!
//! | text | for whom | by |
//! |---|---|---|
//! | HTML, one file that needs nothing from elsewhere | the owner, the next technician | [`page()`], two sheets of it [`short_page`] |
//! | CSV, a row for each step of each part | spreadsheets | [`table()`] |
//! | JSON | programs | [`json`] |

mod document;
mod facts;
mod page;
mod photo;
mod table;

pub use document::json;
pub use facts::{Facts, FileFacts, Proof, SittingFacts, StepRow, Touch, TouchPoint};
pub use page::{page, short_page};
pub use photo::Photo;
pub use table::{report_columns, table};
