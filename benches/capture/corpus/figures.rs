//! [`Figures`]: what a cell came to.

use super::Cell;
use super::touch::Outcome;

/// A settled value is wrong beyond so many standard uncertainties of the meter.
const WRONG: f64 = 3.0;

/// Outcome of a cell. Shares are of the values that were given.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Figures {
    pub(crate) touches: usize,
    /// Touches without the value that there was to be found.
    pub(crate) missed: usize,
    /// Values beyond one a touch, and contacts likewise.
    pub(crate) extra: usize,
    /// Values that settled once more elsewhere.
    pub(crate) anew: usize,
    /// Values that are wrong; where there is no value to be found, all of them.
    pub(crate) wrong: usize,
    /// Share within U = 2 u, the meter's own error included.
    pub(crate) coverage: f64,
    /// Share of those whose settling and scatter alone are within twice what was said of these two.
    pub(crate) settling: f64,
    /// Mean error towards the start, in standard uncertainties of the meter.
    pub(crate) bias: f64,
    /// Seconds from contact to verdict: median, and 95 %.
    pub(crate) median: f64,
    pub(crate) late: f64,
    /// When the signal itself is there, s.
    pub(crate) ideal: f64,
}

impl Figures {
    pub(super) fn of(cell: &Cell, outcomes: &[Outcome]) -> Self {
        let expected = if cell.is_brush() {
            0
        } else {
            cell.times as usize
        };
        let touches = outcomes.len() * cell.times as usize;
        let mut found = Self {
            touches,
            missed: 0,
            extra: 0,
            anew: 0,
            wrong: 0,
            coverage: 0.0,
            settling: 0.0,
            bias: 0.0,
            median: 0.0,
            late: 0.0,
            ideal: cell.course.ideal(),
        };
        let mut times = Vec::new();
        for outcome in outcomes {
            let count = outcome.given.len();
            if cell.course.ends() {
                found.missed += expected.saturating_sub(count);
            }
            found.extra += count.saturating_sub(expected)
                + (outcome.contacts as usize).saturating_sub(cell.times as usize);
            found.anew += outcome.anew as usize;
            for (time, estimate) in &outcome.given {
                times.push(*time);
                let error = estimate.value - cell.meter.value;
                let (stated, own) = (estimate.standard_uncertainty, estimate.specification);
                let settling = (stated * stated - own * own).max(0.0);
                let all = (error + outcome.meter_error).abs();
                found.coverage += share(all <= 2.0 * estimate.standard_uncertainty);
                found.settling += share(error.abs() <= 2.0 * settling.sqrt());
                found.bias -= error / cell.meter.u();
                let wrong = !cell.course.ends() || error.abs() > WRONG * cell.meter.u();
                found.wrong += usize::from(wrong);
            }
        }
        let given = times.len().max(1) as f64;
        for mean in [&mut found.coverage, &mut found.settling, &mut found.bias] {
            *mean /= given;
        }
        times.sort_by(f64::total_cmp);
        let at = |p: f64| {
            let place = (p * times.len() as f64) as usize;
            times.get(place).copied().unwrap_or(f64::NAN)
        };
        (found.median, found.late) = (at(0.5), at(0.95));
        found
    }
}

fn share(holds: bool) -> f64 {
    f64::from(u8::from(holds))
}

impl std::fmt::Display for Figures {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(
            f,
            "{:8}{:8}{:8}{:8}{:8}  {:.3}  {:.3}  {:6.2}{:8.2}{:8.2}{:8.2}",
            self.touches,
            self.missed,
            self.extra,
            self.anew,
            self.wrong,
            self.coverage,
            self.settling,
            self.bias,
            self.median,
            self.late,
            self.ideal
        )
    }
}
