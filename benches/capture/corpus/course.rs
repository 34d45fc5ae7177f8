//! [`Course`]: how the value that a meter sees goes from contact on.

use super::normal;

/// Lengths are standard uncertainties of the meter, times seconds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Course {
    /// It is there at once.
    Steady,
    /// One exponential.
    Approach { size: f64, tau: f64 },
    /// Two of them, one behind the other.
    Two { fast: (f64, f64), slow: (f64, f64) },
    /// exp(-√(t/τ)): every time constant at once, as in a dielectric.
    Stretched { size: f64, tau: f64 },
    /// A meter that averages over so many seconds: a ramp that ends.
    Averaging { size: f64, seconds: f64 },
    /// So far a second, for ever.
    Drift { a_second: f64 },
    /// A random step from reading to reading: a probe that slides.
    Walk { step: f64 },
    /// A slow wave.
    Hum { size: f64, hertz: f64 },
}

impl Course {
    /// Whether there is a value to be found.
    pub(crate) const fn ends(self) -> bool {
        !matches!(
            self,
            Self::Drift { .. } | Self::Walk { .. } | Self::Hum { .. }
        )
    }

    /// Where it is after so many seconds; `walked` is where a walk was at the reading before.
    pub(crate) fn at(self, t: f64, walked: &mut f64, rng: &mut fastrand::Rng) -> f64 {
        let fall = |tau: f64| libm::exp(-t / tau);
        match self {
            Self::Steady => 0.0,
            Self::Approach { size, tau } => -size * fall(tau),
            Self::Two { fast, slow } => -fast.0 * fall(fast.1) - slow.0 * fall(slow.1),
            Self::Stretched { size, tau } => -size * libm::exp(-(t / tau).sqrt()),
            Self::Averaging { size, seconds } => -size * (1.0 - t / seconds).max(0.0),
            Self::Drift { a_second } => a_second * t,
            Self::Walk { step } => {
                *walked += step * normal(rng);
                *walked
            }
            Self::Hum { size, hertz } => {
                let turn = std::f64::consts::TAU * hertz * t;
                size * libm::sin(turn + *walked)
            }
        }
    }

    /// When it is within half a standard uncertainty for good, s. No rule that waits for the signal itself is faster.
    pub(crate) fn ideal(self) -> f64 {
        let still = |t: f64| self.at(t, &mut 0.0, &mut fastrand::Rng::with_seed(0)).abs() > 0.5;
        if !self.ends() || !still(0.0) {
            return 0.0;
        }
        let (mut from, mut to) = (0.0, 1000.0);
        for _ in 0..50 {
            let middle = f64::midpoint(from, to);
            if still(middle) {
                from = middle;
            } else {
                to = middle;
            }
        }
        to
    }
}
