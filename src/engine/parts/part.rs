//! [`Part`]: one row of the parts list, understood.
//!
//! [`Partners`]: the parts that a part works with, and the voltages there.
//!
//! [`Choice`]: what can be decided about a part.

use std::fmt;
use std::str::FromStr;

use strum::{Display, IntoStaticStr, VariantArray};
use thiserror::Error;

use super::{Kind, Law, Material, Sheet, Step, Title};
use crate::engine::quantity::{
    Amount, Band, Drawing, Quantity, Rating, Remark, Tolerance, format_value, parse_value,
};

/// Origin of a part's tolerance.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Display)]
#[strum(serialize_all = "lowercase")]
pub enum ToleranceOrigin {
    /// The list states it.
    Stated,
    /// The value states it: `473K`, `10K 5%`.
    #[strum(to_string = "in the value")]
    Marked,
    /// Of a part that has only to conduct: its limit follows from the rating printed on it.
    Rating,
    /// Neither does: it is the default of the kind and material.
    Default,
}

/// One part of the equipment.
#[derive(Debug, Clone, PartialEq)]
pub struct Part {
    /// Reference designator, as printed in the maker's list: `R12`, `C4`, `T1.pri`.
    pub designator: String,
    /// Sort of component, which says what is measured.
    pub kind: Kind,
    /// The measurement that the nominal value and the band are about; of a row of the list the value.
    pub step: Step,
    /// Further measurements of it.
    pub also: Vec<Step>,
    /// Nominal value; of a part that has only to conduct, the largest resistance it may have.
    pub nominal: Amount,
    /// The value as the list writes it; may be empty for a part that has only to conduct.
    pub value_text: String,
    /// Limits of what it may deviate from the nominal value.
    pub tolerance: Tolerance,
    /// Where the tolerance came from.
    pub tolerance_origin: ToleranceOrigin,
    /// The values that conform: nominal value with its tolerance applied.
    pub band: Band,
    /// Voltage, power and safety class, as far as stated.
    pub rating: Rating,
    /// Material, if stated.
    pub material: Option<Material>,
    /// The largest loss factor tan δ it may have, if stated: a plain number over zero.
    pub loss_limit: Option<f64>,
    /// The largest leakage it may have, in ampere, if stated: over zero.
    pub leakage_limit_ampere: Option<f64>,
    /// The frequency at which the loss limit holds, in hertz, if stated: over zero.
    pub loss_frequency_hertz: Option<f64>,
    /// Law by which the resistance of a potentiometer follows the travel of its wiper, if stated.
    pub law: Option<Law>,
    /// The meter that a service sheet's voltage was measured with, if stated; points only.
    pub sheet: Option<Sheet>,
    /// Load on the secondary of a transformer, in ohm, if stated: over zero; ratios only.
    pub load_ohm: Option<f64>,
    /// The largest value that may stand in for it, if stated: not below the nominal one; capacitors only.
    pub largest: Option<Amount>,
    /// The parts that it works with, and voltages there, if stated.
    pub partners: Partners,
    /// Role in the circuit, as the list words it; empty if not stated.
    pub role: String,
    /// The circuit node at its one end; empty if not stated.
    pub from: String,
    /// The circuit node at its other end; empty if not stated.
    pub to: String,
    /// Still connected on both sides: a parallel path may disturb the reading.
    pub in_circuit: bool,
    /// The list says that it is not: a lead of it is lifted. A blank cell says neither.
    pub is_lifted: bool,
    /// Anything the person noted; empty if nothing.
    pub note: String,
    /// The sub-assembly that it belongs to, such as a tone switch board; empty if not stated.
    pub group: String,
    /// Decisions that reading the row took.
    pub remarks: Vec<Remark>,
    /// The line of the file that the row begins on, counted from one; zero for a part that comes from no file.
    pub row: usize,
}

impl Part {
    /// A part of which no more is known than this; its band follows from nominal value and tolerance.
    pub fn new(
        designator: impl Into<String>,
        kind: Kind,
        nominal: Amount,
        tolerance: Tolerance,
    ) -> Self {
        Self {
            designator: designator.into(),
            kind,
            step: Step::Value,
            also: Vec::new(),
            nominal,
            value_text: nominal.to_string(),
            tolerance,
            tolerance_origin: ToleranceOrigin::Stated,
            band: tolerance.band(nominal),
            rating: Rating::default(),
            material: None,
            loss_limit: None,
            leakage_limit_ampere: None,
            loss_frequency_hertz: None,
            law: None,
            sheet: None,
            load_ohm: None,
            largest: None,
            partners: Partners::default(),
            role: String::new(),
            from: String::new(),
            to: String::new(),
            in_circuit: false,
            is_lifted: false,
            note: String::new(),
            group: String::new(),
            remarks: Vec::new(),
            row: 0,
        }
    }

    /// A further measurement of it as a part of its own, with that nominal value; the band follows from the tolerance.
    #[must_use]
    pub fn further(&self, step: Step, nominal: Amount, tolerance: Tolerance) -> Self {
        Self {
            step,
            also: Vec::new(),
            nominal,
            tolerance,
            band: tolerance.band(nominal),
            ..self.clone()
        }
    }

    /// The quantity that a touch for this measurement of it reads: that of the nominal value, but for a ratio an alternating voltage.
    pub const fn measured(&self) -> Quantity {
        match self.kind {
            Kind::Ratio => Quantity::AcVoltage,
            _ => self.nominal.quantity(),
        }
    }

    /// Names this measurement of it.
    pub fn title(&self) -> Title {
        Title::of(&self.designator, self.step)
    }
}

/// Parts and voltage of the column `with`: `R8`, `R4 250V`. Nothing by default.
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

/// A decision about a part.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, serde::Serialize, serde::Deserialize,
)]
#[serde(rename_all = "lowercase")]
#[derive(Display, IntoStaticStr, VariantArray)]
#[strum(serialize_all = "lowercase")]
pub enum Choice {
    /// Stays, since it is good.
    Keep,
    /// Is to be replaced.
    Replace,
    /// A new one is on order.
    Order,
    /// A new one was put in.
    Fitted,
    /// Stays although it is not good, knowingly.
    Accept,
}

/// A word that is no decision.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("found `{found}`, expected keep, replace, order, fitted or accept")]
pub struct UnknownChoice {
    pub found: String,
}

words!(Choice: ALL, name);

impl Choice {
    /// Its meaning for the part.
    pub const fn meaning(self) -> &'static str {
        match self {
            Self::Keep => "it stays, since it is good",
            Self::Replace => "it is to be replaced",
            Self::Order => "a new one is on order",
            Self::Fitted => {
                "a new one was put in; earlier measurements no longer count, and it is to be measured"
            }
            Self::Accept => "it stays although it is not good, knowingly; needs a reason",
        }
    }

    /// Whether it must be given a reason: what stays although it is not good must.
    pub const fn needs_reason(self) -> bool {
        matches!(self, Self::Accept)
    }
}

impl FromStr for Choice {
    type Err = UnknownChoice;

    fn from_str(text: &str) -> Result<Self, UnknownChoice> {
        let word = text.trim();
        let found = Self::ALL
            .into_iter()
            .find(|choice| choice.name().eq_ignore_ascii_case(word));
        found.ok_or_else(|| UnknownChoice {
            found: word.to_owned(),
        })
    }
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
