//! [`Segment`]: the readings of an unbroken contact, in flat memory however long it lasts.

use super::candidates::{Falls, falls};
use super::limits::YOUNG;
use crate::engine::quantity::Stamp;
use crate::engine::statistics::median;

/// The mean of one or more successive readings, and the mean of their times in seconds since the sitting began.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Cell {
    /// Time, s.
    pub(super) time: f64,
    /// Value, in the SI unit of the quantity.
    pub(super) value: f64,
}

/// Cells kept before neighbours are merged in pairs. Bounds memory and the cost of a test of settling.
pub(super) const MOST_CELLS: usize = 256;

/// A step so many times larger than the usual one before it is a break, not a movement.
const BREAK: f64 = 10.0;

/// Steps of which the usual one is the median, and readings among which one may be far off.
const ABOUT: usize = 5;

/// The readings since contact or since the last break.
///
/// The first reading of a segment is left out, and the one behind a slip: a meter that integrates had the probes on the part for
/// only a part of it. So is what is younger than [`YOUNG`]. A reading far from the median of the five about it is dropped.
/// When [`MOST_CELLS`] is reached neighbours are merged in pairs, so that the whole segment stays in sight.
#[derive(Debug, Clone, Default)]
pub(super) struct Segment {
    began: Option<Stamp>,
    cells: Vec<Cell>,
    /// Second values, one a cell; not a number where a reading had none.
    seconds: Vec<f64>,
    /// Shares left with each time constant, one a cell.
    falls: Vec<Falls>,
    per_cell: u32,
    gathering: Vec<Sample>,
    last: Option<f64>,
    suspect: bool,
    left_out: bool,
    tolerated: f64,
    sizes: [f64; ABOUT],
    steps: u32,
    readings: u32,
    changes: u32,
}

/// A reading, or the mean of several.
type Sample = (Cell, f64);

impl Segment {
    /// Forgets everything.
    pub(super) fn clear(&mut self) {
        self.cells.clear();
        self.seconds.clear();
        self.falls.clear();
        self.gathering.clear();
        *self = Self {
            cells: std::mem::take(&mut self.cells),
            seconds: std::mem::take(&mut self.seconds),
            falls: std::mem::take(&mut self.falls),
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

    /// Shares left with each time constant at the cells.
    pub(super) fn falls(&self) -> &[Falls] {
        &self.falls
    }

    /// How many readings each cell stands for.
    pub(super) fn per_cell(&self) -> u32 {
        self.per_cell.max(1)
    }

    /// How many readings were taken in, those left out not counted.
    pub(super) fn readings(&self) -> u32 {
        self.readings
    }

    /// By how much less than independent readings a display that hardly changes averages.
    pub(super) fn stillness(&self) -> f64 {
        (f64::from(self.readings) / (2.0 * f64::from(1 + self.changes))).max(1.0)
    }

    /// The probes slipped: the next reading holds some air.
    pub(super) fn slip(&mut self) {
        self.left_out = true;
    }

    /// Whether one of the two latest readings is far from those about it, so that the next must tell.
    pub(super) fn is_unsure(&self) -> bool {
        let count = self.cells.len();
        self.per_cell() == 1
            && count >= ABOUT
            && (count - 2..count).any(|at| self.is_far(at, count - ABOUT))
    }

    /// Takes in a reading. `tolerated` is the smallest step that can be a break, in the unit of `value`.
    ///
    /// A step out of all proportion to what came before is held back until the next reading tells: back again, and it was
    /// a blip and is dropped; still there, and a new segment begins with it.
    pub(super) fn push(&mut self, at: Stamp, value: f64, second: Option<f64>, tolerated: f64) {
        let Some(last) = self.last else {
            self.began.get_or_insert(at);
            self.last = Some(value);
            self.left_out = false;
            return;
        };
        if std::mem::take(&mut self.left_out) {
            return;
        }
        self.tolerated = tolerated;
        let step = (value - last).abs();
        if self.is_break(step) {
            if std::mem::replace(&mut self.suspect, true) {
                self.clear();
                self.began = Some(at);
                self.last = Some(value);
            }
            return;
        }
        self.suspect = false;
        self.last = Some(value);
        let time = self
            .began
            .map_or(0.0, |began| at.since(began).as_secs_f64());
        if time < YOUNG {
            return;
        }
        if self.readings > 0 {
            self.sizes[self.steps as usize % ABOUT] = step;
            self.steps += 1;
            self.changes += u32::from(step > 0.0);
        }
        self.readings += 1;
        let cell = Cell {
            time: at.seconds(),
            value,
        };
        self.gather((cell, second.unwrap_or(f64::NAN)));
    }

    fn is_break(&self, step: f64) -> bool {
        if self.steps < 2 || step <= self.tolerated {
            return false;
        }
        let mut sizes = self.sizes;
        let count = ABOUT.min(self.steps as usize);
        let usual = median(&mut sizes[..count]).unwrap_or(0.0);
        step > BREAK * usual
    }

    fn gather(&mut self, sample: Sample) {
        let per_cell = self.per_cell() as usize;
        if per_cell == 1 {
            self.keep(sample);
            self.drop_far();
        } else {
            self.gathering.push(sample);
            if self.gathering.len() == per_cell {
                let mean = mean(&self.gathering);
                self.gathering.clear();
                self.keep(mean);
            }
        }
    }

    fn keep(&mut self, (cell, second): Sample) {
        self.cells.push(cell);
        self.seconds.push(second);
        self.falls.push(self.falls_of(cell));
        if self.cells.len() == MOST_CELLS {
            self.merge_pairs();
        }
    }

    /// A cell of many readings is short beside whatever is still falling there, so that its middle stands for it.
    fn falls_of(&self, cell: Cell) -> Falls {
        falls(cell.time - self.began.map_or(cell.time, Stamp::seconds))
    }

    /// Drops the reading in the middle of the latest five if it is far from their median; of the first five, those before it too.
    fn drop_far(&mut self) {
        let count = self.cells.len();
        if self.per_cell() > 1 || count < ABOUT {
            return;
        }
        let from = count - ABOUT;
        let first = if from == 0 { 0 } else { 2 };
        for at in (from + first..=from + 2).rev() {
            if self.is_far(at, from) {
                self.cells.remove(at);
                self.seconds.remove(at);
                self.falls.remove(at);
                return;
            }
        }
    }

    /// Whether a cell is far from the five from there on.
    fn is_far(&self, at: usize, from: usize) -> bool {
        let mut about = [0.0; ABOUT];
        let cells = &self.cells[from..from + ABOUT];
        for (place, cell) in about.iter_mut().zip(cells) {
            *place = cell.value;
        }
        let level = median(&mut about).unwrap_or(0.0);
        let off = (self.cells[at].value - level).abs();
        if off <= self.tolerated {
            return false;
        }
        for (place, cell) in about.iter_mut().zip(cells) {
            *place = (cell.value - level).abs();
        }
        off > BREAK * median(&mut about).unwrap_or(0.0)
    }

    fn merge_pairs(&mut self) {
        for i in 0..MOST_CELLS / 2 {
            let pair = [2 * i, 2 * i + 1];
            (self.cells[i], self.seconds[i]) =
                mean(&pair.map(|j| (self.cells[j], self.seconds[j])));
            self.falls[i] = self.falls_of(self.cells[i]);
        }
        self.cells.truncate(MOST_CELLS / 2);
        self.seconds.truncate(MOST_CELLS / 2);
        self.falls.truncate(MOST_CELLS / 2);
        self.per_cell = self.per_cell() * 2;
    }
}

fn mean(samples: &[Sample]) -> Sample {
    let n = samples.len() as f64;
    let of = |what: fn(&Sample) -> f64| samples.iter().map(what).sum::<f64>() / n;
    let cell = Cell {
        time: of(|(cell, _)| cell.time),
        value: of(|(cell, _)| cell.value),
    };
    (cell, of(|(_, second)| *second))
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
        let segment = filled((0..100_000).map(|i| 0.4 * f64::from(i % 2)));
        assert!(segment.cells().len() < MOST_CELLS);
        assert!(
            segment
                .cells()
                .iter()
                .all(|c| (c.value - 0.2).abs() < 1e-12)
        );
    }
}
