//! [`to_be_measured`]: the parts of a job that a sitting is to measure, by where they stand.

use anyhow::Result;

use super::status::BadInput;
use crate::job::Folder;
use crate::ledger::{Book, Glance};
use crate::parts::Selection;

/// A selection of the parts that were never measured, or fitted and not measured since; of those that `only` names, if it
/// names any. `None` if there are none.
///
/// # Errors
/// If the ledger of the job or the selection cannot be read.
pub(crate) fn to_be_measured(folder: &Folder, only: &str) -> Result<Option<String>> {
    let book = Book::open(folder)?;
    let glance = Glance::at(&book);
    let all = glance.to_measure().map(|one| one.part.designator.as_str());
    let wanted: Vec<&str> = if only.is_empty() {
        all.collect()
    } else {
        let selection = Selection::parse(only).map_err(|error| BadInput(error.to_string()))?;
        all.filter(|designator| selection.matches(designator))
            .collect()
    };
    Ok((!wanted.is_empty()).then(|| wanted.join(",")))
}
