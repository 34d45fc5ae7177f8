//! Every part against its limits: the picture on the first sheet, and the strip of each.

use maud::{Markup, html};

use super::mark;
use super::scale::{Place, Scale};
use super::steps::groups;
use super::words;
use crate::books::ledger::{Account, Found, Row, Standing};
use crate::engine::quantity::Quantity;
use crate::views::report::owner::StepRow;

/// Height of a strip, in pixels, and its middle.
const HEIGHT: u32 = 20;
const MIDDLE: u32 = HEIGHT / 2;
/// Of a dot, in pixels.
const RADIUS: &str = "4.5";

/// The section: a cell with its strip for each part, and for each further measurement of it.
pub(super) fn section(accounts: &[Account<'_>]) -> Markup {
    let measured = |account: &Account<'_>| !account.measurements.is_empty();
    html! {
        @if accounts.iter().any(measured) {
            section.strips aria-labelledby="strips" {
                h2 id="strips" { "Every part against its limits" }
                (legend())
                @for (title, group) in groups(&accounts.iter().collect::<Vec<_>>()) {
                    h3 { (title) }
                    ul.cells {
                        @for row in group.into_iter().flat_map(StepRow::of) { (cell(&row)) }
                    }
                }
            }
        }
    }
}

fn legend() -> Markup {
    let sample = |draw: Markup| {
        html! { svg.sample width="34" height=(HEIGHT) aria-hidden="true" focusable="false" { (draw) } }
    };
    let dot = |class| html! { circle class=(class) cx="17" cy=(MIDDLE) r=(RADIUS) {} };
    let arrow =
        html! { svg x="17" y=(MIDDLE) overflow="visible" { path.beyond d="M-5-6L6 0L-5 6z" {} } };
    html! {
        p.legend {
            span { (sample(dot("hollow"))) " as it was found" }
            span { (sample(dot("filled"))) " as it is now" }
            span { (sample(html! { rect.band x="2" width="30" y="3" height=(HEIGHT - 6) {} line.nominal x1="17" x2="17" y1="3" y2=(HEIGHT - 3) {} })) " right for the part, and what the maker listed" }
            span { (sample(html! { line.whisker x1="3" x2="31" y1=(MIDDLE) y2=(MIDDLE) {} (dot("filled")) })) " with its uncertainty, where that can be seen" }
            span { (sample(arrow)) " beyond the strip" }
            span { "Each strip has its own scale: too low on the left, too high on the right." }
        }
    }
}

/// Name, strip, verdict on the part now fitted, and what became of it.
fn cell(row: &StepRow<'_, '_>) -> Markup {
    let became = match (row.account.standing(), row.account.fitted()) {
        (standing, None) if standing.is_to_do() => "to do",
        (standing, Some(_)) if standing.is_to_do() => "new, to do",
        (_, Some(_)) => "new",
        (Standing::Kept | Standing::Accepted, None) => "left",
        _ => "",
    };
    html! {
        li {
            b { (words::own(&row.title())) }
            @if row.before.or(row.after).is_some() { (strip(row)) } @else { span.faint { "not measured" } }
            @if let Some(one) = row.after { (mark::shape(one.verdict)) } @else { span {} }
            span.became { (became) }
        }
    }
}

/// The strip of a step.
pub(super) fn strip(row: &StepRow<'_, '_>) -> Markup {
    let Some((target, scale)) = row.target().and_then(|one| Some((one, Scale::of(one)?))) else {
        return html! { span.faint { "no limits to draw against" } };
    };
    html! {
        svg.strip role="img" width="100%" height=(HEIGHT) {
            title { (words::shown(&description(row))) }
            line.base x1="0" x2="100%" y1=(MIDDLE) y2=(MIDDLE) {}
            rect.band x={ (scale.from) "%" } width={ (scale.to - scale.from) "%" } y="3" height=(HEIGHT - 6) {}
            @for limit in target.band.limits().into_iter().flatten() {
                (tick("limit", scale.held(limit)))
            }
            @if let (Place::At(place), [Some(_), _]) = (scale.place(target.nominal), target.band.limits()) {
                (tick("nominal", place))
            }
            @if let Some(before) = row.found_before() { (dot(before, "hollow", scale, target.quantity)) }
            @if let Some(after) = row.after { (dot(after, "filled", scale, target.quantity)) }
        }
    }
}

fn tick(class: &str, place: f64) -> Markup {
    let place = format!("{place:.2}%");
    html! { line class=(class) x1=(place) x2=(place) y1="3" y2=(HEIGHT - 3) {} }
}

/// The strip in words.
fn description(row: &StepRow<'_, '_>) -> String {
    let limits = row.target().and_then(words::limits);
    let mut sentence = String::from(row.title());
    if let Some(limits) = limits {
        sentence.push_str(", right is ");
        sentence.push_str(&limits);
    }
    let mut add = |when: &str, one: &Row| {
        let found = words::found(one);
        sentence.extend(["; ", when, " ", found.as_str(), ", ", one.verdict.name()]);
    };
    if let Some(before) = row.found_before() {
        add("found at", before);
    }
    if let Some(after) = row.after {
        add("now", after);
    }
    sentence
}

/// The mark of a measurement: a dot with its uncertainty, or an arrow at the end of the strip.
fn dot(one: &Row, class: &str, scale: Scale, quantity: Quantity) -> Markup {
    let value = one.value.filter(|_| one.quantity == quantity);
    let place = match (one.found, value) {
        (Found::Value, Some(judged)) => scale.place(judged.value),
        // Where nothing conducts there is no capacitance and no end to the resistance.
        (Found::Open, _) if quantity == Quantity::Capacitance => Place::BeyondLeft,
        (Found::Open | Found::BeyondRange, _) => Place::BeyondRight,
        (Found::Value, None) => return html! {},
    };
    match (place, value) {
        (Place::At(place), Some(judged)) => {
            let ends = [-2.0, 2.0].map(|k| scale.held(judged.value + k * judged.u));
            let [from, to] = ends;
            html! {
                @if to - from > 1.0 {
                    line.whisker x1={ (format!("{from:.2}")) "%" } x2={ (format!("{to:.2}")) "%" } y1=(MIDDLE) y2=(MIDDLE) {}
                }
                circle class=(class) cx={ (format!("{place:.2}")) "%" } cy=(MIDDLE) r=(RADIUS) {}
            }
        }
        (Place::BeyondLeft, _) => arrow(class, "2%", "M5-6L-6 0L5 6z"),
        _ => arrow(class, "97.5%", "M-5-6L6 0L-5 6z"),
    }
}

fn arrow(class: &str, place: &str, path: &str) -> Markup {
    html! { svg x=(place) y=(MIDDLE) overflow="visible" { path class={ "beyond " (class) } d=(path) {} } }
}
