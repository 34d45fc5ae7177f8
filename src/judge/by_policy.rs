//! What the policy of the job makes of a part.

use super::check::{Aspect, Check};
use super::policy::Policy;
use crate::parts::Part;
use crate::quantity::{Band, format_band};

/// The band that the part is held to in its role, and what is to be said about that.
pub(super) fn apply(part: &Part, policy: &Policy) -> (Band, Vec<Check>) {
    let mut checks = Vec::new();
    let band = policy.band_for(part);
    if let Some(rule) = band.role_rule.filter(|_| band.allowed != band.listed) {
        let quantity = part.nominal.quantity();
        checks.push(Check::remark(
            Aspect::Role,
            format!(
                "listed {}, held to {} in its role `{}`: {}",
                format_band(quantity, band.listed),
                format_band(quantity, band.allowed),
                part.role,
                rule.reason
            ),
        ));
    }
    if let Some(rule) = policy.replaces(part) {
        checks.push(Check::remark(
            Aspect::Replacement,
            format!("replaced whatever it reads: {}", rule.reason),
        ));
    }
    (band.allowed, checks)
}
