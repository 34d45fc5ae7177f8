//! [`check_class`]: a capacitor's rating against the place and the mains it is used at.

use super::{ClassFamily, ClassFinding, Mains, MainsPlace, Weight, class_data};
use crate::engine::quantity::{Rating, SafetyClass};

/// Everything that was found about the marking of one mains capacitor, faults first.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ClassCheck {
    findings: Vec<ClassFinding>,
}

/// Checks `rating` for a capacitor at `place` in equipment for `mains`, `None` where that is not stated.
///
/// Family of class, rated alternating voltage against the nominal mains voltage, and whether class and voltage can belong
/// together (IEC 60384-14 as quoted, see [`class_data()`]). Several classes (`X1/Y2`) count by the one that suits best.
pub fn check_class(rating: &Rating, place: MainsPlace, mains: Option<Mains>) -> ClassCheck {
    let mut findings = Vec::new();
    findings.extend(family_findings(&rating.classes, place));
    match mains {
        _ if place == MainsPlace::Unknown => {}
        Some(mains) => findings.extend(voltage_findings(rating, mains)),
        None if rating.classes.is_empty() => {}
        None => findings.push(ClassFinding::MainsNotStated),
    }
    findings.extend(withdrawn(&rating.classes));
    findings.sort_by_key(|finding| std::cmp::Reverse(finding.weight()));
    ClassCheck { findings }
}

impl ClassCheck {
    /// The findings, faults first.
    pub fn findings(&self) -> &[ClassFinding] {
        &self.findings
    }

    /// The weightiest finding; `None` if there is nothing to say.
    pub fn weight(&self) -> Option<Weight> {
        self.findings.iter().map(ClassFinding::weight).max()
    }
}

/// Verdict on the classes at this place.
fn family_findings(classes: &[SafetyClass], place: MainsPlace) -> Option<ClassFinding> {
    if classes.is_empty() {
        return Some(ClassFinding::NoClass { place });
    }
    let marked = classes.to_vec();
    match (best_y(classes), place) {
        (None, MainsPlace::LineToChassis) => Some(ClassFinding::WrongClass {
            place,
            classes: marked,
        }),
        (None, MainsPlace::Unstated | MainsPlace::Unknown) => {
            Some(ClassFinding::PlaceUnstated { classes: marked })
        }
        (None, MainsPlace::AcrossLine) => None,
        (Some(class), MainsPlace::AcrossLine) => {
            let only_y = classes.iter().all(|class| is_y(*class));
            only_y.then_some(ClassFinding::StandsIn { class })
        }
        (Some(class), MainsPlace::LineToChassis | MainsPlace::Unstated | MainsPlace::Unknown) => {
            let basic = !class_data(class).reinforced;
            basic.then_some(ClassFinding::BasicInsulationOnly { class })
        }
    }
}

/// Findings on the rated voltage.
fn voltage_findings(rating: &Rating, mains: Mains) -> Vec<ClassFinding> {
    let mains_volts = mains.volts();
    let Some(ac_volts) = rating.ac_volts else {
        return vec![match rating.dc_volts {
            Some(dc_volts) => ClassFinding::DirectVoltageOnly {
                dc_volts,
                mains_volts,
            },
            None => ClassFinding::NoVoltage { mains_volts },
        }];
    };
    let mut findings = Vec::new();
    if ac_volts < mains_volts {
        findings.push(ClassFinding::VoltageTooLow {
            ac_volts,
            mains_volts,
        });
    }
    let unlike = |class: &&SafetyClass| {
        let rated = class_data(**class).rated;
        rated.is_some_and(|rated| !rated.contains(ac_volts))
    };
    let unlike = rating.classes.iter().filter(unlike);
    findings.extend(unlike.map(|class| ClassFinding::VoltageUnlikeClass {
        class: *class,
        ac_volts,
    }));
    findings
}

fn withdrawn(classes: &[SafetyClass]) -> impl Iterator<Item = ClassFinding> {
    let withdrawn = classes.iter().filter(|class| class_data(**class).withdrawn);
    withdrawn.map(|class| ClassFinding::Withdrawn { class: *class })
}

/// The Y class that bridges the most.
fn best_y(classes: &[SafetyClass]) -> Option<SafetyClass> {
    // The order of the enumeration is the order of strength.
    classes.iter().copied().filter(|class| is_y(*class)).min()
}

fn is_y(class: SafetyClass) -> bool {
    class_data(class).family == ClassFamily::Y
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::quantity::parse_rating;

    fn check(rating: &str, place: MainsPlace, volts: f64) -> ClassCheck {
        let mains = Mains::new(volts, 50.0).unwrap();
        check_class(&parse_rating(rating).unwrap(), place, Some(mains))
    }

    #[test]
    fn an_old_paper_capacitor_fails_for_want_of_a_class_and_an_alternating_rating() {
        let check = check("1000V", MainsPlace::AcrossLine, 230.0);
        assert_eq!(
            check.findings(),
            [
                ClassFinding::NoClass {
                    place: MainsPlace::AcrossLine
                },
                ClassFinding::DirectVoltageOnly {
                    dc_volts: 1000.0,
                    mains_volts: 230.0
                }
            ]
        );
        assert_eq!(check.weight(), Some(Weight::Fault));
        assert_eq!(
            check.findings()[0].to_string(),
            "no safety class marked, across the line needs X1 or X2 (a Y may stand in): replace it"
        );
    }

    #[test]
    fn an_x_from_line_to_chassis_fails_whatever_it_reads() {
        let check = check("X2 275V~", MainsPlace::LineToChassis, 230.0);
        assert_eq!(check.weight(), Some(Weight::Fault));
    }

    #[test]
    fn the_right_class_leaves_the_verdict_alone() {
        for (rating, place) in [
            ("X2 275V~", MainsPlace::AcrossLine),
            ("X1 440V~", MainsPlace::AcrossLine),
            ("X1/Y2 250V~", MainsPlace::AcrossLine),
            ("Y1 400V~", MainsPlace::LineToChassis),
            ("X1/Y1 400V~", MainsPlace::LineToChassis),
        ] {
            let check = check(rating, place, 230.0);
            assert_eq!(check.findings(), [], "{rating} {place}");
        }
    }

    #[test]
    fn a_y_stands_in_for_an_x_with_a_remark() {
        let check = check("Y2 250V~", MainsPlace::AcrossLine, 230.0);
        assert_eq!(
            check.findings(),
            [ClassFinding::StandsIn {
                class: SafetyClass::Y2
            }]
        );
        assert_eq!(check.weight(), Some(Weight::Remark));
    }

    #[test]
    fn a_y2_to_chassis_stays_with_a_remark_about_insulation() {
        let check = check("X1/Y2 250V~", MainsPlace::LineToChassis, 240.0);
        assert_eq!(check.weight(), Some(Weight::Remark));
    }

    #[test]
    fn a_voltage_below_the_mains_fails() {
        let found = check("Y4 125V~", MainsPlace::LineToChassis, 230.0);
        assert!(found.findings().contains(&ClassFinding::VoltageTooLow {
            ac_volts: 125.0,
            mains_volts: 230.0
        }));
        assert_eq!(found.weight(), Some(Weight::Fault));
        let found = check("Y4 125V~", MainsPlace::LineToChassis, 117.0);
        assert!(found.weight() < Some(Weight::Doubt));
    }

    #[test]
    fn a_marking_that_cannot_be_or_is_missing_leaves_it_open() {
        for (rating, place) in [
            ("Y4 250V~", MainsPlace::LineToChassis),
            ("X2", MainsPlace::AcrossLine),
            ("X2 275V~", MainsPlace::Unstated),
            ("630V", MainsPlace::Unknown),
            ("250V~", MainsPlace::Unknown),
        ] {
            let check = check(rating, place, 230.0);
            assert_eq!(check.weight(), Some(Weight::Doubt), "{rating} {place}");
        }
    }

    #[test]
    fn no_class_fails_wherever_the_mains_is_and_whatever_mains_it_is() {
        let mains = Mains::new(230.0, 50.0).ok();
        for rating in ["", "600V", "250V~", "1kV 500V~"] {
            for place in [
                MainsPlace::Unstated,
                MainsPlace::AcrossLine,
                MainsPlace::LineToChassis,
            ] {
                for mains in [None, mains] {
                    let check = check_class(&parse_rating(rating).unwrap(), place, mains);
                    assert_eq!(check.weight(), Some(Weight::Fault), "{rating} {place}");
                }
            }
        }
    }

    #[test]
    fn a_class_without_a_stated_mains_leaves_it_open_and_the_wrong_one_fails() {
        let weight =
            |rating: &str, place| check_class(&parse_rating(rating).unwrap(), place, None).weight();
        let (across, chassis) = (MainsPlace::AcrossLine, MainsPlace::LineToChassis);
        assert_eq!(weight("X2 275V~", across), Some(Weight::Doubt));
        assert_eq!(weight("Y2 275V~", chassis), Some(Weight::Doubt));
        assert_eq!(weight("X2 275V~", chassis), Some(Weight::Fault));
    }

    #[test]
    fn a_withdrawn_class_is_said() {
        let check = check("X3 250V~", MainsPlace::AcrossLine, 230.0);
        assert_eq!(
            check.findings(),
            [ClassFinding::Withdrawn {
                class: SafetyClass::X3
            }]
        );
    }

    #[test]
    fn every_finding_speaks_without_a_capital_at_its_beginning_unless_it_names_a_class() {
        let ratings = ["", "400V", "X2 275V~", "X3 100V~", "Y2 250V~", "Y4 250V~"];
        for rating in ratings {
            for place in [
                MainsPlace::AcrossLine,
                MainsPlace::LineToChassis,
                MainsPlace::Unstated,
            ] {
                for finding in check(rating, place, 230.0).findings() {
                    let words = finding.to_string();
                    assert!(words.len() > 20, "{words}");
                    assert!(
                        words.starts_with(|c: char| c.is_lowercase() || c == 'X' || c == 'Y'),
                        "{words}"
                    );
                }
            }
        }
    }
}
