//! [`LargestRule`]: how large a capacitor may be that stands in for another.

use super::file;
use super::role_words::RoleWords;
use crate::engine::parts::{Kind, Part};
use crate::engine::quantity::{Drawing, Quantity, parse_value};
use crate::engine::source::{TextError, TomlText};

/// Largest value as a rule states it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum LargestValue {
    /// A capacitance, in farad, over zero: what the data sheet of a rectifier allows.
    Farads(f64),
    /// Multiple of the nominal value, one or more.
    Factor(f64),
}

/// Largest capacitor that may stand in for one of that role.
#[derive(Debug, Clone, PartialEq)]
pub struct LargestRule {
    /// Words in the role of such a capacitor.
    pub words: RoleWords,
    /// Largest value that is allowed.
    pub value: LargestValue,
    /// The reason, for people.
    pub reason: String,
    /// Where the rule is from.
    pub source: String,
}

impl LargestRule {
    /// Whether `part` is such a capacitor.
    pub fn fits(&self, part: &Part) -> bool {
        part.kind == Kind::Capacitor && self.words.fits(&part.role)
    }

    /// The largest nominal value that may stand in for one of `nominal_farad`, in farad.
    pub fn farads(&self, nominal_farad: f64) -> f64 {
        match self.value {
            LargestValue::Farads(farads) => farads,
            LargestValue::Factor(factor) => factor * nominal_farad,
        }
    }

    pub(super) fn check(source: TomlText<'_>, file: &file::Largest) -> Result<Self, TextError> {
        let value = match (&file.value, &file.factor) {
            (Some(text), None) => {
                let read = parse_value(
                    text.get_ref(),
                    Some(Quantity::Capacitance),
                    Drawing::default(),
                );
                let farads = read.map(|value| value.amount.value());
                LargestValue::Farads(
                    farads
                        .map_err(|_| source.fault("value", text, "a capacitance such as `50uF`"))?,
                )
            }
            (None, Some(factor)) => LargestValue::Factor(source.at_least(
                "factor",
                factor,
                1.0,
                "a number not below 1",
            )?),
            (Some(text), Some(_)) => {
                return Err(source.fault("value", text, "either this or factor in one rule"));
            }
            (None, None) => {
                return Err(source.fault(
                    "reason",
                    &file.reason,
                    "value or factor in the same rule",
                ));
            }
        };
        Ok(Self {
            words: RoleWords::check(source, &file.words)?,
            value,
            reason: source.words("reason", &file.reason)?,
            source: source.words("source", &file.source)?,
        })
    }
}

#[cfg(test)]
mod tests {
    use crate::engine::judge::Policy;
    use crate::engine::parts::{Kind, Part};
    use crate::engine::quantity::{Amount, Quantity, Tolerance};

    fn largest(limit: &str, role: &str) -> Option<f64> {
        let text =
            format!("[[largest]]\nwords = ['reservoir']\nreason = 'x'\nsource = 'x'\n{limit}");
        let nominal = Amount::new(Quantity::Capacitance, 32e-6).unwrap();
        let tolerance = Tolerance::symmetric(20.0).unwrap();
        let mut part = Part::new("C1", Kind::Capacitor, nominal, tolerance);
        part.role = role.to_owned();
        let policy = Policy::parse(&text).unwrap();
        policy.largest_for(&part).map(|rule| rule.farads(32e-6))
    }

    #[test]
    fn a_value_holds_as_it_is_and_a_factor_by_the_part() {
        assert_eq!(largest("value = '50uF'", "reservoir"), Some(50e-6));
        assert_eq!(largest("factor = 2", "first reservoir"), Some(64e-6));
        assert_eq!(largest("factor = 2", "smoothing"), None);
        assert_eq!(
            Policy::default().largest_for(&Part::new(
                "C1",
                Kind::Capacitor,
                Amount::new(Quantity::Capacitance, 32e-6).unwrap(),
                Tolerance::symmetric(20.0).unwrap(),
            )),
            None
        );
    }

    #[test]
    fn what_is_no_limit_is_refused_in_its_line() {
        let said = |rule: &str| {
            let text =
                format!("[[largest]]\nwords = ['reservoir']\n{rule}\nreason = 'x'\nsource = 'x'\n");
            Policy::parse(&text).unwrap_err().to_string()
        };
        assert!(said("value = '50V'").contains("policy.toml:3:"));
        assert!(said("value = '50V'").contains("such as `50uF`"));
        assert!(said("factor = 0.5").contains("not below 1"));
        assert!(said("").contains("value or factor"));
        assert!(said("value = '50uF'\nfactor = 2").contains("either this or"));
    }
}
