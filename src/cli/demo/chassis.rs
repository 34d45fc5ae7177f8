//! [`Chassis`]: what the parts of the demonstration really are.

use std::collections::HashMap;
use std::time::Duration;

use anyhow::{Context, Result, bail};
use serde::Deserialize;

use crate::bench::simulator::{Behaviour, Component};
use crate::engine::parts::Part;
use crate::engine::quantity::Quantity;

/// Actions of the restorer at a part.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Handling {
    /// Holds the probes on it.
    Plain,
    /// Slips off for a moment.
    Slips,
    /// Touches that other part first.
    WrongFirst(String),
}

/// A part of the chassis as it really is.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Real {
    pub(super) component: Component,
    pub(super) handling: Handling,
    /// Voltage across it before work, V.
    pub(super) volts: f64,
}

/// The chassis: parts by designator.
#[derive(Debug, Clone)]
pub(super) struct Chassis {
    parts: HashMap<String, Real>,
}

#[derive(Deserialize)]
struct Row {
    r#ref: String,
    behaviour: String,
    actual: Option<f64>,
    volts: Option<f64>,
}

/// Resistance of the wire of a coil, in ohm.
const COIL_OHMS: f64 = 100.0;

/// Least that is left on a capacitor, V. Less than that looks like probes in the air.
const RESTED: f64 = 0.6;

/// Voltage left on a capacitor that was discharged, V: no two that follow each other read alike, as none do at a bench.
pub(super) fn residue(designator: &str) -> f64 {
    let digit = designator.bytes().last().unwrap_or_default() % 10;
    RESTED + 0.1 * f64::from(digit)
}

/// Time constant of a slow part.
const SLOW: Duration = Duration::from_millis(600);

impl Chassis {
    /// The chassis as it was found; the parts tell what each is measured by.
    pub(super) fn found(text: &str, parts: &[Part]) -> Result<Self> {
        Self::read(text, |designator| {
            let mut parts = parts.iter();
            let part = parts.find(|part| part.designator == designator);
            part.map(Part::measured)
        })
    }

    fn read(text: &str, quantity: impl Fn(&str) -> Option<Quantity>) -> Result<Self> {
        let mut reader = csv::ReaderBuilder::new()
            .comment(Some(b'#'))
            .from_reader(text.as_bytes());
        let mut parts = HashMap::new();
        for row in reader.deserialize() {
            let row: Row = row?;
            let quantity = quantity(&row.r#ref)
                .with_context(|| format!("`{}` is in no parts list", row.r#ref))?;
            let real = real(&row, quantity)?;
            parts.insert(row.r#ref, real);
        }
        Ok(Self { parts })
    }

    /// The chassis with nothing but these parts, each with its value.
    pub(super) fn of_new(parts: impl Iterator<Item = (String, Quantity, f64)>) -> Self {
        let mut chassis = Self {
            parts: HashMap::new(),
        };
        for (designator, quantity, value) in parts {
            chassis.fit(&designator, quantity, value);
        }
        chassis
    }

    /// Puts a new part in, which holds next to no charge.
    pub(super) fn fit(&mut self, designator: &str, quantity: Quantity, value: f64) {
        let new = Real {
            component: plain(quantity, value),
            handling: Handling::Plain,
            volts: residue(designator),
        };
        self.parts.insert(designator.to_owned(), new);
    }

    /// Residual voltage: a capacitor discharged once has stood for days without power.
    pub(super) fn rest(&mut self) {
        for (designator, part) in &mut self.parts {
            part.volts = part.volts.min(residue(designator));
        }
    }

    /// The part as it really is.
    pub(super) fn part(&self, designator: &str) -> Result<&Real> {
        self.parts
            .get(designator)
            .with_context(|| format!("the chassis has no `{designator}`"))
    }
}

fn real(row: &Row, quantity: Quantity) -> Result<Real> {
    let value = || {
        row.actual
            .with_context(|| format!("`{}` has no value", row.r#ref))
    };
    let handling = match row.behaviour.split_once(':') {
        Some(("wrong", other)) => Handling::WrongFirst(other.to_owned()),
        _ if row.behaviour == "slip" => Handling::Slips,
        _ => Handling::Plain,
    };
    let component = match row.behaviour.as_str() {
        "open" => Component::open(),
        "slow" => with(
            quantity,
            value()?,
            Behaviour::Approach {
                to: value()?,
                from: 0.0,
                tau: SLOW,
            },
        ),
        "restless" => with(
            quantity,
            value()?,
            Behaviour::Wander {
                around: value()?,
                spread: 0.07,
                drift: 0.0,
            },
        ),
        "steady" | "slip" => plain(quantity, value()?),
        _ if handling != Handling::Plain => plain(quantity, value()?),
        other => bail!("`{}`: unknown behaviour `{other}`", row.r#ref),
    };
    Ok(Real {
        component,
        handling,
        volts: row.volts.unwrap_or_else(|| residue(&row.r#ref)),
    })
}

fn plain(quantity: Quantity, value: f64) -> Component {
    match quantity {
        Quantity::Resistance if value.is_infinite() => Component::open(),
        Quantity::Resistance => Component::resistor(value),
        Quantity::Capacitance => Component::capacitor(value),
        Quantity::Inductance => Component::coil(value, COIL_OHMS),
        Quantity::Voltage => Component::live_point(value),
        Quantity::Current => Component::leak(value),
        Quantity::AcVoltage => Component::alternating(value),
        Quantity::Ratio => Component::open(),
    }
}

fn with(quantity: Quantity, value: f64, behaviour: Behaviour) -> Component {
    plain(quantity, value).with(quantity, behaviour)
}
