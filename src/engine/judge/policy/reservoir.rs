//! Says whether a rectifier charges a capacitor, so that its data sheet decides how large that may be.

use super::RoleWords;
use crate::engine::parts::{Kind, Material, Part};

/// Words of the capacitor that the rectifier charges (common practice, no source).
const RESERVOIR: [&str; 4] = ["reservoir", "first filter", "input filter", "rectifier"];

/// From this rated direct voltage on a capacitor may be one of the high tension, in volt (common practice, no source).
pub const MAY_BE_HIGH_TENSION: f64 = 100.0;

/// Whether the rectifier charges it.
pub fn is_reservoir(part: &Part) -> bool {
    RoleWords::of(&RESERVOIR).fits(&part.role)
}

/// Whether it may be so, of a capacitor: by its role, by a largest value that is stated, or as an electrolytic of the high tension of which
/// nobody says what it does.
pub fn may_be_reservoir(part: &Part) -> bool {
    let rated = part.rating.dc_volts.unwrap_or(f64::INFINITY);
    let electrolytic = matches!(part.material, Some(Material::Electrolytic) | None);
    let unknown = part.role.trim().is_empty() && electrolytic && rated >= MAY_BE_HIGH_TENSION;
    part.kind == Kind::Capacitor && (is_reservoir(part) || part.largest.is_some() || unknown)
}
