//! [`Entry`]: what a view shows of a measurement that is in hand or to come.

use serde::{Deserialize, Serialize};

use super::band::Limits;
use super::word;
use crate::engine::judge::discharge::DISCHARGED_VOLTS;
use crate::engine::parts::{Part, Step};
use crate::engine::quantity::{Quantity, Tolerance, format_value};
use crate::views::screen::to_do;

/// A measurement of a part.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Entry {
    /// Reference designator: `C4`.
    pub designator: String,
    /// The designator, and the step where that is not the value: `C4 leakage`.
    pub title: String,
    /// Which measurement of the part: `value`, `leakage`, `primary`, `secondary`.
    pub step: String,
    /// Kind of part: `capacitor`.
    pub kind: String,
    /// The value as the parts list writes it.
    pub listed: String,
    /// What it is, for people: `capacitor 47 nF ±20 %, paper, 400 V`.
    pub what: String,
    /// The circuit node at its one end; empty if not stated.
    pub from: String,
    /// The circuit node at its other end; empty if not stated.
    pub to: String,
    /// What it does in the circuit; empty if not stated.
    pub role: String,
    /// The limits; words alone where they are not those of what is measured but of what follows from it; of a capacitor that is to be seen discharged those of the voltage across it.
    pub band: Limits,
    /// What is measured.
    #[serde(with = "word::quantity")]
    pub quantity: Quantity,
    /// The SI symbol of its unit: `Ω`.
    pub unit: String,
    /// What the parts list notes; empty if nothing.
    pub note: String,
    /// Whether it is still connected on both sides.
    pub in_circuit: bool,
    /// Its place, counted from 1.
    pub index: usize,
    /// How many there are.
    pub of: usize,
}

/// What comes later.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Next {
    /// The designator, and the step where that is not the value.
    pub title: String,
    /// What it is, for people.
    pub what: String,
}

impl Entry {
    /// An entry of the plan, at that place of so many, both counted from 1.
    pub(super) fn of(part: &Part, index: usize, of: usize) -> Self {
        let quantity = part.measured();
        Self {
            designator: part.designator.clone(),
            title: part.title(),
            step: part.step.name().to_owned(),
            kind: part.kind.name().to_owned(),
            listed: part.value_text.clone(),
            what: what(part),
            from: part.from.clone(),
            to: part.to.clone(),
            role: part.role.clone(),
            band: band(part),
            quantity,
            unit: quantity.symbol().to_owned(),
            note: part.note.clone(),
            in_circuit: part.in_circuit,
            index,
            of,
        }
    }

    /// A capacitor that is to be seen discharged.
    pub(super) fn to_discharge(part: &Part, index: usize, of: usize) -> Self {
        let quantity = Quantity::Voltage;
        let most = format_value(quantity, DISCHARGED_VOLTS, 3);
        Self {
            step: "discharge".to_owned(),
            quantity,
            unit: quantity.symbol().to_owned(),
            band: Limits {
                lower: Some(-DISCHARGED_VOLTS),
                nominal: None,
                upper: Some(DISCHARGED_VOLTS),
                words: format!("below {most}"),
            },
            ..Self::of(part, index, of)
        }
    }
}

impl Next {
    /// What a view shows of that part.
    pub(super) fn of(part: &Part) -> Self {
        Self {
            title: part.title(),
            what: what(part),
        }
    }
}

/// The limits of what is measured.
fn band(part: &Part) -> Limits {
    let quantity = part.nominal.quantity();
    let limits = Limits::of(quantity, part.band, Some(part.nominal.value()));
    if quantity == part.measured() {
        return limits;
    }
    Limits {
        lower: None,
        nominal: None,
        upper: None,
        ..limits
    }
}

/// Kind, nominal value, tolerance, material and rating; of a measurement that is more than a touch of the part, what is to be
/// done. Of a leakage, whose nominal value is not that of the part, the value as the parts list writes it.
fn what(part: &Part) -> String {
    if let Some(task) = to_do(part) {
        return task;
    }
    let mut words = if part.step == Step::Value {
        let value = format_value(part.nominal.quantity(), part.nominal.value(), 4);
        if part.tolerance == Tolerance::MAXIMUM {
            format!("{} at most {value}", part.kind)
        } else {
            format!("{} {value} {}", part.kind, part.tolerance)
        }
    } else {
        format!("{} {}", part.kind, part.value_text)
    };
    let material = part.material.map(|material| material.to_string());
    let rating = Some(part.rating.to_string()).filter(|rating| !rating.is_empty());
    for more in material.into_iter().chain(rating) {
        words.push_str(", ");
        words.push_str(&more);
    }
    words
}
