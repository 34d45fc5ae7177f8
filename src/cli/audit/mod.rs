//! `audit`: whether recordings are as they were written, and the results what they give.
//!
//! [`Group`]: recordings that lie together, and the file of results that belongs to them.
//!
//! Changes under another policy or another decision rule.
//!
//! [`Today`]: the files of a job as they are now, beside those that a recording keeps.

mod report;
mod whole;

use std::collections::BTreeSet;
use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result};
use report::Report;
use whole::events_of;

use super::remark::remark;
use super::status::{BadInput, Status};
use crate::bench::profile;
use crate::bench::profile::read_text;
use crate::bench::recorded::{Played, Recorded, not_whole, sitting_name};
use crate::books::audit::{Observation, Ruling, RulingCounts};
use crate::books::job::{Folder, JobError, folder_name, recordings_in};
use crate::engine::judge::capacitor::Condition;
use crate::engine::judge::{Policy, Rule};
use crate::engine::meter::shipped_profile;
use crate::engine::sitting::{Event, Plan, Setup, What};

/// Check that recordings are as they were written, and that the results agree with them.
///
/// Every line of a recording is checked against its tag and all of them against the seal; the sitting is computed again, and each
/// cell of its rows is compared with the file of results. Whatever differs is named with its most likely cause, and the exit status
/// is 3. The digest of each seal is printed: keep it elsewhere, since anyone who rewrites a whole recording can seal it again.
#[derive(Debug, clap::Args)]
pub(crate) struct Arguments {
    /// Recordings, or folders of jobs: then all recordings of the job, and that its results hold nothing else.
    #[arg(required = true, value_name = "FILE.rec|JOB")]
    what: Vec<PathBuf>,
    /// The file of results, instead of the one beside the recordings (results.csv, or incoming.csv for new parts).
    #[arg(long, value_name = "FILE", conflicts_with_all = ["with_policy", "with_rule"])]
    results: Option<PathBuf>,
    /// Check nothing, but tell which verdicts and limits would change under this policy.
    #[arg(long, value_name = "FILE")]
    with_policy: Option<PathBuf>,
    /// Likewise under this decision rule: guard-band or simple.
    #[arg(long, value_name = "RULE")]
    with_rule: Option<Rule>,
    /// One JSON object a line instead of text, see `probewright manual audit`.
    #[arg(long)]
    json: bool,
}

/// Runs the command.
pub(crate) fn run(arguments: &Arguments, out: &mut dyn Write) -> Result<Status> {
    let groups = groups(&arguments.what, arguments.results.as_deref())?;
    let mut report = Report::new(out, arguments.json);
    if arguments.with_policy.is_some() || arguments.with_rule.is_some() {
        return audit_under(arguments, &groups, &mut report);
    }
    for group in &groups {
        whole::audit(group, &mut report)?;
    }
    report.end()
}

/// The folder of recordings, and the results beside it.
const PLACES: [(&str, &str); 2] = [("sittings", "results.csv"), ("incoming", "incoming.csv")];

/// Recordings that lie together, and the file of results that belongs to them.
#[derive(Debug)]
struct Group {
    /// The recordings to be audited, the oldest first.
    recordings: Vec<PathBuf>,
    /// The file of results, if it is known where it should be.
    results: Option<PathBuf>,
    /// Every sitting whose recording is there.
    known: BTreeSet<String>,
    /// Whether a whole job is audited, so that the results may hold no other rows.
    is_whole: bool,
    /// Whether they are batches of new parts, whose results need not be there.
    is_incoming: bool,
    /// Whether the decisions of the job are looked at with it.
    has_decisions: bool,
    /// The job that they belong to.
    job: Option<Folder>,
}

/// The groups that the arguments name. `results` goes before the file beside each group.
///
/// # Errors
/// If a folder is no job or cannot be listed, or if there is nothing to be audited.
fn groups(what: &[PathBuf], results: Option<&Path>) -> Result<Vec<Group>> {
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
            "no recording in {}: `probewright sit` makes them",
            folder_name(root)
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

/// Tells each measurement whose verdict or limits would change.
fn audit_under(arguments: &Arguments, groups: &[Group], report: &mut Report<'_>) -> Result<Status> {
    let policy = match &arguments.with_policy {
        Some(path) => {
            let name = || format!("`{}`", path.display());
            let text = read_text(path)?;
            Policy::parse(&text).with_context(name)?;
            Some(text)
        }
        None => None,
    };
    let mut counts = RulingCounts::default();
    let mut status = Status::Done;
    for file in groups.iter().flat_map(|group| &group.recordings) {
        let recorded = Recorded::open(file)?;
        let bytes = fs::metadata(file).map_or(0, |metadata| metadata.len());
        let (before, trouble) = ruling(&recorded, recorded.plan()?, bytes)?;
        let mut other = recorded.setup.clone();
        if let Some(policy) = &policy {
            other = other.with_file(Setup::POLICY, policy.as_str());
        }
        if let Some(rule) = arguments.with_rule {
            other = other.with_setting(Setup::RULE, rule.name());
        }
        let (after, _) = ruling(&recorded, recorded.plan_by(&other)?, bytes)?;
        let name = file.display().to_string();
        if let Played::UpToAFlaw(flaw) = &trouble {
            remark(&flaw.to_string());
            status = Status::CheckFailed;
        } else if let Played::ToTheEnd(ending) = &trouble
            && let Some(words) = not_whole(ending.as_ref(), file)
        {
            remark(&words);
        }
        let changes = before.changes(&after, &mut counts);
        if !changes.is_empty() {
            report.heading(&name)?;
        }
        for change in &changes {
            report.change(&name, change)?;
        }
    }
    report.total("changes", &counts)?;
    Ok(status)
}

/// The last verdicts of the recording by that plan.
fn ruling(recorded: &Recorded, plan: Plan, bytes: u64) -> Result<(Ruling, Played)> {
    let mut ruling = Ruling::by(plan.clone());
    let played = events_of(recorded, plan, bytes, |event: &Event| {
        if let What::Judged(record) = &event.what {
            ruling.hear(record);
        }
    })?;
    Ok((ruling, played))
}

/// The files of a job as they are now.
#[derive(Debug)]
struct Today(Setup);

/// A way in which a row could have come about: judged by that file as it is today.
struct Suspect {
    /// The file, in words.
    by: String,
    /// Set-up that the sitting would have had.
    setup: Setup,
}

impl Today {
    /// Reads them.
    ///
    /// # Errors
    /// If one cannot be read.
    fn of(job: &Folder) -> Result<Self, JobError> {
        job.read_setup().map(Self)
    }

    fn differing(&self, recorded: &Setup) -> Vec<(&'static str, &'static str)> {
        // The list of a batch is made of its article, and never was that of the job.
        let own_list = matches!(recorded.condition(), Ok(Condition::New));
        let of_job = |name: &&str| !(own_list && *name == Setup::PARTS);
        let differing = |name: &'static str| {
            let kept = recorded.file(name).unwrap_or_default();
            let today = self.0.file(name).unwrap_or_default();
            let how = match (kept, today) {
                _ if kept == today => return None,
                ([], _) => "is new since then",
                (_, []) => "is not there any more",
                _ => "is different today",
            };
            Some((name, how))
        };
        let files = Setup::JOB_FILES.into_iter().filter(of_job);
        files.filter_map(differing).collect()
    }

    /// Each file that is not the one that the recording keeps.
    fn observations(&self, recorded: &Setup) -> Vec<Observation> {
        let observation = |(name, how): (&str, &'static str)| Observation::OtherToday {
            file: name.to_owned(),
            how,
        };
        self.differing(recorded)
            .into_iter()
            .map(observation)
            .collect()
    }

    /// Everything by which the sitting could have been judged instead: each file that differs, then all of them. `profile` is the
    /// text of the first meter's where that is another.
    fn suspects(&self, recorded: &Setup, profile: Option<&str>) -> Vec<Suspect> {
        let differing = self.differing(recorded).into_iter();
        let mut names: Vec<&str> = differing.map(|(name, _)| name).collect();
        names.extend(profile.map(|_| Setup::PROFILE));
        let all = Some(names.as_slice()).filter(|names| names.len() > 1);
        names
            .chunks(1)
            .chain(all)
            .map(|names| Suspect {
                by: described(names),
                setup: self.exchanged(names, recorded, profile),
            })
            .collect()
    }

    /// The recorded set-up, but with those files as they are today.
    fn exchanged(&self, names: &[&str], recorded: &Setup, profile: Option<&str>) -> Setup {
        names.iter().fold(recorded.clone(), |setup, &name| {
            let content = match profile {
                Some(profile) if name == Setup::PROFILE => profile.as_bytes(),
                _ => self.0.file(name).unwrap_or_default(),
            };
            let setup = setup.with_file(name, content);
            if name == Setup::JOB && has_rule_of_its_job(recorded) {
                setup.with_setting(Setup::RULE, "")
            } else {
                setup
            }
        })
    }
}

/// Whether the sitting was judged by the decision rule of its own `job.toml`, none being given beside it.
fn has_rule_of_its_job(recorded: &Setup) -> bool {
    let rule = recorded.setting(Setup::RULE);
    recorded.job().is_ok_and(|job| job.rule.name() == rule)
}

fn described(names: &[&str]) -> String {
    let name = |name: &&str| {
        if *name == Setup::PROFILE {
            "the profile".to_owned()
        } else {
            format!("`{name}`")
        }
    };
    names.iter().map(name).collect::<Vec<_>>().join(" and ")
}

/// Changes of the profiles since the sitting, and the text of the first meter's where that is another.
fn profiles(recorded: &Setup) -> (Vec<Observation>, Option<String>) {
    let mut observations = Vec::new();
    let mut first = None;
    for (file, name) in recorded.profiles() {
        let today = profile::text(name).ok();
        let kept = recorded.file(&file);
        if today.as_deref().map(str::as_bytes) == kept {
            continue;
        }
        let how = match today {
            Some(_) if shipped_profile(name).is_some() => {
                "that comes with the program is a different one today"
            }
            Some(_) => "is different today",
            None => "cannot be found today",
        };
        observations.push(Observation::OtherProfile {
            profile: name.to_owned(),
            how,
        });
        if file == Setup::PROFILE {
            first = today;
        }
    }
    (observations, first)
}
