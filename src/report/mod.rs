//! What a sitting leaves behind for people and spreadsheets.

mod results;
mod results_file;

pub use results::{COLUMNS, Results};
pub use results_file::{Opened, open_results};
