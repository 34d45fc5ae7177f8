//! A job: one piece of equipment, as a folder of plain files.
//!
//! | file | what |
//! |---|---|
//! | `job.toml` | title, how the drawing is read, decision rule, meter |
//! | `parts.csv` | the parts list |
//! | `results.csv` | one row per settled value, of all sittings |
//! | `sittings/*.rec` | the recordings, one per sitting |

mod folder;
mod settings;

pub use folder::{Folder, JobError};
pub use settings::{MeterChoice, Settings, SettingsError};
