//! [`Signals`]: what a person says with the probes themselves, by holding them on each other.
//!
//! Both hands hold a probe, so two words that are wanted most at the bench need no key:
//!
//! | signal | with the probes |
//! |---|---|
//! | [`Signal::Redo`] | hold them on each other for a second |
//! | [`Signal::Skip`] | tap them on each other twice, briefly, then keep them apart |
//!
//! Everything that decides is in this file. The rule behind all of it: a signal that is missed costs one more try, a touch
//! that is taken for a signal costs a wrong part in hand. So whatever is not clearly a signal is none.
//!
//! # What a short is
//! A resistance reading that is no more than the leads and [`MARGIN`] (and not further below zero than that). Where the leads
//! were not measured they are taken to be [`ASSUMED_LEADS`] at most. Contact resistance, dirt and oxide only add to a part's
//! resistance, and readings that mix contact with air lie above it too. So a part of 10 Ω never reads as a short, however badly
//! it is touched, and that alone keeps ordinary touches and signals apart.
//!
//! # Where there are no signals
//! [`possible_for`] says for which parts: resistors and potentiometers whose whole band is at least [`NEAREST_PART`] times as
//! large as the largest short. Everything else may itself read as a short (windings, switches, fuses, lamps), or is not
//! measured in ohms. In circuit a winding or a heater in parallel may read as a short for as long as a part is touched: there
//! is no redo in circuit. [`Signals::supported`] says at what rate of readings: a tap that falls between two readings was not seen.
//!
//! # What a person cannot do by mistake, and what a capacitor cannot do
//! A short must begin and end in air; one that turns into another reading was no signal. A hold must be steady:
//! a capacitor on an ohmmeter begins near 0 Ω and rises (with a constant current by 1/C: 1 F by 1 Ω in a second), and what rises by more
//! than [`DRIFT`] while it is held is none. Taps must come out of quiet air and be followed by quiet air: a probe that
//! scratches for a good contact, a third tap or a hold make them void.

use std::time::Duration;

use super::specification::Specification;
use crate::engine::meter::{Reading, Shown};
use crate::engine::parts::{Kind, Part, Step};
use crate::engine::quantity::{Quantity, Stamp};

/// How far a short may read above the leads, ohm. Two clean tips on each other are some 10 mΩ; held by hand, a few tenths
/// (common practice, no source).
pub const MARGIN: f64 = 0.5;

/// Largest resistance of leads that nobody measured, ohm (common practice, no source).
pub const ASSUMED_LEADS: f64 = 1.0;

/// How many times as large as the largest short the lower limit of a part must be. A part of 10 Ω ± 20 % is still over 5 times
/// 1.5 Ω; a part that reads as a short is then not off its value but bridged.
pub const NEAREST_PART: f64 = 5.0;

/// How long a short is held for a redo. A tap is over in less than half of that, and nobody waits for longer.
pub const HOLD: Duration = Duration::from_secs(1);

/// Fewest readings of a hold: with fewer, a rise between them could not be told from scatter.
const HOLD_READINGS: u32 = 3;

/// How much the mean may move from the first to the last third of a hold, ohm.
pub const DRIFT: f64 = 0.1;

/// How far the readings of one hold or one tap may lie apart, ohm; a hand is not perfectly still.
const SPREAD: f64 = 0.3;

/// The shortest tap: a short that was seen for so long without interruption. Bounce is over in 12 ms a stroke (the simulated
/// one; for real probes from memory), a tap of a hand lasts 80 ms and more.
pub const SHORTEST_TAP: Duration = Duration::from_millis(30);

/// The longest tap, from the first short reading to the first of air. Longer is a hold that was given up.
pub const LONGEST_TAP: Duration = Duration::from_millis(400);

/// Both taps, from the first short reading to the air behind the second.
pub const TAPS_WITHIN: Duration = Duration::from_millis(1500);

/// The shortest air that ends a touch. Shorter is bounce.
pub const AIR_BETWEEN: Duration = Duration::from_millis(60);

/// The air before the first tap and behind the second. Longer than the pause between two taps, so that a third is waited for.
pub const QUIET: Duration = Duration::from_millis(450);

/// Readings that are neither short nor air may last so long at the edges of a short: a reading that mixes both. A single one may
/// always.
const EDGE: Duration = Duration::from_millis(60);

/// The longest time between two readings at which a tap of 220 ms cannot be missed: 10 readings a second with a quarter of
/// lateness, by a meter that averages from one reading to the next. At 50 and more readings a second, 80 ms are enough.
const CLOSE: Duration = Duration::from_millis(125);

/// After a longer pause between two readings nobody knows what the probes did meanwhile: 2 readings a second, and a fifth of lateness.
const BLIND: Duration = Duration::from_millis(600);

/// Slowest rates for a redo and for a skip, readings a second.
const SLOWEST_FOR_REDO: f64 = 2.0;
const SLOWEST_FOR_SKIP: f64 = 10.0;

/// Command of the person.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Signal {
    /// Measure the part judged last again.
    Redo,
    /// Leave the part in hand out.
    Skip,
}

impl Signal {
    /// The word for people.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Redo => "redo",
            Self::Skip => "skip",
        }
    }
}

/// Which signals there are.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Offered {
    /// [`Signal::Redo`].
    pub redo: bool,
    /// [`Signal::Skip`].
    pub skip: bool,
}

impl Offered {
    /// Neither.
    pub const NONE: Self = Self {
        redo: false,
        skip: false,
    };

    /// Both.
    pub const BOTH: Self = Self {
        redo: true,
        skip: true,
    };
}

/// Which signals there are while this part is in hand and its resistance is measured. `leads`: their resistance in ohm, where it
/// was measured.
pub fn possible_for(part: &Part, leads: Option<f64>) -> Offered {
    let resistive = matches!(part.kind, Kind::Resistor | Kind::Potentiometer);
    let least = match part.step {
        Step::Between => part.nominal.value() / 2.0,
        _ => part.band.lower(),
    };
    if resistive && least >= NEAREST_PART * largest_short(leads) {
        Offered {
            redo: !part.in_circuit,
            skip: true,
        }
    } else {
        Offered::NONE
    }
}

fn largest_short(leads: Option<f64>) -> f64 {
    leads.unwrap_or(ASSUMED_LEADS) + MARGIN
}

/// Follows the readings of a resistance function and recognises signals.
///
/// It goes beside [`super::Probes`], which gets every reading as well: while [`Signals::claims`] says so, nothing that settles
/// is to be judged, and when a signal has come, [`super::Probes::disregard`] keeps the rest of the touch from counting.
#[derive(Debug, Clone)]
pub struct Signals {
    offered: Offered,
    largest_short: f64,
    last: Option<Stamp>,
    phase: Phase,
    taps: Taps,
    /// Taps count for nothing until there was quiet air.
    void: bool,
}

#[derive(Debug, Clone, Copy)]
enum Phase {
    /// The probes are in the air, since then.
    Air(Stamp),
    /// They touch, and so far it may be a signal.
    Short(Short),
    /// They touch something else, or nobody knows.
    Other,
}

/// A touch that may be a signal.
#[derive(Debug, Clone, Copy, Default)]
struct Short {
    /// The first short reading.
    began: Option<Stamp>,
    /// The short readings since the last interruption.
    still: Option<Still>,
    /// The longest time without interruption.
    longest: Duration,
    /// Since when readings are neither short nor air.
    other: Option<Stamp>,
    /// Since when they are air.
    air: Option<Stamp>,
    /// Whether it gave its signal.
    given: bool,
    lowest: f64,
    highest: f64,
}

/// Short readings without interruption.
#[derive(Debug, Clone, Copy)]
struct Still {
    since: Stamp,
    readings: u32,
    lowest: f64,
    highest: f64,
    /// Sum and count of each third of [`HOLD`].
    thirds: [(f64, u32); 3],
}

/// The taps so far.
#[derive(Debug, Clone, Copy, Default)]
struct Taps {
    count: u8,
    began: Stamp,
}

impl Default for Signals {
    fn default() -> Self {
        Self::new()
    }
}

impl Signals {
    /// Offers nothing yet.
    pub fn new() -> Self {
        Self {
            offered: Offered::NONE,
            largest_short: largest_short(None),
            last: None,
            phase: Phase::Other,
            taps: Taps::default(),
            void: true,
        }
    }

    /// Which signals a meter of that many readings a second can show. A redo needs 2; two taps need 10, since a tap of a hand
    /// takes a fifth of a second (220 ms) and must not fall between two readings. A meter that pauses for a
    /// change of its range when the probes meet is slower than its rate: fix the range, or do without.
    ///
    /// [`Signals::feed`] goes by the readings as they come, whatever was said here.
    pub fn supported(readings_per_second: f64) -> Offered {
        Offered {
            redo: readings_per_second >= SLOWEST_FOR_REDO,
            skip: readings_per_second >= SLOWEST_FOR_SKIP,
        }
    }

    /// From now on these signals, with these leads (ohm) where they were measured. What the probes touch now counts for nothing
    /// until they are lifted.
    pub fn offer(&mut self, offered: Offered, leads: Option<f64>) {
        self.offered = offered;
        self.largest_short = largest_short(leads);
        if matches!(self.phase, Phase::Short(_)) {
            self.phase = Phase::Other;
        }
        self.forget_taps();
    }

    /// The stream of readings broke off: what was gathered is forgotten.
    pub fn broken_off(&mut self) {
        self.last = None;
        self.phase = Phase::Other;
        self.forget_taps();
    }

    /// Tells whether the touch is, as far as it can be told yet, a signal: nothing of it is to be judged.
    pub fn claims(&self) -> bool {
        let Phase::Short(Short {
            began: Some(began), ..
        }) = self.phase
        else {
            return false;
        };
        let brief = || {
            self.last
                .is_some_and(|last| last.since(began) <= LONGEST_TAP)
        };
        self.offered.redo || (self.offered.skip && !self.void && brief())
    }

    /// Takes in a reading; tells if a signal is complete with it.
    pub fn feed(&mut self, reading: &Reading, meter: &impl Specification) -> Option<Signal> {
        if reading.quantity != Quantity::Resistance {
            self.broken_off();
            return None;
        }
        if reading.shown == Shown::NotANumber {
            return None;
        }
        let at = reading.at;
        self.look_at_the_pause(at);
        let signal = if meter.is_idle(reading.shown) {
            self.feed_air(at)
        } else {
            self.feed_contact(at, reading.shown)
        };
        signal.filter(|signal| match signal {
            Signal::Redo => self.offered.redo,
            Signal::Skip => self.offered.skip,
        })
    }

    fn look_at_the_pause(&mut self, at: Stamp) {
        let pause = self.last.replace(at).map(|last| at.since(last));
        if pause.is_none_or(|pause| pause > CLOSE) {
            self.forget_taps();
        }
        if pause.is_some_and(|pause| pause > BLIND) {
            self.phase = Phase::Other;
        }
    }

    fn forget_taps(&mut self) {
        self.taps.count = 0;
        self.void = true;
    }

    fn feed_air(&mut self, at: Stamp) -> Option<Signal> {
        match &mut self.phase {
            Phase::Other => self.phase = Phase::Air(at),
            Phase::Air(_) => {}
            Phase::Short(short) => {
                short.interrupt(at);
                short.air.get_or_insert(at);
                self.end_touch(at);
            }
        }
        let Phase::Air(since) = self.phase else {
            return None;
        };
        if at.since(since) < QUIET {
            return None;
        }
        self.void = false;
        if self.taps.count == 2 {
            self.taps.count = 0;
            return Some(Signal::Skip);
        }
        None
    }

    fn feed_contact(&mut self, at: Stamp, shown: Shown) -> Option<Signal> {
        self.end_touch(at);
        if let Phase::Air(since) = self.phase {
            if self.taps.count == 2 {
                self.forget_taps();
            }
            self.phase = if at.since(since) < AIR_BETWEEN {
                Phase::Other
            } else {
                Phase::Short(Short::default())
            };
        }
        let largest = self.largest_short;
        let Phase::Short(short) = &mut self.phase else {
            return None;
        };
        short.air = None;
        match shown {
            Shown::Value(ohms) if (-MARGIN..=largest).contains(&ohms) => {
                short.add(at, ohms).then_some(Signal::Redo)
            }
            _ => {
                if short.is_more_than_an_edge(at) {
                    self.phase = Phase::Other;
                    self.forget_taps();
                }
                None
            }
        }
    }

    /// Ends a touch behind which there was air for long enough.
    fn end_touch(&mut self, at: Stamp) {
        let Phase::Short(short) = self.phase else {
            return;
        };
        let Some(air) = short.air.filter(|&air| at.since(air) >= AIR_BETWEEN) else {
            return;
        };
        self.phase = Phase::Air(air);
        let Some(began) = short.began.filter(|_| !self.void && short.is_tap(air)) else {
            self.forget_taps();
            return;
        };
        if self.taps.count == 1 && air.since(self.taps.began) <= TAPS_WITHIN {
            self.taps.count = 2;
        } else {
            self.taps = Taps { count: 1, began };
        }
    }
}

impl Short {
    /// Adds a short reading; whether it completes a hold.
    fn add(&mut self, at: Stamp, ohms: f64) -> bool {
        self.other = None;
        if self.began.is_none() {
            self.began = Some(at);
            (self.lowest, self.highest) = (ohms, ohms);
        }
        self.lowest = self.lowest.min(ohms);
        self.highest = self.highest.max(ohms);
        let still = self.still.get_or_insert(Still::begin(at));
        still.add(at, ohms);
        if self.given || at.since(still.since) < HOLD || still.readings < HOLD_READINGS {
            return false;
        }
        self.given = still.is_steady();
        if !self.given {
            // It may come to rest yet.
            let mut afresh = Still::begin(at);
            afresh.add(at, ohms);
            self.still = Some(afresh);
        }
        self.given
    }

    /// The short is interrupted by that reading.
    fn interrupt(&mut self, at: Stamp) {
        if let Some(still) = self.still.take() {
            self.longest = self.longest.max(at.since(still.since));
        }
    }

    /// A reading that is neither short nor air; whether there were too many of them.
    fn is_more_than_an_edge(&mut self, at: Stamp) -> bool {
        self.interrupt(at);
        let since = *self.other.get_or_insert(at);
        at.since(since) > EDGE
    }

    /// Whether it was a tap, with the air behind it since then.
    fn is_tap(&self, air: Stamp) -> bool {
        let brief = self
            .began
            .is_some_and(|began| air.since(began) <= LONGEST_TAP);
        brief && !self.given && self.longest >= SHORTEST_TAP && self.highest - self.lowest <= SPREAD
    }
}

impl Still {
    fn begin(at: Stamp) -> Self {
        Self {
            since: at,
            readings: 0,
            lowest: f64::INFINITY,
            highest: f64::NEG_INFINITY,
            thirds: [(0.0, 0); 3],
        }
    }

    fn add(&mut self, at: Stamp, ohms: f64) {
        self.readings = self.readings.saturating_add(1);
        self.lowest = self.lowest.min(ohms);
        self.highest = self.highest.max(ohms);
        let part = at.since(self.since).as_secs_f64() / HOLD.as_secs_f64();
        let (sum, count) = &mut self.thirds[((3.0 * part) as usize).min(2)];
        *sum += ohms;
        *count = count.saturating_add(1);
    }

    fn is_steady(&self) -> bool {
        let mean = |(sum, count): (f64, u32)| sum / f64::from(count);
        // A third without a reading gives no number, and that is not steady.
        let drift = (mean(self.thirds[2]) - mean(self.thirds[0])).abs();
        drift <= DRIFT && self.highest - self.lowest <= SPREAD
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::quantity::{Amount, Tolerance};

    fn part(kind: Kind, ohms: f64, percent: f64) -> Part {
        let tolerance = Tolerance::symmetric(percent).unwrap();
        let nominal = Amount::new(kind.quantity(), ohms).unwrap();
        Part::new("X1", kind, nominal, tolerance)
    }

    #[test]
    fn only_parts_far_from_a_short_have_signals() {
        let ten = part(Kind::Resistor, 10.0, 20.0);
        assert_eq!(possible_for(&ten, None), Offered::BOTH);
        assert_eq!(possible_for(&ten, Some(0.2)), Offered::BOTH);
        assert_eq!(possible_for(&ten, Some(3.0)), Offered::NONE);
        let track = part(Kind::Potentiometer, 500e3, 20.0);
        assert_eq!(possible_for(&track, None), Offered::BOTH);
        for (kind, value) in [
            (Kind::Resistor, 4.7),
            (Kind::Winding, 300.0),
            (Kind::Coil, 10.0),
            (Kind::Switch, 100.0),
            (Kind::Fuse, 50.0),
            (Kind::Lamp, 1000.0),
            (Kind::Capacitor, 1e-6),
            (Kind::Point, 250.0),
        ] {
            assert_eq!(
                possible_for(&part(kind, value, 10.0), None),
                Offered::NONE,
                "{kind}"
            );
        }
    }

    #[test]
    fn in_circuit_there_is_no_redo() {
        let mut part = part(Kind::Resistor, 47e3, 10.0);
        part.in_circuit = true;
        let offered = Offered {
            redo: false,
            skip: true,
        };
        assert_eq!(possible_for(&part, None), offered);
    }

    #[test]
    fn slow_meters_show_no_taps() {
        let supported = |rate| {
            let Offered { redo, skip } = Signals::supported(rate);
            (redo, skip)
        };
        assert_eq!(supported(1.0), (false, false));
        assert_eq!(supported(2.0), (true, false));
        assert_eq!(supported(9.9), (true, false));
        assert_eq!(supported(10.0), (true, true));
        assert_eq!(supported(1000.0), (true, true));
    }
}
