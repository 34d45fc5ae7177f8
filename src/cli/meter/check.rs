//! `meter check FILE`: reads a device profile and says what was understood.

use std::fmt;
use std::io::Write;
use std::path::Path;

use anyhow::Context as _;

use crate::bench::profile::read_text;
use crate::engine::meter::{
    Field, Function, Identify, Idle, Mode, Profile, SecondLimit, shipped_profile,
};
use crate::engine::quantity::Quantity;

/// Reads the profile at `path` (or the shipped one of that name) and writes what was understood to `out`.
///
/// # Errors
/// If the file cannot be read or the output not be written; a [`TextError`](crate::engine::source::TextError) if the profile cannot be used.
pub(crate) fn run(path: &Path, out: &mut dyn Write) -> anyhow::Result<()> {
    let name = path.display().to_string();
    let profile = if let Some(shipped) = shipped_profile(&name).filter(|_| !path.exists()) {
        Profile::parse(shipped.text, shipped.name)?
    } else {
        let text = read_text(path)?;
        Profile::parse(&text, &name)?
    };
    describe(&profile, out).context("cannot write the description")
}

fn describe(profile: &Profile, out: &mut dyn Write) -> std::io::Result<()> {
    writeln!(out, "{}: good", profile.name)?;
    writeln!(out, "{}", profile.title)?;
    writeln!(
        out,
        "line: {}, replies of at most {} bytes",
        profile.line, profile.line.longest_reply
    )?;
    match profile.mode {
        Mode::Query => describe_query(profile, out)?,
        Mode::Talk => {
            let after = profile.timing.silent_after.as_secs_f64();
            writeln!(
                out,
                "mode: the meter sends by itself; silent after {after} s without a line"
            )?;
        }
    }
    writeln!(
        out,
        "  a part must be below {} V before ohms, farads or henrys (`residual_v`; not the input protection of the manual)",
        profile.residual_volts
    )?;
    for (quantity, function) in profile.functions() {
        describe_function(quantity, function, out)?;
    }
    Ok(())
}

fn describe_query(profile: &Profile, out: &mut dyn Write) -> std::io::Result<()> {
    let (timing, ending) = (profile.timing, profile.line.ending.name());
    writeln!(
        out,
        "mode: asked for each reading, commands end in {ending}; answer within {} s, pause {} s",
        timing.answer_within.as_secs_f64(),
        timing.pause.as_secs_f64()
    )?;
    match profile.identify.as_ref() {
        Some(identify) => writeln!(
            out,
            "identification: {}, {}",
            identify.query,
            expectation(identify)
        )?,
        None => {
            writeln!(
                out,
                "identification: none; after a time-out the program waits for a quiet line, which is weaker"
            )?;
        }
    }
    match profile.errors.as_ref() {
        Some(errors) => writeln!(out, "error queue: {}", errors.query),
        None => writeln!(out, "error queue: none; a refused command stays unnoticed"),
    }
}

fn expectation(identify: &Identify) -> String {
    identify.expect.as_ref().map_or_else(
        || "any answer of four fields".to_owned(),
        |text| format!("the answer contains `{text}`"),
    )
}

fn describe_function(
    quantity: Quantity,
    function: &Function,
    out: &mut dyn Write,
) -> std::io::Result<()> {
    writeln!(out, "\n{quantity}")?;
    if !function.setup.is_empty() {
        writeln!(out, "  set-up: {}", function.setup.join(" | "))?;
    }
    if !function.query.is_empty() {
        writeln!(out, "  question: {}", &function.query)?;
    }
    if let Some(hertz) = function.frequency {
        writeln!(out, "  test frequency: {hertz} Hz")?;
    }
    if let Some(pair) = function.pair {
        let derived = match function.fields.derivation.as_ref() {
            Some(_) => ", derived from the impedance in the reply",
            None => "",
        };
        writeln!(out, "  pair: {pair}{derived}")?;
    }
    if let Some(second) = function.fields.second_is() {
        let limit = function
            .second_limit
            .map(|limit| second_limit(limit, second))
            .unwrap_or_default();
        writeln!(out, "  second value: {}{limit}", second.words())?;
    }
    match function.idle {
        Idle::Overload => writeln!(out, "  probes in the air: overload")?,
        Idle::Below(limit) => writeln!(out, "  probes in the air: below {}", Si(limit, quantity))?,
    }
    writeln!(
        out,
        "  {:>12}  {:>12}  {:>20}",
        "up to", "one count", "± at full scale"
    )?;
    for range in &function.ranges {
        let limit = Si(range.accuracy(range.up_to).limit, quantity);
        let percent = 100.0 * limit.0 / range.up_to;
        let (up_to, count) = (
            Si(range.up_to, quantity).to_string(),
            Si(range.resolution, quantity).to_string(),
        );
        writeln!(
            out,
            "  {up_to:>12}  {count:>12}  {:>20}",
            format!("{limit} ({percent:.2} %)")
        )?;
    }
    Ok(())
}

/// `, ± (2 % of it + 0.001)`
fn second_limit(limit: SecondLimit, second: Field) -> String {
    let SecondLimit {
        percent_of_reading: percent,
        absolute,
    } = limit;
    let unit = second
        .unit_of()
        .map(|quantity| format!(" {}", quantity.symbol()))
        .unwrap_or_default();
    match (percent > 0.0, absolute > 0.0) {
        (true, true) => format!(", ± ({percent} % of it + {absolute}{unit})"),
        (true, false) => format!(", ± {percent} % of it"),
        (false, _) => format!(", ± {absolute}{unit}"),
    }
}

/// A value with SI prefix and unit, to four figures.
struct Si(f64, Quantity);

impl fmt::Display for Si {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        const PREFIXES: [(f64, &str); 9] = [
            (1e9, "G"),
            (1e6, "M"),
            (1e3, "k"),
            (1.0, ""),
            (1e-3, "m"),
            (1e-6, "µ"),
            (1e-9, "n"),
            (1e-12, "p"),
            (1e-15, "f"),
        ];
        let Self(value, quantity) = self;
        let (unit, prefix) = PREFIXES
            .into_iter()
            .find(|(unit, _)| value.abs() >= unit * 0.999_95)
            .unwrap_or((1e-15, "f"));
        // Four figures: printed in exponent form first, then as short as it goes.
        let figures: f64 = format!("{:.3e}", value / unit)
            .parse()
            .map_err(|_| fmt::Error)?;
        write!(f, "{figures} {prefix}{}", quantity.symbol())
    }
}

#[cfg(test)]
mod tests {
    use super::{Si, run};
    use crate::engine::quantity::Quantity::{Capacitance, Resistance};
    use crate::engine::source::TextError;
    use std::path::Path;

    #[test]
    fn values_are_written_with_prefix_and_unit() {
        for (value, expected) in [
            (100.0, "100 Ω"),
            (10e3, "10 kΩ"),
            (999.99, "1 kΩ"),
            (0.01, "10 mΩ"),
            (3.5, "3.5 Ω"),
            (1e12, "1000 GΩ"),
        ] {
            assert_eq!(Si(value, Resistance).to_string(), expected);
        }
        assert_eq!(Si(5e-12, Capacitance).to_string(), "5 pF");
    }

    #[test]
    fn a_good_profile_is_described_with_its_accuracy_at_full_scale() {
        let mut out = Vec::new();
        run(Path::new("talk-only-line-meter"), &mut out).unwrap();
        let text = String::from_utf8(out).unwrap();
        assert!(text.starts_with("talk-only-line-meter: good\n"), "{text}");
        assert!(
            text.contains("line: 2400 baud, 8N1, flow control none, replies of at most 64 bytes\n"),
            "{text}"
        );
        assert!(text.contains("probes in the air: below 200 pF\n"), "{text}");
        // 1 % of 500 ohm and 5 counts of 0.1 ohm.
        assert!(
            text.contains("500 Ω        100 mΩ        5.5 Ω (1.10 %)\n"),
            "{text}"
        );
    }

    #[test]
    fn test_frequency_and_second_value_are_described() {
        let mut out = Vec::new();
        run(Path::new("scpi-lcr-meter"), &mut out).unwrap();
        let text = String::from_utf8(out).unwrap();
        let (_, coil) = text.split_once("\ninductance\n").unwrap();
        assert!(coil.contains("  test frequency: 1000 Hz\n"), "{text}");
        assert!(
            coil.contains("  second value: quality factor, ± 2 % of it\n"),
            "{text}"
        );
        assert!(
            text.contains("loss factor tan δ, ± (2 % of it + 0.001)\n"),
            "{text}"
        );
        let mut out = Vec::new();
        run(Path::new("scpi-multimeter"), &mut out).unwrap();
        let text = String::from_utf8(out).unwrap();
        assert!(
            text.contains("\nvoltage\n  set-up: CONF:VOLT:DC\n"),
            "{text}"
        );
        assert!(text.contains("probes in the air: below 200 mV\n"), "{text}");
    }

    #[test]
    fn a_bad_profile_is_told_from_a_missing_file() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("bad.toml");
        std::fs::write(&path, "format = 1\ntitle = \n").unwrap();
        let error = run(&path, &mut Vec::new()).unwrap_err();
        assert!(
            error
                .downcast_ref::<TextError>()
                .is_some_and(|e| e.to_string().contains("bad.toml:2:9")),
            "{error:#}"
        );
        let error = run(&folder.path().join("none.toml"), &mut Vec::new()).unwrap_err();
        assert!(error.downcast_ref::<TextError>().is_none());
    }
}
