//! [`Spread`]: mean and standard deviation of the good parts of a batch, each with what it may be off.
//!
//! [`Centre`]: how far the mean of a batch lies from what is printed on the parts.
//!
//! [`Histogram`]: how the values of a batch are spread, as lines of text.

use crate::engine::quantity::{Quantity, format_value};
use crate::engine::statistics::{
    Interval, chi_squared, deviation_interval, mean_and_deviation, mean_interval, quantile, square,
    tolerance_factor,
};

/// Confidence of an interval.
const CONFIDENCE: f64 = 0.95;

/// Summary of how values lie, all in the SI unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spread {
    /// Number of values.
    pub count: usize,
    /// Lower end of the values.
    pub smallest: f64,
    /// Upper end of the values.
    pub largest: f64,
    /// Arithmetic mean.
    pub mean: f64,
    /// Their standard deviation, with n - 1; zero for one value.
    pub deviation: f64,
    /// Root mean square of what the meter may be off, k = 1.
    pub meter: f64,
}

impl Spread {
    /// The spread of `values`, each with its standard uncertainty; `None` without any.
    pub fn of(values: &[(f64, f64)]) -> Option<Self> {
        let (first, _) = *values.first()?;
        let plain = || values.iter().map(|(value, _)| *value);
        let (mean, deviation) = mean_and_deviation(plain(), first)?;
        let count = values.len();
        let squares: f64 = values.iter().map(|(_, u)| u * u).sum();
        Some(Self {
            count,
            smallest: plain().fold(first, f64::min),
            largest: plain().fold(first, f64::max),
            mean,
            deviation,
            meter: (squares / count as f64).sqrt(),
        })
    }

    /// Where the mean of all parts made alike is, with 95 %, as far as chance decides; `None` for one value.
    pub fn mean_interval(&self) -> Option<Interval> {
        mean_interval(self.count, self.mean, self.deviation, CONFIDENCE)
    }

    /// Where their standard deviation is, with 95 %; `None` for one value.
    pub fn deviation_interval(&self) -> Option<Interval> {
        deviation_interval(self.count, self.deviation, CONFIDENCE)
    }

    /// Interval that holds 95 % of all parts made alike, with 95 %; `None` for one value.
    pub fn tolerance_interval(&self) -> Option<Interval> {
        (self.count > 1).then(|| {
            let width = tolerance_factor(self.count, 0.95, CONFIDENCE) * self.deviation;
            Interval::around(self.mean, width)
        })
    }

    /// Whether the values lie further apart than the meter alone would make them with 95 %, were its whole uncertainty a matter
    /// of chance from part to part: (n-1) s²/u² above the quantile of χ². `None` for one value, or without an uncertainty.
    ///
    /// Test of a standard deviation against a given one: NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.8 (from memory).
    pub fn exceeds_the_meter(&self) -> Option<bool> {
        let most = chi_squared(CONFIDENCE, self.degrees())?;
        let ratio = self.degrees() * square(self.deviation / self.meter);
        (self.meter > 0.0).then_some(ratio > most)
    }

    fn degrees(&self) -> f64 {
        self.count as f64 - 1.0
    }
}

/// The mean of a batch against the nominal value.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Centre {
    /// Distance of the mean from the nominal value, in parts of it; negative below.
    pub offset: f64,
    /// Addition of chance and meter to that, with 95 %, in the same measure: half the interval of the mean, and 2 u of the meter,
    /// which may be off by as much on all parts at once, added as squares.
    pub uncertainty: f64,
}

impl Centre {
    /// The mean of that spread against `nominal`, which is not zero.
    pub fn of(spread: &Spread, nominal: f64) -> Self {
        let chance = spread
            .mean_interval()
            .map_or(0.0, |interval| (interval.to - interval.from) / 2.0);
        Self {
            offset: spread.mean / nominal - 1.0,
            uncertainty: libm::hypot(chance, 2.0 * spread.meter) / nominal.abs(),
        }
    }

    /// Whether the batch lies off its nominal value by more than chance and meter may make it.
    pub fn is_off(self) -> bool {
        self.offset.abs() > self.uncertainty
    }
}

/// More classes are more lines than one looks at.
const MOST_CLASSES: f64 = 20.0;

/// From so many values on the width of a class follows their quartiles.
const MANY: usize = 30;

/// The longest bar, in columns. With the limits of a class before it and the number behind it a line has 80 at most.
const LONGEST_BAR: usize = 36;

/// Values counted in classes of one width, which is a round number.
#[derive(Debug, Clone, PartialEq)]
pub struct Histogram {
    quantity: Quantity,
    /// Lower limit of the first class, in widths.
    first: f64,
    /// Width of a class, in the SI unit.
    width: f64,
    /// Number of values in each class.
    counts: Vec<usize>,
}

impl Histogram {
    /// The histogram of `values`, finite and in the SI unit; `None` if they are fewer than two or all alike.
    ///
    /// For fewer than 30 values 1 + log₂ n classes (H. A. Sturges, J. Am. Stat. Assoc. 21 (1926) 65), else a width of
    /// 2 (Q₃ - Q₁) n^(-1/3) (D. Freedman and P. Diaconis, Z. Wahrscheinlichkeitstheorie verw. Gebiete 57 (1981) 453), both from memory;
    /// then the next round width: 1, 2 or 5 times a power of ten.
    pub fn of(quantity: Quantity, values: &[f64]) -> Option<Self> {
        let mut sorted = values.to_vec();
        sorted.sort_by(f64::total_cmp);
        let (smallest, largest) = (*sorted.first()?, *sorted.last()?);
        let range = largest - smallest;
        // Less than rounding is no difference.
        if range <= 1e-12 * largest.abs() {
            return None;
        }
        let width = round_up(rule(&sorted, range).max(range / MOST_CLASSES));
        let class = |value: f64| (value / width + 1e-9).floor();
        let first = class(smallest);
        let mut counts = vec![0; (class(largest) - first) as usize + 1];
        for value in &sorted {
            counts[(class(*value) - first) as usize] += 1;
        }
        Some(Self {
            quantity,
            first,
            width,
            counts,
        })
    }

    /// The lines, from the lowest class up, with each mark (its name and value) where it belongs; at most 80 columns wide.
    pub fn lines(&self, marks: &[(&str, f64)]) -> Vec<String> {
        let mut marks = marks.to_vec();
        marks.sort_by(|a, b| a.1.total_cmp(&b.1));
        let mark = |(name, value): &(&str, f64)| {
            let value = format_value(self.quantity, *value, 6);
            format!("{:─^LONGEST_BAR$}", format!(" {name} {value} "))
        };
        let edges: Vec<String> = (0..=self.counts.len())
            .map(|at| self.text(self.edge(at)))
            .collect();
        let wide = edges
            .iter()
            .map(|edge| edge.chars().count())
            .max()
            .unwrap_or(0);
        let most = self.counts.iter().copied().max().unwrap_or(1);
        let classes = 2 * wide + " to ".len();
        let indent = format!("{:classes$}  ", "");
        let mut lines = Vec::new();
        let mut next = marks.iter().peekable();
        for (at, count) in self.counts.iter().enumerate() {
            while let Some(passed) = next.next_if(|(_, value)| *value < self.middle(at)) {
                lines.push(format!("{indent}{}", mark(passed)));
            }
            let bar = "█".repeat(bar_length(*count, most));
            let (from, to) = (&edges[at], &edges[at + 1]);
            let line = format!("{from:>wide$} to {to:>wide$}  {bar} {count}");
            lines.push(line.trim_end().to_owned());
        }
        lines.extend(next.map(|left| format!("{indent}{}", mark(left))));
        lines
    }

    /// The lower limit of a class.
    fn edge(&self, at: usize) -> f64 {
        (self.first + at as f64) * self.width
    }

    fn middle(&self, at: usize) -> f64 {
        self.edge(at) + self.width / 2.0
    }

    /// A limit of a class, with as many figures as tell one from the next.
    fn text(&self, value: f64) -> String {
        let figures = libm::log10((value / self.width).abs().max(1.0)).floor() as usize + 2;
        format_value(self.quantity, value, figures.clamp(3, 9))
    }
}

/// Three columns a value, or scaled to the longest bar where that is too long.
fn bar_length(count: usize, most: usize) -> usize {
    if 3 * most <= LONGEST_BAR {
        3 * count
    } else {
        (count * LONGEST_BAR).div_ceil(most)
    }
}

/// The width that the rule gives, before rounding.
fn rule(sorted: &[f64], range: f64) -> f64 {
    let n = sorted.len() as f64;
    let between = |p| quantile(sorted, p).unwrap_or_default();
    let by_quartiles = 2.0 * (between(0.75) - between(0.25)) / libm::cbrt(n);
    if sorted.len() >= MANY && by_quartiles > 0.0 {
        by_quartiles
    } else {
        range / (1.0 + libm::log2(n)).ceil()
    }
}

/// The smallest of 1, 2 and 5 times a power of ten that is not below `width`.
fn round_up(width: f64) -> f64 {
    let power = libm::exp10(libm::log10(width).floor());
    let fits = |factor: &f64| factor * power >= width * (1.0 - 1e-9);
    let factor = [1.0, 2.0, 5.0].into_iter().find(fits).unwrap_or(10.0);
    factor * power
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn one_value_has_no_spread_and_none_no_mean() {
        let one = Spread::of(&[(47e-6, 0.1e-6)]).unwrap();
        assert_eq!((one.count, one.mean, one.deviation), (1, 47e-6, 0.0));
        assert_eq!(one.mean_interval(), None);
        assert_eq!(one.deviation_interval(), None);
        assert_eq!(one.tolerance_interval(), None);
        assert_eq!(one.exceeds_the_meter(), None);
        assert_eq!(Spread::of(&[]), None);
    }

    #[test]
    fn a_spread_is_told_from_what_the_meter_adds() {
        let of = |u: f64| {
            let values = [46.0, 47.0, 48.0, 47.5, 46.5].map(|value| (value, u));
            Spread::of(&values).unwrap().exceeds_the_meter()
        };
        // s = 0.7906; for 4 degrees of freedom the quantile of 95 % is 9.488 (table of NIST/SEMATECH 1.3.6.7.4, from memory),
        // so a meter of u = 0.7906 √(4/9.488) = 0.5133 is the limit.
        assert_eq!(of(0.51), Some(true));
        assert_eq!(of(0.52), Some(false));
        assert_eq!(of(0.0), None);
    }

    #[test]
    fn a_batch_is_off_only_beyond_what_chance_and_meter_may_add() {
        let of = |u: f64| {
            let values = [98.0, 98.1, 97.9].map(|value| (value, u));
            Centre::of(&Spread::of(&values).unwrap(), 100.0)
        };
        approx::assert_relative_eq!(of(0.1).offset, -0.02, max_relative = 1e-9);
        assert!(of(0.1).is_off());
        assert!(!of(1.5).is_off());
    }

    fn of(values: &[f64]) -> Histogram {
        Histogram::of(Quantity::Capacitance, values).unwrap()
    }

    #[test]
    fn widths_are_round_numbers() {
        for (width, round) in [(0.9, 1.0), (1.0, 1.0), (1.1, 2.0), (3e-7, 5e-7), (6e3, 1e4)] {
            approx::assert_relative_eq!(round_up(width), round, max_relative = 1e-12);
        }
    }

    #[test]
    fn limits_and_nominal_value_stand_where_they_belong() {
        let values = [46.1e-6, 46.6e-6, 46.7e-6, 47.2e-6, 47.3e-6, 48.0e-6];
        let marks = [
            ("upper limit", 56.4e-6),
            ("nominal", 47e-6),
            ("lower limit", 37.6e-6),
        ];
        let lines = of(&values).lines(&marks);
        assert_eq!(
            lines,
            [
                "                    ─────── lower limit 37.6 µF ────────",
                "  46 µF to 46.5 µF  ███ 1",
                "46.5 µF to   47 µF  ██████ 2",
                "                    ────────── nominal 47 µF ───────────",
                "  47 µF to 47.5 µF  ██████ 2",
                "47.5 µF to   48 µF   0",
                "  48 µF to 48.5 µF  ███ 1",
                "                    ─────── upper limit 56.4 µF ────────",
            ]
        );
    }

    #[test]
    fn values_that_are_all_alike_make_none() {
        assert_eq!(Histogram::of(Quantity::Resistance, &[47.0; 5]), None);
        assert_eq!(Histogram::of(Quantity::Resistance, &[47.0]), None);
        assert_eq!(Histogram::of(Quantity::Resistance, &[]), None);
    }

    proptest! {
        #[test]
        fn every_value_is_counted_once_and_every_line_fits(
            values in prop::collection::vec(1e-12_f64..1e-2, 2..200),
            marks in prop::collection::vec(1e-12_f64..1e-2, 0..4),
        ) {
            let histogram = Histogram::of(Quantity::Capacitance, &values);
            prop_assume!(histogram.is_some());
            let histogram = histogram.unwrap();
            prop_assert_eq!(histogram.counts.iter().sum::<usize>(), values.len());
            prop_assert!(histogram.counts.len() <= 22);
            let marks: Vec<_> = marks.into_iter().map(|value| ("lower limit", value)).collect();
            let lines = histogram.lines(&marks);
            prop_assert_eq!(lines.len(), histogram.counts.len() + marks.len());
            for line in lines {
                prop_assert!(line.chars().count() <= 80, "{}", line);
            }
        }
    }
}
