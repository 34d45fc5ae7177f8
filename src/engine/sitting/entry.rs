//! [`Entry`]: a measurement that is in hand or to come, as plain data.

use serde::{Deserialize, Serialize};

use super::plan::Plan;
use super::row::Row;
use super::task::task;
use crate::engine::parts::{Part, Step, Title};
use crate::engine::quantity::{
    Band, Quantity, Tolerance, format_band, format_stated, format_value,
};

/// A measurement of a part.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Entry {
    /// Reference designator: `C4`.
    #[serde(rename = "ref")]
    pub designator: String,
    /// Its measurement: `value`, `leakage`, `primary`, `secondary`.
    pub step: String,
    /// Kind of part: `capacitor`.
    pub kind: String,
    /// The value as the parts list writes it.
    pub listed: String,
    /// The nominal value for people: `47 nF`.
    pub nominal: String,
    /// The part or, for a `task`, the thing to do, for people: `capacitor 47 nF ±20 %, paper, 400 V`.
    pub what: String,
    /// Whether it takes more than to touch the part.
    pub task: bool,
    /// The meter to be taken, where there are several; `what` names it too.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub meter: Option<String>,
    /// The circuit node at its one end; empty if not stated.
    pub from: String,
    /// The circuit node at its other end; empty if not stated.
    pub to: String,
    /// Role in the circuit; empty if not stated.
    pub role: String,
    /// The sub-assembly that it belongs to; empty if not stated.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub group: String,
    /// The limits; words alone where they are not those of what is measured but of what follows from it; of a capacitor that is
    /// to be seen discharged those of the voltage across it.
    pub band: Limits,
    /// Quantity that is measured.
    pub quantity: Quantity,
    /// The SI symbol of its unit: `Ω`.
    pub unit: String,
    /// Note of the parts list; empty if none.
    pub note: String,
    /// Whether it is still connected on both sides.
    pub in_circuit: bool,
    /// Its place, counted from 1.
    pub index: usize,
    /// Number of all entries.
    pub of: usize,
}

/// Part that comes later.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Next {
    /// Designator and measurement.
    #[serde(flatten)]
    pub title: Title,
    /// The part, for people.
    pub what: String,
}

/// The limits of what conforms, both inside, and the nominal value; in the SI unit of the quantity.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Limits {
    /// The lower limit; `None` where there is none.
    pub lower: Option<f64>,
    /// The nominal value; `None` where there is none.
    pub nominal: Option<f64>,
    /// The upper limit; `None` where there is none.
    pub upper: Option<f64>,
    /// The limits for people: `4.23 kΩ to 5.17 kΩ`.
    pub words: String,
}

impl Entry {
    /// The entry of the plan at that place.
    pub fn of(plan: &Plan, place: usize) -> Self {
        let parts = plan.parts();
        Self::new(&parts[place], place + 1, parts.len()).with_meter(plan)
    }

    /// All parts at a place in hand at once, as if it were one; with how many of how many come now, from 1.
    pub(super) fn at_place(
        plan: &Plan,
        name: &str,
        quantity: Quantity,
        parts: &[String],
        (index, of): (usize, usize),
    ) -> Self {
        let entry = Self {
            designator: name.to_owned(),
            step: "any order".to_owned(),
            kind: "place".to_owned(),
            listed: String::new(),
            nominal: String::new(),
            what: parts.join(", "),
            task: true,
            meter: None,
            from: String::new(),
            to: String::new(),
            role: String::new(),
            group: String::new(),
            band: Limits {
                lower: None,
                nominal: None,
                upper: None,
                words: String::new(),
            },
            quantity,
            unit: quantity.symbol().to_owned(),
            note: String::new(),
            in_circuit: false,
            index,
            of,
        };
        entry.with_meter(plan)
    }

    /// The part at that place of those that may have to be seen discharged; with its number, from 1, among how many.
    pub fn to_discharge(plan: &Plan, place: usize, (index, of): (usize, usize)) -> Self {
        let quantity = Quantity::Voltage;
        let limit = plan.residual_volts();
        let most = format_value(quantity, limit, 3);
        let entry = Self {
            step: "discharge".to_owned(),
            quantity,
            unit: quantity.symbol().to_owned(),
            band: Limits {
                lower: Some(-limit),
                nominal: None,
                upper: Some(limit),
                words: format!("below {most}"),
            },
            ..Self::new(&plan.charged()[place], index, of)
        };
        entry.with_meter(plan)
    }

    /// An entry at that place of so many, both counted from 1.
    fn new(part: &Part, index: usize, of: usize) -> Self {
        let quantity = part.measured();
        let task = task(part);
        Self {
            designator: part.designator.clone(),
            step: part.step.to_string(),
            kind: part.kind.name().to_owned(),
            listed: part.value_text.clone(),
            nominal: format_stated(part.nominal.quantity(), part.nominal.value()),
            task: task.is_some(),
            what: task.unwrap_or_else(|| what(part)),
            meter: None,
            from: part.from.clone(),
            to: part.to.clone(),
            role: part.role.clone(),
            group: part.group.clone(),
            band: band(part),
            quantity,
            unit: quantity.symbol().to_owned(),
            note: part.note.clone(),
            in_circuit: part.in_circuit,
            index,
            of,
        }
    }

    /// Names it; whatever is no measurement of a part by its designator alone.
    pub fn title(&self) -> Title {
        let step = Step::named(&self.step).unwrap_or_default();
        Title::of(&self.designator, step)
    }

    fn with_meter(mut self, plan: &Plan) -> Self {
        self.meter = plan.meter_to_take(self.quantity);
        if let Some(meter) = &self.meter {
            self.what = format!("{} (with {meter})", self.what);
        }
        self
    }
}

impl Next {
    /// The part as the next one.
    pub fn of(part: &Part) -> Self {
        Self {
            title: part.title(),
            what: task(part).unwrap_or_else(|| what(part)),
        }
    }
}

impl Limits {
    /// Limits that the value of a row was held against.
    pub fn of_row(row: &Row) -> Self {
        Self::of(row.quantity, row.band, Some(row.nominal))
    }

    /// Of that band.
    fn of(quantity: Quantity, band: Band, nominal: Option<f64>) -> Self {
        let [lower, upper] = band.limits();
        Self {
            lower,
            nominal,
            upper,
            words: format_band(quantity, band),
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

/// Kind, nominal value, tolerance, material and rating. Of a leakage, whose nominal value is not that of the part, the value as
/// the parts list writes it.
fn what(part: &Part) -> String {
    let mut words = if part.step == Step::Value {
        let value = format_stated(part.nominal.quantity(), part.nominal.value());
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
