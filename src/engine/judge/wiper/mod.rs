//! The wiper of a potentiometer: at its stop, at half its travel, and on the way between the stops.

mod middle;
mod smoothness;

pub(super) use middle::look as look_at_middle;
pub use middle::{middle_share, steepest};
pub(super) use smoothness::look as look_at_sweep;

use crate::engine::impedance::Uncertain;
use crate::engine::judge::check::{Aspect, Check};
use crate::engine::judge::judgement::{Case, Looked};
use crate::engine::judge::lcr::Rated;
use crate::engine::parts::{Part, Step};
use crate::engine::quantity::{Amount, Quantity, Tolerance};

/// A further measurement of a potentiometer as an entry of a plan; `None` for any other.
pub(super) fn entry(part: &Part, step: Step) -> Option<Part> {
    match step {
        Step::Stop => stop_entry(part),
        Step::Middle => middle::entry(part),
        Step::Sweep => Some(smoothness::entry(part)),
        _ => None,
    }
}

/// The largest end resistance: 2 % of the track or 2 Ω, whichever is greater (MIL-PRF-39035E, 3.11.2). That specification is for
/// trimmers made new; old carbon controls have none that could be found, and are held to it as common practice.
const END_SHARE: f64 = 0.02;
const END_OHMS: f64 = 2.0;

/// The largest resistance, in ohm, from a wiper at its stop to that end of a track of `nominal_ohms`.
pub fn end_limit_ohms(nominal_ohms: f64) -> f64 {
    (END_SHARE * nominal_ohms).max(END_OHMS)
}

/// The measurement as an entry of a plan: the limit as nominal value, and the band up to it.
fn stop_entry(part: &Part) -> Option<Part> {
    let nominal = Amount::new(Quantity::Resistance, end_limit_ohms(part.nominal.value()))?;
    Some(part.further(Step::Stop, nominal, Tolerance::MAXIMUM))
}

/// The value that settled on a wiper at its stop.
pub(super) fn look_at_stop(case: Case<'_>) -> Looked {
    let (grounds, mut checks) = case.look_at(case.part.band, Rated::plain);
    let words =
        "2 % of the nominal track, and no less than 2 Ω, may be left (MIL-PRF-39035E, 3.11.2)";
    checks.push(Check::remark(Aspect::EndResistance, words.to_owned()));
    (grounds, checks)
}

/// Half-width taken for a tolerance without an upper end, as a share of the nominal value (common practice, no source).
const OPEN_ENDED: f64 = 0.2;

/// The resistance of a potentiometer's whole track.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TrackValue {
    /// Resistance of the track, in ohm, with its standard uncertainty.
    pub ohms: Uncertain,
    /// Whether it was measured in this sitting; otherwise it is the nominal value.
    pub measured: bool,
}

impl TrackValue {
    /// A track that was measured.
    pub const fn measured(ohms: Uncertain) -> Self {
        Self {
            ohms,
            measured: true,
        }
    }

    /// The nominal track of `part`, which may lie anywhere in its tolerance: a/√3 of half its width (JCGM 100:2008, 4.3.7).
    pub fn nominal(part: &Part) -> Self {
        let nominal = part.nominal.value();
        let half = (part.band.upper() - part.band.lower()) / 2.0;
        let half = if half.is_finite() {
            half
        } else {
            OPEN_ENDED * nominal
        };
        Self {
            ohms: Uncertain::new(nominal, half / 3f64.sqrt()),
            measured: false,
        }
    }
}
