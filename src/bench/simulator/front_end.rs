//! [`FrontEnd`]: from what the probes touch to a number, with the faults of a good meter.

use std::time::Duration;

use fastrand::Rng;

use crate::engine::quantity::Quantity;

use super::component::{Behaviour, Scale};
use super::options::{Options, RangeChange};
use super::probes::{Probes, Touching};

/// One conversion of the meter.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sample {
    /// Quantity that was measured.
    pub quantity: Quantity,
    /// The value in SI base units; `None` for overload.
    pub value: Option<f64>,
    /// The loss factor of the part; `None` where the value is overload.
    pub loss: Option<f64>,
    /// One count of the range it was measured on, in SI base units.
    pub resolution: f64,
}

/// The analogue half of a simulated meter.
///
/// Noise is drawn per conversion from a seeded source, so that the n-th conversion carries the same noise whenever it happens.
#[derive(Debug)]
pub struct FrontEnd {
    probes: Probes,
    rng: Rng,
    noise_counts: f64,
    gain_error: f64,
    range_change: RangeChange,
    function: Quantity,
    /// In the order of [`Quantity::ALL`].
    channels: [Channel; Quantity::ALL.len()],
    walk: Walk,
}

/// The ranges of one function and the one in use.
#[derive(Debug)]
struct Channel {
    scale: Scale,
    range: u32,
    fixed: bool,
    blips: u32,
}

/// A random walk with a standard deviation of 1 after one second; it starts anew with every touch.
#[derive(Debug, Default)]
struct Walk {
    touch: u64,
    since: Duration,
    value: f64,
}

/// The resistance of shorted leads, in ohm.
const LEADS: f64 = 0.08;

/// The capacitance of open leads, in farad.
const STRAY: f64 = 3e-12;

/// The inductance of shorted leads, in henry: about a metre of wire.
const LEADS_HENRY: f64 = 1e-6;

impl FrontEnd {
    /// A front end on `probes` as `options` describe it.
    pub fn new(options: &Options, probes: Probes) -> Self {
        Self {
            probes,
            rng: Rng::with_seed(options.seed),
            noise_counts: options.noise_counts,
            gain_error: options.gain_error,
            range_change: options.range_change,
            function: options.function,
            channels: Quantity::ALL.map(|quantity| Channel::new(options.scale(quantity))),
            walk: Walk::default(),
        }
    }

    /// Quantity measured now.
    pub const fn function(&self) -> Quantity {
        self.function
    }

    /// Sets what it measures. A range that holds `expected`, in SI base units, is fixed; `None` lets it choose.
    pub fn configure(&mut self, function: Quantity, expected: Option<f64>) {
        self.function = function;
        let channel = self.channel();
        channel.fixed = expected.is_some();
        channel.blips = 0;
        channel.range = channel.scale.holding(expected.unwrap_or(f64::INFINITY));
    }

    /// The conversion that ends at the simulated time `at`.
    pub fn sample(&mut self, at: Duration) -> Sample {
        let touching = self.probes.touching(at);
        let noise = self.gaussian();
        let walk = self.walk_to(touching.as_ref());
        let truth = self.truth(touching.as_ref(), walk);
        let (gain, noise_counts, change) = (self.gain_error, self.noise_counts, self.range_change);
        let changing = self.change_range(truth, change);
        let quantity = self.function;
        let channel = self.channel();
        let resolution = channel.scale.resolution(channel.range);
        let value = truth
            .filter(|_| !changing)
            .map(|truth| truth * (1.0 + gain) + noise * noise_counts * resolution)
            .and_then(|value| channel.scale.quantise(value, channel.range));
        let loss = value.and(touching).map(|touching| touching.component.loss);
        Sample {
            quantity,
            value,
            loss,
            resolution,
        }
    }

    /// Delay of the conversion that would end at the time `at`, because the range changes first.
    pub(super) fn delay(&mut self, at: Duration) -> Duration {
        let RangeChange::Delayed(delay) = self.range_change else {
            return Duration::ZERO;
        };
        let truth = self.truth(self.probes.touching(at).as_ref(), self.walk.value);
        let before = self.channel().range;
        self.change_range(truth, self.range_change);
        if self.channel().range == before {
            Duration::ZERO
        } else {
            delay
        }
    }

    /// The true value at the leads; `None` where there is none to measure.
    fn truth(&self, touching: Option<&Touching>, walk: f64) -> Option<f64> {
        let behaviour = touching.map_or(Behaviour::Open, |touching| {
            touching.component.at(self.function)
        });
        let since = touching.map_or(Duration::ZERO, |touching| touching.since);
        match (behaviour, self.function) {
            (Behaviour::Open, Quantity::Capacitance) => Some(STRAY),
            (Behaviour::Short, Quantity::Resistance) => Some(LEADS),
            (Behaviour::Short, Quantity::Inductance) => Some(LEADS_HENRY),
            (
                Behaviour::Open | Behaviour::Short,
                Quantity::Voltage | Quantity::Current | Quantity::AcVoltage,
            ) => Some(0.0),
            _ => behaviour.value(since, walk),
        }
    }

    /// Follows `truth` with the range; whether this conversion is lost to a change of range.
    fn change_range(&mut self, truth: Option<f64>, change: RangeChange) -> bool {
        let drawn = self.rng.u32(1..=2);
        let channel = self.channel();
        if channel.fixed {
            return false;
        }
        // Without a value the range climbs to the top, where overload is overload anyhow.
        let fitting = truth.map_or(channel.scale.top(), |truth| {
            channel.scale.fitting(truth, channel.range)
        });
        if fitting != channel.range {
            channel.range = fitting;
            channel.blips = match change {
                RangeChange::Silent | RangeChange::Delayed(_) => 0,
                RangeChange::Blips => drawn,
            };
        }
        let changing = channel.blips > 0;
        channel.blips = channel.blips.saturating_sub(1);
        changing
    }

    /// Moves the random walk on to this conversion.
    fn walk_to(&mut self, touching: Option<&Touching>) -> f64 {
        let step = self.gaussian();
        let Some(touching) = touching else { return 0.0 };
        if self.walk.touch != touching.touch {
            self.walk = Walk {
                touch: touching.touch,
                ..Walk::default()
            };
        }
        let passed = touching.since.saturating_sub(self.walk.since);
        self.walk.since = touching.since;
        self.walk.value += step * passed.as_secs_f64().sqrt();
        self.walk.value
    }

    /// A number of the standard normal distribution, by the method of Box and Muller (1958).
    fn gaussian(&mut self) -> f64 {
        let radius = (-2.0 * libm::log(1.0 - self.rng.f64())).sqrt();
        radius * libm::cos(std::f64::consts::TAU * self.rng.f64())
    }

    fn channel(&mut self) -> &mut Channel {
        &mut self.channels[self.function as usize]
    }
}

impl Channel {
    const fn new(scale: Scale) -> Self {
        Self {
            scale,
            range: scale.top(),
            fixed: false,
            blips: 0,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::simulator::{BenchClock, Component};
    use crate::engine::statistics::square;
    use approx::assert_relative_eq;

    fn front_end(options: &Options) -> (Probes, FrontEnd) {
        let probes = Probes::new(BenchClock::real_time(), 1);
        (probes.clone(), FrontEnd::new(options, probes))
    }

    /// Conversions of `count` readings, 0.1 s apart, from a second after now on.
    fn readings(front_end: &mut FrontEnd, count: u32) -> Vec<Option<f64>> {
        let start = front_end.probes.clock().now() + Duration::from_secs(1);
        (0..count)
            .map(|n| {
                front_end
                    .sample(start + n * Duration::from_millis(100))
                    .value
            })
            .collect()
    }

    #[test]
    fn noise_has_the_ordered_spread_and_no_bias() {
        let options = Options {
            noise_counts: 20.0,
            range_change: RangeChange::Silent,
            ..Options::default()
        };
        let (probes, mut front_end) = front_end(&options);
        probes.place(Component::resistor(4700.0), Duration::ZERO);
        let values: Vec<_> = readings(&mut front_end, 4000)
            .into_iter()
            .map(Option::unwrap)
            .collect();
        let mean = values.iter().sum::<f64>() / 4000.0;
        let variance = values.iter().map(|value| square(value - mean)).sum::<f64>() / 3999.0;
        // 20 counts of 0.1 Ω are 2 Ω; five standard errors of the mean and of the deviation.
        assert!((mean - 4700.0).abs() < 5.0 * 2.0 / 4000f64.sqrt(), "{mean}");
        assert!(
            (variance.sqrt() - 2.0).abs() < 5.0 * 2.0 / 8000f64.sqrt(),
            "{}",
            variance.sqrt()
        );
    }

    #[test]
    fn a_change_of_range_costs_one_or_two_conversions() {
        let (probes, mut front_end) = front_end(&Options {
            noise_counts: 0.0,
            ..Options::default()
        });
        probes.place(Component::resistor(220.0), Duration::ZERO);
        let values = readings(&mut front_end, 6);
        let blips = values.iter().take_while(|value| value.is_none()).count();
        assert!((1..=2).contains(&blips), "{values:?}");
        assert!(
            values[blips..]
                .iter()
                .all(|value| value.is_some_and(|ohm| (ohm - 220.0).abs() < 1e-9)),
            "{values:?}"
        );
    }

    #[test]
    fn the_same_seed_gives_the_same_noise() {
        let run = || {
            let (probes, mut front_end) = front_end(&Options {
                range_change: RangeChange::Silent,
                ..Options::default()
            });
            probes.place(Component::resistor(1000.0), Duration::ZERO);
            readings(&mut front_end, 50)
        };
        assert_eq!(run(), run());
    }

    #[test]
    fn open_leads_show_overload_on_ohms_and_a_few_picofarad_on_farads() {
        let (_probes, mut front_end) = front_end(&Options {
            range_change: RangeChange::Silent,
            ..Options::default()
        });
        assert_eq!(front_end.sample(Duration::from_secs(1)).value, None);
        front_end.configure(Quantity::Capacitance, None);
        let stray = front_end.sample(Duration::from_secs(2)).value.unwrap();
        assert!(stray.abs() < 20e-12, "{stray}");
    }

    #[test]
    fn open_leads_show_nothing_on_volts_and_amperes_and_overload_on_henries() {
        let (_probes, mut front_end) = front_end(&Options {
            range_change: RangeChange::Silent,
            ..Options::default()
        });
        for (quantity, small) in [(Quantity::Voltage, 20e-6), (Quantity::Current, 20e-9)] {
            front_end.configure(quantity, None);
            let values = readings(&mut front_end, 50);
            let shown = values.iter().map(|value| value.unwrap());
            assert!(shown.clone().all(|value| value.abs() < small), "{values:?}");
            assert!(shown.clone().any(|value| value != 0.0), "it is noisy");
        }
        front_end.configure(Quantity::Inductance, None);
        assert_eq!(front_end.sample(Duration::from_secs(9)).value, None);
    }

    #[test]
    fn a_gain_error_is_in_every_reading() {
        let options = Options {
            noise_counts: 0.0,
            gain_error: 1e-3,
            range_change: RangeChange::Silent,
            ..Options::default()
        };
        let (probes, mut front_end) = front_end(&options);
        probes.place(Component::resistor(1000.0), Duration::ZERO);
        assert_relative_eq!(
            readings(&mut front_end, 1)[0].unwrap(),
            1001.0,
            max_relative = 1e-9
        );
    }

    #[test]
    fn a_fixed_range_overloads_beyond_its_full_scale() {
        let (probes, mut front_end) = front_end(&Options::default());
        front_end.configure(Quantity::Resistance, Some(1000.0));
        probes.place(Component::resistor(47e3), Duration::ZERO);
        assert_eq!(readings(&mut front_end, 5), [None; 5]);
    }

    #[test]
    fn a_wandering_part_never_settles() {
        let (probes, mut front_end) = front_end(&Options {
            range_change: RangeChange::Silent,
            ..Options::default()
        });
        front_end.configure(Quantity::Capacitance, None);
        let leaky = Behaviour::Wander {
            around: 47e-9,
            spread: 0.02,
            drift: 0.01,
        };
        probes.place(
            Component::capacitor(47e-9).with(Quantity::Capacitance, leaky),
            Duration::ZERO,
        );
        let values: Vec<_> = readings(&mut front_end, 100)
            .into_iter()
            .map(Option::unwrap)
            .collect();
        let spread = |part: &[f64]| {
            part.iter().copied().fold(f64::MIN, f64::max)
                - part.iter().copied().fold(f64::MAX, f64::min)
        };
        // Ten conversions, one second: at least a fifth of the standard deviation of a second's walk.
        assert!(
            values
                .chunks(10)
                .all(|second| spread(second) > 0.2 * 0.02 * 47e-9),
            "{values:?}"
        );
    }
}
