//! A two-wire resistance is judged without its leads.

use super::check::{Aspect, Check};
use crate::engine::impedance::Uncertain;
use crate::engine::quantity::{Quantity, format_value};

/// Takes the resistance of the leads off, and says so. A short may come out a little below zero; its uncertainty explains that.
pub(super) fn take_off(judged: Uncertain, leads: Uncertain) -> (Uncertain, Check) {
    let without = judged.minus_independent(leads);
    let shown = |value| format_value(Quantity::Resistance, value, 5);
    let words = format!(
        "{} less {} of the leads is {}",
        shown(judged.value),
        shown(leads.value),
        shown(without.value)
    );
    (without, Check::remark(Aspect::Leads, words))
}
