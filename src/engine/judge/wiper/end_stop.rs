//! The resistance that is left between a wiper at its stop and the end of the track there.

use crate::engine::judge::check::{Aspect, Check};
use crate::engine::judge::conditions::Conditions;
use crate::engine::judge::further::look_at;
use crate::engine::judge::judgement::{Beside, Looked};
use crate::engine::parts::{Part, Step};
use crate::engine::probing::SettledValue;
use crate::engine::quantity::{Amount, Quantity, Tolerance};

/// The largest end resistance: 2 % of the track or 2 Ω, whichever is greater (MIL-PRF-39035E, 3.11.2). That specification is for
/// trimmers made new; old carbon controls have none that could be found, and are held to it as common practice.
const END_SHARE: f64 = 0.02;
const END_OHMS: f64 = 2.0;

/// The largest resistance, in ohm, from a wiper at its stop to that end of a track of `nominal_ohms`.
pub fn end_limit_ohms(nominal_ohms: f64) -> f64 {
    (END_SHARE * nominal_ohms).max(END_OHMS)
}

/// The measurement as an entry of a plan: the limit as nominal value, and the band up to it.
pub(super) fn entry(part: &Part) -> Option<Part> {
    let nominal = Amount::new(Quantity::Resistance, end_limit_ohms(part.nominal.value()))?;
    Some(part.further(Step::Stop, nominal, Tolerance::MAXIMUM))
}

/// What settled on `part`, an entry made by [`entry`].
pub(in crate::engine::judge) fn look(
    part: &Part,
    settled: &SettledValue,
    beside: &Beside<'_>,
    conditions: &Conditions,
) -> Looked {
    let (grounds, mut checks) = look_at(part, part.band, settled, beside, conditions, |read| read);
    let words =
        "2 % of the nominal track, and no less than 2 Ω, may be left (MIL-PRF-39035E, 3.11.2)";
    checks.push(Check::remark(Aspect::EndResistance, words.to_owned()));
    (grounds, checks)
}
