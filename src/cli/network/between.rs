//! Reading that an ohmmeter should give between two nodes.

use std::io::Write;

use anyhow::Result;
use serde::Serialize;

use super::Wired;
use crate::cli::status::{BadInput, Status};
use crate::cli::table::flowed;
use crate::engine::network::Alternating;
use crate::engine::quantity::{Quantity, format_value};

#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// The node where the one probe is, by its name in the list
    from: String,
    /// The node where the other probe is
    to: String,
    /// What a bridge should find there at this frequency, in hertz, as well
    #[arg(long, value_name = "HERTZ", value_parser = frequency)]
    hertz: Option<f64>,
    /// As JSON, for scripts
    #[arg(long)]
    json: bool,
}

fn frequency(text: &str) -> Result<f64, String> {
    let hertz: Option<f64> = text.parse().ok();
    hertz
        .filter(|hertz| hertz.is_finite() && *hertz > 0.0)
        .ok_or_else(|| "expected a frequency over zero".to_owned())
}

/// The answer, for scripts.
#[derive(Serialize)]
struct Answer<'a> {
    from: &'a str,
    to: &'a str,
    /// With everything as listed; `null` where nothing on the list joins the nodes.
    expected_ohm: Option<f64>,
    /// With every part within its limits; `null` where the list is not declared complete.
    lower_ohm: Option<f64>,
    /// With every part within its limits; `null` where there is no limit.
    upper_ohm: Option<f64>,
    /// Finding of a bridge; left out where no frequency was given.
    #[serde(skip_serializing_if = "Option::is_none")]
    bridge: Option<Bridge>,
}

/// Finding of a bridge between two nodes, with everything as listed; `null` where that cannot be told.
#[derive(Serialize)]
struct Bridge {
    hertz: f64,
    resistance_ohm: Option<f64>,
    reactance_ohm: Option<f64>,
    /// The capacitance of two elements side by side; below zero where it is an inductance.
    parallel_farad: Option<f64>,
    /// Reason why it cannot be told; `null` where it can.
    obstacle: Option<String>,
}

impl Bridge {
    fn between(wired: &Wired, ends: [usize; 2], hertz: f64) -> Self {
        let found = wired.network.at_frequency(wired.list(), ends, hertz);
        let (told, obstacle) = match found {
            Alternating::Told(ohms) => (Some(ohms), None),
            Alternating::Apart => (None, Some("nothing on the list joins them".to_owned())),
            Alternating::Winding(part) => {
                let part = &wired.list()[part].designator;
                let words = format!(
                    "the list does not state the inductance of {part}, which carries current"
                );
                (None, Some(words))
            }
        };
        let omega = std::f64::consts::TAU * hertz;
        Self {
            hertz,
            resistance_ohm: told.map(|ohms| ohms.re),
            reactance_ohm: told.map(|ohms| ohms.im),
            parallel_farad: told.map(|ohms| ohms.inv().im / omega),
            obstacle,
        }
    }

    fn in_words(&self, out: &mut dyn Write) -> Result<()> {
        let hertz = self.hertz;
        match (self.resistance_ohm, self.reactance_ohm, self.parallel_farad) {
            (Some(re), Some(im), Some(farad)) => {
                let ohms = |value| format_value(Quantity::Resistance, value, 4);
                let sign = if im < 0.0 { "-" } else { "+" };
                let side = if farad > 0.0 {
                    let farad = format_value(Quantity::Capacitance, farad, 4);
                    format!(", {farad} as the capacitance of two elements side by side")
                } else {
                    String::new()
                };
                writeln!(
                    out,
                    "a bridge at {hertz} Hz: {} {sign} j {}{side}",
                    ohms(re),
                    ohms(im.abs())
                )?;
            }
            _ => writeln!(
                out,
                "a bridge at {hertz} Hz: not told, {}",
                self.obstacle.as_deref().unwrap_or_default()
            )?,
        }
        Ok(())
    }
}

pub(super) fn write(wired: &Wired, arguments: &Arguments, out: &mut dyn Write) -> Result<Status> {
    let ends = [&arguments.from, &arguments.to];
    let [from, to] = ends.map(|name| find(wired, name));
    let ends = [from?, to?];
    if ends[0] == ends[1] {
        let words = format!("`{}` and `{}` are one node", arguments.from, arguments.to);
        return Err(BadInput(words).into());
    }
    let expected = wired.network.between(ends);
    let complete = is_complete(wired);
    let finite = |ohms: f64| Some(ohms).filter(|ohms| ohms.is_finite());
    let answer = Answer {
        from: wired.name(ends[0]),
        to: wired.name(ends[1]),
        expected_ohm: expected.and_then(|expected| finite(expected.ohms)),
        lower_ohm: expected
            .filter(|_| complete)
            .and_then(|expected| finite(expected.within[0])),
        upper_ohm: expected.and_then(|expected| finite(expected.within[1])),
        bridge: arguments
            .hertz
            .map(|hertz| Bridge::between(wired, ends, hertz)),
    };
    if arguments.json {
        writeln!(out, "{}", serde_json::to_string(&answer)?)?;
    } else {
        flowed(out, |out| {
            in_words(&answer, complete, out)?;
            let bridge = answer.bridge.as_ref();
            bridge.map_or(Ok(()), |bridge| bridge.in_words(out))
        })?;
    }
    Ok(Status::Done)
}

/// Whether all that is joined is on the list: declared so, and no end of a part without a node.
fn is_complete(wired: &Wired) -> bool {
    let complete = &wired.book.settings.complete;
    complete.holds(wired.list().iter()) && wired.network.unknown_ends().is_empty()
}

/// The node of that name.
pub(super) fn find(wired: &Wired, name: &str) -> Result<usize, BadInput> {
    let nodes = wired.network.nodes();
    nodes.named(name).ok_or_else(|| {
        let near = |other: &&str| {
            let (other, name) = (other.to_lowercase(), name.to_lowercase());
            let short = other.len().max(name.len()) < 60;
            other.contains(&name) || (short && strsim::osa_distance(&other, &name) <= 2)
        };
        let names = nodes.all().iter().map(|node| node.name.as_str());
        let near: Vec<&str> = names.filter(near).take(4).collect();
        let offer = if near.is_empty() {
            "`probewright parts check` shows them".to_owned()
        } else {
            format!("did you mean {}?", near.join(" or "))
        };
        BadInput(format!("no node `{name}` in the list; {offer}"))
    })
}

fn in_words(answer: &Answer<'_>, complete: bool, out: &mut dyn Write) -> Result<()> {
    let ohms = |value| format_value(Quantity::Resistance, value, 4);
    let Answer { from, to, .. } = answer;
    let Some(expected) = answer.expected_ohm else {
        writeln!(
            out,
            "{from} to {to}: nothing on the list joins them but capacitors, so an ohmmeter should show its overload"
        )?;
        return Ok(());
    };
    writeln!(
        out,
        "{from} to {to}: {} with every part as listed and no capacitor leaking",
        ohms(expected)
    )?;
    let upper = answer
        .upper_ohm
        .map_or("no upper limit".to_owned(), |upper| {
            format!("at most {}", ohms(upper))
        });
    match answer.lower_ohm {
        Some(lower) => writeln!(
            out,
            "with every part within its limits: at least {}, {upper}",
            ohms(lower)
        )?,
        None if complete => writeln!(out, "with every part within its limits: {upper}")?,
        None => writeln!(
            out,
            "with every part within its limits: {upper}; no lower limit, since the list is not declared complete ([network] in job.toml)"
        )?,
    }
    Ok(())
}
