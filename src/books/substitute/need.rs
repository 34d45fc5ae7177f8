//! [`Need`]: what a rating must stand.

use std::fmt;

use super::want::Want;
use super::wording::power;
use super::{Arrangement, Share};
use crate::engine::parts::{Kind, Material};
use crate::engine::quantity::{Quantity, Rating, format_value};

/// The share of the voltage that one of two capacitors in series takes at most where resistors of 5 % across them divide a
/// direct voltage evenly: 1.05/(1.05 + 0.95), by arithmetic.
pub(super) const EQUALISED: f64 = 0.525;

/// What one part must stand.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Need<'a> {
    want: &'a Want,
    dc_volts: Option<f64>,
    watts: Option<f64>,
}

impl<'a> Need<'a> {
    /// All that is asked.
    pub(super) fn whole(want: &'a Want) -> Self {
        Self {
            want,
            dc_volts: want.least_volts(),
            watts: want.least_watts(),
        }
    }

    /// What is asked of the one of a pair that takes that share.
    ///
    /// In series capacitors a direct voltage divides by capacitance at first and by leakage, or by the resistors that equalise
    /// it, in the end: both must be stood.
    pub(super) fn shared(want: &'a Want, arrangement: Arrangement, share: Share) -> Self {
        let volts = match (arrangement, want.original.kind) {
            (Arrangement::Series, Kind::Capacitor) => share.volts.largest.max(EQUALISED),
            _ => share.volts.largest,
        };
        let whole = Self::whole(want);
        Self {
            want,
            dc_volts: whole.dc_volts.map(|all| all * volts),
            watts: whole.watts.map(|all| all * share.power().largest),
        }
    }

    /// Whether a part with that rating stands it.
    pub(super) fn is_met_by(&self, rating: &Rating) -> bool {
        // A hair's breadth, so that what comes out of a division is not turned away for its last figure.
        let stands = |has: Option<f64>, least: Option<f64>| {
            least.is_none_or(|least| has.is_some_and(|has| has >= least * (1.0 - 1e-9)))
        };
        match &self.want.at_mains {
            Some(at) => at.accepts(rating),
            None => stands(rating.dc_volts, self.dc_volts) && stands(rating.watts, self.watts),
        }
    }

    /// The first of the ratings that stands it.
    pub(super) fn first_of<'r>(&self, ratings: &'r [Rating]) -> Option<&'r Rating> {
        ratings.iter().find(|rating| self.is_met_by(rating))
    }
}

/// Why nothing can be offered before anything is looked at; `None` if it can.
pub(super) fn unanswerable(want: &Want) -> Option<String> {
    let rating = &want.original.rating;
    match want.original.kind {
        Kind::Coil => Some(
            "coils are not sold by value alone: look for one like it or have it made".to_owned(),
        ),
        Kind::Capacitor if want.at_mains.is_some() => None,
        Kind::Capacitor if rating.ac_volts.is_some() => Some(
            "an alternating voltage is stated and no class: at the mains the class decides, so ask for it (X2 across the line, \
             Y2 or Y1 from line to chassis), or say where it sits"
                .to_owned(),
        ),
        Kind::Capacitor if want.least_volts().is_none() => Some(
            "no voltage is known, and a capacitor of too low a voltage fails: give the rating, or the highest voltage that can \
             occur with --volts"
                .to_owned(),
        ),
        Kind::Resistor if want.least_watts().is_none() => Some(
            "no power is known, and a resistor of too little power burns: give the rating, or what it dissipates with --watts \
             or --volts"
                .to_owned(),
        ),
        _ => None,
    }
}

/// Whether a substitute of that material may sit where the original did.
pub(super) fn polarity_warning(want: &Want, material: Material) -> Option<&'static str> {
    (material == Material::Electrolytic && want.original.material.is_none()).then_some(
        "an electrolytic has a polarity: only where the original had one, and never where the voltage changes its sign",
    )
}

/// What must be stood: `273 V`, `0.5 W`.
impl fmt::Display for Need<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let volts = self
            .dc_volts
            .map(|volts| format_value(Quantity::Voltage, volts, 3));
        let needs: Vec<String> = volts.into_iter().chain(self.watts.map(power)).collect();
        f.write_str(&needs.join(" and "))
    }
}
