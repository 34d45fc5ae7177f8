//! The wiper of a potentiometer: at its stop, at half its travel, and on the way between the stops.

mod end_stop;
mod middle;
mod smoothness;
mod track_value;

pub(super) use end_stop::look as look_at_stop;
pub(super) use middle::look as look_at_middle;
pub(super) use smoothness::look as look_at_sweep;

pub use end_stop::end_limit_ohms;
pub use middle::{MiddleShare, middle_share, steepest};
pub use track_value::TrackValue;

use crate::engine::parts::{Part, Step};

/// A further measurement of a potentiometer as an entry of a plan; `None` for any other.
pub(super) fn entry(part: &Part, step: Step) -> Option<Part> {
    match step {
        Step::Stop => end_stop::entry(part),
        Step::Middle => middle::entry(part),
        Step::Sweep => Some(smoothness::entry(part)),
        Step::Value | Step::Leakage | Step::Make { .. } | Step::Primary | Step::Secondary => None,
    }
}
