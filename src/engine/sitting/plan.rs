//! [`Plan`]: what a sitting sets out to do.

use std::sync::Arc;

use chrono::{DateTime, FixedOffset, SubsecRound};

use super::charged::Charged;
use super::earlier::earlier_values;
use super::entries::{Entries, LeftOut};
use super::meters::{Meters, PlannedMeter};
use super::pair_plan::PairPlan;
use super::setup::Setup;
use crate::engine::impedance::Uncertain;
use crate::engine::judge::capacitor::{AgeingTable, Condition, ShippedTable, Tables};
use crate::engine::judge::discharge::{ChargedPart, DISCHARGED_VOLTS, parts_to_discharge};
use crate::engine::judge::safety::Places;
use crate::engine::judge::winding::TemperatureError;
use crate::engine::judge::{
    Beside, Conditions, Feeds, LcrReading, LeakageTest, LossReading, Policy, UnknownRule,
    lone_capacitors,
};
use crate::engine::meter::{Idle, Profile};
use crate::engine::parts::{
    ArticleError, Choice, Part, PartsList, Selection, SelectionError, Step,
};
use crate::engine::probing::{Finding, SettledValue};
use crate::engine::quantity::{Quantity, Stamp};
use crate::engine::settings::{Settings, room_temperature};
use crate::engine::source::{TableRemark, TextError};

/// Task of a sitting: these parts in this order, with these meters, by this rule.
#[expect(
    clippy::struct_excessive_bools,
    reason = "each is a setting of its own"
)]
#[derive(Debug, Clone)]
pub struct Plan {
    entries: Entries,
    /// The network, where nothing is unsoldered.
    circuit: Option<Arc<PairPlan>>,
    charged: Charged,
    may_hold_charge: Vec<ChargedPart>,
    probe_signals: bool,
    writes_sets: bool,
    asks_to_heed: bool,
    of_earlier_edition: bool,
    /// Earlier readings on each entry.
    earlier: Vec<Option<f64>>,
    /// The designators of the whole list.
    listed: Vec<String>,
    awaits_writing: bool,
    residual_volts: f64,
    title: String,
    meters: Meters,
    conditions: Conditions,
    list_remarks: Vec<TableRemark>,
    sitting: Arc<str>,
    begun: DateTime<FixedOffset>,
}

/// There is no plan to be made of a set-up.
#[derive(Debug, thiserror::Error)]
pub enum PlanError {
    /// Something is not there.
    #[error("what the sitting starts from does not hold {what}")]
    Missing {
        /// Description in words.
        what: String,
    },
    /// The parts are in no condition that is known here.
    #[error("the sitting is about parts that are `{found}`, which this version does not know")]
    UnknownCondition {
        /// The word for it.
        found: String,
    },
    /// One of the texts has errors.
    #[error(transparent)]
    Text(#[from] TextError),
    /// The selection cannot be read.
    #[error(transparent)]
    Selection(#[from] SelectionError),
    /// No part of the list is selected.
    #[error("no part of the list matches `{only}`")]
    NothingSelected {
        /// Selection, as it was written.
        only: String,
    },
    /// Of no part does the list say where both its ends are.
    #[error(
        "nothing to read in circuit: of no part does the list say where both its ends are (columns from and to)"
    )]
    NothingToRead,
    /// There is no such decision rule.
    #[error(transparent)]
    Rule(#[from] UnknownRule),
    /// The fitted thing is no article.
    #[error("what was fitted as {designator}: {why}")]
    NoArticle {
        /// Part that stands twice.
        designator: String,
        /// Fault of it.
        #[source]
        why: ArticleError,
    },
    /// Two meters have one name.
    #[error("two meters are called `{name}`, expected a name of its own for each")]
    NameTaken {
        /// Name that two meters have.
        name: String,
    },
    /// The temperature is no number.
    #[error("found the temperature `{found}`, expected a number in °C")]
    NoTemperature {
        /// The text given.
        found: String,
    },
    /// No room has that temperature.
    #[error(transparent)]
    Temperature(#[from] TemperatureError),
}

impl Plan {
    /// Makes the plan that follows.
    ///
    /// # Errors
    /// Every error of the parts list or a profile, a selection without parts, an unknown rule.
    pub fn of(setup: &Setup) -> Result<Self, PlanError> {
        let settings = setup.job()?;
        let list = setup.list()?;
        let mut parts = list.parts.clone();
        let only = setup.setting(Setup::ONLY);
        if !only.is_empty() {
            let selection = Selection::parse(only)?;
            parts = if setup.setting(Setup::EDITION).is_empty() {
                selection.among(&parts).into_iter().cloned().collect()
            } else {
                let named = parts.into_iter();
                named
                    .filter(|part| selection.matches(&part.designator))
                    .collect()
            };
        }
        if parts.is_empty() {
            return Err(PlanError::NothingSelected {
                only: only.to_owned(),
            });
        }
        let mut conditions = conditions(setup, &settings, &list)?;
        let fitted = setup.fitted()?;
        for part in &mut parts {
            *part = fitted.put_in(part, &conditions.places);
        }
        conditions.fitted = Arc::new(fitted);
        let meters = Meters::of(setup)?;
        let voltmeter = meters
            .measuring(Quantity::Voltage)
            .map(|meter| meters.all()[meter].profile());
        let voltage = voltmeter.and_then(|profile| profile.function(Quantity::Voltage));
        if let Some(ohms) = voltage.and_then(|function| function.input_ohms) {
            conditions.meter_ohms = ohms;
        }
        let circuit = if setup.setting(Setup::IN_CIRCUIT).is_empty() {
            None
        } else {
            let ohmmeter = meters.measuring(Quantity::Resistance).unwrap_or(0);
            let range = range_end(meters.all()[ohmmeter].profile());
            let circuit = PairPlan::of(parts.clone(), settings.complete.clone(), range);
            Some(circuit.ok_or(PlanError::NothingToRead)?)
        };
        let entries = match &circuit {
            Some(circuit) => circuit.entries(),
            None => Entries::of(&parts, &conditions),
        };
        let earlier = earlier(setup, entries.parts())?;
        // Parts from a shop have stood at no supply.
        let may_be_charged: &[Part] = match conditions.condition {
            Condition::InService => &list.parts,
            Condition::New => &[],
        };
        let may_hold_charge = parts_to_discharge(may_be_charged);
        let of_earlier_edition = !setup.setting(Setup::EDITION).is_empty();
        let charged = Charged::of(
            may_be_charged,
            &may_hold_charge,
            of_earlier_edition,
            &entries,
        );
        Ok(Self {
            entries,
            circuit: circuit.map(Arc::new),
            charged,
            may_hold_charge,
            earlier,
            probe_signals: settings.probe_signals,
            writes_sets: settings.sets,
            asks_to_heed: !setup.setting(Setup::CAUTIONS).is_empty(),
            of_earlier_edition,
            listed: list
                .parts
                .iter()
                .map(|part| part.designator.clone())
                .collect(),
            awaits_writing: !setup.setting(Setup::DECISIONS).is_empty(),
            residual_volts: residual_volts(setup, &meters),
            title: settings.title,
            meters,
            conditions,
            list_remarks: list.remarks,
            sitting: Arc::default(),
            begun: DateTime::default(),
        })
    }

    /// The plan of the sitting of that name, which begins then; without it rows name no sitting and count from 1970 on.
    #[must_use]
    pub fn of_sitting(mut self, name: &str, begun: DateTime<FixedOffset>) -> Self {
        self.sitting = name.into();
        self.begun = begun;
        self
    }

    /// The name of the sitting.
    pub fn sitting(&self) -> &str {
        &self.sitting
    }

    /// When the sitting begins.
    pub const fn begun(&self) -> DateTime<FixedOffset> {
        self.begun
    }

    /// The time of a row whose value settled then: in milliseconds, as files have it.
    pub(super) fn time_of_row(&self, at: Stamp) -> DateTime<FixedOffset> {
        at.on_clock(self.begun).trunc_subsecs(3)
    }

    /// Measurements that the list asks for and no rule can judge; the sitting goes on without them.
    pub fn left_out(&self) -> &[LeftOut] {
        self.entries.left_out()
    }

    /// Findings on the file of the parts list.
    pub fn list_remarks(&self) -> &[TableRemark] {
        &self.list_remarks
    }

    /// The entries, in the order of the list: each part, and behind it each further measurement of it as a part of its own
    /// whose nominal value and band are those of that measurement ([`Part::step`]).
    pub fn parts(&self) -> &[Part] {
        self.entries.parts()
    }

    /// Number of parts; each may have more than one entry.
    pub fn rows(&self) -> usize {
        self.entries.rows()
    }

    /// The test of an entry that is a leakage.
    pub fn leakage(&self, entry: usize) -> Option<&LeakageTest> {
        self.entries.leakage(entry)
    }

    /// The network, where nothing is unsoldered.
    pub(super) fn circuit(&self) -> Option<&PairPlan> {
        self.circuit.as_deref()
    }

    /// Steps before anything is read in circuit; none where parts are measured one by one.
    pub fn before_reading(&self) -> Vec<String> {
        let circuit = self.circuit();
        circuit.map(PairPlan::before_reading).unwrap_or_default()
    }

    pub(super) fn entries(&self) -> &Entries {
        &self.entries
    }

    /// Every part that may have to be seen discharged: those before any work, those that get their rated voltage, the others.
    pub fn charged(&self) -> &[Part] {
        self.charged.parts()
    }

    /// Every capacitor of the whole list that may hold a charge when work begins, with what and for how long.
    pub fn may_hold_charge(&self) -> &[ChargedPart] {
        &self.may_hold_charge
    }

    /// Whether the probes may give signals.
    pub const fn probe_signals(&self) -> bool {
        self.probe_signals
    }

    /// Whether a value that may be of several parts alike is written down for all of them without asking.
    pub(super) const fn writes_sets(&self) -> bool {
        self.writes_sets
    }

    /// Whether the cautions before a voltage are to be agreed to; in a recording that is older they are not.
    pub(super) const fn asks_to_heed(&self) -> bool {
        self.asks_to_heed
    }

    /// Earlier readings on each entry, in the SI unit of its quantity.
    pub(super) fn earlier(&self) -> &[Option<f64>] {
        &self.earlier
    }

    /// Distances of old parts from their nominal values.
    pub(super) fn ageing(&self) -> &AgeingTable {
        &self.conditions.tables.ageing
    }

    /// The entry with which the part of that designator begins.
    pub(super) fn head_of(&self, designator: &str) -> Option<usize> {
        let named = |part: &Part| part.designator.eq_ignore_ascii_case(designator.trim());
        self.parts().iter().position(named)
    }

    /// Whether the sitting was recorded before edition 1.2, by which commands and touches meant something else ([`Setup::EDITION`]).
    pub(super) const fn is_of_earlier_edition(&self) -> bool {
        self.of_earlier_edition
    }

    /// Name in the list of the part of that name, be it in the plan or not.
    pub(super) fn listed(&self, name: &str) -> Option<&str> {
        let mut listed = self.listed.iter().map(String::as_str);
        listed.find(|one| one.eq_ignore_ascii_case(name))
    }

    /// Whether a decision counts once it is said to be written down; in a recording that is older it counts at once.
    pub(super) const fn awaits_writing(&self) -> bool {
        self.awaits_writing
    }

    /// Voltage below which a capacitor must be before work on it, V.
    pub(super) const fn residual_volts(&self) -> f64 {
        self.residual_volts
    }

    /// Voltage that a voltmeter may still have across it where it shows as little as probes in the air do, V; `None` if such
    /// a reading tells nothing.
    pub(super) fn unseen_volts(&self) -> Option<f64> {
        match self.profile_for(Quantity::Voltage).idle(Quantity::Voltage) {
            Idle::Below(volts) => Some(volts),
            Idle::Overload => None,
        }
    }

    pub(super) fn may_be_charged(&self) -> &Charged {
        &self.charged
    }

    /// The meters, at least one. Elsewhere a meter is named by its place here.
    pub fn meters(&self) -> &[PlannedMeter] {
        self.meters.all()
    }

    /// The meter that measures a quantity: the first in the order of the meters that does, but for a capacitance and an
    /// inductance the first that tells a pair; `None` if none measures it.
    pub fn meter_for(&self, quantity: Quantity) -> Option<usize> {
        self.meters.measuring(quantity)
    }

    /// The profile of a meter.
    ///
    /// # Panics
    /// If there is no meter of that number.
    pub fn profile_of(&self, meter: usize) -> &Arc<Profile> {
        self.meters()[meter].profile()
    }

    /// The profile of the first meter.
    pub fn profile(&self) -> &Arc<Profile> {
        self.profile_of(0)
    }

    /// The profile that a quantity is measured by, and that of the first meter if none measures it.
    pub fn profile_for(&self, quantity: Quantity) -> &Arc<Profile> {
        self.profile_of(self.meter_for(quantity).unwrap_or(0))
    }

    /// The title of the job.
    pub fn title(&self) -> &str {
        &self.title
    }

    /// The name by which a meter is told apart; `None` where there is only one.
    pub fn meter_name(&self, meter: usize) -> Option<&str> {
        let named = self.meters().get(meter).map(PlannedMeter::name);
        named.filter(|_| self.meters().len() > 1)
    }

    /// Name of a meter before its news, where there are several.
    pub fn meter_prefix(&self, meter: usize) -> String {
        let name = self.meter_name(meter);
        name.map(|name| format!("{name}: ")).unwrap_or_default()
    }

    /// The name of the meter to be taken for a quantity; `None` where there is only one, or none measures it.
    pub(super) fn meter_to_take(&self, quantity: Quantity) -> Option<String> {
        let meter = self.meter_for(quantity)?;
        self.meter_name(meter).map(str::to_owned)
    }

    /// The settled value as one of a pair that tells an impedance, if the profile describes such a reply. Without a second
    /// value in every reading it lacks that.
    pub fn pair(&self, settled: &SettledValue) -> Option<LcrReading> {
        let Finding::Value(estimate) = settled.finding else {
            return None;
        };
        let profile = self.profile_for(settled.quantity);
        let function = profile.function(settled.quantity)?;
        let second = settled.second.map(|second| {
            let specified = profile
                .second_uncertainty(settled.quantity, estimate.value, second.value)
                .unwrap_or(0.0);
            Uncertain::new(second.value, libm::hypot(second.scatter, specified))
        });
        Some(LcrReading {
            kind: function.pair?,
            frequency_hz: function.frequency,
            second,
            specified: function.second_limit.is_some(),
        })
    }

    /// Loss by the second value of a settled capacitance, if the profile lists one.
    pub fn loss(&self, settled: &SettledValue) -> Option<LossReading> {
        let Finding::Value(estimate) = settled.finding else {
            return None;
        };
        let value = Uncertain::new(estimate.value, estimate.standard_uncertainty);
        self.pair(settled)?.loss(value)
    }

    /// Second value in an LCR meter's reply.
    pub fn beside(&self, settled: &SettledValue) -> Beside<'static> {
        Beside {
            loss: self.loss(settled),
            pair: self.pair(settled),
            ..Beside::default()
        }
    }

    /// Whether the policy replaces the part of an entry whatever it reads; in a recording that is older nobody was asked why
    /// it stays.
    pub(super) fn is_replaced_by_policy(&self, entry: usize) -> bool {
        let part = &self.parts()[entry];
        let is_old = self.conditions.condition_of(part) == Condition::InService;
        !self.of_earlier_edition && is_old && self.conditions.policy.replaces(part).is_some()
    }

    /// The warning beside a decision that leaves the part of an entry as it is, where its class is not what its place at the
    /// mains needs.
    pub fn warning(&self, entry: usize, choice: Choice) -> Option<String> {
        self.conditions.places.warning(&self.parts()[entry], choice)
    }

    /// Grounds that judgements rest on.
    pub fn conditions(&self) -> &Conditions {
        &self.conditions
    }
}

/// Grounds of judgements by the files and settings alone: all but the meter and what was fitted.
///
/// # Errors
/// If a file or a setting cannot be used.
pub(super) fn conditions(
    setup: &Setup,
    settings: &Settings,
    list: &PartsList,
) -> Result<Conditions, PlanError> {
    let mut conditions = Conditions::by(match setup.setting(Setup::RULE) {
        "" => settings.rule,
        said => said.parse()?,
    });
    conditions.mains = settings.mains;
    conditions.temperature = match setup.setting(Setup::TEMPERATURE) {
        "" => settings.temperature,
        said => Some(room_temperature(celsius(said)?)?),
    };
    conditions.condition = setup.condition()?;
    if conditions.condition == Condition::InService {
        // New parts sit nowhere yet.
        let places = Places::of(&list.parts, settings.mains, settings.chassis);
        conditions.places = Arc::new(places);
        let complete = |parts: &[&Part]| settings.complete.holds(parts.iter().copied());
        conditions.lone_capacitors = Arc::new(lone_capacitors(&list.parts, complete));
        conditions.feeds = Arc::new(Feeds::of(&list.parts));
    }
    let policy = setup.text(Setup::POLICY)?;
    if !policy.is_empty() {
        conditions.policy = Arc::new(Policy::parse(policy)?);
    }
    let mut tables = [""; ShippedTable::ALL.len()];
    for (text, table) in tables.iter_mut().zip(ShippedTable::ALL) {
        *text = setup.text(table.file_name())?;
    }
    conditions.tables = Arc::new(Tables::parse(tables)?);
    Ok(conditions)
}

/// The end of a range that nobody knows, Ω: no ohmmeter ends below (common practice, no source).
pub const LEAST_RANGE: f64 = 1e6;

/// The end of the last range of a meter for resistance, Ω.
pub fn range_end(profile: &Profile) -> f64 {
    let function = profile.function(Quantity::Resistance);
    let last = function.and_then(|function| function.ranges.last());
    last.map_or(LEAST_RANGE, |range| range.up_to)
}

/// The least that a meter which measures ohms, farads or henrys here may have left on a part, V.
fn residual_volts(setup: &Setup, meters: &Meters) -> f64 {
    if !setup.setting(Setup::EDITION).is_empty() {
        return DISCHARGED_VOLTS;
    }
    let measured = [
        Quantity::Resistance,
        Quantity::Capacitance,
        Quantity::Inductance,
    ];
    let at_risk = |meter: &&PlannedMeter| {
        let profile = meter.profile();
        measured.iter().any(|one| profile.function(*one).is_some())
    };
    let volts = |meter: &PlannedMeter| meter.profile().residual_volts;
    let all = meters.all();
    let least = all.iter().filter(at_risk).map(volts).reduce(f64::min);
    least.unwrap_or_else(|| volts(&all[0]))
}

/// Values in the file of earlier ones for each entry; none for further measurements.
fn earlier(setup: &Setup, parts: &[Part]) -> Result<Vec<Option<f64>>, PlanError> {
    let text = setup.file(Setup::EARLIER).unwrap_or_default();
    let values = earlier_values(text)?;
    let of = |part: &Part| {
        let values = values.iter().filter(|_| part.step == Step::Value);
        let mut its = values.filter(|one| {
            one.quantity == part.measured() && one.designator.eq_ignore_ascii_case(&part.designator)
        });
        its.next().map(|one| one.value)
    };
    Ok(parts.iter().map(of).collect())
}

fn celsius(text: &str) -> Result<f64, PlanError> {
    text.trim().parse().map_err(|_| PlanError::NoTemperature {
        found: text.to_owned(),
    })
}
