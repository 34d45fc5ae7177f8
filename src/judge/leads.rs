//! A two-wire resistance is judged without its leads.

use super::check::{Aspect, Check};
use super::judgement::Judged;
use crate::impedance::{Uncertain, without_leads};
use crate::quantity::{Quantity, format_value};

/// Takes the resistance of the leads off, and says so.
pub(super) fn take_off(judged: Judged, leads: Uncertain) -> (Judged, Check) {
    let measured = Uncertain::new(judged.value, judged.standard_uncertainty);
    let without = without_leads(measured, leads);
    let shown = |value| format_value(Quantity::Resistance, value, 5);
    let words = format!(
        "{} less {} of the leads is {}",
        shown(judged.value),
        shown(leads.value),
        shown(without.value)
    );
    let judged = Judged {
        value: without.value,
        standard_uncertainty: without.u,
    };
    (
        judged,
        Check {
            aspect: Aspect::Leads,
            verdict: None,
            words,
        },
    )
}
