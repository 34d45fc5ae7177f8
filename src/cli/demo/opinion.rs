//! [`opinions`]: what the simulated restorer decides about what was found.

use crate::books::ledger::{Account, Choice, Glance, Row, Standing};
use crate::engine::judge::{Policy, Verdict};
use crate::engine::parts::Kind;

/// What becomes of some parts, and why.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Opinion {
    pub(super) choice: Choice,
    pub(super) reason: String,
    pub(super) designators: Vec<String>,
}

/// Two parts that share the signal between the output valves, so that they must be alike: a bad one takes the other with it.
pub(super) const PAIR: [&str; 2] = ["R12", "R13"];

/// A part that is measured in circuit and stays, and why: 512 Ω with R6 (1563 Ω) and the secondary (1.3 Ω) across it make 761 Ω of it.
const LEFT: (&str, &str) = (
    "R21",
    "R6 lies across it, so it has about 760 ohms: a little less feedback, which does no harm",
);

/// The opinions on everything that is to be decided, or to be replaced whatever it reads; parts with the same one together, in the
/// order of the list.
pub(super) fn opinions(glance: &Glance<'_>, policy: &Policy) -> Vec<Opinion> {
    let pair_is_bad = glance
        .of(Standing::Undecided)
        .any(|account| PAIR.contains(&account.part.designator.as_str()) && is_bad(account));
    let mut opinions: Vec<Opinion> = Vec::new();
    for (standing, account) in &glance.parts {
        let of_pair = pair_is_bad && PAIR.contains(&account.part.designator.as_str());
        let Some((choice, reason)) = opinion(*standing, account, of_pair, policy) else {
            continue;
        };
        let designator = account.part.designator.clone();
        let same = |one: &&mut Opinion| one.choice == choice && one.reason == reason;
        match opinions.iter_mut().find(same) {
            Some(same) => same.designators.push(designator),
            None => opinions.push(Opinion {
                choice,
                reason,
                designators: vec![designator],
            }),
        }
    }
    opinions
}

fn opinion(
    standing: Standing,
    account: &Account<'_>,
    of_pair: bool,
    policy: &Policy,
) -> Option<(Choice, String)> {
    let replace = |why: &str| Some((Choice::Replace, why.to_owned()));
    match (standing, account.verdict()) {
        (Standing::NotMeasured, _) => replace("its reading never rests, so it leaks"),
        (_, Some(Verdict::Inconclusive)) if account.part.designator == LEFT.0 => {
            Some((Choice::Accept, LEFT.1.to_owned()))
        }
        _ if is_bad(account) => replace(fault(account)),
        _ if of_pair => replace("one of a pair, and the other one is bad"),
        _ if policy.replaces(account.part).is_some() => replace("of an age at which none stays in"),
        (Standing::Good, Some(Verdict::ConditionalPass)) => Some((
            Choice::Keep,
            "inside its band; what is in doubt is the meter".to_owned(),
        )),
        _ => None,
    }
}

fn is_bad(account: &Account<'_>) -> bool {
    let bad = [Verdict::Fail, Verdict::ConditionalFail];
    account
        .verdict()
        .is_some_and(|verdict| bad.contains(&verdict))
}

/// What is wrong with a bad part.
fn fault(account: &Account<'_>) -> &'static str {
    let off = account.worst().and_then(Row::percent_off);
    match (account.part.kind, off) {
        (_, None) => "open",
        (Kind::Capacitor, Some(off)) if off > 0.0 => "reads too much, so it leaks",
        (Kind::Capacitor, _) => "dried out",
        (_, Some(off)) if off > 0.0 => "drifted up",
        _ => "too low",
    }
}
