//! [`Scale`]: where a value stands on a strip whose limits always stand in the same places.

use crate::views::report::owner::facts::Target;

/// Where the lower limit stands, in per cent of the width.
const LOWER: f64 = 30.0;
/// Where the upper limit stands.
const UPPER: f64 = 70.0;
/// Marks keep this far from the ends.
const EDGE: f64 = 1.5;

/// A strip: the allowed values in its middle, and as much room on both sides.
#[derive(Debug, Clone, Copy)]
pub(super) struct Scale {
    /// The value at the place 0.
    origin: f64,
    /// Per cent of the width for one SI unit.
    gain: f64,
    /// Where the allowed values begin and end.
    pub(super) from: f64,
    pub(super) to: f64,
}

/// Where a value stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Place {
    /// There, in per cent of the width.
    At(f64),
    /// Beyond the left end.
    BeyondLeft,
    /// Beyond the right end.
    BeyondRight,
}

impl Scale {
    /// The scale for these limits; `None` if there are none to draw against.
    pub(super) fn of(target: Target) -> Option<Self> {
        let [lower, upper] = target.band.limits();
        let scale = match (lower, upper) {
            (Some(lower), Some(upper)) => {
                let gain = (UPPER - LOWER) / (upper - lower);
                Self {
                    origin: lower - LOWER / gain,
                    gain,
                    from: LOWER,
                    to: UPPER,
                }
            }
            // One limit alone: the other end of what is allowed is zero, or never comes.
            (None, Some(upper)) => Self {
                origin: 0.0,
                gain: UPPER / upper,
                from: 0.0,
                to: UPPER,
            },
            (Some(lower), None) => Self {
                origin: 0.0,
                gain: LOWER / lower,
                from: LOWER,
                to: 100.0,
            },
            (None, None) => return None,
        };
        (scale.gain.is_finite() && scale.gain > 0.0).then_some(scale)
    }

    /// Where that value stands.
    pub(super) fn place(self, value: f64) -> Place {
        match (value - self.origin) * self.gain {
            place if place < EDGE => Place::BeyondLeft,
            place if place > 100.0 - EDGE => Place::BeyondRight,
            place => Place::At(place),
        }
    }

    /// Where that value stands, kept inside the strip.
    pub(super) fn held(self, value: f64) -> f64 {
        match self.place(value) {
            Place::At(place) => place,
            Place::BeyondLeft => EDGE,
            Place::BeyondRight => 100.0 - EDGE,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::quantity::Band;
    use crate::engine::quantity::Quantity;

    fn scale(lower: Option<f64>, upper: Option<f64>) -> Option<Scale> {
        Scale::of(Target {
            quantity: Quantity::Resistance,
            nominal: 1.0,
            band: Band::within(lower, upper)?,
        })
    }

    #[test]
    fn limits_stand_where_the_band_is_drawn() {
        let scale = scale(Some(-110.0), Some(-90.0)).unwrap();
        for (value, place) in [(-110.0, 30.0), (-90.0, 70.0), (-100.0, 50.0)] {
            let Place::At(found) = scale.place(value) else {
                panic!("{value} is beyond the strip");
            };
            assert!((found - place).abs() < 1e-9, "{value}: {found}");
        }
        assert_eq!(scale.place(-200.0), Place::BeyondLeft);
        assert_eq!(scale.place(0.0), Place::BeyondRight);
    }

    #[test]
    fn one_limit_alone_is_enough_and_none_is_not() {
        let most = scale(None, Some(2.0)).unwrap();
        assert_eq!(most.place(1.0), Place::At(35.0));
        let least = scale(Some(2.0), None).unwrap();
        assert_eq!(least.place(2.0), Place::At(30.0));
        assert!(scale(None, None).is_none() && scale(None, Some(0.0)).is_none());
        assert!(scale(Some(1.0), Some(1.0)).is_none());
    }
}
