//! Distances of the parts of each make from their nominal values.

use std::collections::BTreeMap;

use maud::{Markup, html};

use super::words;
use crate::books::ledger::{Account, Row};
use crate::engine::judge::Verdict;
use crate::engine::parts::{Kind, Material, Part, Step};
use crate::engine::quantity::Quantity;
use crate::engine::sitting::signed_percent;
use crate::engine::statistics::quantile;
use crate::views::report::owner::StepRow;

/// Reach of the plot to each side, in per cent of the nominal value; what is beyond stands a step further.
const REACH: f64 = 60.0;
/// Dots that lie nearer to each other than this, in per cent, stand above each other.
const STEP: f64 = 4.0;

/// Deviations from the nominal value, in per cent.
#[derive(Debug, Default)]
struct Group {
    found: Vec<f64>,
    now: Vec<f64>,
}

/// The section; nothing if nothing was measured that has a nominal value.
pub(super) fn section(accounts: &[Account<'_>]) -> Markup {
    let mut groups: BTreeMap<(Kind, Option<Material>), Group> = BTreeMap::new();
    let mut unproven = 0;
    for account in accounts {
        unproven += usize::from(!add(account, &mut groups));
    }
    if groups.is_empty() {
        return html! {};
    }
    html! {
        section.spread aria-labelledby="spread" {
            h2 id="spread" { "How far the years have moved them" }
            p {
                "Each dot is a part and stands where it lies from what the maker listed; dots that would cover each other are stacked. Hollow dots above the line are as found, filled ones below it what was put in and measured. "
                "Arrows at the ends stand for parts further off than " (REACH) " %. "
                @if unproven > 0 { (words::count(unproven, "part is", "parts are")) " left out, since the reading in circuit proves nothing or there was no value." }
            }
            div.spreads {
                @for ((kind, material), group) in &groups { (line(&name(*kind, *material), group)) }
                div.spread-line.axis aria-hidden="true" {
                    p {}
                    svg width="100%" height="20" focusable="false" {
                        @for percent in [-60, -40, -20, 0, 20, 40, 60] {
                            text x=(place(f64::from(percent))) y="14" text-anchor="middle" { @if percent > 0 { "+" } (percent) " %" }
                        }
                    }
                }
            }
        }
    }
}

/// Puts a part into its group; `false` if it was measured and no deviation can be told.
fn add(account: &Account<'_>, groups: &mut BTreeMap<(Kind, Option<Material>), Group>) -> bool {
    let part = account.part;
    if part.kind.conducts() || part.kind == Kind::Point {
        return true;
    }
    let rows = StepRow::of(account);
    let judged = |quantity: Quantity| quantity == part.nominal.quantity();
    let row = rows.iter().find(|row| {
        let of = row.before.or(row.after);
        of.is_some_and(|one| judged(one.quantity))
            && matches!(row.step, Step::Value | Step::Secondary)
    });
    let Some(row) = row else {
        return account.measurements.is_empty();
    };
    let found = row.before.and_then(|one| deviation(one, part));
    let now = row
        .after
        .filter(|_| account.fitted().is_some())
        .and_then(|one| deviation(one, part));
    if found.is_none() && now.is_none() {
        return false;
    }
    let group = groups.entry((part.kind, part.material)).or_default();
    group.found.extend(found);
    group.now.extend(now);
    true
}

/// Distance from the nominal value, in per cent; `None` if it proves nothing.
fn deviation(one: &Row, part: &Part) -> Option<f64> {
    let value = one.value?.value;
    let nominal = part.nominal.value();
    let deviation = 100.0 * (value - nominal) / nominal;
    (one.verdict != Verdict::Inconclusive && deviation.is_finite()).then_some(deviation)
}

fn name(kind: Kind, material: Option<Material>) -> String {
    match material {
        Some(material) => format!("{material} {kind}s"),
        None if kind == Kind::Ratio => "ratios of turns".to_owned(),
        None => format!("{kind}s"),
    }
}

/// A group as dots above and below a line.
fn line(name: &str, group: &Group) -> Markup {
    let (above, below) = (stacked(&group.found), stacked(&group.now));
    let height = |dots: &[Dot]| dots.iter().map(|dot| dot.level + 1).max().unwrap_or(0);
    let highest = height(&above).max(height(&below)).max(1);
    let pitch = (90.0 / highest as f64).clamp(2.5, 9.0);
    let up = pitch * height(&above) as f64 + 6.0;
    let down = pitch * height(&below) as f64 + 6.0;
    let words = description(group);
    html! {
        div.spread-line {
            p { b { (name) } " " br; span.faint.small { (words) } }
            svg role="img" width="100%" height=(format!("{:.0}", up + down)) {
                title { (name) ": " (words) }
                @for percent in [-40.0, -20.0, 20.0, 40.0] {
                    line.grid x1=(place(percent)) x2=(place(percent)) y1="0" y2="100%" {}
                }
                line.nominal x1=(place(0.0)) x2=(place(0.0)) y1="0" y2="100%" {}
                line.base x1="0" x2="100%" y1=(format!("{up:.1}")) y2=(format!("{up:.1}")) {}
                (dots(&above, "hollow", pitch, |number| up - 4.0 - pitch * (number as f64 + 0.5)))
                (dots(&below, "filled", pitch, |number| up + 4.0 + pitch * (number as f64 + 0.5)))
            }
        }
    }
}

/// A deviation, and how many stand between it and the line.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Dot {
    percent: f64,
    level: usize,
}

/// The dots of these deviations; what is beyond the plot stands at its ends.
fn stacked(deviations: &[f64]) -> Vec<Dot> {
    let ends = REACH + STEP;
    let held = |deviation: &f64| match deviation {
        beyond if beyond.abs() > REACH => ends.copysign(*beyond),
        within => *within,
    };
    let mut places: Vec<f64> = deviations.iter().map(held).collect();
    places.sort_unstable_by(f64::total_cmp);
    // The last dot of each level.
    let mut last: Vec<f64> = Vec::new();
    let dot = |percent: f64| {
        let level = last.iter().position(|last| percent - last >= STEP);
        let level = level.unwrap_or(last.len());
        match last.get_mut(level) {
            Some(last) => *last = percent,
            None => last.push(percent),
        }
        Dot { percent, level }
    };
    places.into_iter().map(dot).collect()
}

fn dots(dots: &[Dot], class: &str, pitch: f64, height: impl Fn(usize) -> f64) -> Markup {
    let radius = (pitch / 2.0 - 0.5).max(1.0);
    html! {
        @for dot in dots {
            @let (x, y) = (place(dot.percent), format!("{:.1}", height(dot.level)));
            @if dot.percent.abs() > REACH {
                @let way = radius.copysign(dot.percent);
                svg x=(x) y=(y) overflow="visible" {
                    path class={ "beyond " (class) } d=(format!("M{0:.1} {1:.1}L{2:.1} 0L{0:.1} {3:.1}z", -way, -radius, way, radius)) {}
                }
            } @else {
                circle class=(class) cx=(x) cy=(y) r=(format!("{radius:.1}")) {}
            }
        }
    }
}

/// Where a deviation stands, in per cent of the width; there is room for a column on each side.
fn place(deviation: f64) -> String {
    let half = REACH + 2.0 * STEP;
    format!("{:.2}%", 50.0 + 50.0 * deviation / half)
}

/// Count of values, and where the middle one and the outermost ones lie.
fn description(group: &Group) -> String {
    let mut sorted = group.found.clone();
    sorted.sort_unstable_by(f64::total_cmp);
    let now = match group.now.len() {
        0 => String::new(),
        number => format!("; {number} put in"),
    };
    match sorted.as_slice() {
        [] => format!("none as found{now}"),
        [one] => format!("1 as found, {}{now}", signed_percent(*one)),
        [lowest, .., highest] => format!(
            "{} as found, median {}, from {} to {}{now}",
            sorted.len(),
            signed_percent(quantile(&sorted, 0.5).unwrap_or_default()),
            signed_percent(*lowest),
            signed_percent(*highest)
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_dot_stands_where_its_part_lies_and_none_covers_another() {
        let dots = stacked(&[1.9, -1000.0, 3.7, 62.1, -1.9, 1000.0, 5.8]);
        let found: Vec<(f64, usize)> = dots.iter().map(|dot| (dot.percent, dot.level)).collect();
        let expected = [
            (-64.0, 0),
            (-1.9, 0),
            (1.9, 1),
            (3.7, 0),
            (5.8, 2),
            (64.0, 0),
            (64.0, 1),
        ];
        assert_eq!(found, expected);
    }
}
