//! `replay`: a recording is computed again, by the same engine and the same listener.

use std::fs::File;
use std::io::{BufWriter, Write};
use std::path::PathBuf;
use std::str::FromStr;
use std::thread;
use std::time::{Duration, Instant};

use anyhow::{Context, Result};

use super::listener::Listener;
use super::paint::Paint;
use super::remark::remark;
use super::status::Status;
use super::stretch::Stretch;
use crate::bench::recorded::{Played, Recorded, not_whole};
use crate::books::results::Results;
use crate::engine::judge::Verdict;
use crate::engine::quantity::Stamp;
use crate::engine::sitting::Plan;

/// Compute a recording again: the same lines, the same rows.
#[derive(Debug, clap::Args)]
pub(crate) struct Arguments {
    /// The recording.
    file: PathBuf,
    /// Write the rows of the results to this file, which must not exist.
    #[arg(long, value_name = "FILE")]
    csv: Option<PathBuf>,
    /// How fast: 1 is as it happened, 10 ten times as fast, max as fast as the machine can.
    #[arg(long, default_value = "max", value_name = "SPEED")]
    speed: Speed,
    /// End with status 3 unless every part of the plan passed; with --from or --to, every entry from the one to the other.
    #[arg(long)]
    expect_pass: bool,
    /// Show and write only what concerns this part and those behind it in the list: what was said while one of them was in hand,
    /// and their verdicts. The whole recording is computed all the same.
    #[arg(long, value_name = "PART")]
    from: Option<String>,
    /// Likewise, up to this part of the list.
    #[arg(long, value_name = "PART")]
    to: Option<String>,
}

/// Bench seconds a second; `None` for no waiting at all.
#[derive(Debug, Clone, Copy)]
struct Speed(Option<f64>);

impl FromStr for Speed {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        match text.parse::<f64>() {
            _ if text == "max" => Ok(Self(None)),
            Ok(speed) if (0.01..=10_000.0).contains(&speed) => Ok(Self(Some(speed))),
            _ => Err("expected `max` or a number from 0.01 to 10000".to_owned()),
        }
    }
}

/// Holds a replay back to its speed.
struct Pace {
    speed: Speed,
    began: Instant,
}

impl Pace {
    fn wait_for(&self, at: Stamp) {
        if let Some(speed) = self.speed.0 {
            let due = Duration::from_micros(at.micros()).div_f64(speed);
            thread::sleep(due.saturating_sub(self.began.elapsed()));
        }
    }
}

/// Runs the command.
pub(crate) fn run(arguments: &Arguments, out: &mut dyn Write) -> Result<Status> {
    let recorded = Recorded::open(&arguments.file)?;
    let plan = recorded.plan()?;
    let mut stretch = stretch(arguments, &plan)?;
    let mut rows = rows(arguments, &recorded)?;
    let mut listener = Listener::new(out, Paint::for_stdout());
    let of_rows = plan.clone();
    let pace = Pace {
        speed: arguments.speed,
        began: Instant::now(),
    };
    let played = recorded.play(
        plan,
        |entry| pace.wait_for(entry.at),
        |event| {
            if stretch.as_mut().is_none_or(|stretch| stretch.hear(event)) {
                if let Some(rows) = &mut rows {
                    rows.hear(event, &of_rows)
                        .context("cannot write the results")?;
                }
                listener.hear(event)?;
            }
            Ok(())
        },
    )?;
    let trouble = match &played {
        Played::UpToAFlaw(flaw) => Some(flaw.to_string()),
        Played::ToTheEnd(ending) => not_whole(ending.as_ref(), &arguments.file),
    };
    if let Some(trouble) = trouble {
        remark(&trouble);
        return Ok(Status::CheckFailed);
    }
    let passed = match stretch {
        Some(stretch) => stretch.all_passed(),
        None => listener
            .summary()
            .is_some_and(|summary| summary.count(Verdict::Pass) == summary.parts),
    };
    Ok(if arguments.expect_pass && !passed {
        Status::CheckFailed
    } else {
        Status::Done
    })
}

/// The part of the list that is asked for; `None` for all of it.
fn stretch(arguments: &Arguments, plan: &Plan) -> Result<Option<Stretch>> {
    let (from, to) = (arguments.from.as_deref(), arguments.to.as_deref());
    if from.is_none() && to.is_none() {
        return Ok(None);
    }
    Ok(Some(Stretch::of(plan, from, to)?))
}

/// Where the rows go.
fn rows(arguments: &Arguments, recorded: &Recorded) -> Result<Option<Results<Box<dyn Write>>>> {
    let Some(path) = &arguments.csv else {
        return Ok(None);
    };
    let file =
        File::create_new(path).with_context(|| format!("cannot make `{}`", path.display()))?;
    let out: Box<dyn Write> = Box::new(BufWriter::new(file));
    let rows = Results::new(out, recorded.begun()?, &recorded.name(), true);
    Ok(Some(rows.context("cannot write the results")?))
}
