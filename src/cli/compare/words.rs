//! Numbers of a comparison as people read them.

use crate::books::comparison::Change;
use crate::engine::impedance::Uncertain;
use crate::engine::quantity::{Quantity, format_with_uncertainty};

/// The value with as many figures as its uncertainty supports.
pub(super) fn value(quantity: Quantity, found: Uncertain) -> String {
    let both = format_with_uncertainty(quantity, found.value, 2.0 * found.u);
    let (value, _) = both.split_once(" ± ").unwrap_or((&both, ""));
    value.to_owned()
}

/// The change in per cent with its expanded uncertainty, or in its unit where it was nothing before.
pub(super) fn change(change: &Change) -> String {
    let Some((share, expanded)) = change.share().zip(change.expanded_share()) else {
        let (difference, u) = (change.difference(), change.uncertainty());
        return format_with_uncertainty(change.quantity, difference, 2.0 * u);
    };
    let (share, expanded) = (100.0 * share, 100.0 * expanded);
    let decimals = if expanded > 0.0 {
        (1.0 - libm::log10(expanded).floor()).clamp(0.0, 4.0) as usize
    } else {
        2
    };
    let share = signed(share, decimals);
    format!("{share} % ± {expanded:.decimals$} %")
}

/// The number with its sign; zero, also what is rounded to it, has none.
fn signed(number: f64, decimals: usize) -> String {
    let text = format!("{number:+.decimals$}");
    if text.contains(|c: char| matches!(c, '1'..='9')) {
        text
    } else {
        text[1..].to_owned()
    }
}

/// d/u(d): one decimal, and none where it is large.
pub(super) fn ratio(ratio: f64) -> String {
    if ratio.abs() < 100.0 {
        signed(ratio, 1)
    } else if ratio.abs() < 1000.0 {
        format!("{ratio:+.0}")
    } else if ratio > 0.0 {
        "over +999".to_owned()
    } else {
        "under -999".to_owned()
    }
}

/// A share in per cent with its sign, for what changes in a year.
pub(super) fn a_year(share: f64) -> String {
    format!("{} %", signed(100.0 * share, 2))
}

/// A share in per cent with its sign.
pub(super) fn percent(share: f64) -> String {
    format!("{} %", signed(100.0 * share, 1))
}

/// `p = 0.012`, `p < 0.001`.
pub(super) fn p_value(p: f64) -> String {
    if p < 0.001 {
        "p < 0.001".to_owned()
    } else {
        format!("p = {p:.3}")
    }
}

/// Nine significant figures, as many as the results have.
pub(super) fn nine_figures(value: f64) -> f64 {
    format!("{value:.8e}").parse().unwrap_or(value)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(before: (f64, f64), after: (f64, f64)) -> String {
        change(&Change {
            quantity: Quantity::Resistance,
            before: Uncertain::new(before.0, before.1),
            after: Uncertain::new(after.0, after.1),
        })
    }

    #[test]
    fn a_change_has_the_figures_that_its_uncertainty_supports() {
        assert_eq!(of((1000.0, 0.3), (1050.0, 0.4)), "+5.00 % ± 0.10 %");
        assert_eq!(of((1000.0, 0.3), (999.999, 0.4)), "0.00 % ± 0.10 %");
        assert_eq!(of((1000.0, 30.0), (950.0, 40.0)), "-5 % ± 10 %");
        assert_eq!(of((1000.0, 0.0), (1050.0, 0.0)), "+5.00 % ± 0.00 %");
        assert_eq!(of((0.0, 0.3), (1.0, 0.4)), "1.0 Ω ± 1.0 Ω");
    }

    #[test]
    fn a_large_ratio_is_cut_short() {
        assert_eq!(ratio(-1.96), "-2.0");
        assert_eq!(
            (ratio(-0.01), ratio(0.0)),
            ("0.0".to_owned(), "0.0".to_owned())
        );
        assert_eq!(ratio(345.6), "+346");
        assert_eq!(ratio(f64::INFINITY), "over +999");
    }
}
