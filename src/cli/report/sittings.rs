//! The sittings of a job, and how far their recordings prove them.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use anyhow::Result;

use super::touches;
use crate::bench::recorded::Recorded;
use crate::bench::recorded::sitting_name;
use crate::bench::recording::{Ending, ReadError, Survey, survey};
use crate::books::job::Folder;
use crate::books::ledger::Row;
use crate::cli::progress::Steps;
use crate::engine::quantity::Quantity;
use crate::views::report::owner::{Proof, SittingFacts, Touch};

/// The sittings that have a recording or rows of the results, by name, behind them the batches of new parts likewise, and, if
/// asked, the touch of a sitting that has most to show.
pub(super) fn look_at(
    folder: &Folder,
    measurements: &[Row],
    incoming: &[Row],
    with_touch: bool,
) -> Result<(Vec<SittingFacts>, Option<Touch>)> {
    let (recordings, batches) = (folder.recordings()?, folder.batches()?);
    let all = recordings.len() + batches.len();
    let mut steps = Steps::of(all);
    let mut next = || {
        if all > 1 {
            steps.next(|number, of| format!("recording {number} of {of}"));
        }
    };
    let mut most: Option<Touch> = None;
    let mut sittings = each(&recordings, measurements, false, |facts, recorded| {
        next();
        if let (true, Some(recorded)) = (with_touch, recorded) {
            // A recording that cannot be computed again has no touch to show, and its facts say what is wrong with it.
            most = touches::most_telling(&recorded, most.clone()).unwrap_or(most.take());
        }
        facts
    });
    sittings.extend(each(&batches, incoming, true, |facts, _| {
        next();
        facts
    }));
    Ok((sittings, most))
}

/// What there is to tell of these recordings, and of the rows of which there is none.
fn each(
    recordings: &[PathBuf],
    measurements: &[Row],
    of_new_parts: bool,
    mut look: impl FnMut(SittingFacts, Option<Recorded>) -> SittingFacts,
) -> Vec<SittingFacts> {
    let mut rows: BTreeMap<&str, usize> = BTreeMap::new();
    for one in measurements {
        *rows.entry(&one.sitting).or_default() += 1;
    }
    let mut sittings = Vec::new();
    for file in recordings {
        let rows = rows.remove(sitting_name(file).as_str()).unwrap_or(0);
        let (facts, recorded) = of_recording(file, rows);
        sittings.push(look(
            SittingFacts {
                of_new_parts,
                ..facts
            },
            recorded,
        ));
    }
    for (name, rows) in rows {
        let mut gone = SittingFacts {
            of_new_parts,
            ..SittingFacts::missing(name, rows, "")
        };
        gone.proof = Proof::Missing(format!("there is no {}", gone.file()));
        sittings.push(gone);
    }
    sittings.sort_by(|one, other| one.name.cmp(&other.name));
    sittings
}

/// What a recording tells of its sitting; and itself, if its head can be read.
fn of_recording(file: &Path, rows: usize) -> (SittingFacts, Option<Recorded>) {
    let name = sitting_name(file);
    let whole = match survey(file) {
        Ok(whole) => whole,
        Err(error) => {
            let mut facts = SittingFacts::missing(&name, rows, "");
            facts.proof = unreadable(&error);
            return (facts, None);
        }
    };
    let facts = SittingFacts {
        lines: whole.lines,
        lasted_s: lasted(&whole),
        proof: proof(&whole),
        ..SittingFacts::missing(&name, rows, "")
    };
    let Ok(recorded) = Recorded::open(file) else {
        return (facts, None);
    };
    let plan = recorded.plan().ok();
    let meters =
        plan.map(|plan| Quantity::ALL.map(|quantity| plan.profile_for(quantity).name().to_owned()));
    let facts = SittingFacts {
        begun: recorded.begun().ok(),
        program: recorded.program().map(|(_, version)| version.to_owned()),
        meters: meters.map(Vec::from).unwrap_or_default(),
        ..facts
    };
    (facts, Some(recorded))
}

/// What a recording proves that cannot be looked through; in words that hold wherever the job lies.
fn unreadable(error: &ReadError) -> Proof {
    match error {
        ReadError::Open { source, .. } => {
            Proof::Missing(format!("the recording cannot be opened: {source}"))
        }
        ReadError::Read { source, .. } => {
            Proof::Damaged(format!("the recording cannot be read further: {source}"))
        }
        ReadError::Empty { .. } => {
            Proof::Damaged("it holds no whole line: nothing was recorded in it".to_owned())
        }
        ReadError::NotARecording { says, .. } => {
            Proof::Damaged(format!("it is no recording: its first line says `{says}`"))
        }
        ReadError::Version { found, .. } => Proof::Missing(format!(
            "it is of version {found} of the format, which this program does not read"
        )),
        ReadError::Damaged { problem, .. } => Proof::Damaged(problem.to_string()),
    }
}

fn lasted(whole: &Survey) -> Option<f64> {
    match &whole.ending {
        Ending::Sealed(seal) => Some(seal.at.seconds()),
        Ending::Unsealed { .. } | Ending::Torn { .. } => None,
    }
}

fn proof(whole: &Survey) -> Proof {
    if let Some(first) = whole.problems.first() {
        let more = whole.problems.len() as u64 - 1 + whole.unlisted;
        let more = match more {
            0 => String::new(),
            more => format!(" (and {more} more)"),
        };
        return Proof::Damaged(format!("{first}{more}"));
    }
    match &whole.ending {
        Ending::Sealed(seal) => Proof::Sealed {
            digest: seal.digest.to_string(),
        },
        Ending::Unsealed { .. } => Proof::Unsealed,
        Ending::Torn { bytes, .. } => Proof::Damaged(format!(
            "it ends within a line, of which {bytes} bytes are left"
        )),
    }
}
