//! A leakage in the making, as lines.

use super::line::{Mood, said};
use crate::engine::judge::capacitor::{Direction, SoakReport};
use crate::engine::judge::{LeakageTest, Verdict};
use crate::engine::parts::Part;
use crate::engine::quantity::{Quantity, format_value};
use crate::engine::sitting::Plan;

/// What is to be done, with the least that must be said before anyone applies hundreds of volts.
pub(super) fn to_soak(plan: &Plan, entry: usize) -> String {
    let part = &plan.parts()[entry];
    let test = plan
        .leakage(entry)
        .map(LeakageTest::words)
        .unwrap_or_default();
    format!(
        "  {:<8} {test}; one lead off, meter and a resistor in series, a supply with a current limit, nobody near. The voltage \
         kills; the part may burst. Time runs from the first current, or say `soak`",
        part.title()
    )
}

pub(super) fn begun(plan: &Plan, entry: usize, volts: f64) -> String {
    let part = &plan.parts()[entry];
    let minutes = plan.leakage(entry).map_or(0, LeakageTest::minutes);
    let volts = format_value(Quantity::Voltage, volts, 4);
    said(
        part,
        &format!(
            "{volts} stands at it since now, to be read after {minutes} min; `soak VOLT` if it is another voltage"
        ),
    )
}

pub(super) fn soaking(part: &Part, report: &SoakReport) -> (String, Mood) {
    let shown = |amperes| format_value(Quantity::Current, amperes, 3);
    let now = report.latest_ampere.map_or("nothing".to_owned(), shown);
    let trend = match report.trend.map(|trend| trend.direction) {
        Some(Direction::Falling) => ", falling",
        Some(Direction::Level) => ", level",
        Some(Direction::Rising) => ", rising",
        None => "",
    };
    let ahead = match report.forecast {
        Some(Ok(forecast)) => format!(
            "; expected after {:.0} min: {} to {} (95 %)",
            forecast.after.as_secs_f64() / 60.0,
            shown(forecast.low_ampere),
            shown(forecast.high_ampere)
        ),
        _ => String::new(),
    };
    let seconds = report.elapsed.as_secs();
    let (minutes, seconds) = (seconds / 60, seconds % 60);
    let so_far = match report.verdict {
        Some(verdict) => format!("; {verdict} so far: {}", report.reason.words()),
        None => String::new(),
    };
    let mood = match report.verdict {
        Some(Verdict::Fail | Verdict::ConditionalFail) => Mood::Bad,
        _ => Mood::Quiet,
    };
    (
        said(
            part,
            &format!("{minutes}:{seconds:02}  {now}{trend}{ahead}{so_far}"),
        ),
        mood,
    )
}

pub(super) fn missed(part: &Part) -> String {
    said(
        part,
        "no reading came at the time of the limit; nothing is judged. Say `soak` to begin anew",
    )
}
