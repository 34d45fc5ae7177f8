//! [`reads_like`]: which other part a value reads like. One likelihood ratio decides; nothing follows from it but a hint.
//!
//! How likely a value is on a part follows from the table of ageing, and where that part was measured already also from what
//! was read then: half of the weight lies within [`PEAK`] of that. So a missed touch, after which every value goes to the part
//! before its own, is noticed, and a part that is touched twice.

use super::plan::Plan;
use crate::engine::impedance::Uncertain;
use crate::engine::parts::{Kind, Step};

/// Distance of two values of one part, a share (k = 1).
const PEAK: f64 = 0.004;

/// A ratio of likelihoods from which on another part is named, and that where much differs from the list anyway.
const RATIO: f64 = 100.0;
const RATIO_IN_DOUBT: f64 = 300.0;

/// Further evidence that any part but the next takes, as a natural logarithm.
const FARTHER: f64 = 1.5;

/// Parts that are nearly as likely as the likeliest, a ratio, are named beside it.
const AS_LIKELY: f64 = 10.0;

/// Number of parts behind and before the one in hand that are looked at.
const BEHIND: usize = 3;
const BEFORE: usize = 2;

/// A node with more parts than this tells nothing.
const CROWDED: usize = 8;

/// Most parts that are named.
const NAMED: usize = 3;

/// A value and what is known of the bench.
#[derive(Debug, Clone, Copy)]
pub(super) struct Seen<'a> {
    pub(super) plan: &'a Plan,
    pub(super) value: Uncertain,
    /// Its scatter, a share of it.
    pub(super) scatter: f64,
    /// Earlier reading of each entry, if any.
    pub(super) recorded: &'a [Option<f64>],
}

impl Seen<'_> {
    /// Natural logarithm of the likelihood of the value on that entry.
    pub(super) fn on(&self, entry: usize) -> f64 {
        let part = &self.plan.parts()[entry];
        let aged = self.plan.ageing().density(part, self.value);
        libm::log(match self.recorded[entry] {
            Some(_) => 0.5 * (aged + self.again(entry)),
            None => aged,
        })
    }

    /// Likelihood of the value on an entry that was measured already, and rightly.
    pub(super) fn again(&self, entry: usize) -> f64 {
        let recorded = self.recorded[entry].filter(|recorded| *recorded > 0.0);
        recorded.map_or(0.0, |recorded| {
            let off = libm::log(self.value.value / recorded);
            normal(off, libm::hypot(PEAK, self.scatter))
        })
    }

    /// Natural logarithm of the likelihood by the table alone.
    pub(super) fn on_aged(&self, entry: usize) -> f64 {
        let part = &self.plan.parts()[entry];
        libm::log(self.plan.ageing().density(part, self.value))
    }
}

/// The entries that a value reads like which settled on `entry` and does not pass there, the likeliest first; `next` is the
/// part that comes next, `many_fail` says that much differs from the list anyway.
pub(super) fn reads_like(
    seen: &Seen<'_>,
    entry: usize,
    next: Option<usize>,
    many_fail: bool,
) -> Vec<usize> {
    let plan = seen.plan;
    let itself = seen.on(entry);
    let doubt = many_fail || plan.parts()[entry].in_circuit;
    let least = libm::log(if doubt { RATIO_IN_DOUBT } else { RATIO });
    let others = near(plan, entry, next).into_iter();
    let mut likely: Vec<(usize, f64)> = others
        .map(|other| {
            let farther = if Some(other) == next { 0.0 } else { FARTHER };
            (other, seen.on(other) - itself - farther)
        })
        .filter(|(_, ratio)| *ratio >= least)
        .collect();
    likely.sort_by(|(_, one), (_, other)| other.total_cmp(one));
    let best = likely.first().map_or(0.0, |(_, ratio)| *ratio);
    likely.retain(|(_, ratio)| *ratio > best - libm::log(AS_LIKELY));
    likely.truncate(NAMED);
    likely.into_iter().map(|(other, _)| other).collect()
}

/// The parts that probes are on when they are on the wrong one: neighbours in the list, and those at the same node.
fn near(plan: &Plan, entry: usize, next: Option<usize>) -> Vec<usize> {
    let heads = plan.entries().heads();
    let mut firsts = heads.to_vec();
    firsts.dedup();
    let place = firsts.iter().position(|first| *first == heads[entry]);
    let Some(place) = place else {
        return Vec::new();
    };
    let before = &firsts[place.saturating_sub(BEFORE)..place];
    let behind = &firsts[place + 1..(place + 1 + BEHIND).min(firsts.len())];
    let mut near: Vec<usize> = next.into_iter().chain(behind.iter().copied()).collect();
    near.extend(before.iter().rev());
    near.extend(at_the_same_node(plan, entry, &firsts));
    let mut seen = vec![entry];
    near.retain(|other| {
        let new = !seen.contains(other) && may_be_taken_for(plan, *other, entry);
        seen.push(*other);
        new
    });
    near
}

/// Whether a value of the one could be of the other: both are values of parts without power, of one quantity by one meter.
pub(super) fn may_be_taken_for(plan: &Plan, one: usize, other: usize) -> bool {
    let parts = plan.parts();
    let is_value = |entry: usize| {
        let part = &parts[entry];
        part.step == Step::Value && !matches!(part.kind, Kind::Point | Kind::Ratio)
    };
    is_value(one) && is_value(other) && parts[one].measured() == parts[other].measured()
}

fn at_the_same_node(plan: &Plan, entry: usize, firsts: &[usize]) -> Vec<usize> {
    let parts = plan.parts();
    let ends = |entry: usize| [&parts[entry].from, &parts[entry].to];
    let mut all = Vec::new();
    for node in ends(entry).into_iter().filter(|node| tells(node)) {
        let is_it = |other: &&usize| ends(**other).iter().any(|end| same(end, node));
        let there: Vec<usize> = firsts.iter().filter(is_it).copied().collect();
        if there.len() <= CROWDED {
            all.extend(there);
        }
    }
    all
}

/// Whether a node tells anything: not the chassis, and no HT rail.
fn tells(node: &str) -> bool {
    const COMMON: [&str; 8] = ["chassis", "earth", "ground", "gnd", "0v", "b-", "b+", "ht"];
    let node = node.trim().to_ascii_lowercase();
    let rail = node
        .strip_prefix("ht")
        .is_some_and(|rest| rest.chars().all(|c| !c.is_ascii_alphabetic()));
    !node.is_empty() && !rail && !COMMON.contains(&node.as_str())
}

fn same(one: &str, other: &str) -> bool {
    one.trim().eq_ignore_ascii_case(other.trim())
}

/// Density of a normal distribution about zero.
fn normal(off: f64, deviation: f64) -> f64 {
    let z = off / deviation;
    libm::exp(-0.5 * z * z) / (deviation * libm::sqrt(2.0 * std::f64::consts::PI))
}
