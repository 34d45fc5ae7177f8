//! Which nominal values may stand in, and which of them come first.

use super::duty;
use super::want::{Ceiling, Preference, Want};
use crate::engine::judge::policy::Policy;
use crate::engine::parts::{Kind, Material, Part};
use crate::engine::quantity::{Band, format_value};

/// How far below the original an electrolytic may be (common practice, no source: 47 for 50 µF).
const LEAST_ELECTROLYTIC: f64 = 0.9;

/// How far above the original an electrolytic may be where nothing else is known, so that the steps of the trade from 16 to
/// 22 µF and from 8 to 10 µF are allowed (common practice, no source).
pub(super) const MODEST: f64 = 1.4;

/// From this voltage on a capacitor may stand behind a valve rectifier, in volt (common practice, no source: lower ones bypass
/// cathodes or smooth a bias).
const MAY_BE_HIGH_TENSION: f64 = 100.0;

/// How far above a guaranteed minimum value one looks (common practice, no source).
const ABOVE_MINIMUM: f64 = 2.0;

/// Fills in the values, their order and what limits them.
pub(super) fn settle(want: &mut Want, part: &Part, policy: &Policy) {
    let nominal = part.nominal.value();
    let to_chassis = want
        .at_mains
        .as_ref()
        .is_some_and(super::AtMains::is_to_chassis);
    let (preference, lower, upper) = if to_chassis {
        (Preference::AtOrBelow, 0.0, nominal)
    } else if want.at_mains.is_none() && is_electrolytic(part) {
        let upper = electrolytic_upper(want, part, policy);
        (Preference::AtOrAbove, LEAST_ELECTROLYTIC * nominal, upper)
    } else {
        let upper = want.allowed.upper().min(ABOVE_MINIMUM * nominal);
        (Preference::Nearest, want.allowed.lower(), upper)
    };
    want.preference = preference;
    if want.ceiling.is_none() {
        want.ceiling = stated_ceiling(part, policy).or_else(|| touch_ceiling(want));
    }
    let ceiling = want.ceiling.as_ref().map_or(f64::INFINITY, |one| one.value);
    want.values = Band::new(lower, upper.min(ceiling));
}

fn is_electrolytic(part: &Part) -> bool {
    part.kind == Kind::Capacitor && part.material == Some(Material::Electrolytic)
}

/// The largest electrolytic: by the tolerance of its role, unless it may be the one that the rectifier charges.
fn electrolytic_upper(want: &mut Want, part: &Part, policy: &Policy) -> f64 {
    let modest = MODEST * part.nominal.value();
    if let Some(ceiling) = stated_ceiling(part, policy) {
        let value = ceiling.value;
        want.ceiling = Some(ceiling);
        return value.max(modest);
    }
    if duty::is_reservoir(part) {
        want.warnings.push(format!(
            "the rectifier charges it, and its data sheet decides how large it may be: state that in the column `largest` or as \
             [[largest]] in policy.toml; without it only up to {MODEST} times the original is offered (common practice)"
        ));
        modest
    } else if part.role.trim().is_empty() {
        let rated = part.rating.dc_volts.unwrap_or(f64::INFINITY);
        let high = rated >= MAY_BE_HIGH_TENSION;
        let warning = high.then(|| format!(
            "if it is the first capacitor behind a valve rectifier, the data sheet of the rectifier decides how large it may be; \
             only up to {MODEST} times the original is offered (common practice)"
        ));
        want.warnings.extend(warning);
        modest
    } else {
        let allowed = want.allowed.upper();
        allowed
            .min(ABOVE_MINIMUM * part.nominal.value())
            .max(modest)
    }
}

/// What the list or the policy says.
fn stated_ceiling(part: &Part, policy: &Policy) -> Option<Ceiling> {
    let nominal = part.nominal.value();
    if let Some(largest) = part.largest {
        let words = "the column `largest` of the parts list".to_owned();
        return Some(Ceiling {
            value: largest.value(),
            words,
        });
    }
    let rule = policy.largest_for(part)?;
    Some(Ceiling {
        value: rule.farads(nominal),
        words: format!("the policy, {} ({})", rule.reason, rule.source),
    })
}

/// What the touch current allows from line to chassis.
fn touch_ceiling(want: &mut Want) -> Option<Ceiling> {
    let at = want.at_mains.as_ref()?;
    if !at.is_to_chassis() {
        return None;
    }
    let nominal = want.original.nominal;
    let Some(farads) = at.largest_farads() else {
        want.warnings.push(
            "from line to chassis the value decides the touch current, so never above the original"
                .to_owned(),
        );
        return None;
    };
    let (count, shown) = (at.to_chassis, format_value(nominal.quantity(), farads, 3));
    let shared = match count {
        0 | 1 => String::new(),
        count => format!(", shared by the {count} such capacitors of the list, whose currents add"),
    };
    if nominal.value() > farads {
        want.warnings.push(format!(
            "the original of {nominal} draws more touch current than is allowed where an unearthed chassis can be touched: \
             0.25 mA leave {shown}{shared} (IEC 60950-1, table 5A, quoted on a public mailing list; an earthed chassis may \
             have more, that is for a licensed person to say)"
        ));
    }
    Some(Ceiling {
        value: farads,
        words: format!("0.25 mA of touch current{shared}"),
    })
}
