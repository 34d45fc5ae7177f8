//! [`Bench`]: a simulated meter on a real pseudo-terminal, and a simulated restorer who holds sittings at it.

use std::path::Path;
use std::sync::mpsc::channel;
use std::thread;

use anyhow::{Context, Result};

use super::Arguments;
use super::chassis::Chassis;
use super::restorer::Restorer;
use crate::bench::simulator::{BenchClock, Options, Probes, Running, Scale, Serve, SimulatedMeter};
use crate::books::session::Session;
use crate::cli::audible::{Audible, Wanted};
use crate::cli::keys::Keyboard;
use crate::cli::sit::{end_on_signal, in_lines, on_screen};
use crate::engine::sitting::{Event, What};

/// The bench of a demonstration.
pub(super) struct Bench<'a> {
    pub(super) arguments: &'a Arguments,
    /// Where the pseudo-terminal gets its name.
    pub(super) directory: &'a Path,
    /// Bench seconds a second.
    pub(super) speed: f64,
}

/// A meter that is on, and its probes.
pub(super) struct Meter {
    running: Running,
    probes: Probes,
    clock: BenchClock,
    seed: u64,
}

impl Meter {
    /// Its port.
    pub(super) fn port(&self) -> &str {
        self.running.address()
    }
}

impl Bench<'_> {
    /// Switches the meter on for the evening of that number.
    pub(super) fn switch_on(&self, evening: u64) -> Result<Meter> {
        let clock = BenchClock::new(self.speed).context("the bench clock cannot run that fast")?;
        let seed = self.arguments.seed.wrapping_add(evening);
        let probes = Probes::new(clock, seed);
        let options = meter(self.arguments, self.directory, seed);
        Ok(Meter {
            running: SimulatedMeter::start(options, probes.clone())?,
            probes,
            clock,
            seed,
        })
    }

    /// Holds a sitting to its end: the restorer measures the chassis. Each event goes to `hear` once its row is written. Whether
    /// the terminal takes what is written to it.
    pub(super) fn hold(
        &self,
        meter: Meter,
        session: Session,
        chassis: Chassis,
        hear: &mut dyn FnMut(&Event),
        out: &mut dyn std::io::Write,
    ) -> Result<bool> {
        let (to_restorer, events) = channel();
        let restorer = Restorer {
            chassis,
            probes: meter.probes,
            clock: meter.clock,
            events,
            sender: session.sender.clone(),
            rng: fastrand::Rng::with_seed(meter.seed),
        };
        let restorer = thread::spawn(move || restorer.work());
        let wanted = Wanted {
            quiet: self.arguments.quiet || self.arguments.fast,
            words: false,
            no_bell: true,
        };
        let mut audible = Audible::start(wanted);
        let heard = &mut audible;
        let mut watcher = move |event: &Event| {
            heard.hear(event);
            hear(event);
            // Single readings would keep the restorer from ever losing patience.
            if !matches!(event.what, What::Reading { .. }) {
                // The restorer goes home when the sitting ends.
                let _ = to_restorer.send(event.clone());
            }
        };
        let (ended, seen) = if self.arguments.screen {
            // Nobody types, and what somebody does is not to be seen on the screen.
            let _keyboard = Keyboard::take_over();
            end_on_signal(session.sender.clone())?;
            on_screen(session, Vec::new(), &mut watcher, out)
        } else {
            (in_lines(session, &mut watcher, out), true)
        };
        // Nothing more comes, so the restorer goes home.
        drop(watcher);
        // A restorer that panicked has said so already.
        let _ = restorer.join();
        ended?;
        drop(meter.running);
        Ok(seen)
    }
}

/// A meter within the specification of its profile.
fn meter(arguments: &Arguments, directory: &Path, seed: u64) -> Options {
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
        seed,
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
