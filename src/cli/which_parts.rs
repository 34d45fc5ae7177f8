//! [`WhichParts`]: the parts of a job that a sitting is to measure.

use anyhow::Result;

use super::status::BadInput;
use crate::books::ledger::{Book, Glance};
use crate::engine::parts::Selection;

/// Which parts are to be measured.
#[derive(Debug, clap::Args)]
pub(crate) struct WhichParts {
    /// Only these parts: designators with * and ?, separated by commas.
    #[arg(long, default_value = "", value_name = "R*,C4")]
    only: String,
    /// Only what is to be measured: what never was, and what was fitted and not measured since.
    #[arg(long)]
    open: bool,
}

impl WhichParts {
    /// Whether the ledger of the job must be there for it.
    pub(crate) const fn need_the_ledger(&self) -> bool {
        self.open
    }

    /// The selection, empty for all parts; `None` if what is open is wanted and nothing is.
    ///
    /// # Errors
    /// If the selection cannot be read.
    pub(crate) fn selection(&self, book: Option<&Book>) -> Result<Option<String>> {
        let Some(book) = book.filter(|_| self.open) else {
            return Ok(Some(self.only.clone()));
        };
        let glance = Glance::at(book);
        let all = glance.to_measure().map(|one| one.part.designator.as_str());
        let wanted: Vec<&str> = if self.only.is_empty() {
            all.collect()
        } else {
            let selection =
                Selection::parse(&self.only).map_err(|error| BadInput(error.to_string()))?;
            all.filter(|designator| selection.matches(designator))
                .collect()
        };
        Ok((!wanted.is_empty()).then(|| wanted.join(",")))
    }
}
