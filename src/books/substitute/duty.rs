//! What a role asks of a substitute, by its words.

use crate::engine::judge::policy::RoleWords;
use crate::engine::parts::Part;

/// Words of the capacitor that the rectifier charges (common practice, no source).
const RESERVOIR: [&str; 4] = ["reservoir", "first filter", "input filter", "rectifier"];

/// Words of places where a part sets a frequency (common practice, no source).
const TUNED: [&str; 7] = [
    "tuned",
    "tuning",
    "padder",
    "oscillator",
    "tank",
    "trap",
    "neutralising",
];

/// Words of places where a wound resistor's inductance does harm: radio frequencies and grids (common practice, no source).
const NO_INDUCTANCE: [&str; 10] = [
    "grid",
    "rf",
    "if",
    "aerial",
    "antenna",
    "oscillator",
    "tuned",
    "detector",
    "stopper",
    "snubber",
];

/// Whether the rectifier charges it.
pub(super) fn is_reservoir(part: &Part) -> bool {
    RoleWords::of(&RESERVOIR).fits(&part.role)
}

/// Whether it sets a frequency.
pub(super) fn is_tuned(part: &Part) -> bool {
    RoleWords::of(&TUNED).fits(&part.role)
}

/// Whether an inductance does harm there.
pub(super) fn bars_inductance(part: &Part) -> bool {
    RoleWords::of(&NO_INDUCTANCE).fits(&part.role)
}
