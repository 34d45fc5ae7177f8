//! [`Bleed`]: the resistors that the parts list shows straight across a capacitor, and how long they take.

use super::{DISCHARGED_VOLTS, StoredCharge};
use crate::engine::judge::BadFigure;
use crate::engine::parts::{Kind, Part};

/// What the bleeders of a capacitor do to its charge, as long as they are whole.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bleed {
    /// All of them in parallel, nominal, in ohm.
    pub ohms: f64,
    /// Seconds until the voltage has fallen below 60 V, nominal values.
    pub seconds: f64,
    /// The same with both at the upper limits of their tolerances.
    pub slowest_seconds: f64,
}

impl Bleed {
    /// From a charge, the largest capacitance that is in tolerance (in farad), and the bleeders' resistance, nominal and
    /// largest (in ohm).
    ///
    /// # Errors
    /// If one of the figures is not a finite number above zero.
    pub fn new(
        charge: StoredCharge,
        largest_farads: f64,
        (ohms, largest_ohms): (f64, f64),
    ) -> Result<Self, BadFigure> {
        let slowest = StoredCharge::new(largest_farads, charge.volts())?;
        Ok(Self {
            ohms,
            seconds: charge.seconds_to(DISCHARGED_VOLTS, ohms)?,
            slowest_seconds: slowest.seconds_to(DISCHARGED_VOLTS, largest_ohms)?,
        })
    }
}

/// The resistance of all resistors between the same two nodes as `capacitor`, in parallel: nominal, and with each at its
/// upper limit, in ohm. `None` if there is none, or the list names no nodes. Ways over other parts are not followed.
pub fn bleeder_ohms(capacitor: &Part, parts: &[Part]) -> Option<(f64, f64)> {
    let across = parts
        .iter()
        .filter(|part| part.kind == Kind::Resistor && same_nodes(part, capacitor));
    let (mut nominal, mut least) = (0.0, 0.0);
    for resistor in across.filter(|part| part.nominal.value() > 0.0) {
        nominal += 1.0 / resistor.nominal.value();
        least += 1.0 / resistor.band.upper();
    }
    (nominal > 0.0 && least > 0.0).then(|| (1.0 / nominal, 1.0 / least))
}

/// Whether two parts lie between the same two nodes, in whichever order; upper and lower case alike.
fn same_nodes(a: &Part, b: &Part) -> bool {
    let same = |x: &str, y: &str| !x.is_empty() && x.to_lowercase() == y.to_lowercase();
    same(&a.from, &b.from) && same(&a.to, &b.to) || same(&a.from, &b.to) && same(&a.to, &b.from)
}
