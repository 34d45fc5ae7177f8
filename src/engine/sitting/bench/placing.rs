//! Several parts of one place in hand at once: which of them a value belongs to, and what is asked where that is not clear.

use super::gripping::same;
use super::{AfterLift, Bench};
use crate::engine::impedance::Uncertain;
use crate::engine::judge::{Verdict, judge};
use crate::engine::parts::{Part, Title, is_at};
use crate::engine::probing::{Finding, SettledValue};
use crate::engine::quantity::{Quantity, Stamp};
use crate::engine::sitting::command::Command;
use crate::engine::sitting::entry::Entry;
use crate::engine::sitting::event::{Record, What};
use crate::engine::sitting::likeness::{Seen, may_be_taken_for};
use crate::engine::sitting::moment::Moment;
use crate::engine::sitting::plan::Plan;
use crate::engine::sitting::refusal::Refusal;
use crate::engine::sitting::row::{Row, RowPosition};

/// From this share on one part is the only one that a value can be of.
const CERTAIN: f64 = 0.99;

/// Probability that a touch is one of a part that was measured already, beside one that was not.
const AGAIN: f64 = 0.05;

/// Probability that a touch is one of no part of the place, times the density of what is read then,
/// per unit of the natural logarithm.
const ELSEWHERE: f64 = 0.01 * 0.05;

/// Most parts that a question names.
const NAMED: usize = 4;

/// A place in hand.
#[derive(Debug, Clone)]
pub(super) struct AtPlace {
    name: String,
    quantity: Quantity,
    /// Every part there that is measured so, the measured ones among them.
    all: Vec<usize>,
    /// Values tagged since the place is in hand: the part, its row and what settled.
    tagged: Vec<(usize, u32, SettledValue)>,
    /// The sets of parts that a value was written down for.
    sets: Vec<Vec<usize>>,
    question: Option<Question>,
    /// The quantities that are over.
    done: Vec<Quantity>,
}

/// A value that may be of several parts.
#[derive(Debug, Clone)]
struct Question {
    settled: SettledValue,
    /// The parts, the likeliest first.
    among: Vec<usize>,
    /// Whether they are alike, so that the value may be written down for none of them alone.
    alike: bool,
}

impl AtPlace {
    pub(super) fn name(&self) -> &str {
        &self.name
    }

    /// Quantity that is measured there.
    pub(super) const fn quantity(&self) -> Quantity {
        self.quantity
    }

    /// Whether a question stands.
    pub(super) const fn asks(&self) -> bool {
        self.question.is_some()
    }

    /// Gives up the question about a value of that touch; whether there was one.
    pub(super) fn give_up(&mut self, touch: Stamp) -> bool {
        let of_it = |question: &mut Question| question.settled.contact == touch;
        self.question.take_if(of_it).is_some()
    }

    /// Takes in a row of one of its parts, and those that it takes back.
    pub(super) fn note(&mut self, entry: usize, row: &Row, settled: SettledValue) {
        self.tagged
            .retain(|(_, one, _)| !row.withdraws.contains(one));
        self.tagged.push((entry, row.row, settled));
    }

    /// Whether as many values were written down for a set with that part as the set has parts.
    fn is_covered(&self, entry: usize) -> bool {
        let of_it = || self.sets.iter().filter(|set| set.contains(&entry));
        of_it()
            .next()
            .is_some_and(|set| of_it().count() >= set.len())
    }
}

impl Bench {
    /// Whether a question stands.
    pub(super) fn asks(&self) -> bool {
        self.place.as_ref().is_some_and(AtPlace::asks)
    }

    /// Takes in hand at once what is still to be measured at a place; of several quantities those of the first.
    pub(super) fn go_at(&mut self, now: &mut Moment<'_>, name: &str) -> Result<(), Refusal> {
        let place = self.place_of(now.plan, name, Vec::new());
        let place = place.ok_or(Refusal::NothingThere)?;
        self.turn_to_place(now, place);
        Ok(())
    }

    pub(super) fn turn_to_place(&mut self, now: &mut Moment<'_>, place: AtPlace) {
        self.put_down(now.plan);
        self.progress.take(None);
        self.place = Some(place);
        self.announce(now);
    }

    /// The place of that name with its parts of the next quantity that is not done; `None` if nothing is to be measured there.
    fn place_of(&self, plan: &Plan, name: &str, done: Vec<Quantity>) -> Option<AtPlace> {
        let parts = plan.parts();
        let there = |entry: &usize| {
            let quantity = parts[*entry].measured();
            is_at(name, &parts[*entry])
                && may_be_taken_for(plan, *entry, *entry)
                && plan.meter_for(quantity).is_some()
                && !done.contains(&quantity)
        };
        let all: Vec<usize> = (0..parts.len()).filter(there).collect();
        let first = all.iter().find(|entry| self.progress.is_open(**entry))?;
        let quantity = parts[*first].measured();
        let of_it = all.into_iter();
        let all = of_it.filter(|entry| parts[*entry].measured() == quantity);
        Some(AtPlace {
            name: name.to_owned(),
            quantity,
            all: all.collect(),
            tagged: Vec::new(),
            sets: Vec::new(),
            question: None,
            done,
        })
    }

    /// Says what is in hand at the place, or what is asked there.
    pub(super) fn announce_place(&mut self, now: &mut Moment<'_>) {
        let plan = now.plan;
        let Some(place) = self.place.clone() else {
            return;
        };
        self.turn_to(plan, place.quantity);
        let all = place.all.iter();
        self.probes.expect(all.map(|entry| &plan.parts()[*entry]));
        self.first_in_hand.get_or_insert(now.at);
        let open = self.left_at(&place);
        let parts: Vec<String> = open
            .iter()
            .map(|entry| plan.parts()[*entry].title().into())
            .collect();
        let measured = place.all.len() - parts.len();
        let entry = Entry::at_place(
            plan,
            &place.name,
            place.quantity,
            &parts,
            (measured + 1, place.all.len()),
        );
        let entry = Box::new(entry);
        now.say(What::AtPlace { entry, parts });
        self.offer_answers(plan);
        self.set_function(now, place.quantity);
        self.tell_question(now);
    }

    /// Parts still to be measured there.
    fn left_at(&self, place: &AtPlace) -> Vec<usize> {
        let all = place.all.iter().copied();
        all.filter(|entry| self.progress.is_open(*entry)).collect()
    }

    /// The probes give answers while a question stands.
    fn offer_answers(&mut self, plan: &Plan) {
        let place = self.place.as_ref().filter(|place| place.asks());
        let parts = place.iter().flat_map(|place| &place.all);
        let parts: Vec<&Part> = parts.map(|entry| &plan.parts()[*entry]).collect();
        let leads = self.leads.map(|leads| leads.value);
        self.signalling.offer(plan, &parts, leads);
    }

    /// A value settled: it is tagged where it can be of one part alone, else it is asked about.
    pub(super) fn settle_at_place(&mut self, now: &mut Moment<'_>, settled: SettledValue) {
        if self.asks() {
            self.tell_question(now);
            return;
        }
        let belief = self.belief(now.plan, &settled, None);
        match belief.first() {
            Some((entry, share)) if *share >= CERTAIN => {
                self.tag_at_place(now, *entry, settled, Vec::new());
            }
            _ => self.ask(now, settled, &belief),
        }
    }

    fn tag_at_place(
        &mut self,
        now: &mut Moment<'_>,
        entry: usize,
        settled: SettledValue,
        withdraws: Vec<u32>,
    ) {
        self.judge_on(now, entry, settled, withdraws);
        self.grip.moved(entry, settled);
    }

    /// The parts that a value may be of, the likeliest first, each with its share of all that is likely.
    fn belief(
        &self,
        plan: &Plan,
        settled: &SettledValue,
        without: Option<usize>,
    ) -> Vec<(usize, f64)> {
        let Some(place) = &self.place else {
            return Vec::new();
        };
        let recorded = self.recorded(plan);
        let weigh: Box<dyn Fn(usize) -> f64> = match settled.finding {
            Finding::Value(estimate) => {
                let leads = self
                    .leads
                    .filter(|_| settled.quantity == Quantity::Resistance);
                let value = estimate.value - leads.map_or(0.0, |leads| leads.value);
                let seen = Seen {
                    plan,
                    value: Uncertain::new(value, estimate.standard_uncertainty),
                    scatter: self.scatter_share(plan, settled, value),
                    recorded: &recorded,
                };
                let open = |entry| self.progress.is_open(entry);
                Box::new(move |entry| {
                    if open(entry) {
                        libm::exp(seen.on(entry))
                    } else {
                        AGAIN * seen.again(entry)
                    }
                })
            }
            // Nothing tells them apart.
            Finding::Open | Finding::BeyondRange => {
                Box::new(|entry| f64::from(u8::from(self.progress.is_open(entry))))
            }
        };
        let others = place
            .all
            .iter()
            .copied()
            .filter(|entry| Some(*entry) != without);
        // A value asked about again is of no part that has one.
        let others = others.filter(|entry| without.is_none() || self.progress.is_open(*entry));
        let mut weights: Vec<(usize, f64)> = others.map(|entry| (entry, weigh(entry))).collect();
        weights.sort_by(|(_, one), (_, other)| other.total_cmp(one));
        let all = weights.iter().map(|(_, weight)| weight).sum::<f64>() + ELSEWHERE;
        let shares = weights.into_iter();
        shares
            .map(|(entry, weight)| (entry, weight / all))
            .collect()
    }

    /// Asks which of the likely parts a value is of; where they are alike and the job wants it so, it is written down for the set.
    fn ask(&mut self, now: &mut Moment<'_>, settled: SettledValue, belief: &[(usize, f64)]) {
        let plan = now.plan;
        let mut covered = 0.0;
        let likely = belief.iter().take_while(|(_, share)| {
            let needed = covered < CERTAIN;
            covered += share;
            needed
        });
        let among: Vec<usize> = likely.map(|(entry, _)| *entry).collect();
        let alike = covered >= CERTAIN && self.are_alike(plan, &among, &settled);
        if alike && plan.writes_sets() {
            self.write_set(now, &among, settled);
            return;
        }
        let named = among.into_iter().take(NAMED).collect();
        if let Some(place) = &mut self.place {
            place.question = Some(Question {
                settled,
                among: named,
                alike,
            });
        }
        self.after_lift = AfterLift::Stay;
        self.offer_answers(plan);
        self.tell_question(now);
    }

    /// Whether the parts are to be measured still, are listed alike, and the value passes for each.
    fn are_alike(&self, plan: &Plan, among: &[usize], settled: &SettledValue) -> bool {
        let parts = plan.parts();
        let Some((first, others)) = among.split_first().filter(|(_, others)| !others.is_empty())
        else {
            return false;
        };
        let first = &parts[*first];
        let beside = self.beside(plan, among[0], settled);
        let passes = |entry: &usize| {
            let part = self.part(plan, *entry);
            let judgement = judge(&part, settled, &beside, plan.conditions());
            self.progress.is_open(*entry) && judgement.verdict == Verdict::Pass
        };
        let alike = |entry: &usize| {
            let part = &parts[*entry];
            (part.kind, part.nominal, part.band) == (first.kind, first.nominal, first.band)
        };
        others.iter().all(alike) && among.iter().all(passes)
    }

    fn tell_question(&self, now: &mut Moment<'_>) {
        let Some(place) = &self.place else { return };
        let Some(question) = &place.question else {
            return;
        };
        let candidates = question.among.iter();
        let estimate = question.settled.finding.estimate();
        let what = What::WhichPart {
            place: place.name.clone(),
            quantity: question.settled.quantity,
            value: estimate.map(|estimate| estimate.value),
            candidates: candidates
                .map(|entry| now.plan.parts()[*entry].title().into())
                .collect(),
            alike: question.alike,
        };
        now.say(what);
    }

    /// The person says which part the value is of. One that has another value already gives that up, and it is asked about.
    pub(super) fn answer(&mut self, now: &mut Moment<'_>, designator: &str) -> Result<(), Refusal> {
        let plan = now.plan;
        let place = self.place.as_mut().ok_or(Refusal::NothingAsked)?;
        let entry = plan.head_of(designator).ok_or(Refusal::NoSuchPart)?;
        let there = place.all.contains(&entry);
        let asked = place.question.take_if(|_| there);
        let question = match (asked, there) {
            (Some(question), _) => question,
            (None, true) => return Err(Refusal::NothingAsked),
            (None, false) => return Err(Refusal::NotThere),
        };
        let had = place.tagged.iter().find(|(one, ..)| *one == entry);
        let settled = question.settled;
        let meter = self.meter;
        let other = had
            .filter(|(.., had)| !same(plan, meter, had, &settled))
            .copied();
        let withdraws = other.map(|(_, row, _)| row).into_iter().collect();
        self.offer_answers(plan);
        self.tag_at_place(now, entry, settled, withdraws);
        match other {
            Some((.., had)) => {
                let belief = self.belief(plan, &had, Some(entry));
                if belief.is_empty() {
                    self.go_on_at_place(now);
                } else {
                    self.ask(now, had, &belief);
                }
            }
            None => self.go_on_at_place(now),
        }
        Ok(())
    }

    /// The person has the value written down for all of the parts that it may be of, and for none alone.
    pub(super) fn answer_set(
        &mut self,
        now: &mut Moment<'_>,
        designators: &str,
    ) -> Result<(), Refusal> {
        let plan = now.plan;
        let place = self.place.as_ref();
        let question = place.and_then(|place| place.question.as_ref());
        let question = question.cloned().ok_or(Refusal::NothingAsked)?;
        let named = designators.split(',').map(|one| plan.head_of(one));
        let named: Option<Vec<usize>> = named.collect();
        let named = named.ok_or(Refusal::NoSuchPart)?;
        let asked = named.iter().all(|entry| question.among.contains(entry));
        if !asked || !self.are_alike(plan, &named, &question.settled) {
            return Err(Refusal::NotAlike);
        }
        if let Some(place) = &mut self.place {
            place.question = None;
        }
        self.offer_answers(plan);
        self.write_set(now, &named, question.settled);
        self.go_on_at_place(now);
        Ok(())
    }

    /// Writes a value down for several parts together. It counts for none of them: all are still to be measured.
    fn write_set(&mut self, now: &mut Moment<'_>, among: &[usize], settled: SettledValue) {
        let plan = now.plan;
        let part = among[0];
        let beside = self.beside(plan, part, &settled);
        let judged = self.part(plan, part);
        let judgement = judge(&judged, &settled, &beside, plan.conditions());
        self.rows += 1;
        let place = RowPosition {
            row: self.rows,
            time: plan.time_of_row(settled.at),
            sitting: plan.sitting().to_owned(),
            attempt: 1,
            rests_on: Vec::new(),
            withdraws: Vec::new(),
        };
        let names: Vec<&str> = among
            .iter()
            .map(|entry| plan.parts()[*entry].designator.as_str())
            .collect();
        let row = Row::of(&judged, &settled, judgement, place).of_one_of(&names);
        if let Some(place) = &mut self.place {
            let mut set = among.to_vec();
            set.sort_unstable();
            place.sets.push(set);
        }
        self.last_verdict = Some(now.at);
        self.value = None;
        self.after_lift = AfterLift::Advance;
        now.say(What::Judged(Box::new(Record { part, settled, row })));
        self.tell_progress(now);
    }

    /// Behind an answer: what comes once the probes are lifted, which they may be already.
    fn go_on_at_place(&mut self, now: &mut Moment<'_>) {
        if !self.probes.touching() {
            self.after_lift(now);
        }
    }

    /// Goes on at the place, there with the next quantity, or behind it in the list.
    pub(super) fn advance_at_place(&mut self, now: &mut Moment<'_>) {
        let Some(place) = self.place.take() else {
            return;
        };
        let left = self.left_at(&place);
        if left.iter().any(|entry| !place.is_covered(*entry)) {
            self.place = Some(place);
            self.announce(now);
            return;
        }
        let mut done = place.done.clone();
        done.push(place.quantity);
        match self.place_of(now.plan, &place.name, done) {
            Some(next) => self.turn_to_place(now, next),
            None => self.leave_place(now, &place),
        }
    }

    /// On to what is still to be measured behind the parts of a place.
    fn leave_place(&mut self, now: &mut Moment<'_>, place: &AtPlace) {
        let first = place.all.first().copied().unwrap_or_default();
        let here = |entry: &usize| place.all.contains(entry);
        let next = self.progress.following(first).find(|entry| !here(entry));
        self.take(now, next);
    }

    /// `next`, `back` and `skip` at a place: a question is given up with its value, else the place is left.
    pub(super) fn step_at_place(&mut self, now: &mut Moment<'_>) -> bool {
        let Some(place) = &mut self.place else {
            return false;
        };
        let title = Title::from(&*place.name);
        if place.question.take().is_some() {
            now.say(What::Skipped { title });
            self.announce(now);
        } else if let Some(place) = self.place.take() {
            self.leave_place(now, &place);
        }
        true
    }

    /// The answer that a number means, or the parts of a set, where a question stands.
    pub(super) fn spelled_answer(&self, plan: &Plan, command: &Command) -> Option<Command> {
        let question = self.place.as_ref()?.question.as_ref()?;
        let name = |entry: &usize| plan.parts()[*entry].designator.clone();
        match command {
            Command::Answer(number) => {
                let place = usize::from(*number).checked_sub(1)?;
                question
                    .among
                    .get(place)
                    .map(|entry| Command::Is(name(entry)))
            }
            Command::OneOf(None) if question.alike => {
                let names: Vec<String> = question.among.iter().map(name).collect();
                Some(Command::OneOf(Some(names.join(", "))))
            }
            _ => None,
        }
    }
}
