//! [`Options`]: how a simulated meter behaves, and [`Faults`]: what goes wrong with it.

use std::collections::VecDeque;
use std::path::PathBuf;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use super::component::Scale;
use super::wording::Wording;
use crate::engine::quantity::Quantity;

/// Way to the meter.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Serve {
    /// On a pseudo-terminal behind a symbolic link in a directory that exists.
    Terminal {
        /// Directory that the link to the terminal is made in.
        directory: PathBuf,
        /// The name of the link; it stays the same when the cable is plugged in again.
        name: String,
    },
    /// On a TCP port of the loopback interface that the system picks; one client at a time.
    Tcp,
}

/// The side that speaks first.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Manner {
    /// The meter answers SCPI commands.
    Answers,
    /// The meter sends a line for every conversion and listens to nothing.
    TalksOnly,
}

/// Signs of a change of range from outside.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RangeChange {
    /// The next reading is on the new range already.
    Silent,
    /// One or two overload readings come first.
    Blips,
    /// The next reading comes later by this simulated time. A reading that is fetched from the free run does not wait.
    Delayed(Duration),
}

/// The end of a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ending {
    /// Carriage return.
    Cr,
    /// Line feed.
    Lf,
    /// Both.
    CrLf,
}

impl Ending {
    /// Its bytes.
    pub const fn text(self) -> &'static str {
        match self {
            Self::Cr => "\r",
            Self::Lf => "\n",
            Self::CrLf => "\r\n",
        }
    }
}

/// The properties of a simulated meter. The default is a SCPI multimeter of 10 readings a second on ohms.
#[derive(Debug, Clone, PartialEq)]
pub struct Options {
    /// Way by which it is reached; TCP by default, since only the caller knows a directory.
    pub serve: Serve,
    /// The side that speaks first.
    pub manner: Manner,
    /// Answer to `*IDN?`.
    pub identity: String,
    /// Quantity measured after power-up.
    pub function: Quantity,
    /// Conversions in a simulated second, 0.1 to 10,000.
    pub readings_per_second: f64,
    /// Standard deviation of the noise, in counts of the range.
    pub noise_counts: f64,
    /// Relative error of every reading, to be chosen within the meter's specification.
    pub gain_error: f64,
    /// Ranges for resistance.
    pub resistance: Scale,
    /// Ranges for capacitance.
    pub capacitance: Scale,
    /// Signs of a change of range.
    pub range_change: RangeChange,
    /// Form of a value.
    pub wording: Wording,
    /// Whether the loss factor follows the value after a comma, as an LCR meter sends it; the quality factor for an inductance.
    pub with_loss: bool,
    /// Whether a status number comes last: 0 for a value, 1 for overload.
    pub with_status: bool,
    /// End of its lines. It takes commands with any ending.
    pub ending: Ending,
    /// Seed of the noise.
    pub seed: u64,
}

impl Default for Options {
    fn default() -> Self {
        Self {
            serve: Serve::Tcp,
            manner: Manner::Answers,
            identity: "Probewright,Simulated Meter,0,1".to_owned(),
            function: Quantity::Resistance,
            readings_per_second: 10.0,
            noise_counts: 1.0,
            gain_error: 0.0,
            resistance: Scale::OHM,
            capacitance: Scale::FARAD,
            range_change: RangeChange::Blips,
            wording: Wording::Nr3 { decimals: 8 },
            with_loss: false,
            with_status: false,
            ending: Ending::Lf,
            seed: 1,
        }
    }
}

impl Options {
    /// The ranges for `quantity`.
    pub(super) const fn scale(&self, quantity: Quantity) -> Scale {
        match quantity {
            Quantity::Resistance => self.resistance,
            Quantity::Capacitance => self.capacitance,
            Quantity::Inductance => Scale::HENRY,
            Quantity::Current => Scale::AMPERE,
            // No meter shows a ratio: it follows from two voltages.
            Quantity::Voltage | Quantity::AcVoltage | Quantity::Ratio => Scale::VOLT,
        }
    }

    /// The time of one conversion.
    pub(super) fn period(&self) -> Duration {
        Duration::from_secs_f64(self.readings_per_second.clamp(0.1, 10_000.0).recip())
    }
}

/// Something that happens to one answer, the next one of those not yet ordered for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Fault {
    /// Never comes.
    DropAnswer,
    /// Comes later by this simulated time.
    DelayAnswer(Duration),
    /// These bytes come right before it.
    GarbageFirst(Vec<u8>),
    /// Digits come in its place, in one line.
    OverlongLine(usize),
    /// Its first half comes, then nothing for this simulated time, then the rest.
    HalfLine(Duration),
}

/// Orders faults of a running meter. Copies give orders to the same meter.
#[derive(Debug, Clone, Default)]
pub struct Faults(Arc<Mutex<State>>);

#[derive(Debug, Default)]
struct State {
    orders: VecDeque<Fault>,
    echo: bool,
    silent: bool,
}

impl Faults {
    /// Orders `fault` for the next answer that has none yet.
    pub fn order(&self, fault: Fault) {
        self.state().orders.push_back(fault);
    }

    /// Whether the meter sends back what it hears, from now on.
    pub fn set_echo(&self, echo: bool) {
        self.state().echo = echo;
    }

    /// Whether the meter says nothing at all, from now on.
    pub fn set_silent(&self, silent: bool) {
        self.state().silent = silent;
    }

    /// The fault of the next answer.
    pub(super) fn next(&self) -> Option<Fault> {
        self.state().orders.pop_front()
    }

    pub(super) fn echoes(&self) -> bool {
        self.state().echo
    }

    pub(super) fn is_silent(&self) -> bool {
        self.state().silent
    }

    /// No code panics while it holds the lock, so a poisoned one is still in order.
    fn state(&self) -> MutexGuard<'_, State> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}
