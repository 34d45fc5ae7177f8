//! [`Component`]: a simulated part, as a meter would read it over time, and the [`Scale`] of its readings.

use std::time::Duration;

use crate::engine::quantity::Quantity;

/// Reading of a meter of one quantity at a part, in SI base units, as a function of the time since contact.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Behaviour {
    /// One value at once and for good.
    Steady(f64),
    /// `to + (from - to) e^(-t/τ)`: one exponential, as a resistor shunted by a capacitor shows it [RC charging, by definition].
    Approach {
        /// The end value.
        to: f64,
        /// The value at contact.
        from: f64,
        /// The time constant τ, over zero.
        tau: Duration,
    },
    /// Climbs from zero without end: a capacitor on an ohmmeter of constant current I shows V/I = t/C.
    Climb {
        /// Growth in a second; for a capacitor 1/C.
        per_second: f64,
    },
    /// Never settles: a random walk about a value that also drifts, as a leaky capacitor shows it.
    Wander {
        /// The value at contact.
        around: f64,
        /// Standard deviation that the walk gains in one second, relative to `around`; it grows with the square root of time.
        spread: f64,
        /// Steady drift per second, relative to `around`.
        drift: f64,
    },
    /// As if nothing were there.
    Open,
    /// As if the probes touched each other.
    Short,
}

/// A part on the bench.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Component {
    /// Behaviour towards a meter for each quantity. A ratio follows from two others and is seen by none.
    behaviours: [Behaviour; Quantity::ALL.len()],
    /// The second value of an LCR meter: the loss factor tan δ, a plain number. For an inductance its inverse is sent, Q.
    pub loss: f64,
}

/// Below this resistance, in ohm, a part swamps the capacitance range and reads overload there; above, it reads as nothing.
const SWAMPING: f64 = 100e3;

impl Component {
    /// A resistor of `ohm`, over zero. A capacitance meter reads overload at a low one and next to nothing at a high one.
    pub fn resistor(ohm: f64) -> Self {
        let elsewhere = if ohm < SWAMPING {
            Self::short()
        } else {
            Self::open()
        };
        elsewhere.with(Quantity::Resistance, Behaviour::Steady(ohm))
    }

    /// A good capacitor of `farad`, over zero. An ohmmeter charges it: it climbs into overload.
    pub fn capacitor(farad: f64) -> Self {
        let resistance = Behaviour::Climb {
            per_second: farad.recip(),
        };
        Self::open()
            .with(Quantity::Resistance, resistance)
            .with(Quantity::Capacitance, Behaviour::Steady(farad))
            .with_loss(0.001)
    }

    /// A coil of `henry` with a wire of `ohm`, both over zero, and a quality factor of 20. A capacitance meter reads overload.
    pub fn coil(henry: f64, ohm: f64) -> Self {
        Self::short()
            .with(Quantity::Resistance, Behaviour::Steady(ohm))
            .with(Quantity::Inductance, Behaviour::Steady(henry))
            .with_loss(0.05)
    }

    /// A test point that is under `volt`, of either sign. Whatever is not a voltmeter reads as if nothing were there.
    pub const fn live_point(volt: f64) -> Self {
        Self::open().with(Quantity::Voltage, Behaviour::Steady(volt))
    }

    /// A leak that drives `ampere`, of either sign, through an ammeter. Whatever is not an ammeter reads as if nothing were there.
    pub const fn leak(ampere: f64) -> Self {
        Self::open().with(Quantity::Current, Behaviour::Steady(ampere))
    }

    /// Two points with an alternating voltage of `volt`, root mean square, between them. Whatever is no voltmeter for it reads
    /// as if nothing were there.
    pub const fn alternating(volt: f64) -> Self {
        Self::open().with(Quantity::AcVoltage, Behaviour::Steady(volt))
    }

    /// A part that reads as nothing.
    pub const fn open() -> Self {
        Self::everywhere(Behaviour::Open)
    }

    /// A part that reads as a wire.
    pub const fn short() -> Self {
        Self::everywhere(Behaviour::Short)
    }

    const fn everywhere(behaviour: Behaviour) -> Self {
        Self {
            behaviours: [behaviour; Quantity::ALL.len()],
            loss: 0.0,
        }
    }

    /// Part with another behaviour at a meter for `quantity`.
    #[must_use]
    pub const fn with(mut self, quantity: Quantity, behaviour: Behaviour) -> Self {
        self.behaviours[quantity as usize] = behaviour;
        self
    }

    /// Reading of a meter of `quantity`.
    pub(super) const fn at(&self, quantity: Quantity) -> Behaviour {
        self.behaviours[quantity as usize]
    }

    /// Part with the loss factor `loss`.
    #[must_use]
    pub const fn with_loss(mut self, loss: f64) -> Self {
        self.loss = loss;
        self
    }
}

impl Behaviour {
    /// The value `since` contact, where `walk` is the state of the random walk (standard deviation 1 after one second);
    /// `None` for open and short.
    pub(super) fn value(self, since: Duration, walk: f64) -> Option<f64> {
        let t = since.as_secs_f64();
        match self {
            Self::Steady(value) => Some(value),
            Self::Approach { to, from, tau } => {
                Some(to + (from - to) * libm::exp(-t / tau.as_secs_f64()))
            }
            Self::Climb { per_second } => Some(per_second * t),
            Self::Wander {
                around,
                spread,
                drift,
            } => Some(around * (1.0 + spread * walk + drift * t)),
            Self::Open | Self::Short => None,
        }
    }
}

/// Decade ranges of one quantity.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scale {
    /// Full scale of the lowest range, in SI base units, over zero.
    lowest: f64,
    /// Number of ranges, each ten times the one before; at least one.
    ranges: u32,
    /// Counts of a full scale: a range resolves its full scale divided by this; at least one.
    counts: u32,
}

impl Scale {
    /// 600 Ω to 60 MΩ in six ranges of 60,000 counts.
    pub const OHM: Self = Self::new(600.0, 6, 60_000);

    /// 6 nF to 6 mF in seven ranges of 6,000 counts.
    pub const FARAD: Self = Self::new(6e-9, 7, 6_000);

    /// 100 µH to 100 H in seven ranges of 10,000 counts.
    pub const HENRY: Self = Self::new(100e-6, 7, 10_000);

    /// 100 mV to 1 kV in five ranges of 100,000 counts.
    pub const VOLT: Self = Self::new(100e-3, 5, 100_000);

    /// 100 µA to 1 A in five ranges of 100,000 counts.
    pub const AMPERE: Self = Self::new(100e-6, 5, 100_000);

    /// So many ranges, of so many counts, from that full scale on, in SI base units.
    pub const fn new(lowest: f64, ranges: u32, counts: u32) -> Self {
        Self {
            lowest,
            ranges,
            counts,
        }
    }

    /// The highest range.
    pub(super) const fn top(&self) -> u32 {
        self.ranges.saturating_sub(1)
    }

    /// Full scale of `range`.
    pub(super) fn full_scale(&self, range: u32) -> f64 {
        self.lowest * libm::exp10(f64::from(range.cast_signed()))
    }

    /// One count of `range`.
    pub(super) fn resolution(&self, range: u32) -> f64 {
        self.full_scale(range) / f64::from(self.counts)
    }

    /// `value` in whole counts of `range`; `None` if that is beyond full scale.
    pub(super) fn quantise(&self, value: f64, range: u32) -> Option<f64> {
        let counts = (value / self.resolution(range)).round();
        // The product of a whole number keeps the shown digits exact to the last place of a double.
        (counts.abs() <= f64::from(self.counts)).then(|| counts * self.resolution(range))
    }

    /// The range that autorange picks for `value`, coming from `current`: up beyond full scale, down below 9.5 % of it.
    pub(super) fn fitting(&self, value: f64, current: u32) -> u32 {
        let mut range = current.min(self.top());
        while range < self.top() && value.abs() > self.full_scale(range) {
            range += 1;
        }
        while range > 0 && value.abs() < 0.095 * self.full_scale(range) {
            range -= 1;
        }
        range
    }

    /// The lowest range whose full scale holds `value`; the highest if none does.
    pub(super) fn holding(&self, value: f64) -> u32 {
        (0..self.top())
            .find(|&range| value.abs() <= self.full_scale(range))
            .unwrap_or(self.top())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn an_approach_is_one_exponential() {
        // Shares left after 1, 2 and 5 time constants: 36.787944, 13.533528 and 0.6737947 % [mathematical constants e^-n].
        let behaviour = Behaviour::Approach {
            to: 0.0,
            from: 100.0,
            tau: Duration::from_millis(500),
        };
        let left = |seconds: f64| {
            behaviour
                .value(Duration::from_secs_f64(seconds), 0.0)
                .unwrap()
        };
        assert_relative_eq!(left(0.5), 36.787_944, max_relative = 1e-7);
        assert_relative_eq!(left(1.0), 13.533_528, max_relative = 1e-7);
        assert_relative_eq!(left(2.5), 0.673_794_7, max_relative = 1e-7);
    }

    #[test]
    fn a_capacitor_on_ohms_climbs_as_constant_current_charges_it() {
        // 1 mA into 10 µF for 1 s gives 100 V, which reads as 100 kΩ [V = I t / C, by definition].
        let on_ohms = Component::capacitor(10e-6).at(Quantity::Resistance);
        assert_relative_eq!(
            on_ohms.value(Duration::from_secs(1), 0.0).unwrap(),
            100e3,
            max_relative = 1e-12
        );
    }

    #[test]
    fn a_reading_is_a_whole_number_of_counts() {
        // The 6 kΩ range of 60,000 counts resolves 0.1 Ω [by definition of counts].
        assert_relative_eq!(
            Scale::OHM.quantise(4712.345, 1).unwrap(),
            4712.3,
            max_relative = 1e-12
        );
        assert!(Scale::OHM.quantise(6000.1, 1).is_none());
    }

    #[test]
    fn autorange_goes_up_beyond_full_scale_and_down_with_hysteresis() {
        assert_eq!(Scale::OHM.fitting(6100.0, 0), 2);
        assert_eq!(Scale::OHM.fitting(5900.0, 2), 2, "5.9 kΩ stays on 60 kΩ");
        assert_eq!(Scale::OHM.fitting(5600.0, 2), 1);
        assert_eq!(
            Scale::OHM.fitting(1e12, 0),
            5,
            "there is nothing above the top range"
        );
    }

    #[test]
    fn a_range_is_chosen_by_the_value_it_must_hold() {
        assert_eq!(Scale::OHM.holding(1000.0), 1);
        assert_eq!(Scale::OHM.holding(600.0), 0);
        assert_eq!(Scale::OHM.holding(1e9), 5);
    }
}
