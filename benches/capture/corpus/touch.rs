//! One touch: what the meter sends, and what the engine makes of it.

use probewright::face::engine::meter::{Reading, Shown};
use probewright::face::engine::probing::{Estimate, Finding, Probed, Probes};
use probewright::face::engine::quantity::{Quantity, Stamp};

use super::{Cell, normal};

/// How long the probes stay on after a verdict, s: long enough for a second one to come.
const AFTER: f64 = 0.7;

/// Outcome of a touch.
#[derive(Debug, Default)]
pub(super) struct Outcome {
    /// Each value that was given, with its time since contact, s.
    pub(super) given: Vec<(f64, Estimate)>,
    /// Values that settled once more elsewhere.
    pub(super) anew: u32,
    /// Contacts that were told.
    pub(super) contacts: u32,
    /// Error of the meter itself in this touch, ohm.
    pub(super) meter_error: f64,
}

/// The time as readings come.
struct Player<'a> {
    cell: &'a Cell,
    rng: fastrand::Rng,
    probes: Probes,
    /// Seconds.
    now: f64,
    outcome: Outcome,
    contact: f64,
}

pub(super) fn play(cell: &Cell, seed: u64) -> Outcome {
    let mut rng = fastrand::Rng::with_seed(seed);
    let meter_error = (2.0 * rng.f64() - 1.0) * cell.meter.limit();
    let now = rng.f64() / cell.rate;
    let mut player = Player {
        cell,
        rng,
        probes: Probes::new(),
        now,
        contact: 0.0,
        outcome: Outcome {
            meter_error,
            ..Outcome::default()
        },
    };
    player.air(0.3);
    for _ in 0..cell.times {
        player.touch();
        player.air(0.3);
    }
    player.outcome
}

impl Player<'_> {
    /// The next reading, a little early or late as readings are.
    fn send(&mut self, shown: Shown) {
        self.now += (1.0 + 0.05 * (2.0 * self.rng.f64() - 1.0)) / self.cell.rate;
        let reading = Reading {
            at: Stamp::from_micros((self.now * 1e6) as u64),
            quantity: Quantity::Resistance,
            shown,
            second: None,
        };
        let (outcome, since) = (&mut self.outcome, self.now - self.contact);
        self.probes
            .feed(&reading, &self.cell.meter, |probed| match probed {
                Probed::Settled(settled) => {
                    if let Finding::Value(estimate) = settled.finding {
                        outcome.given.push((since, estimate));
                    }
                }
                Probed::SettledAnew(_) => outcome.anew += 1,
                Probed::Contact => outcome.contacts += 1,
                _ => {}
            });
    }

    /// Air for so long, and for three readings.
    fn air(&mut self, seconds: f64) {
        let until = self.now + seconds.max(3.0 / self.cell.rate);
        while self.now < until {
            self.send(Shown::Overload);
        }
    }

    fn touch(&mut self) {
        // Somewhere between two readings: the next one holds some air.
        self.contact = self.now + self.rng.f64() / self.cell.rate;
        let before = self.outcome.given.len();
        let mut until = self.contact + self.cell.held;
        let mut walked = self.rng.f64() * std::f64::consts::TAU;
        let mut first = true;
        while self.now < until {
            let shown = self.shown(first, &mut walked);
            first = false;
            self.send(shown);
            if self.outcome.given.len() > before {
                until = until.min(self.outcome.given[before].0 + self.contact + AFTER);
            }
        }
    }

    fn shown(&mut self, first: bool, walked: &mut f64) -> Shown {
        let cell = self.cell;
        let since = (self.now + 1.0 / cell.rate - self.contact).max(0.0);
        let value = cell.meter.value;
        let chance = self.rng.f64();
        if since < cell.bounce {
            return if chance < 0.4 {
                Shown::Overload
            } else {
                cell.meter.shows(value * (1.0 + chance))
            };
        }
        if first {
            return cell.meter.shows(value * (1.0 + chance));
        }
        if chance < cell.slips {
            return Shown::Overload;
        }
        if chance < cell.slips + cell.blips {
            return cell.meter.shows(value * (0.2 + 4.0 * self.rng.f64()));
        }
        let off = cell.course.at(since, walked, &mut self.rng) + cell.noise * normal(&mut self.rng);
        cell.meter.shows(value + cell.meter.u() * off)
    }
}
