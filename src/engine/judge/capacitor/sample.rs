//! Parts for the tests of this room.

use crate::engine::parts::{Kind, Material, Part};
use crate::engine::quantity::{Amount, Quantity, Tolerance};

/// A capacitor of so many microfarad.
pub(in crate::engine::judge) fn capacitor(
    material: Option<Material>,
    microfarad: f64,
    rated_volts: Option<f64>,
) -> Part {
    let nominal = Amount::new(Quantity::Capacitance, microfarad * 1e-6).unwrap();
    let mut part = Part::new(
        "C1",
        Kind::Capacitor,
        nominal,
        Tolerance::symmetric(20.0).unwrap(),
    );
    part.material = material;
    part.rating.dc_volts = rated_volts;
    part
}
