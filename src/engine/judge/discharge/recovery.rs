//! What a discharged capacitor gains back by itself: dielectric absorption.

use std::time::Duration;

use crate::engine::parts::Material;

/// How long to wait before a discharged capacitor is measured again (common practice, no source).
pub const RECHECK_AFTER: Duration = Duration::from_secs(60);

/// The part of its former voltage that a capacitor may regain after a short discharge, from and to, as a fraction of one;
/// `None` where no figure is known.
///
/// Ceramic (both classes) as quoted in a public encyclopedia article; the others from memory of the same trade figures.
pub const fn recovery_fractions(material: Material) -> Option<(f64, f64)> {
    match material {
        Material::Film => Some((0.0002, 0.005)),
        Material::Mica => Some((0.003, 0.01)),
        Material::Ceramic => Some((0.003, 0.025)),
        Material::Paper => Some((0.01, 0.05)),
        Material::Electrolytic => Some((0.10, 0.15)),
        Material::Oil | Material::Carbon | Material::Wirewound => None,
    }
}
