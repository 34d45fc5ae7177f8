//! What a [`Measurement`] says to people: its value, and how far that is off.

use super::{Found, Measurement};
use crate::quantity::{format_value, format_with_uncertainty};

impl Measurement {
    /// The value with its expanded uncertainty U = 2 u: `5.312 kΩ ± 0.012 kΩ`; or `open`, `beyond range`. Empty where the
    /// row has no number.
    pub fn words(&self) -> String {
        match self.found {
            Found::Open => "open".to_owned(),
            Found::BeyondRange => "beyond range".to_owned(),
            Found::Value => {
                let words = self.figures.and_then(|figures| {
                    let u = figures.uncertainty.unwrap_or(0.0);
                    let value = figures.value?;
                    Some(format_with_uncertainty(figures.quantity, value, 2.0 * u))
                });
                words.unwrap_or_default()
            }
        }
    }

    /// How far the value lies from the nominal one, in per cent of that; `None` without either, and where there is only an
    /// upper limit.
    pub fn percent_off(&self) -> Option<f64> {
        let figures = self.figures?;
        figures.lower?;
        Some(100.0 * self.share()? - 100.0)
    }

    /// How far it is off, for people: `+13.0 % of 4.7 kΩ`, or `130 % of what is allowed` where there is only an upper limit.
    pub fn deviation(&self) -> Option<String> {
        let figures = self.figures?;
        if let Some(off) = self.percent_off() {
            let nominal = format_value(figures.quantity, figures.nominal?, 4);
            return Some(format!("{off:+.1} % of {nominal}"));
        }
        Some(format!("{:.0} % of what is allowed", 100.0 * self.share()?))
    }

    /// The value as a share of the nominal one.
    fn share(&self) -> Option<f64> {
        let figures = self.figures?;
        let share = figures.value? / figures.nominal?;
        share.is_finite().then_some(share)
    }
}

#[cfg(test)]
mod tests {
    use chrono::DateTime;

    use super::*;
    use crate::judge::Verdict;
    use crate::ledger::Figures;
    use crate::quantity::Quantity;

    fn measured(found: Found, lower: Option<f64>) -> Measurement {
        Measurement {
            time: DateTime::parse_from_rfc3339("2056-11-03T19:25:30Z").unwrap(),
            sitting: String::new(),
            designator: "R4".to_owned(),
            step: "value".to_owned(),
            kind: "resistor".to_owned(),
            listed: "4K7".to_owned(),
            in_circuit: false,
            attempt: 1,
            found,
            figures: Some(Figures {
                quantity: Quantity::Resistance,
                value: Some(5311.0),
                uncertainty: Some(6.0),
                nominal: Some(4700.0),
                lower,
                upper: Some(5170.0),
                guard: Some(12.0),
            }),
            probability: None,
            verdict: Verdict::Fail,
            reason: String::new(),
            checks: String::new(),
            rule: "guard-band".to_owned(),
            readings: 10,
        }
    }

    #[test]
    fn a_value_is_told_with_its_expanded_uncertainty_and_how_far_it_is_off() {
        let one = measured(Found::Value, Some(4230.0));
        assert_eq!(one.words(), "5.311 kΩ ± 0.012 kΩ");
        assert_eq!(one.deviation().as_deref(), Some("+13.0 % of 4.7 kΩ"));
        let limited = measured(Found::Value, None);
        assert_eq!(
            limited.deviation().as_deref(),
            Some("113 % of what is allowed")
        );
        assert_eq!(limited.percent_off(), None);
    }

    #[test]
    fn what_has_no_number_is_told_in_words() {
        let mut one = measured(Found::Open, Some(4230.0));
        one.figures = None;
        assert_eq!((one.words().as_str(), one.deviation()), ("open", None));
        one.found = Found::BeyondRange;
        assert_eq!(one.words(), "beyond range");
        one.found = Found::Value;
        assert_eq!(one.words(), "");
    }
}
