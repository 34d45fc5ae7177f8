//! What would change under another policy or another decision rule.

use std::fs;

use anyhow::{Context, Result};

use super::Arguments;
use super::group::Group;
use super::report::Report;
use crate::bench::profile::read_text;
use crate::bench::recorded::{Played, Recorded, not_whole};
use crate::books::audit::{Ruling, RulingCounts};
use crate::cli::progress::Progress;
use crate::cli::remark::remark;
use crate::cli::status::Status;
use crate::engine::judge::Policy;
use crate::engine::sitting::{Plan, Setup, What};

/// Tells each measurement whose verdict or limits would change.
pub(super) fn run(
    arguments: &Arguments,
    groups: &[Group],
    report: &mut Report<'_>,
) -> Result<Status> {
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
    let mut progress = Progress::of(format!("computing {}", recorded.name()), bytes);
    let played = recorded.play(
        plan,
        |entry| progress.at(entry.offset),
        |event| {
            if let What::Judged(record) = &event.what {
                ruling.hear(record);
            }
            Ok(())
        },
    )?;
    Ok((ruling, played))
}
