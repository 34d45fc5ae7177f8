//! The test of settling: [`settled`]. What it tests and why is said in the documentation of the room.

use std::sync::LazyLock;

use super::segment::{Cell, MOST_CELLS};
use crate::engine::statistics::{Line, least_ratio, normal_cdf, square, student};

/// The shortest look, s: a contact younger than this is still being pressed home.
pub const SHORTEST_LOOK: f64 = 0.25;

/// Scatter of single readings, in standard uncertainties of the meter, above which nothing counts as settled.
pub const RESTLESS: f64 = 4.0;

/// Fewest cells in a window. A line through fewer says nothing about its own scatter.
const FEWEST: usize = 4;

/// Fewest cells in a block for which wandering can be told from scatter.
const FEWEST_JUDGED: usize = 6;

/// Standard errors by which a movement is enlarged before it is believed to be small.
const REACH: f64 = 3.0;

/// An accepted window: from which cell on the value is level, and what is at most left of its approach.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Level {
    /// Index of the first cell of the window.
    pub from: usize,
    /// Upper bound of the distance between the mean of the window and where the value is going.
    pub remaining: f64,
}

/// Whether the value has settled, and from where on.
///
/// `cells` are in order of time since contact at `began` (s). `specification` is the meter's standard uncertainty at this
/// value and `resolution` the size of its last digit, both in the unit of the values.
pub fn settled(cells: &[Cell], began: f64, specification: f64, resolution: f64) -> Option<Level> {
    let last = cells.last()?;
    let elapsed = last.time - began;
    if cells.len() < FEWEST || elapsed < SHORTEST_LOOK {
        return None;
    }
    let floor = resolution / 12f64.sqrt();
    let count = cells.len();
    [count, count / 2, count / 4]
        .into_iter()
        .filter(|&size| size >= FEWEST)
        .find_map(|size| level(cells, count - size, elapsed, specification, floor))
        .or_else(|| approach(cells, count / 2, specification, floor))
}

/// The first bound: a straight line, carried forward as an approach with the time constant `elapsed`.
fn level(
    cells: &[Cell],
    from: usize,
    elapsed: f64,
    specification: f64,
    floor: f64,
) -> Option<Level> {
    let window = &cells[from..];
    let line = line(window)?;
    let scatter = successive_scatter(window).max(floor);
    let allowed = allowance(scatter, specification)?;
    if wanders(line.scatter(), scatter, floor, window.len()) {
        return None;
    }
    let span = window[window.len() - 1].time - window[0].time;
    let slope = line.slope().abs() + reach(scatter, floor, window.len()) / line.leverage().sqrt();
    let share = span / elapsed;
    let remaining = slope * (span / 2.0 + elapsed * share / libm::expm1(share));
    (remaining <= allowed).then_some(Level { from, remaining })
}

/// The second bound: four blocks of an exponential approach, clean enough to show its ratio twice, the last of which moves
/// no more than what is said to be left allows.
fn approach(cells: &[Cell], from: usize, specification: f64, floor: f64) -> Option<Level> {
    let size = (cells.len() - from) / 4;
    if size < 3 {
        return None;
    }
    let window = &cells[cells.len() - 4 * size..];
    let block = |i: usize| &window[i * size..(i + 1) * size];
    let scatter = curved_scatter(&window[2 * size..]).max(floor);
    if scatter > specification / 4.0 {
        return None;
    }
    if size >= FEWEST_JUDGED && (2..4).any(|i| block_wanders(block(i), scatter, floor)) {
        return None;
    }
    let step = |i: usize| mean(block(i + 1)) - mean(block(i));
    let (first, second, third) = (step(0), step(1), step(2));
    let error = reach(scatter, floor, 2 * size - 1) * (2.0 / size as f64).sqrt();
    let shrinks = |from: f64, to: f64| {
        from.abs() > 2.0 * error && (to.abs() <= error || from.signum() == to.signum())
    };
    if !shrinks(first, second)
        || (third - second * second / first).abs() > error
        || !shrinks(first, third)
    {
        return None;
    }
    let ratio = (second.abs() + error) / (first.abs() - error);
    if ratio >= 1.0 {
        return None;
    }
    let remaining = (third.abs() + error) * ratio / (1.0 - ratio);
    let last = block(3);
    let within = line(last)?.slope().abs() * (last[size - 1].time - last[0].time);
    (remaining <= specification && within <= 2.0 * remaining).then_some(Level {
        from: cells.len() - size,
        remaining,
    })
}

/// Whether the values of a block wander about their own straight line.
fn block_wanders(block: &[Cell], scatter: f64, floor: f64) -> bool {
    line(block).is_none_or(|line| wanders(line.scatter(), scatter, floor, block.len()))
}

fn mean(cells: &[Cell]) -> f64 {
    cells.iter().map(|c| c.value).sum::<f64>() / cells.len() as f64
}

/// The scatter, enlarged to where it has three standard errors' worth of confidence although only `count` values gave it.
///
/// The floor that the resolution sets is known beforehand and needs no such enlargement.
fn reach(scatter: f64, floor: f64, count: usize) -> f64 {
    if scatter > floor {
        STUDENT[(count - 1).clamp(1, MOST_CELLS) - 1] * scatter
    } else {
        REACH * floor
    }
}

/// Student's quantile for the one-sided probability of three standard deviations, from one degree of freedom on: worked out once, for it is asked
/// for at every look.
static STUDENT: LazyLock<[f64; MOST_CELLS]> = LazyLock::new(|| {
    let quantile = |degrees: usize| student(normal_cdf(-REACH), degrees as f64);
    std::array::from_fn(|at| quantile(at + 1).unwrap_or(f64::INFINITY))
});

/// How much may be left: the meter's standard uncertainty, or the scatter where that is larger; nothing is allowed to a restless value.
fn allowance(scatter: f64, specification: f64) -> Option<f64> {
    (scatter <= RESTLESS * specification).then_some(specification.max(scatter))
}

/// Standard deviation of single values from successive differences: √(Σ(x₊ - x)² / 2(n - 1)).
fn successive_scatter(cells: &[Cell]) -> f64 {
    let square: f64 = cells
        .windows(2)
        .map(|pair| square(pair[1].value - pair[0].value))
        .sum();
    (square / (2.0 * (cells.len() - 1) as f64)).sqrt()
}

/// The same from second differences, which a smooth approach hardly enlarges: √(Σ(x₋ - 2x + x₊)² / 6(n - 2)).
fn curved_scatter(cells: &[Cell]) -> f64 {
    let square: f64 = cells
        .windows(3)
        .map(|three| square(three[0].value - 2.0 * three[1].value + three[2].value))
        .sum();
    (square / (6.0 * (cells.len() - 2) as f64)).sqrt()
}

/// Whether von Neumann's ratio is that of a wandering series.
fn wanders(about_line: f64, successive: f64, floor: f64, count: usize) -> bool {
    if about_line <= 2.0 * floor {
        return false;
    }
    2.0 * square(successive / about_line) < least_ratio(count)
}

/// The straight line through the values over time.
fn line(cells: &[Cell]) -> Option<Line> {
    Line::through(cells.iter().map(|cell| (cell.time, cell.value)))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Feeds a series reading by reading, as it is done live, and tells where it first counts as settled.
    fn first_settled(
        values: &[f64],
        rate: f64,
        specification: f64,
        resolution: f64,
    ) -> Option<usize> {
        let cells: Vec<Cell> = values
            .iter()
            .enumerate()
            .map(|(i, &value)| Cell {
                time: (i + 1) as f64 / rate,
                value,
            })
            .collect();
        let mut next = 0;
        (1..=cells.len()).find(|&n| {
            if n < next {
                return false;
            }
            next = n + (n / 12).max(1);
            settled(&cells[..n], 0.0, specification, resolution).is_some()
        })
    }

    fn normal(rng: &mut fastrand::Rng) -> f64 {
        (-2.0 * libm::log(1.0 - rng.f64())).sqrt() * libm::cos(std::f64::consts::TAU * rng.f64())
    }

    fn rounded(value: f64, resolution: f64) -> f64 {
        (value / resolution).round() * resolution
    }

    #[test]
    fn no_reading_and_one_reading_are_not_settled() {
        assert_eq!(settled(&[], 0.0, 1.0, 0.1), None);
        assert_eq!(
            settled(
                &[Cell {
                    time: 1.0,
                    value: 1.0
                }],
                0.0,
                1.0,
                0.1
            ),
            None
        );
    }

    #[test]
    fn readings_at_one_instant_are_not_settled() {
        let cells = [Cell {
            time: 1.0,
            value: 1.0,
        }; 9];
        assert_eq!(settled(&cells, 0.0, 1.0, 0.1), None);
    }

    #[test]
    fn steady_noise_inside_the_specification_settles_within_a_hundred_readings() {
        let mut rng = fastrand::Rng::with_seed(11);
        for share in [0.05, 0.1, 0.2, 0.4] {
            let late = (0..400)
                .filter(|_| {
                    let values: Vec<f64> = (0..100)
                        .map(|_| rounded(100.0 + share * normal(&mut rng), 0.05))
                        .collect();
                    first_settled(&values, 10.0, 1.0, 0.05).is_none()
                })
                .count();
            assert!(late <= 4, "scatter {share}: {late} of 400 did not settle");
        }
    }

    #[test]
    fn random_walks_are_hardly_ever_taken_for_a_value() {
        let mut rng = fastrand::Rng::with_seed(12);
        for step in [1.0, 2.0, 4.0, 10.0] {
            let taken = (0..400)
                .filter(|_| {
                    let mut level = 100.0;
                    let values: Vec<f64> = (0..200)
                        .map(|_| {
                            level += step * normal(&mut rng);
                            rounded(level, 0.05)
                        })
                        .collect();
                    first_settled(&values, 10.0, 1.0, 0.05).is_some()
                })
                .count();
            assert!(
                taken <= 4,
                "step {step}: {taken} of 400 walks were taken for a value"
            );
        }
    }

    #[test]
    fn a_straight_drift_never_settles() {
        let values: Vec<f64> = (0..200)
            .map(|i| rounded(100.0 + 0.5 * f64::from(i), 0.05))
            .collect();
        assert_eq!(first_settled(&values, 10.0, 1.0, 0.05), None);
    }

    #[test]
    fn approaches_of_any_size_end_inside_the_uncertainty() {
        let mut rng = fastrand::Rng::with_seed(13);
        let (mut wrong, mut all) = (0, 0);
        for size in [5.0, 20.0, 100.0, 1000.0] {
            for tau in [3.0, 10.0, 30.0] {
                for _ in 0..50 {
                    let values: Vec<f64> = (0..1200)
                        .map(|i| {
                            rounded(
                                1000.0 - size * libm::exp(-f64::from(i) / tau)
                                    + 0.1 * normal(&mut rng),
                                0.05,
                            )
                        })
                        .collect();
                    let at = first_settled(&values, 10.0, 1.0, 0.05).expect("settles in the end");
                    all += 1;
                    let left = size * libm::exp(-(at as f64) / tau);
                    wrong += usize::from(left > 1.0);
                }
            }
        }
        assert!(
            wrong * 100 <= all,
            "{wrong} of {all} approaches were cut short"
        );
    }
}
