//! [`Pair`]: a measurement of a part and a later one of the same thing.
//!
//! [`Change`]: the difference of two measurements, with its uncertainty.

use crate::books::ledger::{Account, Choice, Decision, Found, Row};
use crate::engine::impedance::Uncertain;
use crate::engine::judge::Aspect;
use crate::engine::parts::{Part, Step};
use crate::engine::quantity::Quantity;
use crate::engine::statistics::{SIGNIFICANT, holm, normal_cdf};

/// A measurement of a part, by its place in time.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum When<'a> {
    /// The first of the part that was found.
    First,
    /// The last of the part now fitted.
    Last,
    /// The last one of that sitting.
    Sitting(&'a str),
}

/// Fate of a part.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Outcome {
    /// Changed by more than the uncertainty explains.
    Changed {
        /// Whether that holds with all comparisons taken together (Holm, 5 %).
        holds: bool,
    },
    /// No change that the meter could tell.
    NoChange,
    /// Another part is in.
    Fitted,
    /// The two cannot be compared.
    NotComparable(Obstacle),
}

/// Reason why two measurements cannot be compared.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Obstacle {
    /// One of them found no value.
    NoValue { before: Found, after: Found },
    /// Different quantities: the list was changed in between.
    OtherQuantity,
    /// Only one of them was made in circuit, and they differ.
    Circuit,
    /// Different values of a winding of unknown temperature.
    Temperature,
}

/// A measurement of a part and a later one of the same thing.
#[derive(Debug, Clone)]
pub struct Pair<'a> {
    pub part: &'a Part,
    pub before: &'a Row,
    pub after: &'a Row,
    /// When another part was put in between the two.
    pub fitted: Option<&'a Decision>,
    /// The difference, where both have a value of the same quantity.
    pub change: Option<Change>,
    /// Fate of the part.
    pub outcome: Outcome,
    /// The p value of the change, adjusted by Holm for all that were compared; `None` for what was not.
    pub p_holm: Option<f64>,
}

/// All that can be set side by side.
#[derive(Debug, Clone)]
pub struct Pairs<'a> {
    /// Parts measured twice, in the order of the list.
    pub pairs: Vec<Pair<'a>>,
    /// Number of parts without a second measurement to compare with.
    pub without: usize,
}

impl Pairs<'_> {
    /// Number of pairs that were compared, of parts that are still the same.
    pub fn compared(&self) -> usize {
        let counts = |pair: &&Pair<'_>| pair.p_holm.is_some();
        self.pairs.iter().filter(counts).count()
    }
}

/// Sets the measurements of each part side by side.
pub fn pairs<'a>(accounts: &[Account<'a>], from: When<'_>, to: When<'_>) -> Pairs<'a> {
    let mut pairs = Vec::new();
    let mut without = 0;
    for account in accounts {
        let found = of_part(account, from, to);
        without += usize::from(found.is_empty());
        pairs.extend(found);
    }
    let comparable =
        |pair: &&mut Pair<'_>| matches!(pair.outcome, Outcome::Changed { .. } | Outcome::NoChange);
    let mut compared: Vec<&mut Pair<'_>> = pairs.iter_mut().filter(comparable).collect();
    let p: Vec<f64> = compared
        .iter()
        .filter_map(|pair| pair.change.map(|change| change.p()))
        .collect();
    for (pair, p_holm) in compared.iter_mut().zip(holm(&p)) {
        pair.p_holm = Some(p_holm);
        if let Outcome::Changed { holds } = &mut pair.outcome {
            *holds = p_holm <= SIGNIFICANT;
        }
    }
    Pairs { pairs, without }
}

fn of_part<'a>(account: &Account<'a>, from: When<'_>, to: When<'_>) -> Vec<Pair<'a>> {
    let later = measurements(account, to);
    let with_later = |before: &'a Row| {
        let after = later.iter().find(|after| after.step.is(before.step))?;
        let is_other = !std::ptr::eq(before, *after);
        // The voltage that was fed into a transformer says nothing of it.
        let says_something = before.step != Step::Primary;
        (is_other && says_something).then(|| pair(account, before, after))
    };
    let earlier = measurements(account, from);
    earlier.into_iter().filter_map(with_later).collect()
}

/// The measurements that are meant, one of each step.
fn measurements<'a>(account: &Account<'a>, when: When<'_>) -> Vec<&'a Row> {
    match when {
        When::First => account.first(),
        When::Last => account.latest(),
        When::Sitting(name) => {
            let mut last: Vec<&Row> = Vec::new();
            let of_sitting = account.measurements.iter().copied();
            for one in of_sitting.filter(|one| one.sitting == name) {
                match last.iter_mut().find(|other| other.step.is(one.step)) {
                    Some(other) => *other = one,
                    None => last.push(one),
                }
            }
            last
        }
    }
}

fn pair<'a>(account: &Account<'a>, before: &'a Row, after: &'a Row) -> Pair<'a> {
    let between = |one: &&Decision| {
        one.choice == Choice::Fitted && one.time >= before.time && one.time < after.time
    };
    let fitted = account.decisions.iter().copied().rfind(between);
    let (change, outcome) = compare(before, after);
    Pair {
        part: account.part,
        before,
        after,
        fitted,
        change,
        outcome: fitted.map_or(outcome, |_| Outcome::Fitted),
        p_holm: None,
    }
}

/// The change, and whether that is the part's doing.
fn compare(before: &Row, after: &Row) -> (Option<Change>, Outcome) {
    let not = |obstacle| Outcome::NotComparable(obstacle);
    let (Some(then), Some(now)) = (before.value, after.value) else {
        let (before, after) = (before.found, after.found);
        return (None, not(Obstacle::NoValue { before, after }));
    };
    if before.quantity != after.quantity {
        return (None, not(Obstacle::OtherQuantity));
    }
    let change = Change {
        quantity: before.quantity,
        before: then,
        after: now,
    };
    let not_at_20 = |row: &Row| row.check(Aspect::NotAt20).is_some();
    let outcome = if !change.is_real() {
        Outcome::NoChange
    } else if before.in_circuit != after.in_circuit {
        not(Obstacle::Circuit)
    } else if not_at_20(before) || not_at_20(after) {
        not(Obstacle::Temperature)
    } else {
        Outcome::Changed { holds: false }
    };
    (Some(change), outcome)
}

/// Coverage factor of the expanded uncertainty U = k u.
const K: f64 = 2.0;

/// The difference of two measurements of the same thing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Change {
    /// Quantity that was measured.
    pub quantity: Quantity,
    /// Value before, in the SI unit.
    pub before: Uncertain,
    /// Value now, in the SI unit.
    pub after: Uncertain,
}

impl Change {
    /// d, after less before, in the SI unit.
    pub fn difference(&self) -> f64 {
        self.after.value - self.before.value
    }

    /// The standard uncertainty u(d) of the difference, u² = u₁² + u₂² (JCGM 100:2008, formula 10, from memory).
    ///
    /// The two errors are taken as independent. With the same meter part of them is common, and the true u(d) is smaller:
    /// leaving that out calls fewer changes real, and never more.
    pub fn uncertainty(&self) -> f64 {
        libm::hypot(self.before.u, self.after.u)
    }

    /// d over what it was; `None` where it was nothing.
    pub fn share(&self) -> Option<f64> {
        let share = self.difference() / self.before.value.abs();
        share.is_finite().then_some(share)
    }

    /// U(d) over what it was, k = 2; `None` where it was nothing.
    pub fn expanded_share(&self) -> Option<f64> {
        let share = K * self.uncertainty() / self.before.value.abs();
        share.is_finite().then_some(share)
    }

    /// d over u(d). Halved it is the `E_n` number of ISO 13528, for which the expanded uncertainties stand below the line (from memory).
    pub fn ratio(&self) -> f64 {
        if self.difference() == 0.0 {
            0.0
        } else {
            self.difference() / self.uncertainty()
        }
    }

    /// Whether the change is larger than its expanded uncertainty, |d| > U(d).
    pub fn is_real(&self) -> bool {
        self.ratio().abs() > K
    }

    /// Probability of a ratio as large as this, of either sign, if nothing has changed: 2 Φ(-|d|/u(d)).
    pub fn p(&self) -> f64 {
        2.0 * normal_cdf(-self.ratio().abs())
    }

    /// Number of `count` things that look changed by chance alone.
    pub fn expected_by_chance(count: usize) -> f64 {
        2.0 * normal_cdf(-K) * count as f64
    }
}

#[cfg(test)]
mod tests {
    use chrono::{DateTime, FixedOffset};

    use super::*;
    use crate::engine::judge::Check;
    use crate::engine::parts::Kind;
    use crate::engine::quantity::{Amount, Quantity, Tolerance};

    fn at(hour: u32) -> DateTime<FixedOffset> {
        DateTime::parse_from_rfc3339(&format!("2056-11-03T{hour:02}:00:00Z")).unwrap()
    }

    fn part(kind: Kind) -> Part {
        let nominal = Amount::new(Quantity::Resistance, 100.0).unwrap();
        Part::new("R1", kind, nominal, Tolerance::percent(10.0, 10.0).unwrap())
    }

    fn measured(hour: u32, kind: Kind, value: f64) -> Row {
        let row = Row {
            time: at(hour),
            sitting: format!("sitting-{hour}"),
            kind,
            ..Row::sample("R1")
        };
        row.with_value(value, 0.3)
    }

    fn outcome(kind: Kind, measurements: &[Row], decisions: &[Decision]) -> Outcome {
        let part = part(kind);
        let account = Account {
            part: &part,
            measurements: measurements.iter().collect(),
            decisions: decisions.iter().collect(),
            left_out: vec![],
        };
        let found = pairs(&[account], When::First, When::Last);
        assert_eq!(found.pairs.len(), 1);
        found.pairs[0].outcome
    }

    #[test]
    fn a_resistor_that_drifted_changed_and_one_that_did_not_has_not() {
        let resistor = |value| measured(2, Kind::Resistor, value);
        let first = measured(1, Kind::Resistor, 100.0);
        let changed = outcome(Kind::Resistor, &[first.clone(), resistor(105.0)], &[]);
        assert_eq!(changed, Outcome::Changed { holds: true });
        let same = outcome(Kind::Resistor, &[first, resistor(100.5)], &[]);
        assert_eq!(same, Outcome::NoChange);
    }

    #[test]
    fn a_part_that_was_replaced_is_said_to_be_another_one() {
        let fitted = Decision {
            time: at(2),
            designator: "R1".to_owned(),
            choice: Choice::Fitted,
            reason: String::new(),
            article: String::new(),
            bag: None,
        };
        let both = [
            measured(1, Kind::Resistor, 150.0),
            measured(3, Kind::Resistor, 100.0),
        ];
        assert_eq!(outcome(Kind::Resistor, &both, &[fitted]), Outcome::Fitted);
    }

    #[test]
    fn a_winding_is_compared_at_20_degrees_or_not_at_all() {
        let check = |aspect, hour, value| Row {
            checks: vec![Check {
                aspect,
                verdict: None,
                words: String::new(),
            }],
            ..measured(hour, Kind::Winding, value)
        };
        let of = |aspects: [Aspect; 2]| {
            let both = [check(aspects[0], 1, 100.0), check(aspects[1], 2, 104.0)];
            outcome(Kind::Winding, &both, &[])
        };
        let unknown = Outcome::NotComparable(Obstacle::Temperature);
        assert_eq!(of([Aspect::NotAt20, Aspect::NotAt20]), unknown);
        assert_eq!(of([Aspect::Temperature, Aspect::NotAt20]), unknown);
        let known = of([Aspect::Temperature, Aspect::Temperature]);
        assert_eq!(known, Outcome::Changed { holds: true });
    }

    #[test]
    fn what_a_parallel_path_may_have_done_is_no_change_of_the_part() {
        let mut first = measured(1, Kind::Resistor, 80.0);
        first.in_circuit = true;
        let both = [first, measured(2, Kind::Resistor, 100.0)];
        let found = outcome(Kind::Resistor, &both, &[]);
        assert_eq!(found, Outcome::NotComparable(Obstacle::Circuit));
    }

    #[test]
    fn one_measurement_alone_is_counted_and_not_compared() {
        let part = part(Kind::Resistor);
        let one = measured(1, Kind::Resistor, 100.0);
        let account = Account {
            part: &part,
            measurements: vec![&one],
            decisions: vec![],
            left_out: vec![],
        };
        let found = pairs(&[account], When::First, When::Last);
        assert_eq!((found.pairs.len(), found.without), (0, 1));
    }

    fn change(before: (f64, f64), after: (f64, f64)) -> Change {
        Change {
            quantity: Quantity::Resistance,
            before: Uncertain::new(before.0, before.1),
            after: Uncertain::new(after.0, after.1),
        }
    }

    #[test]
    fn a_change_is_real_when_it_exceeds_its_expanded_uncertainty() {
        // u(d) = 5 Ω by the triangle 3, 4, 5.
        let at_limit = change((100.0, 3.0), (110.0, 4.0));
        assert!((at_limit.uncertainty() - 5.0).abs() < 1e-12);
        assert!(!at_limit.is_real());
        assert!(change((100.0, 3.0), (110.01, 4.0)).is_real());
        assert!(change((110.01, 3.0), (100.0, 4.0)).is_real());
        assert_eq!(at_limit.share(), Some(0.1));
        assert_eq!(at_limit.expanded_share(), Some(0.1));
    }

    #[test]
    fn without_uncertainty_any_difference_is_real_and_none_is_none() {
        assert!(change((1.0, 0.0), (1.1, 0.0)).is_real());
        let same = change((1.0, 0.0), (1.0, 0.0));
        assert!(!same.is_real());
        assert_eq!(same.p(), 1.0);
        assert_eq!(change((0.0, 1.0), (1.0, 1.0)).share(), None);
    }

    /// 95.45 % of a normal distribution lie within two standard deviations (any table).
    #[test]
    fn of_a_hundred_unchanged_things_four_to_five_look_changed() {
        assert!((Change::expected_by_chance(100) - 4.55).abs() < 0.001);
    }
}
