//! All jobs of a workshop in one SQLite database, made from their files.
//!
//! The files stay the truth: the database can be made anew from them at any time, and is never read to make a file of a job.
//! This room reads files and writes the database. It never imports `cli`, `link`, `serve` or the engine's room `sitting`, and never asks a
//! clock: two builds from the same files hold the same.
//!
//! A build goes into a temporary file beside the database, which is brought to the disk and then takes the name. So whoever reads
//! meanwhile sees the old one or the new one whole, and so does whoever comes after a `kill -9`.

mod build;
mod find;
mod job_entry;
mod schema;

pub use build::Build;
pub use find::{ArchiveError, ask, find_jobs};
pub use job_entry::JobEntry;
pub use schema::{ArchiveTable, TABLES, VIEWS, View};

/// Marks a database as ours, in its header: `PBWA` as a number (`PRAGMA application_id`).
pub const APPLICATION_ID: i32 = 0x5042_5741;

/// The version of the tables (`PRAGMA user_version`).
pub const SCHEMA_VERSION: i32 = 3;

/// The name of the database, where none is given.
pub const FILE_NAME: &str = "archive.sqlite";
