//! What a sitting leaves behind for people and spreadsheets.

mod explanation;
mod html;
pub mod order;
pub mod owner;
mod results;
mod results_file;

pub use explanation::{Evidence, explanation};
pub use results::{COLUMNS, Results};
pub use results_file::{Opened, open_results};
