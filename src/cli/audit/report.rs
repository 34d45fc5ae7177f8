//! [`Report`]: what an audit says, as text or as JSON, and the count of it.

use std::fmt::Display;
use std::io::Write;

use anyhow::Result;
use serde::Serialize;

use crate::books::audit::{Finding, Observation, RulingChange, Tally};
use crate::cli::status::Status;
use crate::engine::quantity::counted;

/// Writes what an audit says, and counts.
pub(super) struct Report<'a> {
    out: &'a mut dyn Write,
    json: bool,
    /// Recordings and rows audited so far.
    pub(super) tally: Tally,
}

/// Something that is said about a file.
#[derive(Serialize)]
struct About<'a, T> {
    #[serde(rename = "in")]
    file: &'a str,
    #[serde(flatten)]
    what: &'a T,
    words: String,
}

/// A recording that was audited.
#[derive(Debug, Serialize)]
pub(super) struct Audited {
    pub(super) recording: String,
    pub(super) lines: u64,
    pub(super) bytes: u64,
    /// Rows of the results that were compared with it.
    pub(super) rows: usize,
    /// Name and version of the program that recorded.
    pub(super) program: Option<String>,
    /// The digest of its seal, if it has one that fits.
    pub(super) sha256: Option<String>,
}

impl<'a> Report<'a> {
    /// Writes to `out`.
    pub(super) fn new(out: &'a mut dyn Write, json: bool) -> Self {
        Self {
            out,
            json,
            tally: Tally::default(),
        }
    }

    /// A recording was audited; what follows is about it.
    pub(super) fn recording(&mut self, audited: &Audited) -> Result<()> {
        self.tally.recordings += 1;
        self.tally.lines += audited.lines;
        self.tally.bytes += audited.bytes;
        self.tally.rows += audited.rows as u64;
        if self.json {
            return self.line(audited);
        }
        let Audited {
            recording,
            lines,
            bytes,
            rows,
            ..
        } = audited;
        writeln!(
            self.out,
            "{recording}: {}, {}, {} compared",
            counted(*lines, "line"),
            counted(*bytes, "byte"),
            counted(*rows, "row")
        )?;
        if let Some(digest) = &audited.sha256 {
            writeln!(self.out, "  seal fits, SHA-256 of all before it: {digest}")?;
        }
        Ok(())
    }

    /// Findings and remarks about `file`, under its heading.
    pub(super) fn all(
        &mut self,
        file: &str,
        findings: &[Finding],
        observations: &[Observation],
    ) -> Result<()> {
        for finding in findings {
            self.finding(file, true, finding)?;
        }
        let mut observations = observations.iter();
        observations.try_for_each(|observation| self.remark(file, observation))
    }

    /// The same with the heading, where there is anything to be said.
    pub(super) fn headed(
        &mut self,
        file: &str,
        (findings, observations): &(Vec<Finding>, Vec<Observation>),
    ) -> Result<()> {
        if findings.len() + observations.len() > 0 {
            self.heading(file)?;
        }
        self.all(file, findings, observations)
    }

    /// Heads the lines about a file.
    pub(super) fn heading(&mut self, file: &str) -> Result<()> {
        if !self.json {
            writeln!(self.out, "{file}:")?;
        }
        Ok(())
    }

    /// A finding about `file`; under a heading of another file, if it is not `own`.
    pub(super) fn finding(&mut self, file: &str, own: bool, finding: &Finding) -> Result<()> {
        self.tally.findings += 1;
        self.say("FINDING: ", file, own, finding)
    }

    /// An observation about `file`, under its heading.
    pub(super) fn remark(&mut self, file: &str, observation: &Observation) -> Result<()> {
        self.say("remark: ", file, true, observation)
    }

    /// Writes the change of a measurement under other rules.
    pub(super) fn change(&mut self, file: &str, change: &RulingChange) -> Result<()> {
        self.say("", file, true, change)
    }

    fn say<T: Display + Serialize>(
        &mut self,
        label: &str,
        file: &str,
        own: bool,
        what: &T,
    ) -> Result<()> {
        let words = what.to_string();
        if self.json {
            return self.line(&About { file, what, words });
        }
        if own {
            writeln!(self.out, "  {label}{words}")?;
        } else {
            writeln!(self.out, "  {label}{file}, {words}")?;
        }
        Ok(())
    }

    /// A line that holds for everything.
    pub(super) fn total<T: Display + Serialize>(&mut self, name: &str, total: &T) -> Result<()> {
        if self.json {
            return self.line(&serde_json::json!({ name: total, "words": total.to_string() }));
        }
        writeln!(self.out, "{total}")?;
        Ok(())
    }

    fn line(&mut self, what: &impl Serialize) -> Result<()> {
        writeln!(self.out, "{}", serde_json::to_string(what)?)?;
        Ok(())
    }

    /// The last line.
    pub(super) fn end(mut self) -> Result<Status> {
        let tally = self.tally;
        self.total("audited", &tally)?;
        Ok(if tally.findings == 0 {
            Status::Done
        } else {
            Status::CheckFailed
        })
    }
}
