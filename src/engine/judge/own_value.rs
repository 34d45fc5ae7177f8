//! [`judge_own`]: what the own value of a part, found with no lead lifted, is worth.
//!
//! A part of the list that is missing, or a capacitor that leaks, makes everything beside it read low. So a reading above the upper
//! limit is a fault whatever is missing; one below proves nothing; and a pass holds only as far as the list does.

use super::conditions::Conditions;
use super::in_circuit::CONTACT_OHMS;
use super::policy::Policy;
use super::verdict::Verdict;
use super::winding::Temperature;
use super::winding_at_20::correct;
use crate::engine::impedance::Uncertain;
use crate::engine::network::{Agreement, Between, Element, Method, Network, Own, Read};
use crate::engine::parts::{Kind, Part};
use crate::engine::probing::ASSUMED_LEADS;
use crate::engine::quantity::{Quantity, format_value};

/// Reason to trust, or not, that the list holds everything that is joined.
#[derive(Debug, Clone, PartialEq)]
pub enum Trust {
    /// Declared complete there, and readings between nodes that no part joins agree.
    Complete,
    /// Not declared complete, or there are no such readings.
    Assumed,
    /// Such readings contradict it, in these words.
    Contradicted(String),
}

/// The verdict on an own value.
#[derive(Debug, Clone, PartialEq)]
pub struct OwnVerdict {
    /// Verdict on the own value.
    pub verdict: Verdict,
    /// The reason, as a clause for people.
    pub words: String,
    /// Whether its lead is to be lifted to know more.
    pub lift: bool,
    /// Whether its own value lies outside its band, which the readings do not prove.
    pub suspect: bool,
}

/// Contradiction of the list by readings between nodes that no part joins, in words.
pub fn contradiction(network: &Network, agreement: &Agreement) -> Option<String> {
    let worst = agreement.contradiction()?;
    let pair = network.pair_name(worst.ends);
    let is_lower = match (worst.read, worst.expected) {
        (Read::Ohms(read), Some(expected)) => read.value < expected.value,
        (read, _) => matches!(read, Read::Ohms(_)),
    };
    Some(if is_lower {
        format!(
            "{pair} reads too low: something joins them that the list does not have, or a capacitor leaks"
        )
    } else {
        format!("{pair} reads too high: something is not joined there as the list has it")
    })
}

impl Trust {
    /// Around a part: `declared` says of parts whether the list was declared complete there, `checked` what readings between nodes that
    /// no part joins came to, nothing where there are none yet.
    pub fn around(
        list: &[Part],
        network: &Network,
        own: &Own,
        declared: impl Fn(&[&Part]) -> bool,
        checked: Option<Result<(), &str>>,
    ) -> Self {
        let members = own.group.members.iter().chain(&own.block);
        let parts: Vec<&Part> = members
            .map(|member| &list[network.elements()[*member].part])
            .collect();
        match checked {
            Some(Err(words)) => Self::Contradicted(words.to_owned()),
            Some(Ok(())) if declared(&parts) => Self::Complete,
            _ => Self::Assumed,
        }
    }
}

/// The own value at 20 °C where the part is a winding, whose limits are those at 20 °C.
fn at_20(own: &Own, part: &Part, temperature: Option<Temperature>) -> Own {
    let (factor, _) = correct(Uncertain::exact(1.0), temperature);
    if part.kind != Kind::Winding || temperature.is_none() {
        return own.clone();
    }
    let times = |ohms: Uncertain| {
        let value = ohms.value * factor.value;
        Uncertain::new(
            value,
            libm::hypot(ohms.u * factor.value, ohms.value * factor.u),
        )
    };
    Own {
        read: own.read.map(|read| match read {
            Read::Ohms(read) => Read::Ohms(times(read)),
            beyond @ Read::Beyond(_) => beyond,
        }),
        between: Between {
            lower: own.between.lower / (factor.value + 2.0 * factor.u),
            upper: own.between.upper / (factor.value - 2.0 * factor.u),
        },
        siemens: own.siemens.map(|siemens| {
            let value = siemens.value / factor.value;
            let u = libm::hypot(siemens.u / siemens.value, factor.u / factor.value);
            Uncertain::new(value, value * u)
        }),
        ..own.clone()
    }
}

/// Judges the own value of a part of a group; `None` for what has no band of resistance.
pub fn judge_own(
    list: &[Part],
    network: &Network,
    own: &Own,
    element: &Element,
    trust: &Trust,
    conditions: &Conditions,
) -> Option<OwnVerdict> {
    let part = &list[element.part];
    if !element.is_resistive() || matches!(part.kind, Kind::Coil) {
        return None;
    }
    let band = conditions.policy.band_for(part).allowed;
    let own = &at_20(own, part, conditions.temperature);
    let said = |verdict, words: String, lift| {
        Some(OwnVerdict {
            verdict,
            words,
            lift,
            suspect: false,
        })
    };
    let inconclusive = |words: String| said(Verdict::Inconclusive, words, true);
    let Some(read) = own.read else {
        return said(Verdict::Inconclusive, "not read".to_owned(), false);
    };
    let contacts = if part.kind.conducts() {
        CONTACT_OHMS.max(ASSUMED_LEADS)
    } else {
        CONTACT_OHMS
    };
    if read.at_least() - contacts > band.upper() {
        let words = format!(
            "reads above its band by more than the uncertainty and {} for contacts, which nothing beside it can do",
            ohms(contacts)
        );
        return said(Verdict::Fail, words, false);
    }
    let beside = resistive_beside(list, network, own, element);
    if !beside.is_empty() {
        return inconclusive(format!(
            "side by side with {beside}: only both together are known, lift a lead of one"
        ));
    }
    if element.half.is_some() {
        return inconclusive(
            "one side of a track has no band: turn the wiper to the end".to_owned(),
        );
    }
    let [low, high] = own.ohms();
    let between = if high.is_finite() {
        format!("{} to {}", ohms(low), ohms(high))
    } else {
        format!("{} or more", ohms(low))
    };
    if high < band.lower() {
        return Some(suspect(format!(
            "{}suspect, its own value is {between}: lift this lead",
            carries(own, part)
        )));
    }
    if low > band.upper() {
        return Some(suspect(format!(
            "{}suspect, its own value is {between} although it does not read above its band: lift this lead",
            carries(own, part)
        )));
    }
    if low < band.lower() || high > band.upper() {
        return inconclusive(format!(
            "{}its own value is {between}, which its limits do not hold: lift this lead",
            carries(own, part)
        ));
    }
    if let Trust::Contradicted(words) = trust {
        return said(
            Verdict::Inconclusive,
            format!("inside its band, but {words}: no pass"),
            false,
        );
    }
    let lamp = own.block.iter().map(|other| &network.elements()[*other]);
    if let Some(lamp) = lamp
        .into_iter()
        .find(|other| is_nonlinear(&list[other.part]))
    {
        let lamp = &list[lamp.part].designator;
        return inconclusive(format!(
            "inside its band, but {lamp} in its loop reads otherwise at every current: take it out"
        ));
    }
    let leaks = capacitors(list, network, &own.unless);
    let verdict = match trust {
        Trust::Complete if leaks.is_empty() && network.unknown_ends().is_empty() => Verdict::Pass,
        _ => Verdict::ConditionalPass,
    };
    let how = match own.method {
        Method::Alone => "inside its band, in no loop",
        Method::Joint => "inside its band by all readings of its loop",
        Method::Bounds => "inside its band whatever its loop is",
    };
    let mut words = format!("{}{how}", carries(own, part));
    if *trust != Trust::Complete {
        words += ", holds unless something is joined that the list does not have";
    }
    if !leaks.is_empty() {
        words = format!("{words}, unless {leaks} leaks");
    }
    said(verdict, words, false)
}

fn suspect(words: String) -> OwnVerdict {
    OwnVerdict {
        verdict: Verdict::Inconclusive,
        words,
        lift: true,
        suspect: true,
    }
}

/// Share of the current that the part carries itself when it is read, where others carry some of it.
fn carries(own: &Own, part: &Part) -> String {
    match (own.read, own.share) {
        (Some(Read::Ohms(read)), Some(share)) if own.method != Method::Alone => format!(
            "of the {} read, {} carries {:.0} %; ",
            ohms(read.value),
            part.designator,
            100.0 * share
        ),
        _ => String::new(),
    }
}

/// The limits of the resistance of an element of that part, as the policy has them, Ω; `None` where it has none.
pub fn limits_of(part: &Part, element: &Element, policy: &Policy) -> Option<[f64; 2]> {
    let band = policy.band_for(part).allowed;
    let has_some = element.half.is_none() && element.upper_limit().is_finite();
    has_some.then(|| [band.lower(), band.upper()])
}

/// A lamp's filament has another resistance at every current.
const fn is_nonlinear(part: &Part) -> bool {
    matches!(part.kind, Kind::Lamp)
}

/// The other parts of the group that conduct, by their names.
fn resistive_beside(list: &[Part], network: &Network, own: &Own, element: &Element) -> String {
    let members = own
        .group
        .members
        .iter()
        .map(|member| &network.elements()[*member]);
    let others = members.filter(|other| other.is_resistive() && *other != element);
    let names: Vec<String> = others.map(|other| other.title(list)).collect();
    names.join(", ")
}

fn capacitors(list: &[Part], network: &Network, those: &[usize]) -> String {
    let names = those
        .iter()
        .map(|one| list[network.elements()[*one].part].designator.as_str());
    names.collect::<Vec<_>>().join(" or ")
}

fn ohms(value: f64) -> String {
    format_value(Quantity::Resistance, value, 4)
}
