//! [`Group`]: recordings that lie together, and the file of results that belongs to them.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result};

use crate::bench::recorded::sitting_name;
use crate::books::job::{Folder, recordings_in};
use crate::cli::status::BadInput;

/// The folder of recordings, and the results beside it.
const PLACES: [(&str, &str); 2] = [("sittings", "results.csv"), ("incoming", "incoming.csv")];

/// Recordings that lie together, and the file of results that belongs to them.
#[derive(Debug)]
pub(super) struct Group {
    /// The recordings to be audited, the oldest first.
    pub(super) recordings: Vec<PathBuf>,
    /// The file of results, if it is known where it should be.
    pub(super) results: Option<PathBuf>,
    /// Every sitting whose recording is there.
    pub(super) known: BTreeSet<String>,
    /// Whether a whole job is audited, so that the results may hold no other rows.
    pub(super) is_whole: bool,
    /// Whether they are batches of new parts, whose results need not be there.
    pub(super) is_incoming: bool,
    /// Whether the decisions of the job are looked at with it.
    pub(super) has_decisions: bool,
    /// The job that they belong to.
    pub(super) job: Option<Folder>,
}

/// The groups that the arguments name. `results` goes before the file beside each group.
///
/// # Errors
/// If a folder is no job or cannot be listed, or if there is nothing to be audited.
pub(super) fn groups(what: &[PathBuf], results: Option<&Path>) -> Result<Vec<Group>> {
    let mut groups: Vec<Group> = Vec::new();
    for path in what {
        if path.is_dir() {
            groups.extend(of_job(path, results)?);
            continue;
        }
        let group = beside(path, results)?;
        match groups.iter_mut().find(|one| one.is_beside(&group)) {
            Some(one) => one.recordings.extend(group.recordings),
            None => groups.push(group),
        }
    }
    Ok(groups)
}

impl Group {
    fn is_beside(&self, other: &Self) -> bool {
        !self.is_whole && self.results == other.results && self.known == other.known
    }
}

/// Everything of a job.
fn of_job(root: &Path, results: Option<&Path>) -> Result<Vec<Group>> {
    let job = Folder::open(root)?;
    let mut groups = Vec::new();
    for (folder, file) in PLACES {
        let recordings = recordings_in(&root.join(folder))?;
        let path = match results {
            Some(results) if folder == PLACES[0].0 => results.to_owned(),
            _ => root.join(file),
        };
        if recordings.is_empty() && !path.is_file() {
            continue;
        }
        groups.push(Group {
            known: recordings.iter().map(|file| sitting_name(file)).collect(),
            recordings,
            results: Some(path),
            is_whole: true,
            is_incoming: folder != PLACES[0].0,
            has_decisions: groups.is_empty(),
            job: Some(job.clone()),
        });
    }
    if groups.is_empty() {
        return Err(BadInput(format!(
            "no recording in `{}`: `probewright sit` makes them",
            root.display()
        ))
        .into());
    }
    Ok(groups)
}

/// One recording, with what lies around it.
fn beside(file: &Path, results: Option<&Path>) -> Result<Group> {
    let folder = file
        .parent()
        .filter(|folder| !folder.as_os_str().is_empty())
        .unwrap_or(Path::new("."));
    // A relative path may name no folder above; the system knows it.
    let absolute = std::path::absolute(folder).context("cannot tell where the recording lies")?;
    let place = PLACES
        .into_iter()
        .find(|(name, _)| absolute.file_name().is_some_and(|found| found == *name));
    let root = place.and_then(|_| absolute.parent());
    let beside = place
        .zip(root)
        .map(|((_, file), _)| shown_parent(folder).join(file));
    Ok(Group {
        recordings: vec![file.to_owned()],
        results: results.map(Path::to_owned).or(beside),
        known: recordings_in(folder)?
            .iter()
            .map(|file| sitting_name(file))
            .collect(),
        is_whole: false,
        has_decisions: false,
        is_incoming: place.is_some_and(|place| place != PLACES[0]),
        job: root.and_then(|root| Folder::open(root).ok()),
    })
}

/// The folder above, as the person would write it.
fn shown_parent(folder: &Path) -> PathBuf {
    match folder.parent() {
        Some(parent) if folder.file_name().is_some() => parent.to_owned(),
        _ => folder.join(".."),
    }
}
