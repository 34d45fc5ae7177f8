//! [`Answer`] and [`Substitute`]: what may stand in for a part, and why.
//!
//! Reason why something may stand in, and why nothing may, in words.

use std::fmt;

use super::candidate::{Candidate, volts_in_doubt};
use super::goods::Sort;
use super::need::{Need, polarity_warning};
use super::want::{POWER_MARGIN, Preference, VOLTAGE_MARGIN, Want};
use super::{Arrangement, Share};
use crate::engine::judge::safety::{CAUTION, check_class};
use crate::engine::parts::{Article, Kind, Material};
use crate::engine::quantity::{Amount, Band, Quantity, Rating, format_band, format_value};

/// Possible substitutes, the best first.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Answer {
    /// The substitutes; empty if there is none, and then the last of the warnings says why.
    pub choices: Vec<Substitute>,
    /// Remarks to read before choosing.
    pub warnings: Vec<String>,
}

/// One part or two that may stand in for another.
#[derive(Debug, Clone, PartialEq)]
pub struct Substitute {
    /// Parts to ask for: one, or the two of a pair.
    pub articles: Vec<Article>,
    pub arrangement: Arrangement,
    /// Nominal value of all together.
    pub value: Amount,
    /// Worst values, both off to one side, in the SI base unit.
    pub worst: Band,
    /// Range with some 95 % probability: rectangular distributions, u = a/√3, k = 2; never wider than the worst.
    pub statistical: Band,
    /// Share of each in voltage and current, in the order of the articles.
    pub shares: Vec<Share>,
    /// Whether all that it may measure is allowed.
    pub keeps_band: bool,
    /// Name of the sort in the table of goods.
    pub sort: String,
    /// Where the row of that table is from.
    pub source: String,
    /// Reason why it may stand in, in words.
    pub reasons: Vec<String>,
}

/// `33 µF 450 V ±20 % electrolytic`, `2 × 68 µF 250 V ±20 % electrolytic in series, 34 µF`.
impl fmt::Display for Substitute {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.articles[..] {
            [first, second] if first == second => write!(f, "2 × {first}")?,
            articles => {
                let words: Vec<String> = articles.iter().map(ToString::to_string).collect();
                f.write_str(&words.join(" and "))?;
            }
        }
        if self.arrangement != Arrangement::Single {
            let value = format_value(self.value.quantity(), self.value.value(), 4);
            write!(f, " {}, {value}", self.arrangement)?;
        }
        Ok(())
    }
}

/// Resistance across each of two electrolytics in series (common practice, no source).
const EQUALISING_OHMS: f64 = 220e3;

/// The candidate with its reasons.
pub(super) fn substitute(want: &Want, one: &Candidate<'_>) -> Option<Substitute> {
    let article = |(value, rating): &(f64, &Rating)| one.sort.article(*value, (*rating).clone());
    let articles: Option<Vec<_>> = one.members.iter().map(article).collect();
    Some(Substitute {
        articles: articles?,
        arrangement: one.arrangement,
        value: Amount::new(want.original.nominal.quantity(), one.value)?,
        worst: one.worst,
        statistical: one.statistical,
        shares: one.shares.clone(),
        keeps_band: one.keeps_band(),
        sort: one.sort.name.clone(),
        source: one.sort.source.clone(),
        reasons: reasons(want, one),
    })
}

/// Remarks on all that was found.
pub(super) fn warnings(want: &Want, found: &[Candidate<'_>]) -> Vec<String> {
    let mut said = Vec::new();
    let polar = found
        .iter()
        .find_map(|one| polarity_warning(want, one.material()));
    said.extend(polar.map(str::to_owned));
    if want.at_mains.is_some() {
        said.push(CAUTION.to_owned());
    }
    if want.original.kind == Kind::Capacitor && want.working_volts.is_some() {
        said.push(
            "the highest direct voltage is the one before the valves draw current: a cold start without load counts".to_owned(),
        );
    }
    said
}

/// Reason why nothing was found among the sorts that have the right material.
pub(super) fn nothing(want: &Want, sorts: &[&Sort]) -> String {
    let quantity = want.original.nominal.quantity();
    let Some(values) = want.values else {
        let limit = want.ceiling.as_ref().map_or_else(String::new, |ceiling| {
            let largest = format_value(quantity, ceiling.value, 4);
            format!(
                ": at most {largest} is allowed by {}, less than the original",
                ceiling.words
            )
        });
        return format!("nothing may stand in{limit}; check both");
    };
    let range = format_band(quantity, values);
    if sorts.is_empty() {
        return "nothing may stand in: the table of goods has no such sort of part".to_owned();
    }
    let has_value = |sort: &&&Sort| sort.values.iter().any(|value| values.contains(*value));
    let asked = asked(want);
    match sorts.iter().filter(has_value).count() {
        0 => format!(
            "nothing in the table of goods comes to {range}{asked}, neither alone nor as a pair; no part is better than a wrong one"
        ),
        _ => format!(
            "nothing in the table of goods has {range} and withstands what is asked{asked}; no part is better than a wrong one"
        ),
    }
}

/// Load on a rating.
fn asked(want: &Want) -> String {
    if let Some(at) = &want.at_mains {
        let place = at.place.map_or_else(
            || "the classes of the original".to_owned(),
            |(place, mains)| format!("{place} on {mains}"),
        );
        return format!(" ({place})");
    }
    let volts = want
        .least_volts()
        .map(|volts| format_value(Quantity::Voltage, volts, 3));
    let watts = want.least_watts().map(power);
    let asked: Vec<String> = volts.into_iter().chain(watts).collect();
    if asked.is_empty() {
        String::new()
    } else {
        format!(" ({})", asked.join(", "))
    }
}

fn reasons(want: &Want, one: &Candidate<'_>) -> Vec<String> {
    let mut said = vec![of_value(want, one)];
    said.extend(of_tolerance(want, one));
    said.extend(of_load(want, one));
    said.extend(of_material(want, one.material()));
    said.extend(of_pair(want, one));
    said.extend(of_mains(want, one));
    said
}

fn of_value(want: &Want, one: &Candidate<'_>) -> String {
    let nominal = want.original.nominal;
    let percent = 100.0 * (one.value / nominal.value() - 1.0);
    let series = one.sort.series.name();
    let off = format!("{percent:+.1} %");
    let words = match want.preference {
        _ if percent.abs() < 0.05 => return format!("{nominal}, as the original"),
        Preference::AtOrAbove if one.value > nominal.value() => "the nearest above the original",
        Preference::AtOrAbove => "a little below the original, which will do",
        Preference::AtOrBelow => "below the original",
        Preference::Nearest => "inside what its role allows",
    };
    match &want.ceiling {
        Some(ceiling) if want.preference != Preference::Nearest => {
            let largest = format_value(nominal.quantity(), ceiling.value, 3);
            format!(
                "{off}, {words}, and not above {largest} ({})",
                ceiling.words
            )
        }
        _ if one.arrangement == Arrangement::Single => format!("{off}, {words} ({series})"),
        _ => format!("{off}, {words}"),
    }
}

/// Where its tolerance may carry it out.
fn of_tolerance(want: &Want, one: &Candidate<'_>) -> Option<String> {
    let quantity = want.original.nominal.quantity();
    let shown = |value| format_value(quantity, value, 3);
    if !one.keeps_band() {
        let allowed = format_band(quantity, want.allowed);
        return Some(format!(
            "its tolerance may carry it out of the {allowed} that are allowed: measure it before it goes in"
        ));
    }
    let ceiling = want.ceiling.as_ref()?;
    (one.worst.upper() > ceiling.value * (1.0 + 1e-9)).then(|| {
        format!(
            "with its tolerance it may measure {}: measure it before it goes in",
            shown(one.worst.upper())
        )
    })
}

/// Voltage and power.
fn of_load(want: &Want, one: &Candidate<'_>) -> Vec<String> {
    if want.at_mains.is_some() || one.arrangement != Arrangement::Single {
        return Vec::new();
    }
    let Some((value, rating)) = one.members.first() else {
        return Vec::new();
    };
    match want.original.kind {
        Kind::Capacitor => of_volts(want, rating).into_iter().collect(),
        _ => of_watts(want, *value, rating),
    }
}

fn of_volts(want: &Want, rating: &Rating) -> Option<String> {
    let shown = |value| format_value(Quantity::Voltage, value, 3);
    let has = shown(rating.dc_volts?);
    let original = want.original.rating.dc_volts.map(shown);
    let working = want.working_volts.map(f64::abs);
    Some(match (original, working) {
        (Some(original), None) => format!("{has}, at least the original's {original}"),
        (original, Some(volts)) => {
            let least = shown(VOLTAGE_MARGIN * volts);
            let beside = original.map_or_else(String::new, |original| {
                format!(" and the original's {original}")
            });
            format!(
                "{has}, at least {VOLTAGE_MARGIN} times the highest direct voltage of {}, which is {least} (a radio magazine of \
                 March 1993){beside}",
                shown(volts)
            )
        }
        (None, None) => return None,
    })
}

fn of_watts(want: &Want, ohms: f64, rating: &Rating) -> Vec<String> {
    let shown = |value| format_value(Quantity::Voltage, value, 3);
    let mut said = Vec::new();
    if let Some(watts) = rating.watts {
        let original = want
            .original
            .rating
            .watts
            .map(|original| format!("at least the original's {}", power(original)));
        let dissipated = want.dissipated_watts.map(|watts| {
            format!(
                "at least {POWER_MARGIN} times the {} that it dissipates, so that it runs at half its rating or less (common practice)",
                power(watts)
            )
        });
        let words: Vec<String> = original.into_iter().chain(dissipated).collect();
        said.push(format!("{}, {}", power(watts), words.join(" and ")));
    }
    match (volts_in_doubt(want, ohms, rating), rating.dc_volts) {
        (Some(volts), Some(stands)) => said.push(format!(
            "withstands {} whatever its power, and the power of the original would allow {} across it: check the voltage there, \
             or give it with --volts",
            shown(stands),
            shown(volts)
        )),
        (None, Some(stands)) if want.original.material == Some(Material::Carbon) => {
            said.push(format!("stands {}", shown(stands)));
        }
        _ => {}
    }
    said
}

/// Reason why another material, or what to mind of it.
fn of_material(want: &Want, material: Material) -> Option<String> {
    use Material::{Carbon, Ceramic, Electrolytic, Film, Mica, Oil, Paper, Wirewound};
    let words = match (want.original.material, material) {
        _ if want.at_mains.is_some() => return None,
        (Some(Paper), Film) => "film instead of paper, which takes up moisture and leaks",
        (Some(Oil), Film) => "film instead of paper in oil",
        (Some(Electrolytic), Film) => {
            "film instead of an electrolytic: it does not dry out, has no polarity, and is larger"
        }
        (None, Electrolytic) => "an electrolytic, only where the original had a polarity",
        (Some(Carbon), Film) => {
            // Surge strength of composition: common practice, no source.
            "film instead of carbon composition: closer and quieter, and less good at surges"
        }
        (_, Wirewound) if want.original.material != Some(Wirewound) => {
            "wirewound has an inductance: not where radio frequencies or a grid are"
        }
        (Some(Wirewound), Film) => "film instead of wirewound, of the same power",
        (Some(Mica), Film | Ceramic) | (Some(Ceramic), Mica) => "steady enough to set a frequency",
        _ => return None,
    };
    Some(words.to_owned())
}

/// Shares of two.
fn of_pair(want: &Want, one: &Candidate<'_>) -> Vec<String> {
    if one.arrangement == Arrangement::Single {
        return Vec::new();
    }
    let mut said: Vec<String> = one
        .members
        .iter()
        .zip(&one.shares)
        .map(|((value, rating), share)| of_share(want, one, *value, rating, *share))
        .collect();
    said.dedup();
    if one.arrangement == Arrangement::Series && want.original.kind == Kind::Capacitor {
        said.push(equalising(want, one.material()));
    }
    said
}

fn of_share(want: &Want, one: &Candidate<'_>, value: f64, rating: &Rating, share: Share) -> String {
    let member = format_value(want.original.nominal.quantity(), value, 4);
    let series = one.arrangement == Arrangement::Series;
    let (fraction, what) = match (series, want.original.kind) {
        (true, Kind::Capacitor) => (share.volts, "voltage"),
        (true, _) => (share.volts, "voltage and power"),
        (false, Kind::Capacitor) => (share.current, "alternating current"),
        (false, _) => (share.current, "current and power"),
    };
    let need = Need::shared(want, one.arrangement, share);
    format!(
        "{member} takes {} of the {what}, {} with both tolerances at their worst: must withstand {need}, withstands {rating}",
        percent(fraction.nominal),
        percent(fraction.largest),
    )
}

/// A share in whole per cent, a small one in two figures.
fn percent(share: f64) -> String {
    let percent = 100.0 * share;
    if percent >= 10.0 {
        format!("{percent:.0} %")
    } else {
        let two: f64 = format!("{percent:.1e}").parse().unwrap_or(percent);
        format!("{two} %")
    }
}

fn equalising(want: &Want, material: Material) -> String {
    let ohms = format_value(Quantity::Resistance, EQUALISING_OHMS, 3);
    let power_of = |volts: f64| {
        let half = volts / 2.0;
        format!(
            ", {} each at {}",
            power(half * half / EQUALISING_OHMS),
            format_value(Quantity::Voltage, half, 3)
        )
    };
    let load = want.least_volts().map_or_else(String::new, power_of);
    let why = match material {
        Material::Electrolytic => {
            "two electrolytics in series need equalising resistors, since their leakages differ"
        }
        _ => {
            "two capacitors in series divide a direct voltage by their leakages: bridge each with a resistor where there is one"
        }
    };
    format!(
        "{why}: {ohms} across each is usual (common practice, no source){load}; rate them for twice that"
    )
}

/// Findings of the check of the class, and advice about the charge.
fn of_mains(want: &Want, one: &Candidate<'_>) -> Vec<String> {
    let (Some(at), Some((_, rating))) = (&want.at_mains, one.members.first()) else {
        return Vec::new();
    };
    let classes: Vec<&str> = rating.classes.iter().map(|class| class.name()).collect();
    let volts = rating.ac_volts.unwrap_or(0.0);
    let mut said = Vec::new();
    if let Some((place, mains)) = at.place {
        said.push(format!(
            "class {} for {volts} V~, {place} on {mains} (IEC 60384-14 as quoted in public texts)",
            classes.join("/")
        ));
        let check = check_class(rating, place, Some(mains));
        said.extend(check.findings().iter().map(ToString::to_string));
    } else {
        said.push(format!(
            "class {} for {volts} V~ covers the class and voltage of the original (IEC 60384-14 as quoted in public texts)",
            classes.join("/")
        ));
    }
    said
}

/// A power in three figures at most: `0.5 W`.
pub(super) fn power(watts: f64) -> String {
    let rounded: f64 = format!("{watts:.2e}").parse().unwrap_or(watts);
    if rounded < 0.1 {
        format!("{} mW", (rounded * 1e3 * 1e3).round() / 1e3)
    } else {
        format!("{rounded} W")
    }
}
