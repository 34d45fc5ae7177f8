//! One touch, reading by reading.

use maud::{Markup, html};

use super::words;
use crate::engine::quantity::{format_stated, format_value, format_with_uncertainty};
use crate::views::report::owner::{Touch, TouchPoint};

/// Height of the plot in pixels, and the room above and below the readings.
const HEIGHT: f64 = 160.0;
const TOP: f64 = 26.0;
const BOTTOM: f64 = 30.0;
/// No more readings than this are drawn; a longer touch is thinned out evenly.
const MOST: usize = 240;

/// The plot's scales.
struct Axes {
    lowest: f64,
    highest: f64,
    seconds: f64,
}

impl Axes {
    fn of(touch: &Touch) -> Self {
        let zone = 2.0 * touch.uncertainty;
        let ends = [touch.value - zone, touch.value + zone];
        let values = || touch.points.iter().map(|point| point.value).chain(ends);
        let last = touch.points.last().map_or(0.0, |point| point.at_s);
        Self {
            lowest: values().fold(f64::INFINITY, f64::min),
            highest: values().fold(f64::NEG_INFINITY, f64::max),
            seconds: last.max(touch.settled_s).max(f64::MIN_POSITIVE),
        }
    }

    fn x(&self, seconds: f64) -> String {
        format!("{:.2}%", 1.0 + 97.0 * seconds / self.seconds)
    }

    fn y(&self, value: f64) -> f64 {
        let share = (value - self.lowest) / (self.highest - self.lowest);
        HEIGHT - BOTTOM - if share.is_finite() { share } else { 0.5 } * (HEIGHT - TOP - BOTTOM)
    }
}

/// The section.
pub(super) fn section(touch: &Touch) -> Markup {
    let value = format_with_uncertainty(touch.quantity, touch.value, 2.0 * touch.uncertainty);
    html! {
        section.settling aria-labelledby="settling" {
            h2 id="settling" { "What a measurement looks like" }
            p {
                "No value was read off and written down by hand. The meter’s readings were followed from the moment the probes touched the part, and a value counts only once it had come to rest. "
                "Here are the readings of " b { (words::own(&touch.title)) } ", the touch of this job that has most to show: at rest after "
                (format!("{:.1}", touch.settled_s)) " s, at " (value) "."
            }
            figure {
                (plot(touch))
                figcaption.small { "Each dot is a reading of the sitting " (words::own(&touch.sitting)) ". The shaded stretch is the value with its uncertainty, the dashed line the moment from which it counted; a limit of the part is drawn where it is within reach." }
            }
        }
    }
}

fn plot(touch: &Touch) -> Markup {
    let axes = Axes::of(touch);
    let points = thinned(&touch.points);
    let zone = 2.0 * touch.uncertainty;
    let (top, bottom) = (axes.y(touch.value + zone), axes.y(touch.value - zone));
    let settled = axes.x(touch.settled_s);
    let label = |value: f64| format_value(touch.quantity, value, 4);
    let inside = |limit: &f64| axes.lowest < *limit && *limit < axes.highest;
    let limits = [touch.band.lower(), touch.band.upper()]
        .into_iter()
        .filter(inside)
        .map(|limit| (limit, axes.y(limit)));
    let readings = || touch.points.iter().map(|point| point.value);
    let (lowest, highest) = (
        readings().fold(f64::INFINITY, f64::min),
        readings().fold(f64::NEG_INFINITY, f64::max),
    );
    let last = touch.points.last().map(|point| point.at_s);
    let px = |place: f64| format!("{place:.1}");
    html! {
        svg.plot role="img" width="100%" height=(HEIGHT) {
            title { "Readings of one touch over time" }
            desc { (words::shown(&touch.title)) ": from " (label(touch.points.first().map_or(touch.value, |one| one.value))) " at contact to " (label(touch.value)) ", at rest after " (format!("{:.1}", touch.settled_s)) " s" }
            rect.band x="1%" width="97%" y=(px(top)) height=(px((bottom - top).max(1.5))) {}
            line.base x1="1%" x2="98%" y1=(px(HEIGHT - BOTTOM + 6.0)) y2=(px(HEIGHT - BOTTOM + 6.0)) {}
            @for (limit, y) in limits {
                line.limit x1="1%" x2="98%" y1=(px(y)) y2=(px(y)) {}
                text x="92%" y=(px(y - 5.0)) text-anchor="end" { "limit " (format_stated(touch.quantity, limit)) }
            }
            line.moment x1=(settled) x2=(settled) y1=(px(TOP - 8.0)) y2=(px(HEIGHT - BOTTOM + 6.0)) {}
            @for pair in points.windows(2) {
                line.way x1=(axes.x(pair[0].at_s)) y1=(px(axes.y(pair[0].value))) x2=(axes.x(pair[1].at_s)) y2=(px(axes.y(pair[1].value))) {}
            }
            @for point in &points {
                circle.filled cx=(axes.x(point.at_s)) cy=(px(axes.y(point.value))) r="3" {}
            }
            text x="1%" y="14" { "readings from " (label(lowest)) " to " (label(highest)) }
            text x="1%" y=(px(HEIGHT - 6.0)) { "contact" }
            text x=(last.map_or_else(String::new, |last| axes.x(last))) y=(px(HEIGHT - 6.0)) text-anchor="end" { "last reading after " (format!("{:.1}", last.unwrap_or_default())) " s" }
        }
    }
}

/// At most [`MOST`] of them, evenly taken.
fn thinned(points: &[TouchPoint]) -> Vec<TouchPoint> {
    let every = points.len().div_ceil(MOST).max(1);
    points.iter().step_by(every).copied().collect()
}
