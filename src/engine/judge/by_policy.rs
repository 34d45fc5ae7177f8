//! Rule of the job's policy on a part.

use super::capacitor::Condition;
use super::check::{Aspect, Check};
use super::conditions::Conditions;
use crate::engine::parts::Part;
use crate::engine::quantity::{Band, format_band};

/// The band that the part is held to in its role, and what is to be said about that. What is replaced whatever it reads is
/// about parts of the old equipment; nothing new is.
pub(super) fn apply(part: &Part, conditions: &Conditions) -> (Band, Vec<Check>) {
    let policy = &conditions.policy;
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
    let is_old = conditions.condition_of(part) == Condition::InService;
    if let Some(rule) = policy.replaces(part).filter(|_| is_old) {
        checks.push(Check::remark(
            Aspect::Replacement,
            format!("replaced whatever it reads: {}", rule.reason),
        ));
    }
    (band.allowed, checks)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::judge::capacitor::sample::capacitor;
    use crate::engine::judge::{Fitted, Rule};
    use crate::engine::parts::Material;

    #[test]
    fn what_is_replaced_whatever_it_reads_is_old() {
        let part = capacitor(Some(Material::Electrolytic), 47.0, Some(450.0));
        let remarks = |condition| {
            let mut conditions = Conditions::by(Rule::GuardBand);
            conditions.condition = condition;
            apply(&part, &conditions).1.len()
        };
        assert_eq!(remarks(Condition::InService), 1);
        assert_eq!(remarks(Condition::New), 0);
        let mut conditions = Conditions::by(Rule::GuardBand);
        let mut fitted = Fitted::default();
        fitted.add(&part.designator, Vec::new());
        conditions.fitted = fitted.into();
        assert_eq!(apply(&part, &conditions).1.len(), 0, "one that was fitted");
    }
}
