//! What a value does to the circuit that its part works in.

use crate::engine::judge::drift::{Circuit, Drift, Effect, Filter, Member, circuit_of};
use crate::engine::parts::Part;
use crate::engine::quantity::{Quantity, format_value};
use crate::engine::sitting::Row;

/// Where a loss of bass is told, in hertz (common practice, no source).
const BASS_HERTZ: f64 = 50.0;
/// Where a loss of treble is told, in hertz (common practice, no source).
const TREBLE_HERTZ: f64 = 5000.0;
/// Where a change of smoothing is told, in hertz: the ripple of a full-wave rectifier at 50 Hz.
const RIPPLE_HERTZ: f64 = 100.0;
/// A low-pass with a corner below this, in hertz, keeps ripple and signal out, it shapes no tone (common practice, no source).
const SMOOTHING_BELOW_HERTZ: f64 = 20.0;

/// What the judged value changes, in hertz and decibel, ampere or volt; `None` without a value, or where role and partners
/// say no circuit.
pub(super) fn words(part: &Part, row: &Row, list: &[Part]) -> Option<String> {
    let (circuit, member) = circuit_of(part, list)?;
    let measured = row.value?.value;
    let effect = circuit.effect(&[Drift { member, measured }]).ok()?;
    let level = told_at(&effect).and_then(|hertz| effect.words_at(hertz).ok().flatten());
    let level = level.map_or_else(String::new, |level| format!(", {level}"));
    let doubt = if part.in_circuit {
        " It is still in circuit, so this holds only if nothing in parallel disturbs the reading."
    } else {
        ""
    };
    Some(format!(
        "What the drift changes: {effect}{level} ({}).{}{doubt}",
        setting(part, circuit, list),
        caveat(circuit, member)
    ))
}

/// The frequency at which a change of level is told.
fn told_at(effect: &Effect) -> Option<f64> {
    match effect {
        Effect::Filter(Filter::LowPass { corner }) if corner.nominal < SMOOTHING_BELOW_HERTZ => {
            Some(RIPPLE_HERTZ)
        }
        Effect::Filter(Filter::LowPass { .. }) => Some(TREBLE_HERTZ),
        Effect::Filter(_) => Some(BASS_HERTZ),
        Effect::Bypass(_) | Effect::Voltage(_) | Effect::Current(_) => None,
    }
}

/// `coupling with R1 of 470 kΩ as listed`, `cathode bias at 12.9 V`.
fn setting(part: &Part, circuit: Circuit, list: &[Part]) -> String {
    let partners: Vec<String> = list
        .iter()
        .filter(|other| part.partners.name(&other.designator))
        .map(|other| {
            let nominal = format_value(other.nominal.quantity(), other.nominal.value(), 6);
            format!("{} of {nominal}", other.designator)
        })
        .collect();
    let volts = |volts| format!(" at {}", format_value(Quantity::Voltage, volts, 6));
    match circuit {
        Circuit::SelfBias { cathode_volts, .. } => {
            format!("{}{}", circuit.name(), volts(cathode_volts))
        }
        Circuit::Divider { supply_volts, .. } => format!(
            "{}{} with {} as listed, without load",
            circuit.name(),
            volts(supply_volts),
            partners.join(", ")
        ),
        _ => format!("{} with {} as listed", circuit.name(), partners.join(", ")),
    }
}

/// What the circuit leaves open.
const fn caveat(circuit: Circuit, member: Member) -> &'static str {
    match (circuit, member) {
        (Circuit::Bypass { .. }, Member::Capacitor) => {
            " The bass corner lies above that, how far depends on the valve; it moves by the same factor."
        }
        (Circuit::Bypass { .. }, _) => {
            " The bass corner lies above that, how far depends on the valve."
        }
        (Circuit::SelfBias { .. }, _) => {
            " That is the current which the voltage stands for; trust it only with the measured resistance."
        }
        _ => "",
    }
}
