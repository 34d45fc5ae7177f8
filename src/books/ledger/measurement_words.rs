//! What a [`Measurement`] says to people: its value, and how far that is off.

use super::{Found, Measurement};
use crate::engine::judge::{Aspect, Verdict};
use crate::engine::quantity::{format_value, format_with_uncertainty};

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

    /// How it compares, for people: `+13.0 % of 4.7 kΩ`; `130 % of what is allowed` where there is only an upper limit; `listed
    /// 4.7 kΩ` for what is open; or else why it is judged as it is. What is inconclusive says that too.
    pub fn comparison(&self) -> String {
        let nominal = self.figures.and_then(|figures| {
            let nominal = figures.nominal?;
            Some(format_value(figures.quantity, nominal, 4))
        });
        let words = match (self.percent_off(), self.share(), nominal) {
            (Some(off), _, Some(nominal)) => format!("{off:+.1} % of {nominal}"),
            (None, Some(share), _) => format!("{:.0} % of what is allowed", 100.0 * share),
            (_, _, Some(nominal)) if self.found == Found::Open => format!("listed {nominal}"),
            _ => return self.reason.clone(),
        };
        if self.reason.starts_with(Aspect::SafetyClass.name()) {
            format!("{}; {words}", self.reason)
        } else if self.verdict == Verdict::Inconclusive {
            format!("{words}; {}", self.reason)
        } else {
            words
        }
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
    use crate::books::ledger::Figures;
    use crate::engine::quantity::Quantity;

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
            reason: "above its band".to_owned(),
            checks: String::new(),
            rule: "guard-band".to_owned(),
            readings: 10,
        }
    }

    #[test]
    fn a_value_is_told_with_its_expanded_uncertainty_and_how_far_it_is_off() {
        let one = measured(Found::Value, Some(4230.0));
        assert_eq!(one.words(), "5.311 kΩ ± 0.012 kΩ");
        assert_eq!(one.comparison(), "+13.0 % of 4.7 kΩ");
        let limited = measured(Found::Value, None);
        assert_eq!(limited.comparison(), "113 % of what is allowed");
        assert_eq!(limited.percent_off(), None);
        let doubtful = Measurement {
            verdict: Verdict::Inconclusive,
            ..one
        };
        assert_eq!(doubtful.comparison(), "+13.0 % of 4.7 kΩ; above its band");
    }

    #[test]
    fn what_has_no_number_is_told_in_words() {
        let mut one = measured(Found::Open, Some(4230.0));
        one.figures = one.figures.map(|figures| Figures {
            value: None,
            ..figures
        });
        assert_eq!(one.words(), "open");
        assert_eq!(one.comparison(), "listed 4.7 kΩ");
        one.figures = None;
        one.reason = "why".to_owned();
        assert_eq!(one.comparison(), "why");
        one.found = Found::BeyondRange;
        assert_eq!(one.words(), "beyond range");
        one.found = Found::Value;
        assert_eq!(one.words(), "");
    }
}
