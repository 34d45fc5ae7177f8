//! `demo`: the whole job without a meter. Only the meter and the person are simulated.
//!
//! Hints for trying the job of a demonstration: [`after_one_sitting`] and [`after_weeks`].

mod bench;
mod chassis;
mod in_circuit;
mod restorer;
mod weeks;

use std::io::{self, Write};
use std::path::{Path, PathBuf};

use anyhow::{Context, Result};
use bench::Bench;
use chassis::Chassis;
use weeks::Story;

use super::display::Display;
use super::job_word::Hint;
use super::remark::remark;
use super::sit::meters;
use super::status::{BadInput, Status};
use crate::bench::clock::Clock;
use crate::books::job::Folder;
use crate::books::session::{Session, setup_of};
use crate::engine::settings::MeterWords;

/// See the whole job done without a meter: a simulated meter on a real pseudo-terminal (on Windows: a TCP connection), a simulated restorer, an invented chassis.
#[derive(Debug, clap::Args)]
#[expect(
    clippy::struct_excessive_bools,
    reason = "each is a switch of the command line by itself"
)]
pub(crate) struct Arguments {
    /// The whole job instead of one sitting: three evenings over weeks, with decisions, new parts and the report, and one with no lead
    /// unsoldered.
    #[arg(long, conflicts_with = "screen")]
    weeks: bool,
    /// Finish in a moment: time runs faster, everything else is the same.
    #[arg(long)]
    fast: bool,
    /// Make the job in this folder and keep it. Without it, the job is temporary.
    #[arg(long, value_name = "DIR")]
    keep: Option<PathBuf>,
    /// The simulated meter: scpi-multimeter or scpi-lcr-meter.
    #[arg(long, default_value = "scpi-multimeter", value_parser = ["scpi-multimeter", "scpi-lcr-meter"])]
    profile: String,
    /// Seed of noise, bounce and pauses.
    #[arg(long, default_value_t = 1956)]
    seed: u64,
    /// No sound. With --fast, or without an audio program, there is none anyway.
    #[arg(long)]
    quiet: bool,
    /// Show the screen of a sitting instead of its lines.
    #[arg(long)]
    screen: bool,
}

/// Bench seconds a second.
const LIVELY: f64 = 3.5;
const FAST: f64 = 75.0;

const JOB: &str = include_str!("job.toml");
const PARTS: &str = include_str!("parts.csv");
const CHASSIS: &str = include_str!("chassis.csv");

/// New parts of one article as they really are, in shares of the nominal value: one is outside of 5 %, and two are much alike.
const PARTS_OF_A_BATCH: [f64; 10] = [
    1.0045, 0.9921, 1.0196, 1.0660, 0.9851, 1.0051, 0.9989, 1.0287, 1.0123, 0.9747,
];

/// Runs the command.
pub(crate) fn run(arguments: &Arguments, out: &mut dyn Write) -> Result<Status> {
    let temporary = tempfile::Builder::new()
        .prefix("probewright-")
        .tempdir()
        .context("cannot make a temporary folder")?;
    let root = arguments
        .keep
        .clone()
        .unwrap_or_else(|| temporary.path().join("job"));
    let folder = Folder::create(&root, JOB, PARTS.as_bytes())?;
    let bench = Bench {
        arguments,
        directory: temporary.path(),
        speed: if arguments.fast { FAST } else { LIVELY },
    };
    let (status, seen) = if arguments.weeks {
        introduce_weeks(out)?;
        let status = Story::of(&bench, &folder).tell(out)?;
        after_weeks(&folder, out)?;
        (status, true)
    } else {
        let seen = one_sitting(&bench, &folder, out)?;
        if seen {
            after_one_sitting(&folder, out)?;
        }
        (Status::Done, seen)
    };
    let kept = (seen && arguments.keep.is_none()).then(|| temporary.keep());
    if let Some(kept) = kept {
        remark(&format!(
            "the job is temporary: delete {} when you have seen enough, or use --keep DIR next time",
            kept.display()
        ));
    }
    Ok(status)
}

/// Everything is measured in one sitting; whether the terminal takes what is written to it.
fn one_sitting(bench: &Bench<'_>, folder: &Folder, out: &mut dyn Write) -> Result<bool> {
    let arguments = bench.arguments;
    let meter = bench.switch_on(0)?;
    if arguments.screen && !Display::is_possible() {
        return Err(BadInput("`--screen` needs a terminal on standard output".to_owned()).into());
    }
    let at_bench = MeterWords {
        name: None,
        profile: Some(arguments.profile.clone()),
        port: meter.port().to_owned(),
    };
    let setup = setup_of(folder, &[at_bench])?;
    let session = Session::open(setup, folder, Clock::start(bench.speed), remark)?;
    introduce(out, &session, arguments.screen)?;
    let recording = session.recording.clone();
    let chassis = Chassis::found(CHASSIS, session.plan().parts())?;
    let seen = bench.hold(meter, session, chassis, &mut |_| None, out)?;
    if seen {
        farewell(out, folder, &recording)?;
    }
    Ok(seen)
}

fn introduce(out: &mut dyn Write, session: &Session, screen: bool) -> Result<()> {
    writeln!(
        out,
        "A public-address amplifier from a village cinema, 1956, lies on the bench; meter, person and faults are simulated,"
    )?;
    writeln!(
        out,
        "everything between them is the real program. {} parts, {}.",
        session.plan().parts().len(),
        meters(session.setup())
    )?;
    if screen {
        return Ok(());
    }
    writeln!(
        out,
        "Indented lines say what is in hand; the others what was found ± U (k = 2), the verdict, and why.\n"
    )?;
    Ok(())
}

fn introduce_weeks(out: &mut dyn Write) -> Result<()> {
    writeln!(
        out,
        "A public-address amplifier from a village cinema, 1956, goes through a whole job of three evenings; on another one\n\
         its tone unit is read with no lead unsoldered. Meter, person, faults and dates are simulated, everything between them\n\
         is the real program; behind each $ stands what one types."
    )?;
    Ok(())
}

fn farewell(out: &mut dyn Write, folder: &Folder, recording: &Path) -> Result<()> {
    writeln!(out, "\nresults    {}", folder.results().display())?;
    writeln!(out, "recording  {}", recording.display())?;
    writeln!(
        out,
        "the same again, from the recording: probewright replay {}",
        recording.display()
    )?;
    Ok(())
}

/// Hints for a job that was measured.
fn after_one_sitting(folder: &Folder, out: &mut dyn Write) -> io::Result<()> {
    let hints = [
        ["", "", "where the job stands"],
        ["why", "R13", "why a verdict is what it is"],
        ["decide", "R3,R13 replace", "what becomes of parts"],
        ["substitute", "C13", "what may stand in for a part"],
        ["order", "", "what is to be bought"],
        ["report", "", "a page for the owner"],
        ["audit", "", "whether all is as it was recorded"],
    ];
    write(folder, &hints, out)?;
    writeln!(
        out,
        "\nthe whole job, over three evenings: probewright demo --weeks"
    )
}

/// Hints for a job that was brought to its end.
fn after_weeks(folder: &Folder, out: &mut dyn Write) -> io::Result<()> {
    let hints = [
        ["", "", "where the job stands"],
        ["why", "R21", "why a verdict is what it is"],
        ["decide", "R13", "what was measured and decided of a part"],
        ["batch", "\"bag 1\"", "the new parts once more"],
        ["substitute", "C13", "what may stand in for a part"],
        ["report", "--format json", "the report for programs"],
        [
            "audit",
            "--with-rule simple",
            "what another rule would change",
        ],
        ["archive", "", "the job as a database"],
    ];
    write(folder, &hints, out)
}

fn write(folder: &Folder, hints: &[[&str; 3]], out: &mut dyn Write) -> io::Result<()> {
    let hints = hints
        .iter()
        .map(|[command, after, what_for]| Hint::new(folder.root(), command, *after, what_for));
    writeln!(out, "\nnow try")?;
    Hint::write_all(&hints.collect::<Vec<_>>(), out)
}
