//! [`Bench`]: a simulated meter on a real pseudo-terminal, and a simulated restorer who holds sittings at it.
//!
//! [`evening`]: the evenings of the demonstration over weeks.

use std::path::Path;
use std::sync::mpsc::channel;
use std::thread;

use anyhow::{Context, Result};
use chrono::{DateTime, FixedOffset, Local, NaiveTime, TimeDelta};

use super::Arguments;
use super::chassis::Chassis;
use super::restorer::Restorer;
use crate::bench::live::Outcome;
use crate::bench::simulator::{BenchClock, Options, Probes, Running, Scale, Serve, SimulatedMeter};
use crate::books::session::Session;
use crate::cli::keys::Keyboard;
use crate::cli::sit::{end_on_signal, in_lines, on_screen};
use crate::cli::sounds::{Audible, Wanted};
use crate::engine::sitting::{Event, What};
use crate::platform::HAS_PSEUDO_TERMINALS;

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
        hear: &mut dyn FnMut(&Event) -> Option<Outcome>,
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
            let outcome = hear(event);
            // Single readings would keep the restorer from ever losing patience.
            if !matches!(event.what, What::Reading { .. }) {
                // The restorer goes home when the sitting ends.
                let _ = to_restorer.send(event.clone());
            }
            outcome
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

/// A pseudo-terminal where the system has some, otherwise TCP.
fn serve(directory: &Path) -> Serve {
    if HAS_PSEUDO_TERMINALS {
        Serve::Terminal {
            directory: directory.to_owned(),
            name: "meter".to_owned(),
        }
    } else {
        Serve::Tcp
    }
}

/// A meter within the specification of its profile.
fn meter(arguments: &Arguments, directory: &Path, seed: u64) -> Options {
    let multimeter = Options {
        serve: serve(directory),
        gain_error: 2e-4,
        noise_counts: 0.6,
        readings_per_second: 10.0,
        resistance: Scale::new(100.0, 7, 100_000),
        capacitance: Scale::new(1e-9, 6, 1000),
        seed,
        ..Options::default()
    };
    if arguments.profile == "scpi-multimeter" {
        return multimeter;
    }
    Options {
        identity: "Probewright,Simulated LCR Meter,0,1".to_owned(),
        resistance: Scale::new(10.0, 7, 10_000),
        capacitance: Scale::new(100e-12, 9, 10_000),
        with_loss: true,
        with_status: true,
        ..multimeter
    }
}

/// When one sits down at the bench.
const AFTER_SUPPER: NaiveTime = NaiveTime::from_hms_opt(19, 25, 0).expect("a time of the day");

/// The evening so many days before that moment, in local time. The last one is over today: nothing in the job that is kept lies
/// ahead, so that what is measured and decided in it later comes later.
pub(super) fn evening(days_ago: i64, now: DateTime<FixedOffset>) -> DateTime<FixedOffset> {
    let then = now - TimeDelta::days(days_ago);
    let local = then
        .with_timezone(&Local)
        .date_naive()
        .and_time(AFTER_SUPPER);
    // Where the clocks were changed at that very hour, any time of the day will do.
    let found = local.and_local_timezone(Local).earliest();
    found.map_or(then, |found| found.fixed_offset())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn evenings_are_days_apart_and_over() {
        let now = DateTime::parse_from_rfc3339("2056-11-25T00:10:00+00:00").unwrap();
        let [first, second, third] = [24, 3, 1].map(|days| evening(days, now));
        assert!(first < second && second < third && third < now);
        assert_eq!((second.date_naive() - first.date_naive()).num_days(), 21);
        assert_eq!(third.time(), AFTER_SUPPER);
    }
}
