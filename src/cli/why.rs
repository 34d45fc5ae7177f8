//! `why`: a verdict explained in full sentences, with its numbers.

use std::io::Write;
use std::path::{Path, PathBuf};

use anyhow::Result;

use clap_complete::ArgValueCompleter;

use super::completions::parts;
use super::remark::remark;
use super::status::{BadInput, Status};
use super::table::{flowing, wrapped};
use crate::bench::recorded::{Played, Recorded, not_whole};
use crate::books::batch::bag_number;
use crate::books::job::{Folder, folder_name};
use crate::books::ledger::Book;
use crate::books::session::with_fitted;
use crate::engine::sitting::{Outlook, Plan, Record, What};
use crate::views::report::{Evidence, explanation};

/// Explain the verdict on a part: what was read, how sure that is, the limits and where they come from, the rule. For a part that was not judged yet, its limits.
#[derive(Debug, clap::Args)]
pub(crate) struct Arguments {
    /// The folder of a job (its newest sitting that judged the part counts), or a recording.
    job: PathBuf,
    /// Designator of the part, or the label of a bag: `"bag 3"`.
    #[arg(add = ArgValueCompleter::new(parts))]
    part: String,
}

/// A verdict as it was found in a recording, with the others of the sitting.
struct Measured {
    plan: Plan,
    /// The last record of each measurement of the part.
    of_part: Vec<Record>,
    /// The last record of each part.
    records: Vec<Record>,
    recorded: Recorded,
}

/// Runs the command.
pub(crate) fn run(arguments: &Arguments, out: &mut dyn Write) -> Result<Status> {
    for file in recordings(arguments)? {
        if let Some(found) = find(&file, &arguments.part)? {
            flowing(&explain(&found)?, out)?;
            return Ok(Status::Done);
        }
    }
    let (part, job) = (&arguments.part, folder_name(&arguments.job));
    let limits = limits(arguments)?;
    if limits.is_empty() {
        return Err(BadInput(format!(
            "no verdict on `{part}` in {job}: measure it with `probewright sit`"
        ))
        .into());
    }
    writeln!(out, "{part} was not judged yet. It is held to:")?;
    for one in limits {
        wrapped(&one, "  ", "    ", out)?;
    }
    Ok(Status::Done)
}

/// Limits of a part of the list, by the job as it is today or as a recording has it; none for a bag or a part that the
/// list does not have.
fn limits(arguments: &Arguments) -> Result<Vec<String>> {
    let setup = if arguments.job.is_file() {
        Recorded::open(&arguments.job)?.setup
    } else {
        let folder = Folder::open(&arguments.job)?;
        with_fitted(folder.read_setup()?, Book::open(&folder).as_ref(), &folder)
    };
    let outlook = Outlook::of(&setup, &setup.list()?)?;
    Ok(outlook.limits(&arguments.part))
}

fn explain(found: &Measured) -> Result<String> {
    let evidence = Evidence {
        plan: &found.plan,
        list: &found.recorded.setup.list()?.parts,
        records: &found.records,
    };
    let explained = found.of_part.iter().map(|record| {
        let part = &found.plan.parts()[record.part];
        explanation(part, record, &evidence)
    });
    Ok(explained.collect::<Vec<_>>().join("\n\n"))
}

/// The recordings to be searched, the newest first; for a bag those of new parts.
fn recordings(arguments: &Arguments) -> Result<Vec<PathBuf>> {
    let job = &arguments.job;
    if job.is_file() {
        return Ok(vec![job.to_owned()]);
    }
    let folder = Folder::open(job)?;
    let mut files = if bag_number(&arguments.part).is_some() {
        folder.batches()?
    } else {
        folder.recordings()?
    };
    files.reverse();
    Ok(files)
}

/// The last verdict on the part in that recording.
fn find(file: &Path, designator: &str) -> Result<Option<Measured>> {
    let recorded = Recorded::open(file)?;
    let plan = recorded.plan()?;
    let mut last: Vec<Option<Record>> = vec![None; plan.parts().len()];
    let wanted = |record: &Record| {
        plan.parts()[record.part]
            .designator
            .eq_ignore_ascii_case(designator)
    };
    let played = recorded.play(
        plan.clone(),
        |_| (),
        |event| {
            if let What::Judged(record) = &event.what {
                last[record.part] = Some(Record::clone(record));
            }
            Ok(())
        },
    )?;
    let trouble = match &played {
        Played::UpToAFlaw(flaw) => Some(flaw.to_string()),
        Played::ToTheEnd(ending) => not_whole(ending.as_ref(), file),
    };
    let records: Vec<Record> = last.into_iter().flatten().collect();
    let of_part: Vec<Record> = records
        .iter()
        .filter(|record| wanted(record))
        .cloned()
        .collect();
    if of_part.is_empty() {
        return Ok(None);
    }
    if let Some(trouble) = trouble {
        remark(&trouble);
    }
    Ok(Some(Measured {
        plan,
        of_part,
        records,
        recorded,
    }))
}
