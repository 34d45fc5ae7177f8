//! `audit`: whether recordings are as they were written, and the results what they give.

mod group;
mod other_rules;
mod report;
mod today;
mod whole;

use std::io::Write;
use std::path::PathBuf;

use anyhow::Result;

use super::status::Status;
use crate::engine::judge::Rule;
use group::groups;
use report::Report;

/// Check that recordings are as they were written, and that the results are what they give.
///
/// Every line of a recording is checked against its tag and all of them against the seal; the sitting is computed again, and each
/// cell of its rows is compared with the file of results. Whatever differs is named with its most likely cause, and the exit status
/// is 3. The digest of each seal is told: keep it elsewhere, since whoever rewrites a whole recording can seal it anew.
#[derive(Debug, clap::Args)]
pub(crate) struct Arguments {
    /// Recordings, or folders of jobs: all recordings of a job, and whether its results hold nothing else.
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
    /// One JSON object a line instead of text, see DEVELOPERS.md.
    #[arg(long)]
    json: bool,
}

/// Runs the command.
pub(crate) fn run(arguments: &Arguments, out: &mut dyn Write) -> Result<Status> {
    let groups = groups(&arguments.what, arguments.results.as_deref())?;
    let mut report = Report::new(out, arguments.json);
    if arguments.with_policy.is_some() || arguments.with_rule.is_some() {
        return other_rules::run(arguments, &groups, &mut report);
    }
    for group in &groups {
        whole::audit(group, &mut report)?;
    }
    report.end()
}
