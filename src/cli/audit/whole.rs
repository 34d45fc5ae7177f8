//! Auditing a group of recordings with its file of results.

use std::collections::BTreeSet;
use std::fs::{self, File};
use std::io;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, anyhow};

use super::report::{Audited, Report};
use super::{Group, Today, profiles};
use crate::bench::recorded::{Played, Recorded, sitting_name};
use crate::bench::recording::{Ending, ReadError, Survey, survey_of};
use crate::books::audit::{
    Circumstances, Compared, Comparison, Finding, Observation, ReplayEnd, ResultsFile,
    observe_bags, observe_decisions, soundness, strays,
};
use crate::books::batch::Bags;
use crate::books::job::{Folder, has_sitting};
use crate::books::ledger::Decision;
use crate::books::results::cells;
use crate::books::session::{Missing, Said, SaidDecisions, missing};
use crate::cli::progress::{Progress, Watched};
use crate::engine::settings::Settings;
use crate::engine::sitting::{Event, Plan, What};

/// State that the recordings of a group share.
struct Audit<'a> {
    group: &'a Group,
    /// The file of results as it is named to the person.
    results: String,
    sheet: Option<ResultsFile>,
    today: Option<Today>,
    /// The recording of a sitting that is being held right now.
    running: Option<&'a PathBuf>,
    rewritten: u64,
    claimed: BTreeSet<usize>,
    /// Decisions at the bench.
    said: Vec<Said>,
}

/// Result of computing a recording again.
struct Computed {
    said: Vec<Said>,
    /// Its rows and those of the file; `None` if there is nothing to compare with.
    compared: Option<(Compared, Circumstances)>,
}

/// Audits a group of recordings with its file of results.
pub(super) fn audit(group: &Group, report: &mut Report<'_>) -> Result<()> {
    let running = group.job.as_ref().is_some_and(has_sitting);
    let today = group.job.as_ref().map(Today::of);
    let (today, unread) = match today.transpose() {
        Ok(today) => (today, None),
        Err(error) => (None, Some(format!("{error:#}"))),
    };
    let results = group.results.as_deref();
    let mut audit = Audit {
        group,
        results: results.map_or_else(String::new, |path| path.display().to_string()),
        // The results are read before the recordings, so that they lag behind a sitting that goes on and never run ahead.
        sheet: results
            .map(|path| sheet(path, group))
            .transpose()?
            .flatten(),
        today,
        running: running.then(|| group.recordings.last()).flatten(),
        rewritten: 0,
        claimed: BTreeSet::new(),
        said: Vec::new(),
    };
    for file in &group.recordings {
        audit.recording(file, report)?;
    }
    audit.results(report, unread)
}

/// The file of results; `None` if it is not there and need not be.
fn sheet(path: &Path, group: &Group) -> Result<Option<ResultsFile>> {
    match fs::read(path) {
        Ok(bytes) => Ok(Some(ResultsFile::read(&bytes))),
        // All recordings of a job leave rows, so none are as good as an empty file.
        Err(error) if error.kind() == io::ErrorKind::NotFound => {
            Ok((group.is_whole && !group.is_incoming).then(|| ResultsFile::read(b"")))
        }
        Err(error) => Err(error).with_context(|| format!("cannot read `{}`", path.display())),
    }
}

impl Audit<'_> {
    fn recording(&mut self, file: &Path, report: &mut Report<'_>) -> Result<()> {
        let name = file.display().to_string();
        let survey = match survey(file) {
            Ok(survey) => survey,
            Err(error) => return self.unreadable(error, &name, report),
        };
        let bytes = length(file)?;
        let is_running = self.running.is_some_and(|running| running == file);
        let sound = soundness(&survey, bytes, is_running);
        let recorded = Recorded::open(file).ok();
        let computed = recorded
            .as_ref()
            .map(|recorded| self.compute(recorded, &survey, bytes, is_running));
        let rows = match &computed {
            Some(Ok(Computed {
                compared: Some((compared, _)),
                ..
            })) => compared.rows,
            _ => 0,
        };
        report.recording(&Audited {
            recording: name.clone(),
            lines: survey.lines,
            bytes,
            rows,
            program: recorded.as_ref().and_then(program),
            sha256: sound.seal.as_ref().map(|seal| seal.digest.to_string()),
        })?;
        report.all(&name, &sound.findings, &sound.observations)?;
        if let Some(recorded) = &recorded {
            report.all(&name, &[], &self.remarks(recorded))?;
        }
        match computed {
            Some(Ok(computed)) => {
                // Of a sitting that goes on the last one may just be being written; of new parts none is.
                let counts = !is_running && !self.group.is_incoming;
                self.said
                    .extend(computed.said.into_iter().filter(|_| counts));
                self.compared(computed.compared, &name, report)
            }
            Some(Err(error)) => {
                let obstacle = format!("{error:#}");
                let recorded = recorded.as_ref().and_then(other_version);
                report.finding(&name, true, &Finding::NotComputable { obstacle, recorded })
            }
            None => {
                let rows = self
                    .sheet
                    .as_ref()
                    .map_or(0, |sheet| sheet.rows_of(&sitting_name(file)).len());
                report.remark(&name, &Observation::NotCompared { rows })
            }
        }
    }

    /// A file that cannot even be looked through: a finding in a job, and wrong usage where it was named.
    fn unreadable(&self, error: ReadError, name: &str, report: &mut Report<'_>) -> Result<()> {
        if !self.group.is_whole || matches!(error, ReadError::Open { .. } | ReadError::Read { .. })
        {
            return Err(error.into());
        }
        report.heading(name)?;
        let obstacle = error.to_string();
        report.finding(name, true, &Finding::NotReadable { obstacle })
    }

    /// Remarks about a recording, beside whether it is whole.
    fn remarks(&self, recorded: &Recorded) -> Vec<Observation> {
        let version = other_version(recorded).map(|recorded| Observation::OtherVersion {
            recorded,
            running: running(),
        });
        let files = self
            .today
            .iter()
            .flat_map(|today| today.observations(&recorded.setup));
        let (profiles, _) = profiles(&recorded.setup);
        version.into_iter().chain(files).chain(profiles).collect()
    }

    /// Computes the sitting again and compares its rows.
    fn compute(
        &self,
        recorded: &Recorded,
        survey: &Survey,
        bytes: u64,
        is_going_on: bool,
    ) -> Result<Computed> {
        let empty = ResultsFile::default();
        let sheet = self
            .sheet
            .as_ref()
            .filter(|sheet| sheet.rows().is_empty() || sheet.can_be_compared());
        let mut comparison = Comparison::of(sheet.unwrap_or(&empty), &recorded.name());
        let mut said = SaidDecisions::of(recorded);
        let played = events_of(recorded, recorded.plan()?, bytes, |event| {
            said.hear(event);
            if let Some(row) = row_of(event) {
                comparison.hear(row);
            }
        })?;
        let said = said.all();
        if sheet.is_none() {
            let compared = None;
            return Ok(Computed { said, compared });
        }
        let end = match played {
            Played::UpToAFlaw(_) => ReplayEnd::Flaw,
            Played::ToTheEnd(Some(Ending::Sealed(_))) => ReplayEnd::Seal,
            Played::ToTheEnd(_) => ReplayEnd::NoSeal,
        };
        let mut compared = comparison.end(end, &self.group.known);
        self.explain(recorded, bytes, &mut compared);
        let circumstances = Circumstances {
            other_version: other_version(recorded),
            running: running(),
            is_cut_short: !matches!(survey.ending, Ending::Sealed(_)),
            is_going_on,
        };
        Ok(Computed {
            said,
            compared: Some((compared, circumstances)),
        })
    }

    /// Looks whether the files of the job as they are today give the rows that differ.
    fn explain(&self, recorded: &Recorded, bytes: u64, compared: &mut Compared) {
        let Some(today) = self
            .today
            .as_ref()
            .filter(|_| compared.is_to_be_explained())
        else {
            return;
        };
        let (_, profile) = profiles(&recorded.setup);
        for suspect in today.suspects(&recorded.setup, profile.as_deref()) {
            // A file of today that cannot be used gives no rows, and explains nothing.
            let Ok(plan) = recorded.plan_by(&suspect.setup) else {
                continue;
            };
            let _ = events_of(recorded, plan, bytes, |event| {
                if let Some(row) = row_of(event) {
                    compared.hear_other(&suspect.by, &row);
                }
            });
        }
    }

    fn compared(
        &mut self,
        compared: Option<(Compared, Circumstances)>,
        name: &str,
        report: &mut Report<'_>,
    ) -> Result<()> {
        let Some((compared, circumstances)) = compared else {
            return Ok(());
        };
        for finding in compared.findings(&circumstances) {
            report.finding(&self.results, false, &finding)?;
        }
        report.all(name, &[], &compared.observations())?;
        self.rewritten += compared.rewritten;
        self.claimed.extend(compared.claimed);
        Ok(())
    }

    /// Reports on the file of results as a whole, and on the decisions.
    fn results(self, report: &mut Report<'_>, unread: Option<String>) -> Result<()> {
        let name = match self.results.as_str() {
            "" => "results.csv",
            name => name,
        };
        let mut found = self.of_sheet(name);
        let unread = unread.map(|obstacle| Observation::Unread { obstacle });
        found.1.extend(unread);
        report.headed(name, &found)?;
        match &self.group.job {
            Some(job) if self.group.has_decisions => decisions(job, self.said, report),
            _ => Ok(()),
        }
    }

    fn of_sheet(&self, name: &str) -> (Vec<Finding>, Vec<Observation>) {
        let mut findings = Vec::new();
        let mut observations = Vec::new();
        let is_there = self.group.results.as_deref().is_some_and(Path::is_file);
        if !is_there {
            let file = name.to_owned();
            observations.push(Observation::NoResults { file });
        }
        let Some(sheet) = self.sheet.as_ref().filter(|_| is_there) else {
            return (findings, observations);
        };
        if !sheet.signs().is_empty() || self.rewritten > 0 {
            findings.push(Finding::OtherProgram {
                signs: sheet.signs().to_vec(),
                rewritten: self.rewritten,
            });
        }
        let columns = sheet.missing().len() + sheet.further().len();
        if columns > 0 {
            findings.push(Finding::OtherColumns {
                missing: sheet.missing().to_vec(),
                further: sheet.further().to_vec(),
                earlier: sheet.earlier(),
            });
        }
        if !sheet.can_be_compared() {
            observations.push(Observation::NoKey);
        } else if self.group.is_whole {
            findings.extend(strays(sheet, &self.group.known, &self.claimed));
        }
        // A sitting that goes on may be writing just then.
        let torn = sheet.torn().filter(|_| self.running.is_none());
        findings.extend(torn.map(|line| Finding::TornRow { line }));
        (findings, observations)
    }
}

/// Looks through a whole recording.
fn survey(file: &Path) -> Result<Survey, ReadError> {
    let open = |source| ReadError::Open {
        file: file.to_owned(),
        source,
    };
    let input = File::open(file).map_err(open)?;
    let total = input.metadata().map_err(open)?.len();
    let progress = Progress::of(format!("checking {}", file.display()), total);
    survey_of(Watched::new(input, progress), file)
}

fn length(file: &Path) -> Result<u64> {
    let read = || format!("cannot look at `{}`", file.display());
    Ok(fs::metadata(file).with_context(read)?.len())
}

/// Computes the sitting again and hands out its events.
pub(super) fn events_of(
    recorded: &Recorded,
    plan: Plan,
    bytes: u64,
    mut take: impl FnMut(&Event),
) -> Result<Played> {
    let mut progress = Progress::of(format!("computing {}", recorded.name()), bytes);
    recorded.play(
        plan,
        |entry| progress.at(entry.offset),
        |event| {
            take(event);
            Ok(())
        },
    )
}

/// The cells of a row of the results.
fn row_of(event: &Event) -> Option<Vec<String>> {
    match &event.what {
        What::Judged(record) => Some(cells(&record.row).to_vec()),
        _ => None,
    }
}

/// Name and version of the program that runs.
fn running() -> String {
    concat!(env!("CARGO_PKG_NAME"), " ", env!("CARGO_PKG_VERSION")).to_owned()
}

/// Name and version of the program that recorded.
fn program(recorded: &Recorded) -> Option<String> {
    let (name, version) = recorded.program()?;
    Some(format!("{name} {version}"))
}

/// Name and version of the program that recorded, if that is not the one that runs.
fn other_version(recorded: &Recorded) -> Option<String> {
    program(recorded).filter(|program| *program != running())
}

/// Reports remarks about the decisions of a job, and decisions that only its recordings have.
fn decisions(job: &Folder, said: Vec<Said>, report: &mut Report<'_>) -> Result<()> {
    let found = observed(job, said).unwrap_or_else(|error| {
        let obstacle = format!("{error:#}");
        (Vec::new(), vec![Observation::Unread { obstacle }])
    });
    report.headed(&job.decisions().display().to_string(), &found)
}

/// A row that was written and is not there was taken out, whatever was decided later.
fn of_missing(missing: Vec<Missing>) -> (Vec<Finding>, Vec<Observation>) {
    let (mut findings, mut observations) = (Vec::new(), Vec::new());
    for Missing { said, superseded } in missing {
        let Decision {
            designator,
            choice,
            reason,
            ..
        } = said.decision;
        let sitting = said.sitting;
        if superseded && said.written != Some(true) {
            observations.push(Observation::DecisionSuperseded {
                designator,
                sitting,
            });
        } else {
            findings.push(Finding::DecisionMissing {
                sitting,
                designator,
                decision: choice,
                reason,
                written: said.written,
            });
        }
    }
    (findings, observations)
}

fn observed(job: &Folder, said: Vec<Said>) -> Result<(Vec<Finding>, Vec<Observation>)> {
    let decisions = Decision::read_all(&job.read_decisions()?)?;
    let (findings, mut observations) = of_missing(missing(said, &decisions));
    if decisions.is_empty() {
        return Ok((findings, observations));
    }
    let settings = Settings::parse(&job.read_job()?)?;
    let list = crate::engine::parts::read(&job.read_parts()?, &settings.list).map_err(|error| {
        anyhow!("the decisions cannot be compared with the parts list: {error}")
    })?;
    let designators: Vec<&str> = list
        .parts
        .iter()
        .map(|part| part.designator.as_str())
        .collect();
    observations.extend(observe_decisions(&decisions, &designators));
    // Bags that cannot be told are no reason to be silent about the rest.
    observations.extend(match Bags::named_in(&decisions, job) {
        Ok(bags) => observe_bags(&decisions, &bags),
        Err(error) => vec![Observation::Unread {
            obstacle: error.to_string(),
        }],
    });
    Ok((findings, observations))
}
