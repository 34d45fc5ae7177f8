//! `network`: the parts list as a network, for readings with no lead lifted.
//!
//! [`Wired`]: a job with its network.

mod between;
mod draw;
mod names;
mod plan;
mod read_file;
mod readings;
mod solve;
mod structure;

use std::collections::BTreeMap;
use std::io::Write;
use std::path::PathBuf;
use std::sync::Arc;

use anyhow::Result;

use super::remark::remark;
use super::status::Status;
use crate::books::job::Folder;
use crate::books::ledger::Book;
use crate::cli::table::flowed;
use crate::engine::judge::{Conditions, LoopFacts, Loops, Policy, Solution, Verdict, limits_of};
use crate::engine::network::{Element, Network};
use crate::engine::parts::Part;

pub(super) use names::write_names;
pub(super) use readings::Taken;

/// Show the parts list as a network: which parts read as their own value with no lead lifted, and which leads must be lifted.
#[derive(Debug, clap::Args)]
pub(crate) struct Arguments {
    /// The folder of the job
    job: PathBuf,
    #[command(subcommand)]
    task: Option<Task>,
}

/// View of the network.
#[derive(Debug, clap::Subcommand)]
enum Task {
    /// Resistance that an ohmmeter should read between two nodes, and its limits with all parts inside theirs
    Between(between::Arguments),
    /// Which readings to take, in the order in which the probes move least, and which leads to lift
    Plan,
    /// Each part's own value from the readings in circuit, and its verdict
    Solve(solve::Arguments),
    /// Draw the loops that were read, each part with its own value and its share of the current, as an SVG picture
    Draw(draw::Arguments),
}

/// A job with its network.
pub(super) struct Wired {
    pub(super) book: Book,
    pub(super) network: Network,
    conditions: Conditions,
}

impl Wired {
    /// Of that book, judged by that policy.
    pub(super) fn of(book: Book, policy: Policy) -> Self {
        let mut conditions = Conditions::by(book.settings.rule);
        conditions.temperature = book.settings.temperature;
        conditions.policy = Arc::new(policy);
        Self {
            network: Network::of(&book.list.parts),
            conditions,
            book,
        }
    }

    /// Own values that the readings come to.
    pub(super) fn solution(&self, taken: &Taken) -> Solution {
        let complete = &self.book.settings.complete;
        let declared = |parts: &[&Part]| complete.holds(parts.iter().copied());
        let Taken { readings, known } = taken;
        let of = (self.list(), &self.network);
        Solution::of(of, readings, &declared, known, &self.conditions)
    }

    /// The loops of that, to be drawn; `known` are the verdicts that stand.
    pub(super) fn loops(&self, solution: &Solution, known: &BTreeMap<usize, Verdict>) -> Loops {
        Loops::of(&LoopFacts {
            list: self.list(),
            network: &self.network,
            owns: &solution.owns,
            judged: &solution.judged,
            leads: &solution.leads,
            contradiction: solution.contradiction.as_deref(),
            known,
        })
    }

    pub(super) fn policy(&self) -> &Policy {
        &self.conditions.policy
    }

    fn list(&self) -> &[Part] {
        &self.book.list.parts
    }

    fn name(&self, node: usize) -> &str {
        &self.network.nodes().all()[node].name
    }

    /// Elements by their names, each once: `R1 R2`.
    fn titles<'a>(&self, elements: impl IntoIterator<Item = &'a usize>) -> String {
        let titles = elements
            .into_iter()
            .map(|element| self.network.elements()[*element].title(self.list()));
        titles.collect::<Vec<_>>().join(" ")
    }

    /// Parts by their designators: `R1 R2`.
    fn designators(&self, parts: impl IntoIterator<Item = usize>) -> String {
        let names = parts
            .into_iter()
            .map(|part| self.list()[part].designator.as_str());
        names.collect::<Vec<_>>().join(" ")
    }

    /// The limits of the resistance of an element, as the policy has them, Ω; `None` where it has none.
    fn limits(&self, element: &Element) -> Option<[f64; 2]> {
        limits_of(&self.list()[element.part], element, &self.conditions.policy)
    }
}

/// Runs the command.
pub(crate) fn run(arguments: &Arguments, out: &mut dyn Write) -> Result<Status> {
    let folder = Folder::open(&arguments.job)?;
    let book = Book::open(&folder)?;
    for one in &book.remarks {
        remark(one);
    }
    let policy = Policy::of_job(&folder.read_policy()?)?;
    let wired = Wired::of(book, policy);
    match &arguments.task {
        None => flowed(out, |out| structure::write(&wired, out)),
        Some(Task::Plan) => plan::write(&wired, out),
        Some(Task::Between(between)) => between::write(&wired, between, out),
        Some(Task::Solve(solve)) => solve::write(&wired, solve, out),
        Some(Task::Draw(draw)) => draw::write(&wired, &folder, draw, out),
    }
}
