//! [`Function`]: how a meter measures one quantity.

use super::Fields;
use crate::engine::impedance::PairKind;
use crate::engine::meter::{Accuracy, Range, Shown};

/// A number beyond this many times the largest range comes from a damaged line.
const BEYOND: f64 = 10.0;

/// Showing of a meter with the probes in the air.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Idle {
    /// Says that it is beyond its range, as an ohmmeter does.
    Overload,
    /// Something smaller in size than this, in the SI base unit, as a capacitance meter does (the probe leads alone) and a
    /// voltmeter (next to nothing, of either sign).
    Below(f64),
}

/// Accuracy of the second value of a reply by the data sheet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SecondLimit {
    /// In per cent of the second value. Not negative.
    pub percent_of_reading: f64,
    /// In the unit of the second value (none for a loss or quality factor). Not negative.
    pub absolute: f64,
}

impl SecondLimit {
    /// Standard uncertainty at a second value of `second`, in its unit: of a value known only to lie within ± the limit
    /// a = p·|x|/100 + b, evenly likely, a/√3 (JCGM 100:2008, 4.3.7, from memory).
    pub fn standard_uncertainty(&self, second: f64) -> f64 {
        (self.percent_of_reading * second.abs() / 100.0 + self.absolute) / 3.0_f64.sqrt()
    }
}

/// Function by which a meter measures one quantity.
#[derive(Debug, Clone, PartialEq)]
pub struct Function {
    /// Commands that choose the function, without line endings.
    pub setup: Vec<String>,
    /// The question for a reading, without line ending; empty for a talk-only meter.
    pub query: String,
    /// Content of the reply.
    pub fields: Fields,
    /// The pair that value and second value are, as the reply holds them or as they are derived from it; `None` where they
    /// are none that tells an impedance.
    pub pair: Option<PairKind>,
    /// Showing with the probes in the air.
    pub idle: Idle,
    /// The accuracy table, smallest range first; never empty.
    pub ranges: Vec<Range>,
    /// The test frequency of a capacitance, an inductance or an alternating-current resistance, in hertz, if the profile states it.
    pub frequency: Option<f64>,
    /// Accuracy of the second value by the data sheet, if the profile states it.
    pub second_limit: Option<SecondLimit>,
    /// The meter's own resistance while it measures a voltage, in ohm, if the profile states it.
    pub input_ohms: Option<f64>,
}

impl Function {
    /// Whether a meter with these ranges can show it: up to [`BEYOND`] times the largest. What is derived from an impedance has
    /// no such end.
    pub fn can_show(&self, shown: Shown) -> bool {
        let largest = self
            .ranges
            .last()
            .map_or(f64::INFINITY, |range| range.up_to);
        match shown {
            Shown::Value(value) if self.fields.derivation.as_ref().is_none() => {
                value.abs() <= BEYOND * largest
            }
            _ => true,
        }
    }

    /// See [`Profile::accuracy`](super::Profile::accuracy).
    pub fn accuracy(&self, value: f64) -> Option<Accuracy> {
        let size = value.is_finite().then(|| value.abs())?;
        let range = self
            .ranges
            .iter()
            .find(|range| range.up_to >= size)
            .or(self.ranges.last())?;
        Some(range.accuracy(value))
    }
}

#[cfg(test)]
mod tests {
    use crate::engine::meter::Profile;
    use crate::engine::quantity::Quantity::{Resistance, Voltage};

    /// A profile in which `line` stands in the function of `quantity`.
    fn profile(quantity: &str, line: &str) -> Result<Profile, String> {
        let text = format!(
            "format = 1\ntitle = \"x\"\nmode = \"talk\"\n[line]\nbaud = 2400\n[timing]\nsilent_after_s = 2\n\
             [function.{quantity}]\n{line}\nidle = {{ below = 0.2 }}\n\
             range = [{{ up_to = 1e3, resolution = 0.01, counts = 2 }}]\n"
        );
        Profile::parse(&text, "x").map_err(|error| error.to_string())
    }

    #[test]
    fn the_input_resistance_is_known_where_it_is_stated() {
        let stated = profile("voltage", "input_megohm = 1.1").unwrap();
        let ohms = stated.function(Voltage).unwrap().input_ohms;
        assert!(ohms.is_some_and(|ohms| (ohms - 1.1e6).abs() < 1e-6));
        let silent = profile("voltage", "").unwrap();
        assert_eq!(silent.function(Voltage).unwrap().input_ohms, None);
        assert!(silent.function(Resistance).is_none());
    }

    #[test]
    fn an_input_resistance_that_cannot_be_is_found() {
        let nothing = profile("voltage", "input_megohm = 0").unwrap_err();
        assert!(nothing.contains("`input_megohm` is 0"), "{nothing}");
        let elsewhere = profile("resistance", "input_megohm = 10").unwrap_err();
        assert!(
            elsewhere.contains("belongs to `[function.voltage]`"),
            "{elsewhere}"
        );
    }
}
