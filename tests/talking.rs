//! A sitting in the engine alone, with a meter that talks: what tests of single stages share.

use probewright::face::engine::quantity::Stamp;
use probewright::face::engine::sitting::{
    Event, Input, Plan, PlanError, Record, Setup, Sitting, What,
};

/// Beginning of every such profile; tables of functions follow.
const HEAD: &str = r#"
format = 1
title = "talks only"
mode = "talk"

[line]
baud = 9600

[timing]
silent_after_s = 600.0

[number]
overload_words = ["OL"]
"#;

/// The text of such a profile.
pub(crate) fn profile(functions: &str) -> String {
    format!("{HEAD}{functions}")
}

/// The plan for that list with a meter of those functions; `job` is the text of `job.toml`.
pub(crate) fn plan(functions: &str, parts: &str, only: &str, job: &str) -> Result<Plan, PlanError> {
    let setup = Setup::of(parts, "test", &profile(functions))
        .with_file(Setup::JOB, job)
        .with_setting(Setup::ONLY, only);
    Plan::of(&setup)
}

/// A bench whose meter sends lines at an even pace, and what was said there but for single readings.
pub(crate) struct Talking {
    pub(crate) sitting: Sitting,
    micros: u64,
    step: u64,
    pub(crate) said: Vec<What>,
}

impl Talking {
    /// The link is up; `lines` come in a second.
    pub(crate) fn new(plan: Plan, lines: u64) -> Self {
        let mut bench = Self {
            sitting: Sitting::begin(plan),
            micros: 0,
            step: 1_000_000 / lines,
            said: Vec::new(),
        };
        bench.input(Input::LinkUp);
        bench
    }

    /// The next input, a step of time later.
    pub(crate) fn input(&mut self, input: Input<'_>) {
        let said = &mut self.said;
        self.micros += self.step;
        let now = Stamp::from_micros(self.micros);
        self.sitting.handle(now, input, &mut |event: Event| {
            if !matches!(event.what, What::Reading { .. }) {
                said.push(event.what);
            }
        });
    }

    /// Nothing comes for so many seconds.
    pub(crate) fn pauses(&mut self, seconds: u64) {
        self.micros += 1_000_000 * seconds;
    }

    pub(crate) fn shows(&mut self, line: &str, times: usize) {
        for _ in 0..times {
            self.input(Input::Bytes(format!("{line}\r\n").as_bytes()));
        }
    }

    pub(crate) fn says(&mut self, command: &str) {
        self.input(Input::Command(&command.parse().unwrap()));
    }

    /// Records of all verdicts.
    pub(crate) fn records(&self) -> Vec<&Record> {
        let records = self.said.iter().filter_map(|what| match what {
            What::Judged(record) => Some(&**record),
            _ => None,
        });
        records.collect()
    }
}

/// An entry taken in hand, by its place in its list.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Taken {
    InHand(usize),
    ToDischarge(usize),
    ToSoak(usize),
    ToPower(usize),
}

impl Taken {
    pub(crate) fn of(what: &What) -> Option<Self> {
        Some(match what {
            What::InHand { entry, .. } => Self::InHand(entry.index - 1),
            What::ToDischarge { entry } => Self::ToDischarge(entry.index - 1),
            What::ToPower { entry, .. } => Self::ToPower(entry.index - 1),
            What::ToSoak(soak) => Self::ToSoak(soak.entry.index - 1),
            _ => return None,
        })
    }
}

/// The entry taken in hand last, if nothing was said since.
pub(crate) fn taken_last(said: &[What]) -> Option<Taken> {
    said.last().and_then(Taken::of)
}

pub(crate) fn has_taken(said: &[What], taken: Taken) -> bool {
    said.iter().any(|what| Taken::of(what) == Some(taken))
}
