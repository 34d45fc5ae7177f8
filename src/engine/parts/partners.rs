//! [`Partners`]: the parts that a part works with, and the voltages there.

use std::fmt;

use crate::engine::quantity::{Drawing, Quantity, format_value, parse_value};

/// What the column `with` says: `R8`, `R4 250V`. Nothing by default.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Partners {
    designators: Vec<String>,
    volts: Vec<f64>,
}

impl Partners {
    /// Words that are parted by blanks. One that begins with a figure or a sign and ends with `V` is a voltage, any other a
    /// designator; whether the list has it is not looked at here.
    pub(super) fn read(text: &str) -> Self {
        let mut partners = Self::default();
        for word in text.split_whitespace() {
            match volts(word) {
                Some(volts) => partners.volts.push(volts),
                None => partners.designators.push(word.to_owned()),
            }
        }
        partners
    }

    /// The designators, as written and in their order.
    pub fn designators(&self) -> impl Iterator<Item = &str> {
        self.designators.iter().map(String::as_str)
    }

    /// Whether this designator is among them, upper and lower case alike.
    pub fn name(&self, designator: &str) -> bool {
        self.designators()
            .any(|name| name.eq_ignore_ascii_case(designator))
    }

    /// The voltage, in volt, if exactly one is stated.
    pub fn volts(&self) -> Option<f64> {
        match self.volts[..] {
            [volts] => Some(volts),
            _ => None,
        }
    }
}

impl fmt::Display for Partners {
    /// The designators, then the voltages: `R4 250 V`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let volts = self
            .volts
            .iter()
            .map(|volts| format_value(Quantity::Voltage, *volts, 6));
        let words = self.designators.iter().cloned().chain(volts);
        f.write_str(&words.collect::<Vec<_>>().join(" "))
    }
}

/// A designator such as `V1` begins with a letter.
fn volts(word: &str) -> Option<f64> {
    let begins = word.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '.' | '-' | '+'));
    if !begins || !word.ends_with(['V', 'v']) {
        return None;
    }
    let value = parse_value(word, Some(Quantity::Voltage), Drawing::default()).ok()?;
    Some(value.amount.value())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn voltages_are_told_from_designators() {
        let partners = Partners::read(" R8  V1 12.9V ");
        assert_eq!(partners.designators().collect::<Vec<_>>(), ["R8", "V1"]);
        assert_eq!(partners.volts(), Some(12.9));
        assert!(partners.name("r8") && !partners.name("R80"));
        assert_eq!(partners.to_string(), "R8 V1 12.9 V");
        assert_eq!(Partners::read("-12V").volts(), Some(-12.0));
    }

    #[test]
    fn two_voltages_are_none() {
        assert_eq!(Partners::read("12V 13V").volts(), None);
        assert_eq!(Partners::read(""), Partners::default());
    }
}
