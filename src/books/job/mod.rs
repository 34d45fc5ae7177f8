//! A job: one piece of equipment, as a folder of plain files.
//!
//! | file | what |
//! |---|---|
//! | `job.toml` | title, how the drawing is read, decision rule, meters |
//! | `parts.csv` | the parts list |
//! | `policy.toml` | may be there: what is replaced whatever it reads, and which roles are held to other bands |
//! | `loss.toml`, `leakage.toml`, `insulation.toml` | may be there: the job's own limits of capacitors |
//! | `ageing.toml` | may be there: how far old parts lie from their nominal values |
//! | `goods.toml` | may be there: what is on sale, for substitutes |
//! | `results.csv` | one row per settled value, of all sittings |
//! | `incoming.csv`, `incoming/*.rec` | the same of new parts, before they go in |
//! | `decisions.csv` | what was decided about each part, append-only |
//! | `sittings/*.rec` | the recordings, one per sitting |
//! | `.sitting.lock` | held by the process of a sitting |

mod folder;
mod growing_table;
mod lock;

pub use folder::{Folder, JobError, folder_name, recordings_in};
pub use growing_table::{Advice, GrowingTable};
pub use lock::{SittingLock, has_sitting};
