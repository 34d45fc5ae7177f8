//! [`TrackValue`]: the resistance that shares of a track refer to.

use crate::engine::impedance::Uncertain;
use crate::engine::parts::Part;

/// Half-width taken for a tolerance without an upper end, as a share of the nominal value (common practice, no source).
const OPEN_ENDED: f64 = 0.2;

/// The resistance of a potentiometer's whole track.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TrackValue {
    /// It, in ohm, with its standard uncertainty.
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
