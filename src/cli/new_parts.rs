//! [`NewParts`]: a sitting over new parts instead of the parts list.

use std::io::Write;
use std::path::Path;

use anyhow::Result;

use super::batch::{run_of_bags, tolerance, write_batch};
use super::remark::remark;
use super::status::BadInput;
use crate::bench::recorded::sitting_name;
use crate::books::batch;
use crate::books::job::Folder;
use crate::engine::judge::capacitor::Condition;
use crate::engine::parts::Article;
use crate::engine::quantity::Drawing;
use crate::engine::sitting::Setup;

/// The options of a sitting about new parts.
#[derive(Debug, clap::Args)]
pub(crate) struct NewParts {
    /// New parts instead of the list, all of this article, one touch each: value, rating, tolerance and material, such as
    /// `47uF 450V 20% electrolytic`. Each has a bag: bag 1, bag 2, ..., numbered through all batches of the job. They are written to incoming.csv.
    #[arg(
        long,
        value_name = "ARTICLE",
        requires = "count",
        conflicts_with_all = ["only", "todo"]
    )]
    batch: Option<String>,
    /// Number of new parts.
    #[arg(long, value_name = "NUMBER", requires = "batch", value_parser = clap::value_parser!(u32).range(1..=MOST))]
    count: Option<u32>,
}

/// The most parts of a batch; more are measured in several.
const MOST: i64 = 500;

/// Said before new parts are measured.
const CAUTION: &str = "\
New parts are taken to hold no charge, and no voltmeter is asked for. First discharge any that were formed or tested under voltage.";

impl NewParts {
    /// Makes the set-up one for new parts, if they are wanted. The job must be locked, so that no other sitting takes the same
    /// numbers.
    ///
    /// # Errors
    /// If the article cannot be read, or the numbers that were given already.
    pub(crate) fn take_the_place_of_the_list(
        &self,
        setup: Setup,
        folder: &Folder,
    ) -> Result<Setup> {
        let (Some(text), Some(count)) = (&self.batch, self.count) else {
            return Ok(setup);
        };
        let settings = setup.job()?.list;
        // New parts are marked by IEC 60062, whatever the drawing of the job does.
        let article = Article::parse(text, Drawing::default())
            .map_err(|error| BadInput(format!("--batch `{text}`: {error}")))?;
        let first = batch::last_number(folder, remark)? + 1;
        remark(&format!("new parts: {article}, {}", tolerance(&article)));
        remark(&run_of_bags(first, first + count - 1));
        let list = batch::parts_list(&article, first, count, settings);
        Ok(setup
            .with_file(Setup::PARTS, list)
            .with_setting(Setup::CONDITION, Condition::New.name())
            .with_setting(Setup::FITTED, ""))
    }

    /// Whether new parts are measured.
    pub(crate) const fn are_wanted(&self) -> bool {
        self.batch.is_some()
    }

    /// Says what is taken for granted, if new parts are measured.
    pub(crate) fn caution(&self) {
        if self.are_wanted() {
            remark(CAUTION);
        }
    }

    /// Prints what became of the batch, if it was one.
    ///
    /// # Errors
    /// If it cannot be read or printed.
    pub(crate) fn sum_up(
        &self,
        folder: &Folder,
        recording: &Path,
        out: &mut dyn Write,
    ) -> Result<()> {
        if self.batch.is_none() {
            return Ok(());
        }
        let name = sitting_name(recording);
        let batches = batch::read(folder)?;
        match batches.iter().find(|batch| batch.name == name) {
            Some(batch) => {
                writeln!(out)?;
                write_batch(batch, out)?;
            }
            None => writeln!(out, "no new part was measured")?,
        }
        Ok(())
    }
}
