//! [`Conditions`]: what a judgement rests on besides the part and its settled value.

use std::collections::BTreeSet;
use std::sync::Arc;

use super::capacitor::{Condition, Tables};
use super::feed::Feeds;
use super::fitted::Fitted;
use super::point::USUAL_METER_OHMS;
use super::policy::Policy;
use super::rule::Rule;
use super::safety::{Mains, Places};
use super::winding::Temperature;
use crate::engine::parts::Part;

/// The rule, the policy and the surroundings of a job or sitting.
#[derive(Debug, Clone, PartialEq)]
pub struct Conditions {
    /// Decision rule of the job.
    pub rule: Rule,
    /// The mains that the equipment is run on; `None` where the job does not say.
    pub mains: Option<Mains>,
    /// Where the capacitors of the list sit, seen from it.
    pub places: Arc<Places>,
    /// Feeds of the test points of the list.
    pub feeds: Arc<Feeds>,
    /// Temperature of the windings, which is that of the room once the set has stood; `None` where nobody said.
    pub temperature: Option<Temperature>,
    /// Rules on parts to be replaced whatever they read, and on roles held to other bands.
    pub policy: Arc<Policy>,
    /// Limits of capacitors beyond capacitance.
    pub tables: Arc<Tables>,
    /// Resistance of the meter's voltage function, in ohm, over zero: what it loads a point with.
    pub meter_ohms: f64,
    /// The capacitors whose low value in circuit is their own, by their designators in small letters.
    pub lone_capacitors: Arc<BTreeSet<String>>,
    /// Condition of the parts: in service or new.
    pub condition: Condition,
    /// The parts that were fitted since the equipment was found, which are new.
    pub fitted: Arc<Fitted>,
}

impl Conditions {
    /// The rule, with the policy and tables that come with the program, parts in service, a usual meter, nothing known of the surroundings.
    pub fn by(rule: Rule) -> Self {
        Self {
            rule,
            mains: None,
            places: Arc::default(),
            feeds: Arc::default(),
            temperature: None,
            policy: Arc::default(),
            tables: Arc::default(),
            meter_ohms: USUAL_METER_OHMS,
            lone_capacitors: Arc::default(),
            condition: Condition::InService,
            fitted: Arc::default(),
        }
    }

    /// Condition of a part: one that was fitted is new, too.
    pub fn condition_of(&self, part: &Part) -> Condition {
        if self.fitted.holds(part) {
            Condition::New
        } else {
            self.condition
        }
    }
}
