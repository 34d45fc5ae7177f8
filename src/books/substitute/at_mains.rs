//! [`AtMains`]: what a capacitor at the mains is held to, whatever its value.
//!
//! Demands of a role on a substitute, by its words.

use super::want::Bears;
use crate::engine::judge::policy::RoleWords;
use crate::engine::judge::safety::{
    ClassFinding, Mains, MainsPlace, Weight, check_class, class_data, largest_capacitance,
};
use crate::engine::parts::{Kind, Part};
use crate::engine::quantity::{Rating, SafetyClass};

/// The touch current that the capacitors from line to chassis may draw together, in ampere, root mean square: parts that can be
/// touched and are not connected to protective earth (IEC 60950-1, table 5A, quoted on a public mailing list of product-safety
/// engineers). Whether an old chassis is earthed, and stays it, the list does not tell.
const TOUCH_AMPERES: f64 = 0.25e-3;

/// Demands on a capacitor at the mains.
#[derive(Debug, Clone, PartialEq)]
pub struct AtMains {
    /// Where it sits, and on what mains, as far as that is known.
    pub place: Option<(MainsPlace, Mains)>,
    /// The classes of the original: each must be covered.
    pub classes: Vec<SafetyClass>,
    /// The alternating voltage of the original, in volt.
    pub ac_volts: Option<f64>,
    /// Capacitors of the list that go from line to chassis, itself among them; zero if it does not.
    pub to_chassis: usize,
}

impl AtMains {
    /// Whether a part with that rating may be used there.
    pub(super) fn accepts(&self, rating: &Rating) -> bool {
        let covers = |wanted: &SafetyClass| {
            let mut has = rating.classes.iter();
            has.any(|class| class_data(*class).may_replace(*wanted))
        };
        let volts = rating.ac_volts.unwrap_or(0.0);
        let right_place = self.place.is_none_or(|(place, mains)| {
            check_class(rating, place, Some(mains))
                .weight()
                .is_none_or(|weight| weight == Weight::Remark)
        });
        !rating.classes.is_empty()
            && right_place
            && self.classes.iter().all(covers)
            && self.ac_volts.is_none_or(|least| volts >= least)
    }

    /// Reason against a part with that rating there, as the end of a sentence about it; `None` if nothing does, or if its
    /// place is not known to be at the mains.
    pub fn bars(&self, rating: &Rating) -> Option<String> {
        let (place, mains) = self.place?;
        if self.accepts(rating) {
            return None;
        }
        let check = check_class(rating, place, Some(mains));
        let weighty = |finding: &&ClassFinding| finding.weight() > Weight::Remark;
        let found = check.findings().iter().find(weighty);
        Some(found.map_or_else(
            || "it does not cover class and voltage of the original".to_owned(),
            ToString::to_string,
        ))
    }

    /// Whether the check of the class remarks on a part with that rating, which may be used there.
    pub(super) fn has_remark(&self, rating: &Rating) -> bool {
        self.place.is_some_and(|(place, mains)| {
            check_class(rating, place, Some(mains)).weight().is_some()
        })
    }

    /// Whether it goes, or by its class may go, from line to what can be touched.
    pub(super) fn is_to_chassis(&self) -> bool {
        match self.place {
            Some((place, _)) => place == MainsPlace::LineToChassis,
            None => self.classes.iter().any(|class| {
                class_data(*class).family == crate::engine::judge::safety::ClassFamily::Y
            }),
        }
    }

    /// The most that it may measure, in farad, so that all capacitors from line to chassis together stay at the limit of the
    /// touch current; `None` if it is no such one, or the mains is not known.
    pub(super) fn largest_farads(&self) -> Option<f64> {
        let (_, mains) = self.place.filter(|_| self.is_to_chassis())?;
        let own = TOUCH_AMPERES / self.to_chassis.max(1) as f64;
        largest_capacitance(own, mains).ok()
    }
}

/// Words of places where a part sets a frequency (common practice, no source).
const TUNED: [&str; 7] = [
    "tuned",
    "tuning",
    "padder",
    "oscillator",
    "tank",
    "trap",
    "neutralising",
];

/// Words of roles in which no more than some tens of volts stand across a resistor (common practice, no source).
const LITTLE_VOLTAGE: [&str; 9] = [
    "grid leak",
    "grid stopper",
    "stopper",
    "cathode bias",
    "cathode resistor",
    "avc",
    "agc",
    "detector load",
    "volume",
];

/// Words of roles in which hundreds of volts may (common practice, no source).
const MUCH_VOLTAGE: [&str; 6] = ["ht", "anode", "plate", "screen", "high voltage", "bleeder"];

/// Voltage across a resistor, as its role tells it.
pub(super) fn bears(part: &Part) -> Option<Bears> {
    let said =
        |words: &[&str]| part.kind == Kind::Resistor && RoleWords::of(words).fits(&part.role);
    if said(&MUCH_VOLTAGE) {
        return Some(Bears::Much);
    }
    said(&LITTLE_VOLTAGE).then_some(Bears::Little)
}

/// Words of places where a wound resistor's inductance does harm: radio frequencies and grids (common practice, no source).
const NO_INDUCTANCE: [&str; 10] = [
    "grid",
    "rf",
    "if",
    "aerial",
    "antenna",
    "oscillator",
    "tuned",
    "detector",
    "stopper",
    "snubber",
];

/// Whether it sets a frequency.
pub(super) fn is_tuned(part: &Part) -> bool {
    RoleWords::of(&TUNED).fits(&part.role)
}

/// Whether an inductance does harm there.
pub(super) fn bars_inductance(part: &Part) -> bool {
    RoleWords::of(&NO_INDUCTANCE).fits(&part.role)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::quantity::parse_rating;

    fn at(place: MainsPlace) -> AtMains {
        AtMains {
            place: Some((place, Mains::new(230.0, 50.0).unwrap())),
            classes: Vec::new(),
            ac_volts: None,
            to_chassis: 1,
        }
    }

    #[test]
    fn a_y_stands_in_for_an_x_and_never_the_other_way_round() {
        let (across, chassis) = (at(MainsPlace::AcrossLine), at(MainsPlace::LineToChassis));
        for (rating, is_across, is_chassis) in [
            ("X2 275V~", true, false),
            ("Y2 250V~", true, true),
            ("X1/Y1 400V~", true, true),
            ("Y4 125V~", false, false),
            ("X2 200V~", false, false),
            ("1000V", false, false),
            ("275V~", false, false),
        ] {
            let rating = parse_rating(rating).unwrap();
            assert_eq!(across.accepts(&rating), is_across, "{rating}");
            assert_eq!(chassis.accepts(&rating), is_chassis, "{rating}");
        }
    }

    #[test]
    fn class_and_voltage_of_the_original_are_kept() {
        let original = AtMains {
            place: None,
            classes: vec![SafetyClass::X1, SafetyClass::Y2],
            ac_volts: Some(300.0),
            to_chassis: 0,
        };
        let accepts = |text: &str| original.accepts(&parse_rating(text).unwrap());
        assert!(accepts("X1/Y2 300V~") && accepts("Y1 400V~"));
        assert!(!accepts("X1/Y2 250V~") && !accepts("X1 310V~"));
    }
}
