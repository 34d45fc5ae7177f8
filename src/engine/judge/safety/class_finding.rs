//! [`ClassFinding`]: what a look at a mains capacitor's marking found.

use std::fmt;

use super::MainsPlace;
use crate::engine::quantity::SafetyClass;

/// Weight of a finding.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Weight {
    /// Worth knowing; the part may stay.
    Remark,
    /// The marking does not settle it; a person has to.
    Doubt,
    /// The part must not be used there, whatever its value.
    Fault,
}

/// Findings on the marking of a mains capacitor.
#[derive(Debug, Clone, PartialEq)]
pub enum ClassFinding {
    /// No safety class is stated, as on every capacitor older than the classes.
    NoClass {
        /// Where it sits.
        place: MainsPlace,
    },
    /// A class of the wrong family.
    WrongClass {
        /// Where it sits.
        place: MainsPlace,
        /// Classes that are marked.
        classes: Vec<SafetyClass>,
    },
    /// At the mains, and nothing says whether X would do.
    PlaceUnstated {
        /// Classes that are marked.
        classes: Vec<SafetyClass>,
    },
    /// The job does not state the mains, so that the voltage cannot be checked.
    MainsNotStated,
    /// Rated for direct voltage and for nothing else.
    DirectVoltageOnly {
        /// The direct voltage, in volt.
        dc_volts: f64,
        mains_volts: f64,
    },
    /// No voltage is stated at all.
    NoVoltage { mains_volts: f64 },
    /// The rated alternating voltage is below the mains.
    VoltageTooLow {
        /// The rated alternating voltage, in volt.
        ac_volts: f64,
        mains_volts: f64,
    },
    /// The class is not defined for the voltage that is marked beside it.
    VoltageUnlikeClass {
        class: SafetyClass,
        /// The rated alternating voltage, in volt.
        ac_volts: f64,
    },
    /// Y2 to Y4 bridge basic insulation only.
    BasicInsulationOnly {
        /// The best class that is marked.
        class: SafetyClass,
    },
    /// The class was withdrawn from the standard.
    Withdrawn { class: SafetyClass },
    /// A Y across the line, which is more than is needed.
    StandsIn { class: SafetyClass },
}

impl ClassFinding {
    /// Weight of the finding.
    pub const fn weight(&self) -> Weight {
        match self {
            Self::NoClass {
                place: MainsPlace::Unknown,
            }
            | Self::PlaceUnstated { .. }
            | Self::MainsNotStated
            | Self::NoVoltage { .. }
            | Self::VoltageUnlikeClass { .. } => Weight::Doubt,
            Self::NoClass { .. }
            | Self::WrongClass { .. }
            | Self::DirectVoltageOnly { .. }
            | Self::VoltageTooLow { .. } => Weight::Fault,
            Self::BasicInsulationOnly { .. } | Self::Withdrawn { .. } | Self::StandsIn { .. } => {
                Weight::Remark
            }
        }
    }
}

impl fmt::Display for ClassFinding {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoClass {
                place: MainsPlace::Unknown,
            } => f.write_str(
                "no safety class marked, and its place is unknown: fill in `from` and `to`, or its role",
            ),
            Self::NoClass { place } => write!(
                f,
                "no safety class marked, {place} needs {}: replace it",
                wanted(*place)
            ),
            Self::WrongClass { place, classes } => write!(
                f,
                "class {} marked, {place} needs {}: replace it whatever it reads",
                list(classes),
                wanted(*place)
            ),
            Self::PlaceUnstated { classes } => write!(
                f,
                "class {} marked, which suits across the line only: state in from and to, or in the role, whether it goes to chassis",
                list(classes)
            ),
            Self::MainsNotStated => f.write_str(
                "the job does not state the mains, so its voltage cannot be checked: set [mains] in job.toml",
            ),
            Self::DirectVoltageOnly {
                dc_volts,
                mains_volts,
            } => write!(
                f,
                "rated {dc_volts} V direct only, needs a rating of at least {mains_volts} V~: a direct rating proves nothing at the mains"
            ),
            Self::NoVoltage { mains_volts } => write!(
                f,
                "no voltage stated, needs at least {mains_volts} V~: read it from the part"
            ),
            Self::VoltageTooLow {
                ac_volts,
                mains_volts,
            } => write!(f, "rated {ac_volts} V~, the mains has {mains_volts} V~"),
            Self::VoltageUnlikeClass { class, ac_volts } => write!(
                f,
                "marked {class} and {ac_volts} V~, a voltage that the class is not defined for: read the marking again"
            ),
            Self::BasicInsulationOnly { class } => write!(
                f,
                "{class} bridges basic insulation: where chassis or aerial can be touched and is not earthed, Y1 is needed"
            ),
            Self::Withdrawn { class } => {
                write!(
                    f,
                    "{class} was withdrawn from later editions of IEC 60384-14"
                )
            }
            Self::StandsIn { class } => {
                write!(
                    f,
                    "{class} stands in for an X, which is allowed at the same voltage"
                )
            }
        }
    }
}

/// The classes that a place needs.
const fn wanted(place: MainsPlace) -> &'static str {
    match place {
        MainsPlace::AcrossLine => "X1 or X2 (a Y may stand in)",
        MainsPlace::LineToChassis => "Y1 or Y2 (an X may not stand in)",
        MainsPlace::Unstated | MainsPlace::Unknown => {
            "X across the line and Y from line to chassis"
        }
    }
}

fn list(classes: &[SafetyClass]) -> String {
    let names: Vec<&str> = classes.iter().map(|class| class.name()).collect();
    names.join("/")
}
