//! Seeded touches, by cells of equal trouble, played through the engine's own probes.

mod cells;
mod course;
mod figures;
mod meter;
mod touch;

pub(crate) use cells::cells;
pub(crate) use course::Course;
pub(crate) use figures::Figures;
pub(crate) use meter::{BENCH, HAND_HELD, Meter};

use touch::{Outcome, play};

/// Settings that all touches of a cell share.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Cell {
    /// The case that is tried, in a word.
    pub(crate) group: &'static str,
    pub(crate) meter: Meter,
    /// Readings a second.
    pub(crate) rate: f64,
    pub(crate) course: Course,
    /// Standard deviation of a reading, in standard uncertainties of the meter.
    pub(crate) noise: f64,
    /// Of so many readings one shows the air.
    pub(crate) slips: f64,
    /// Of so many readings one is far off.
    pub(crate) blips: f64,
    /// How long the contact bounces, s.
    pub(crate) bounce: f64,
    /// How long the probes are held, s.
    pub(crate) held: f64,
    /// How often the part is touched, with 0.3 s between.
    pub(crate) times: u32,
    /// How many of them.
    pub(crate) touches: u32,
}

impl Cell {
    /// Plays its touches.
    pub(crate) fn figures(&self, seed: u64) -> Figures {
        let outcomes: Vec<Outcome> = (0..self.touches)
            .map(|touch| play(self, self.seed(seed, touch)))
            .collect();
        Figures::of(self, &outcomes)
    }

    /// Whether it is too short to find anything.
    fn is_brush(&self) -> bool {
        self.held < 0.2
    }

    /// One for every touch, which does not depend on what other cells there are.
    fn seed(&self, seed: u64, touch: u32) -> u64 {
        let name = self.to_string();
        let mixed = name.bytes().fold(seed, |mixed, byte| {
            (mixed ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3)
        });
        mixed.wrapping_add(u64::from(touch).wrapping_mul(0x9e37_79b9_7f4a_7c15))
    }
}

impl std::fmt::Display for Cell {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let meter = if self.meter == BENCH { "bench" } else { "hand" };
        write!(f, "{} {meter} {}/s", self.group, self.rate)?;
        match self.course {
            Course::Steady => {}
            Course::Approach { size, tau } | Course::Stretched { size, tau } => {
                write!(f, " {size}u tau {tau}s")?;
            }
            Course::Two { fast, slow } => {
                write!(f, " {}u {}s, {}u {}s", fast.0, fast.1, slow.0, slow.1)?;
            }
            Course::Averaging { size, seconds } => write!(f, " {size}u over {seconds}s")?,
            Course::Drift { a_second } => write!(f, " {a_second:.1}u a second")?,
            Course::Walk { step } => write!(f, " {step}u a reading")?,
            Course::Hum { size, hertz } => write!(f, " {size}u {hertz}Hz")?,
        }
        write!(f, " noise {:.2}u", self.noise)
    }
}

/// A value of the standard normal distribution (Box and Muller).
fn normal(rng: &mut fastrand::Rng) -> f64 {
    (-2.0 * libm::log(1.0 - rng.f64())).sqrt() * libm::cos(std::f64::consts::TAU * rng.f64())
}
