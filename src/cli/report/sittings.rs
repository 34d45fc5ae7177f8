//! The sittings of a job, and how far their recordings prove them.
//!
//! The photos of a job: `photos/*.jpg`, `.jpeg`, `.png`, `.webp`, each with its caption in a `.txt` beside it.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::{fs, io};

use anyhow::{Context as _, Result};

use super::most_telling;
use crate::bench::recorded::{Recorded, sitting_name};
use crate::bench::recording::{Ending, ReadError, Survey, survey};
use crate::books::job::Folder;
use crate::books::ledger::Row;
use crate::cli::progress::Steps;
use crate::engine::quantity::Quantity;
use crate::views::report::owner::{Photo, Proof, SittingFacts, Touch};

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
            most = most_telling(&recorded, most.clone()).unwrap_or(most.take());
        }
        facts
    });
    sittings.extend(each(&batches, incoming, true, |facts, _| {
        next();
        facts
    }));
    Ok((sittings, most))
}

/// Facts about these recordings, and about the rows of which there is none.
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

/// Facts of a sitting from its recording; and the recording, if its head can be read.
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
        plan.map(|plan| Quantity::ALL.map(|quantity| plan.profile_for(quantity).name.clone()));
    let facts = SittingFacts {
        begun: recorded.begun().ok(),
        program: recorded.program().map(|(_, version)| version.to_owned()),
        meters: meters.map(Vec::from).unwrap_or_default(),
        ..facts
    };
    (facts, Some(recorded))
}

/// Proof of a recording that cannot be looked through; in words that hold wherever the job lies.
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

/// The largest photo that goes into a report, and the most that all may have together, in bytes.
const LARGEST: u64 = 8 * MEGA;
const TOGETHER: u64 = 32 * MEGA;
const MEGA: u64 = 1_000_000;

const ENDINGS: [&str; 4] = ["jpg", "jpeg", "png", "webp"];

/// The photos of a job, and what was left out of them.
#[derive(Debug, Default)]
pub(super) struct Photos {
    /// By name of file.
    pub(super) shown: Vec<Photo>,
    /// Each as a sentence.
    pub(super) left_out: Vec<String>,
}

/// The photos of the job in that folder.
pub(super) fn of(folder: &Folder) -> Result<Photos> {
    let mut photos = Photos::default();
    let mut together = 0;
    for path in pictures(&folder.root().join("photos"))? {
        match read(&path, TOGETHER - together)? {
            Ok((photo, bytes)) => {
                together += bytes;
                photos.shown.push(photo);
            }
            Err(sentence) => photos.left_out.push(sentence),
        }
    }
    Ok(photos)
}

/// The files that are called like pictures, by name.
fn pictures(folder: &Path) -> Result<Vec<PathBuf>> {
    let entries = match fs::read_dir(folder) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(Vec::new()),
        entries => entries.with_context(|| format!("cannot list `{}`", folder.display()))?,
    };
    let mut pictures = Vec::new();
    for entry in entries {
        let path = entry?.path();
        let ending = path.extension().unwrap_or_default().to_string_lossy();
        if ENDINGS
            .iter()
            .any(|known| ending.eq_ignore_ascii_case(known))
        {
            pictures.push(path);
        }
    }
    pictures.sort_unstable();
    Ok(pictures)
}

/// A photo and its size; the inner error says why it is left out.
fn read(path: &Path, room: u64) -> Result<std::result::Result<(Photo, u64), String>> {
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    let cannot = || format!("cannot read `{}`", path.display());
    let there = path.metadata().with_context(cannot)?;
    let bytes = there.len();
    if !there.is_file() {
        return Ok(Err(format!("`{name}` is left out: it is no file")));
    }
    if bytes > LARGEST.min(room) {
        return Ok(Err(format!(
            "`{name}` is left out: it has {:.1} MB, a photo may have {} MB and all together {} MB; make it smaller",
            bytes as f64 / MEGA as f64,
            LARGEST / MEGA,
            TOGETHER / MEGA
        )));
    }
    let photo = Photo::new(&name, &caption(path)?, fs::read(path).with_context(cannot)?);
    Ok(photo
        .map(|photo| (photo, bytes))
        .map_err(|no_photo| no_photo.to_string()))
}

/// Text of the `.txt` beside the photo; without one the name of the file.
fn caption(photo: &Path) -> Result<String> {
    let text = photo.with_extension("txt");
    match fs::read(&text) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => {
            let name = photo.file_name().unwrap_or_default();
            Ok(name.to_string_lossy().into_owned())
        }
        read => {
            let bytes = read.with_context(|| format!("cannot read `{}`", text.display()))?;
            Ok(String::from_utf8_lossy(&bytes).trim().to_owned())
        }
    }
}
