//! Nothing is unsoldered: pairs of places are read, each part's own value follows from them, and in the end the leads to lift.
//!
//! A row of an own value rests on the rows of the readings that it follows from. Where a later reading changes it, a further row takes it
//! back. A reading counts only for the circuit that it was taken in: a lead that is lifted or joined drops those that it changes.

use std::collections::{BTreeMap, BTreeSet};

use super::Bench;
use crate::engine::impedance::Uncertain;
use crate::engine::judge::{
    Judged, LoopFacts, Loops, Trust, Verdict, contradiction, judge_own, judge_own_value, limits_of,
};
use crate::engine::network::{
    Agreement, Element, Lift, Network, Own, Read, Readings, lifts_behind, own_values, walk,
};
use crate::engine::parts::{Part, Step};
use crate::engine::probing::{Finding, SettledValue};
use crate::engine::sitting::event::{LeadToLift, Record, What};
use crate::engine::sitting::moment::Moment;
use crate::engine::sitting::pair_plan::PairPlan;
use crate::engine::sitting::plan::Plan;
use crate::engine::sitting::row::{Row, RowPosition};

/// Readings and findings in circuit.
#[derive(Debug, Clone, Default)]
pub(super) struct InCircuit {
    /// By the entries of the pairs.
    taken: BTreeMap<usize, Taken>,
    /// By the entries of the parts: the row of the own value that stands.
    standing: BTreeMap<usize, OwnRow>,
    /// Outcome of the readings between places that no part joins; nothing before all of them were taken.
    checked: Option<Result<(), String>>,
    /// The same as it was when a lead was lifted first, while one is.
    checked_before: Option<Result<(), String>>,
}

/// A reading between two places.
#[derive(Debug, Clone)]
struct Taken {
    row: u32,
    read: Read,
    settled: SettledValue,
    /// The parts that a lead was lifted of, by their places in the list.
    lifted: BTreeSet<usize>,
}

/// An own value that was written down.
#[derive(Debug, Clone)]
struct OwnRow {
    row: u32,
    verdict: Verdict,
    value: Option<Uncertain>,
}

/// The circuit as its leads are now, with the readings that hold and what they come to.
struct Solved {
    network: Network,
    readings: Readings,
    owns: Vec<Own>,
}

impl InCircuit {
    /// Forgets rows that were taken back.
    pub(super) fn withdraw(&mut self, rows: &[u32]) {
        self.taken.retain(|_, taken| !rows.contains(&taken.row));
        self.standing.retain(|_, one| !rows.contains(&one.row));
    }

    /// Whether the own value of an entry stands and proves something.
    fn is_known(&self, entry: usize) -> bool {
        let standing = self.standing.get(&entry);
        standing.is_some_and(|one| one.verdict != Verdict::Inconclusive)
    }
}

impl Bench {
    /// Entries to be measured after this one; of pairs of places those first to which the probes move least.
    pub(super) fn following(&self, plan: &Plan, entry: usize) -> Vec<usize> {
        let open = self.progress.following(entry).collect::<Vec<_>>();
        let Some(circuit) = plan.circuit() else {
            return open;
        };
        let pair = |entry: usize| circuit.pairs.get(entry);
        let (pairs, parts): (Vec<usize>, Vec<usize>) =
            open.into_iter().partition(|entry| pair(*entry).is_some());
        let (across, further): (Vec<usize>, Vec<usize>) = pairs
            .into_iter()
            .partition(|entry| circuit.pairs[*entry].across.is_some());
        let nearest = |from: Option<[usize; 2]>, entries: &[usize]| -> Vec<usize> {
            let ends = entries.iter().map(|entry| circuit.pairs[*entry].ends);
            let order = walk(from.into_iter().chain(ends).collect());
            let entry = |ends: &[usize; 2]| {
                entries
                    .iter()
                    .copied()
                    .find(|entry| circuit.pairs[*entry].ends == *ends)
            };
            order.iter().filter_map(entry).collect()
        };
        let from = pair(entry).map(|pair| pair.ends);
        let mut all = parts;
        all.extend(nearest(from, &across));
        all.extend(nearest(from.filter(|_| across.is_empty()), &further));
        all
    }

    /// The pair that a part in circuit lies across, where that is what is read of it; else the entry itself.
    pub(super) fn pair_or(&self, plan: &Plan, entry: usize) -> usize {
        let pair = || {
            let circuit = plan.circuit().filter(|_| self.progress.waits(entry))?;
            circuit.across(circuit.part_of(entry)?)
        };
        pair().unwrap_or(entry)
    }

    /// The parts that a lead is lifted of, by their places in the list.
    fn lifted_parts(&self, circuit: &PairPlan) -> BTreeSet<usize> {
        self.lifted_now()
            .filter_map(|entry| circuit.part_of(entry))
            .collect()
    }

    /// Whether a reading is still one of the circuit as it is.
    fn holds(circuit: &PairPlan, pair: usize, taken: &Taken, lifted: &BTreeSet<usize>) -> bool {
        let mut changed = taken.lifted.symmetric_difference(lifted);
        !changed.any(|part| circuit.touches(*part, pair))
    }

    /// The own values that follow from the readings that hold.
    fn solve(&self, circuit: &PairPlan, lifted: &BTreeSet<usize>) -> Solved {
        let mut readings = Readings::default();
        for (pair, taken) in &self.in_circuit.taken {
            if Self::holds(circuit, *pair, taken, lifted) {
                readings.add(circuit.pairs[*pair].ends, taken.read);
            }
        }
        let network = circuit.network.without(|part| lifted.contains(&part));
        let owns = own_values(&network, &readings);
        Solved {
            network,
            readings,
            owns,
        }
    }

    /// Takes in what settled on a pair of places, and writes down each own value that it tells or changes.
    pub(super) fn find_own_values(
        &mut self,
        now: &mut Moment<'_>,
        pair: usize,
        settled: SettledValue,
    ) {
        let plan = now.plan;
        let Some(circuit) = plan.circuit().filter(|circuit| pair < circuit.pairs.len()) else {
            return;
        };
        let Some(row) = self.progress.row_of(pair) else {
            return;
        };
        let lifted = self.lifted_parts(circuit);
        let read = match (settled.finding, self.found.value_of(pair)) {
            (Finding::Value(_), Some(value)) => Read::Ohms(value),
            // Below zero: no resistance has that.
            (Finding::Value(_), None) => return,
            (Finding::Open | Finding::BeyondRange, _) => Read::Beyond(circuit.range),
        };
        let taken = Taken {
            row,
            read,
            settled,
            lifted: lifted.clone(),
        };
        self.in_circuit.taken.insert(pair, taken);
        let solved = self.solve(circuit, &lifted);
        self.check(circuit, &solved);
        let (judged, trust) = self.judged(plan, circuit, &solved);
        for (judged, trust) in judged.iter().zip(&trust) {
            self.write_own_value(now, &solved, judged, trust);
        }
        self.tell_loops(now, &solved, &judged, &[]);
    }

    /// Tells what is known of each loop, to be drawn.
    fn tell_loops(&self, now: &mut Moment<'_>, solved: &Solved, judged: &[Judged], leads: &[Lift]) {
        let plan = now.plan;
        let Some(circuit) = plan.circuit() else {
            return;
        };
        // What was measured by itself since, with a lead lifted.
        let measured = |part: usize| {
            let entry = circuit.entry_of(part)?;
            let own = self.in_circuit.standing.get(&entry).map(|own| own.row);
            let row = self.progress.row_of(entry).filter(|row| Some(*row) != own);
            row.and_then(|_| Some((part, self.progress.verdict(entry)?)))
        };
        let checked = self.in_circuit.checked.as_ref();
        let loops = Loops::of(&LoopFacts {
            list: &circuit.list,
            network: &solved.network,
            owns: &solved.owns,
            judged,
            leads,
            contradiction: checked.and_then(|checked| checked.as_ref().err().map(String::as_str)),
            known: &(0..circuit.list.len()).filter_map(measured).collect(),
        });
        now.say(What::Loops(Box::new(loops)));
    }

    /// Holds the readings between places that no part joins against the own values.
    fn check(&mut self, circuit: &PairPlan, solved: &Solved) {
        let agreement = Agreement::of(&solved.network, &solved.owns, &solved.readings);
        let before = self.in_circuit.checked_before.clone();
        let further = circuit.pairs.iter().enumerate();
        let mut further = further.filter(|(_, pair)| pair.across.is_none());
        let all_read = further.all(|(pair, _)| self.progress.has_row(pair));
        self.in_circuit.checked = match contradiction(&solved.network, &agreement) {
            Some(words) => Some(Err(words)),
            None if before.is_some() => before,
            None => (all_read && agreement.agrees()).then_some(Ok(())),
        };
    }

    /// Verdicts on the own values that were read and that the readings of their block tell, the worst for each part, and how far the list is
    /// trusted there.
    fn judged(
        &self,
        plan: &Plan,
        circuit: &PairPlan,
        solved: &Solved,
    ) -> (Vec<Judged>, Vec<Trust>) {
        let list = &circuit.list;
        let Solved { network, owns, .. } = solved;
        let checked = self.in_circuit.checked.as_ref();
        let checked = checked.map(|checked| match checked {
            Ok(()) => Ok(()),
            Err(words) => Err(words.as_str()),
        });
        let mut worst: BTreeMap<usize, (Judged, Trust)> = BTreeMap::new();
        for (place, own) in owns.iter().enumerate() {
            if own.read.is_none() {
                continue;
            }
            let declared = |parts: &[&Part]| circuit.complete.holds(parts.iter().copied());
            let trust = Trust::around(list, network, own, declared, checked);
            let is_read = |member: &usize| {
                let of_it = |other: &&Own| other.group.members.contains(member);
                owns.iter()
                    .find(of_it)
                    .is_some_and(|other| other.read.is_some())
            };
            let block_is_read = own.block.iter().all(is_read);
            for member in &own.group.members {
                let element = &network.elements()[*member];
                let found = judge_own(list, network, own, element, &trust, plan.conditions());
                let Some(found) = found else { continue };
                if found.verdict == Verdict::Inconclusive && !block_is_read {
                    continue;
                }
                let is_worse = worst.get(&element.part).is_none_or(|(other, _)| {
                    found.verdict.severity() > other.found.verdict.severity()
                });
                if is_worse {
                    let judged = Judged {
                        own: place,
                        element: *member,
                        found,
                    };
                    worst.insert(element.part, (judged, trust.clone()));
                }
            }
        }
        worst.into_values().unzip()
    }

    /// Writes an own value down, unless the same stands already.
    fn write_own_value(
        &mut self,
        now: &mut Moment<'_>,
        solved: &Solved,
        judged: &Judged,
        trust: &Trust,
    ) {
        let (plan, found) = (now.plan, &solved.owns[judged.own]);
        let Some(circuit) = plan.circuit() else {
            return;
        };
        let Some(entry) = circuit.entry_of(judged.part(&solved.network)) else {
            return;
        };
        let value = value_of(found, &solved.network);
        let own = Part {
            step: Step::Own,
            in_circuit: true,
            ..plan.parts()[entry].clone()
        };
        let mut judgement = judge_own_value(&own, value, &judged.found, plan.conditions());
        let (verdict, value) = (judgement.verdict, judgement.grounds.value);
        let standing = self.in_circuit.standing.get(&entry);
        if standing.is_some_and(|one| one.verdict == verdict && one.value == value) {
            return;
        }
        let pair_of = |ends: [usize; 2]| circuit.pairs.iter().position(|pair| pair.ends == ends);
        let Some(pair) = pair_of(found.group.ends) else {
            return;
        };
        let Some(settled) = self.in_circuit.taken.get(&pair).map(|taken| taken.settled) else {
            return;
        };
        judgement.grounds.found = settled.finding.into();
        let withdraws: Vec<u32> = standing.map(|one| one.row).into_iter().collect();
        for row in &withdraws {
            self.withdraw(*row);
        }
        let rests_on = self.rows_behind(circuit, &solved.network, found, trust);
        self.rows += 1;
        let place = RowPosition {
            row: self.rows,
            time: plan.time_of_row(now.at),
            sitting: plan.sitting().to_owned(),
            attempt: self.progress.judged(entry, self.rows, &rests_on, verdict),
            rests_on,
            withdraws,
        };
        let row = Row::of(&own, &settled, judgement, place);
        let standing = OwnRow {
            row: row.row,
            verdict,
            value,
        };
        self.in_circuit.standing.insert(entry, standing);
        let record = Record {
            part: entry,
            settled,
            row,
        };
        now.say(What::Judged(Box::new(record)));
    }

    /// The rows of the readings that an own value follows from: of its block, and of those between places that no part joins, where they
    /// decide how far the list is trusted.
    fn rows_behind(
        &self,
        circuit: &PairPlan,
        network: &Network,
        own: &Own,
        trust: &Trust,
    ) -> Vec<u32> {
        let of_block = own.block.iter().chain(&own.group.members);
        let of_block = of_block.map(|member| network.elements()[*member].pair());
        let of_block: BTreeSet<[usize; 2]> = of_block.collect();
        let further = *trust != Trust::Assumed;
        let counts = |pair: usize| {
            let pair = &circuit.pairs[pair];
            of_block.contains(&pair.ends) || (further && pair.across.is_none())
        };
        let taken = self.in_circuit.taken.iter();
        let mut rows: Vec<u32> = taken
            .filter(|(pair, _)| counts(**pair))
            .map(|(_, taken)| taken.row)
            .collect();
        rows.sort_unstable();
        rows
    }

    /// Says which leads to lift, where nothing is left to be read in circuit.
    pub(super) fn tell_leads(&self, now: &mut Moment<'_>) {
        let plan = now.plan;
        let Some(circuit) = plan.circuit() else {
            return;
        };
        let lifted = self.lifted_parts(circuit);
        let solved = self.solve(circuit, &lifted);
        let (judged, _) = self.judged(plan, circuit, &solved);
        let wanted = judged.iter().filter(|one| one.found.lift);
        let wanted = wanted.map(|one| one.part(&solved.network));
        let wanted: BTreeSet<usize> = wanted.collect();
        let limits = |element: &Element| {
            limits_of(
                &circuit.list[element.part],
                element,
                &plan.conditions().policy,
            )
        };
        let name = |part: usize| circuit.list[part].designator.clone();
        let leads = lifts_behind(&solved.network, &solved.owns, &wanted, &limits);
        self.tell_loops(now, &solved, &judged, &leads);
        let leads = leads.into_iter().map(|lift| LeadToLift {
            designator: name(lift.part),
            settles: lift.settles.into_iter().map(name).collect(),
        });
        let what = What::ToLift {
            leads: leads.collect(),
        };
        now.say(what);
    }

    /// A lead is lifted or joined again: what was read of the circuit as it was is read anew where something is not known yet, and a
    /// part with a lead lifted is measured by itself.
    pub(super) fn change_circuit(&mut self, now: &mut Moment<'_>, head: usize, is_lifted: bool) {
        let plan = now.plan;
        let Some(circuit) = plan.circuit() else {
            return;
        };
        let lifted = self.lifted_parts(circuit);
        let state = &mut self.in_circuit;
        state.checked_before = match state.checked_before.take() {
            _ if lifted.is_empty() => None,
            None => state.checked.clone(),
            before => before,
        };
        self.progress.wait(head, !is_lifted);
        if is_lifted {
            self.progress.reopen(head);
        }
        self.plan_anew(circuit, &lifted);
        let next = match self.progress.in_hand() {
            _ if is_lifted => Some(head),
            Some(entry) if entry != head && !self.progress.waits(entry) => return,
            _ => self.following(plan, head).first().copied(),
        };
        if self.held_back(plan) || self.zeroing.is_some() {
            self.progress.take(next);
        } else {
            self.take(now, next);
        }
    }

    /// Plans the pairs to be read now: no longer those with nothing across them, and again those of a block in which a part is not known,
    /// where what was read does not hold any more.
    fn plan_anew(&mut self, circuit: &PairPlan, lifted: &BTreeSet<usize>) {
        let network = circuit.network.without(|part| lifted.contains(&part));
        let groups = network.groups(|_| true);
        let blocks = network.blocks(&groups).blocks;
        let is_unknown = |member: &usize| {
            let element = &network.elements()[*member];
            let entry = circuit.entry_of(element.part);
            element.is_resistive() && entry.is_some_and(|entry| !self.in_circuit.is_known(entry))
        };
        let mut found = Vec::new();
        for (pair, planned) in circuit.pairs.iter().enumerate() {
            if planned.across.is_none() {
                continue;
            }
            let group = groups.iter().position(|group| group.ends == planned.ends);
            let block = group.and_then(|group| blocks.iter().find(|block| block.contains(&group)));
            let unknown = block.is_some_and(|block| {
                let mut members = block.iter().flat_map(|group| &groups[*group].members);
                members.any(is_unknown)
            });
            let taken = self.in_circuit.taken.get(&pair);
            let holds = taken.is_some_and(|taken| Self::holds(circuit, pair, taken, lifted));
            found.push((pair, block.is_some(), unknown && !holds));
        }
        for (pair, is_there, again) in found {
            self.progress.wait(pair, !is_there);
            if again {
                self.progress.reopen(pair);
            }
        }
    }
}

/// One value for what was found, Ω; `None` where it may be as large as it likes, and for parts that are known only together.
fn value_of(own: &Own, network: &Network) -> Option<Uncertain> {
    let mut members = own.group.members.iter();
    let resistive = members
        .by_ref()
        .filter(|member| network.elements()[**member].is_resistive());
    if resistive.count() > 1 {
        return None;
    }
    let [low, high] = own.ohms();
    let value = Uncertain::new(f64::midpoint(low, high), (high - low) / 4.0);
    high.is_finite().then_some(value)
}
