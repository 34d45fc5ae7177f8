//! Capacitors at the mains: safety class, and the current that a touch of the chassis would draw.
//!
//! Pure: arithmetic and tables, no file, port, clock or printing. Nothing here replaces local codes or a licensed person:
//! [`CAUTION`] says so, and whoever shows a finding shows it too.

mod circuit_name;
mod class_check;
mod class_data;
mod class_finding;
mod mains;
mod mains_place;
mod places;
mod touch_current;
mod touch_limit;

pub use class_check::check_class;
pub use class_data::{ClassFamily, class_data};
pub use class_finding::{ClassFinding, Weight};
pub use mains::Mains;
pub use mains_place::MainsPlace;
pub use places::{Chassis, Places, Sited};
pub use touch_current::{
    compare_touch_current, largest_capacitance, total_capacitance, touch_current,
};
pub use touch_limit::{TOUCH_LIMITS, TouchLimit, Waveform};

/// Caution wherever a finding about the mains side is shown.
pub const CAUTION: &str = "Mains parts can kill. This is guidance from published tables, not an approval: local codes come \
     first, and licensed work is for licensed people. Unplug before you touch anything.";
