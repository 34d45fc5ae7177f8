//! [`Segment`]: the readings of an unbroken contact, in flat memory however long it lasts.

use crate::engine::quantity::Stamp;

/// The mean of one or more successive readings, and the mean of their times in seconds since the sitting began.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cell {
    /// Time, s.
    pub time: f64,
    /// Value, in the SI unit of the quantity.
    pub value: f64,
}

/// Cells kept before neighbours are merged in pairs. Bounds memory and the cost of a test of settling.
pub(super) const MOST_CELLS: usize = 256;

/// A step this many times larger than any before it in the segment is a break, not a movement.
const BREAK: f64 = 10.0;

/// The readings since contact or since the last break.
///
/// The first reading of a segment is left out: a meter that integrates had the probes on the part for only a part of it.
/// When [`MOST_CELLS`] is reached neighbours are merged in pairs, so that the whole segment stays in sight.
#[derive(Debug, Clone, Default)]
pub(super) struct Segment {
    began: Option<Stamp>,
    cells: Vec<Cell>,
    /// Second values, one a cell; not a number where a reading had none.
    seconds: Vec<f64>,
    per_cell: u32,
    gathering: Vec<(Cell, f64)>,
    last: Option<f64>,
    suspect: Option<f64>,
    largest_step: f64,
    steps: u32,
    readings: u32,
}

impl Segment {
    /// Forgets everything.
    pub(super) fn clear(&mut self) {
        self.cells.clear();
        self.seconds.clear();
        self.gathering.clear();
        *self = Self {
            cells: std::mem::take(&mut self.cells),
            seconds: std::mem::take(&mut self.seconds),
            gathering: std::mem::take(&mut self.gathering),
            ..Self::default()
        };
    }

    /// When its first reading came.
    pub(super) fn began(&self) -> Option<Stamp> {
        self.began
    }

    /// The readings, merged where they were many.
    pub(super) fn cells(&self) -> &[Cell] {
        &self.cells
    }

    /// The second values of the cells; not a number where a reading had none.
    pub(super) fn seconds(&self) -> &[f64] {
        &self.seconds
    }

    /// How many readings each cell stands for.
    pub(super) fn per_cell(&self) -> u32 {
        self.per_cell.max(1)
    }

    /// How many readings were taken in, the left-out first one not counted.
    pub(super) fn readings(&self) -> u32 {
        self.readings
    }

    /// Takes in a reading. `tolerated` is the smallest step that can be a break, in the unit of `value`.
    ///
    /// A step out of all proportion to what came before is held back until the next reading tells: back again, and it was
    /// a blip and is dropped; still there, and a new segment begins with it.
    pub(super) fn push(&mut self, at: Stamp, value: f64, second: Option<f64>, tolerated: f64) {
        let Some(last) = self.last else {
            self.began.get_or_insert(at);
            self.last = Some(value);
            return;
        };
        if self.is_break(last, value, tolerated) {
            if self.suspect.is_none() {
                self.suspect = Some(value);
            } else {
                self.clear();
                self.began = Some(at);
                self.last = Some(value);
            }
            return;
        }
        self.suspect = None;
        if self.readings > 0 {
            self.largest_step = self.largest_step.max((value - last).abs());
            self.steps += 1;
        }
        self.last = Some(value);
        self.readings += 1;
        let cell = Cell {
            time: at.seconds(),
            value,
        };
        self.gather(cell, second.unwrap_or(f64::NAN));
    }

    fn is_break(&self, last: f64, value: f64, tolerated: f64) -> bool {
        self.steps >= 2 && (value - last).abs() > (BREAK * self.largest_step).max(tolerated)
    }

    fn gather(&mut self, cell: Cell, second: f64) {
        let per_cell = self.per_cell();
        if per_cell == 1 {
            self.keep(cell, second);
        } else {
            self.gathering.push((cell, second));
            if self.gathering.len() == per_cell as usize {
                let (cell, second) = mean(&self.gathering);
                self.gathering.clear();
                self.keep(cell, second);
            }
        }
    }

    fn keep(&mut self, cell: Cell, second: f64) {
        self.cells.push(cell);
        self.seconds.push(second);
        if self.cells.len() == MOST_CELLS {
            self.merge_pairs();
        }
    }

    fn merge_pairs(&mut self) {
        for i in 0..MOST_CELLS / 2 {
            let pair = [2 * i, 2 * i + 1].map(|j| (self.cells[j], self.seconds[j]));
            (self.cells[i], self.seconds[i]) = mean(&pair);
        }
        self.cells.truncate(MOST_CELLS / 2);
        self.seconds.truncate(MOST_CELLS / 2);
        self.per_cell = self.per_cell() * 2;
    }
}

fn mean(samples: &[(Cell, f64)]) -> (Cell, f64) {
    let n = samples.len() as f64;
    let of = |what: fn(&(Cell, f64)) -> f64| samples.iter().map(what).sum::<f64>() / n;
    (
        Cell {
            time: of(|(cell, _)| cell.time),
            value: of(|(cell, _)| cell.value),
        },
        of(|(_, second)| *second),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    fn filled(values: impl IntoIterator<Item = f64>) -> Segment {
        let mut segment = Segment::default();
        for (i, value) in values.into_iter().enumerate() {
            segment.push(Stamp::from_micros(100_000 * i as u64), value, None, 0.5);
        }
        segment
    }

    #[test]
    fn the_first_reading_is_left_out() {
        let segment = filled([3.0, 10.0, 10.0]);
        assert_eq!(segment.readings(), 2);
        assert_eq!(segment.cells()[0].value, 10.0);
    }

    #[test]
    fn a_blip_is_dropped() {
        let segment = filled([10.0, 10.0, 10.1, 10.0, 90.0, 10.0, 10.1]);
        assert_eq!(segment.cells().iter().filter(|c| c.value > 50.0).count(), 0);
        assert_eq!(segment.began(), Some(Stamp::ZERO));
    }

    #[test]
    fn a_step_that_stays_begins_a_new_segment() {
        let segment = filled([10.0, 10.0, 10.1, 10.0, 90.0, 90.0, 90.1, 90.0]);
        assert!(segment.cells().iter().all(|c| c.value > 50.0));
        assert_eq!(segment.began(), Some(Stamp::from_micros(500_000)));
    }

    #[test]
    fn an_exponential_approach_is_not_cut_up() {
        let segment = filled((0..60).map(|i| 100.0 * (1.0 - libm::exp(-f64::from(i) / 10.0))));
        assert_eq!(segment.readings(), 59);
    }

    #[test]
    fn memory_stays_flat_and_the_mean_right() {
        let segment = filled((0..100_000).map(|i| f64::from(i % 2)));
        assert!(segment.cells().len() < MOST_CELLS);
        assert!(
            segment
                .cells()
                .iter()
                .all(|c| (c.value - 0.5).abs() < 1e-12)
        );
    }
}
