//! [`Zeroing`]: what the leads add is found, by holding the probes on each other and then apart.
//!
//! The resistance of the shorted leads is taken off every resistance. Where the meter tells an impedance of a capacitance,
//! the open leads are looked at as well, and both are taken off every impedance.

use std::time::Duration;

use super::plan::Plan;
use crate::engine::impedance::{Pair, PairKind, Residuals, Uncertain};
use crate::engine::meter::{Reading, Shown};
use crate::engine::probing::{Estimate, Finding, Second, SettledValue, Specification};
use crate::engine::quantity::{Quantity, Stamp};
use crate::engine::statistics::mean_and_deviation;

/// Fewest readings of the open leads, and their shortest span.
const READINGS: usize = 8;
const SPAN: Duration = Duration::from_secs(1);

/// After so long without rest the open leads are given up.
const PATIENCE: Duration = Duration::from_secs(15);

/// The step of zeroing.
#[derive(Debug, Clone)]
pub(super) enum Zeroing {
    /// The probes on each other.
    Short,
    /// The probes apart; the resistance of the leads is known.
    Open(OpenLook),
}

/// The readings of open leads so far.
#[derive(Debug, Clone)]
pub(super) struct OpenLook {
    leads: Uncertain,
    begun: Option<Stamp>,
    since: Option<Stamp>,
    values: Vec<f64>,
    seconds: Vec<f64>,
}

/// Finding on the open leads.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Looked {
    /// The addition of leads and fixture.
    Found(Residuals),
    /// Nothing that could be taken off.
    Nothing,
    /// The readings did not rest.
    Restless,
}

impl OpenLook {
    pub(super) const fn new(leads: Uncertain) -> Self {
        Self {
            leads,
            begun: None,
            since: None,
            values: Vec::new(),
            seconds: Vec::new(),
        }
    }

    /// Takes in a reading with the probes apart.
    pub(super) fn read(
        &mut self,
        reading: &Reading,
        meter: &impl Specification,
        plan: &Plan,
    ) -> Option<Looked> {
        let begun = *self.begun.get_or_insert(reading.at);
        match reading.shown {
            Shown::Value(value) if meter.is_idle(reading.shown) => {
                self.values.push(value);
                self.seconds.extend(reading.second);
            }
            // Something is touched, or there is no number: begin anew.
            _ => {
                self.since = None;
                self.values.clear();
                self.seconds.clear();
                let given_up = reading.at.since(begun) > PATIENCE;
                return given_up.then_some(Looked::Restless);
            }
        }
        let since = *self.since.get_or_insert(reading.at);
        let enough = self.values.len() >= READINGS && reading.at.since(since) >= SPAN;
        enough.then(|| self.conclude(since, reading.at, meter, plan))
    }

    fn conclude(
        &self,
        contact: Stamp,
        at: Stamp,
        meter: &impl Specification,
        plan: &Plan,
    ) -> Looked {
        let mean = |values: &[f64]| {
            let near = values.first().copied().unwrap_or(0.0);
            let (mean, deviation) =
                mean_and_deviation(values.iter().copied(), near).unwrap_or((near, 0.0));
            (mean, deviation / (values.len() as f64).sqrt())
        };
        let (value, scatter) = mean(&self.values);
        let second = (self.seconds.len() == self.values.len()).then(|| {
            let (value, scatter) = mean(&self.seconds);
            Second { value, scatter }
        });
        let estimate = Estimate::combine(value, scatter, meter.standard_uncertainty(value), 0.0);
        let open = SettledValue {
            quantity: Quantity::Capacitance,
            contact,
            at,
            readings: self.values.len() as u32,
            finding: Finding::Value(estimate),
            second,
        };
        let value = Uncertain::new(estimate.value, estimate.standard_uncertainty);
        let open = plan.pair(&open).and_then(|reading| {
            // Many a meter shows no loss in the air, or noise that no part can have: of a loss nothing is taken off then.
            let lossless = || {
                let values = [value, Uncertain::new(0.0, 0.0)];
                Pair::new(PairKind::CpD, reading.frequency_hz?, values, 0.0).ok()
            };
            reading.pair(value).ok().or_else(lossless)
        });
        let residuals =
            open.and_then(|open| Residuals::from_open_and_resistance(&open, self.leads).ok());
        residuals.map_or(Looked::Nothing, Looked::Found)
    }
}

/// Whether the meter whose leads were held on each other tells an impedance of a capacitance, at a frequency that is known.
pub(super) fn tells_impedance(plan: &Plan) -> bool {
    let ohmmeter = plan.meter_for(Quantity::Resistance);
    let bridge = plan.meter_for(Quantity::Capacitance).filter(|_| {
        // The leads of another meter say nothing about its own.
        plan.meter_for(Quantity::Capacitance) == ohmmeter
    });
    let capacitance =
        bridge.and_then(|meter| plan.profile_of(meter).function(Quantity::Capacitance));
    capacitance.is_some_and(|function| function.pair.is_some() && function.frequency.is_some())
}
