//! Potentiometers against published specifications, as quoted in public copies of them, and independent arithmetic.

use approx::assert_relative_eq;
use probewright::face::engine::judge::wiper::{end_limit_ohms, middle_share, steepest};
use probewright::face::engine::parts::Law;

/// MIL-PRF-39035E, 3.11.2: the end resistance shall not exceed 2 ohms or 2 percent of the total resistance, whichever is greater.
#[test]
fn end_resistance_of_trimmers() {
    for (nominal, limit) in [
        (10.0, 2.0),
        (100.0, 2.0),
        (500.0, 10.0),
        (5e3, 100.0),
        (1e6, 20e3),
    ] {
        assert_relative_eq!(end_limit_ohms(nominal), limit, max_relative = 1e-12);
    }
}

/// MIL-PRF-94G, 3.5.3: a linear taper has a constant change of resistance with rotation, and measurements fall within ± 20 percent
/// of the nominal values of the curve. At half the rotation that is 50 % of the total.
#[test]
fn linear_taper_at_half_the_rotation() {
    let share = middle_share(Law::Linear);
    assert_relative_eq!(share.expected, 0.5);
    assert_relative_eq!(share.least, 0.8 * 0.5, max_relative = 1e-12);
    assert_relative_eq!(share.most, 1.2 * 0.5, max_relative = 1e-12);
    assert_relative_eq!(steepest(Some(Law::Linear)), 1.0);
}

/// The exponential law as documentation of circuit simulators gives it, r(x) = A (exp(λx) - 1), with A and λ such that r(1) = 1
/// and r(½) = 0.15: its slope at the end, differentiated numerically by mpmath 1.3 at 30 digits.
#[test]
fn slope_of_the_exponential_law() {
    const SLOPE: f64 = 3.580_712_178_622_591;
    assert_relative_eq!(steepest(Some(Law::Audio)), SLOPE, max_relative = 1e-12);
    assert_relative_eq!(steepest(None), SLOPE, max_relative = 1e-12);
}
