//! `demo`: the whole job without a meter. Only the meter and the person are simulated.

mod chassis;
mod restorer;

use std::io::Write;
use std::path::{Path, PathBuf};
use std::sync::mpsc::channel;
use std::thread;

use anyhow::{Context, Result};

use super::audible::{Audible, Wanted};
use super::clock::Clock;
use super::display::Display;
use super::keys::Keyboard;
use super::remark::remark;
use super::session::{Order, Session};
use super::sit::{end_on_signal, on_screen};
use super::status::{BadInput, Status};
use crate::job::Folder;
use crate::simulator::{BenchClock, Options, Probes, Scale, Serve, SimulatedMeter};
use crate::sitting::{Event, What};
use chassis::Chassis;
use restorer::Restorer;

/// See the whole job done without a meter: a simulated meter on a real pseudo-terminal, a simulated restorer, an invented chassis.
#[derive(Debug, clap::Args)]
pub(crate) struct Arguments {
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
    /// No sound. With --fast there is none anyway, and without an audio program neither.
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
    let folder = Folder::create(&root, JOB, PARTS)?;
    let speed = if arguments.fast { FAST } else { LIVELY };
    let bench = BenchClock::new(speed).context("the bench clock cannot run that fast")?;
    let probes = Probes::new(bench, arguments.seed);
    let meter = SimulatedMeter::start(meter(arguments, temporary.path()), probes.clone())?;
    let port = meter.address().to_owned();

    if arguments.screen && !Display::is_possible() {
        return Err(BadInput("`--screen` needs a terminal on standard output".to_owned()).into());
    }
    let order = Order::of(&folder, Some(arguments.profile.clone()), Some(port), &[])?;
    let session = Session::open(order, &folder, Clock::start(speed))?;
    introduce(out, &session, arguments.screen)?;
    let (to_restorer, events) = channel();
    let restorer = Restorer {
        parts: session.plan().parts().to_vec(),
        charged: session.plan().charged().to_vec(),
        chassis: chassis(&session)?,
        probes,
        clock: bench,
        events,
        sender: session.sender.clone(),
        rng: fastrand::Rng::with_seed(arguments.seed),
    };
    let restorer = thread::spawn(move || restorer.work());
    let recording = session.recording.clone();
    let wanted = Wanted {
        quiet: arguments.quiet || arguments.fast,
        words: false,
        no_bell: true,
    };
    let mut audible = Audible::start(wanted, session.plan());
    let heard = &mut audible;
    let mut watcher = move |event: &Event| {
        heard.hear(event);
        // Single readings would keep the restorer from ever losing patience.
        if !matches!(event.what, What::Reading { .. }) {
            // The restorer goes home when the sitting ends.
            let _ = to_restorer.send(event.clone());
        }
    };
    let (ended, seen) = if arguments.screen {
        // Nobody types, and what somebody does is not to be seen on the screen.
        let _keyboard = Keyboard::take_over();
        end_on_signal(session.sender.clone())?;
        on_screen(session, Vec::new(), &mut watcher, out)
    } else {
        (session.run(out, Box::new(&mut watcher)), true)
    };
    // Nothing more comes, so the restorer goes home.
    drop(watcher);
    // A restorer that panicked has said so already.
    let _ = restorer.join();
    ended?;
    drop(meter);
    if !seen {
        return Ok(Status::Done);
    }
    farewell(
        out,
        &folder,
        &recording,
        arguments.keep.is_none().then_some(temporary),
    )?;
    Ok(Status::Done)
}

/// A meter within the specification of its profile.
fn meter(arguments: &Arguments, directory: &Path) -> Options {
    let multimeter = Options {
        serve: Serve::Terminal {
            directory: directory.to_owned(),
            name: "meter".to_owned(),
        },
        gain_error: 2e-4,
        noise_counts: 0.6,
        readings_per_second: 10.0,
        resistance: Scale {
            lowest: 100.0,
            ranges: 7,
            counts: 100_000,
        },
        capacitance: Scale {
            lowest: 1e-9,
            ranges: 6,
            counts: 1000,
        },
        seed: arguments.seed,
        ..Options::default()
    };
    if arguments.profile == "scpi-multimeter" {
        return multimeter;
    }
    Options {
        identity: "Probewright,Simulated LCR Meter,0,1".to_owned(),
        resistance: Scale {
            lowest: 10.0,
            ranges: 7,
            counts: 10_000,
        },
        capacitance: Scale {
            lowest: 100e-12,
            ranges: 9,
            counts: 10_000,
        },
        with_loss: true,
        with_status: true,
        ..multimeter
    }
}

fn chassis(session: &Session) -> Result<Chassis> {
    let parts = session.plan().parts();
    Chassis::read(CHASSIS, |designator| {
        parts
            .iter()
            .find(|part| part.designator == designator)
            .map(crate::parts::Part::measured)
    })
}

fn introduce(out: &mut dyn Write, session: &Session, screen: bool) -> Result<()> {
    writeln!(
        out,
        "A public-address amplifier from a village cinema, 1956, lies on the bench; meter, person and faults are simulated,"
    )?;
    writeln!(
        out,
        "everything between them is the real program. {} parts, {} on {}.",
        session.plan().parts().len(),
        session.order().profile_name,
        session.order().port
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

fn farewell(
    out: &mut dyn Write,
    folder: &Folder,
    recording: &Path,
    temporary: Option<tempfile::TempDir>,
) -> Result<()> {
    let kept = temporary.map(tempfile::TempDir::keep);
    writeln!(out, "\nresults    {}", folder.results().display())?;
    writeln!(out, "recording  {}", recording.display())?;
    writeln!(
        out,
        "the same again, from the recording: probewright replay {}",
        recording.display()
    )?;
    if let Some(folder) = kept {
        remark(&format!(
            "the job is temporary: delete {} when you have seen enough, or use --keep DIR next time",
            folder.display()
        ));
    }
    Ok(())
}
