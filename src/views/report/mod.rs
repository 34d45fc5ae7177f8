//! Reports of a sitting for people and spreadsheets.

pub mod diagram;
mod explanation;
mod html;
pub mod order;
pub mod owner;

pub use explanation::{Evidence, explanation};
