//! Lines about links and meters. With one meter at the bench nobody has to be told which; with several each line names its own.

use super::line::Mood;
use crate::engine::quantity::Quantity;
use crate::engine::sitting::{LinkNews, MeterNews, Plan, What};

/// Which meter is to be taken for what the event asks for; nothing where there is one.
pub(super) fn to_be_taken(what: &What, plan: &Plan) -> String {
    match what {
        What::InHand(entry) | What::ToSoak(entry) => {
            with_meter(plan, plan.parts()[*entry].measured())
        }
        What::ToDischarge(_) => with_meter(plan, Quantity::Voltage),
        What::AwaitingZero => with_meter(plan, Quantity::Resistance),
        _ => String::new(),
    }
}

/// Which meter is to be taken for a quantity; nothing where there is one.
pub(crate) fn with_meter(plan: &Plan, quantity: Quantity) -> String {
    match (plan.meters(), plan.meter_for(quantity)) {
        (meters @ [_, _, ..], Some(meter)) => format!(" (with {})", meters[meter].name()),
        _ => String::new(),
    }
}

pub(super) fn link(plan: &Plan, meter: usize, news: &LinkNews) -> (String, Mood) {
    let (text, mood) = link_words(news);
    (plan.meter_prefix(meter) + &text, mood)
}

pub(super) fn meter(plan: &Plan, meter: usize, news: &MeterNews) -> (String, Mood) {
    let several = plan.meters().len() > 1;
    match news {
        MeterNews::CannotMeasure(quantity) if several && plan.meter_for(*quantity).is_none() => {
            let text = format!(
                "no meter here measures {quantity}: `skip`, or come back with another meter"
            );
            (text, Mood::Bad)
        }
        // The name stands where the word `meter` does otherwise.
        MeterNews::Identified(name) if several => (plan.meter_prefix(meter) + name, Mood::Quiet),
        _ => {
            let (text, mood) = meter_words(news);
            (plan.meter_prefix(meter) + &text, mood)
        }
    }
}

fn link_words(news: &LinkNews) -> (String, Mood) {
    match news {
        LinkNews::Up => ("link up".to_owned(), Mood::Quiet),
        LinkNews::Lost { reason } => (format!("link lost: {reason}; trying again"), Mood::Bad),
    }
}

fn meter_words(news: &MeterNews) -> (String, Mood) {
    let text = match news {
        MeterNews::Identified(name) => return (format!("meter: {name}"), Mood::Quiet),
        MeterNews::Answering => return ("the meter answers again".to_owned(), Mood::Quiet),
        MeterNews::WrongMeter { found, expected } => {
            let expected = expected.as_deref().map(|text| format!(", expected `{text}` in it")).unwrap_or_default();
            format!("this is another meter than the profile is for: it says `{found}`{expected}")
        }
        MeterNews::Trouble { code, text } => format!("the meter reports an error: {code} {text}"),
        MeterNews::NotUnderstood(what) => format!("not understood: {what}; see `probewright meter try`"),
        MeterNews::Silent => "the meter is silent; check that it is on, its cable, and the line settings of its profile".to_owned(),
        MeterNews::WrongQuantity { wanted, found } => {
            let found = found.map_or("something else", |quantity| quantity.name());
            format!("the meter sends {found}, this part needs {wanted}: turn its knob")
        }
        MeterNews::CannotMeasure(quantity) => {
            format!("the meter cannot measure {quantity}: `skip`, or come back with another meter")
        }
    };
    (text, Mood::Bad)
}
