//! Uncertainties of impedances against propagation of distributions, and what holds for any pair.

use num_complex::Complex64;
use probewright::face::engine::impedance::{
    ComplexEstimate, Covariance, Impedance, Pair, PairKind, Parameter, Residuals, Uncertain,
    behind_two_elements,
};
use proptest::prelude::*;

/// Monte Carlo trials (JCGM 101:2008). A standard deviation from so many is known to 1/√(2 M) = 0.32 %.
const TRIALS: usize = 50_000;

/// Four and a half times that, and what little the first order misses at relative uncertainties of 2 %.
const TOLERANCE: f64 = 0.015;

/// Two independent standard normal deviates (G. E. P. Box and M. E. Muller, 1958).
fn normal_deviates(random: &mut fastrand::Rng) -> [f64; 2] {
    let radius = (-2.0 * libm::log(1.0 - random.f64())).sqrt();
    let (sine, cosine) = libm::sincos(std::f64::consts::TAU * random.f64());
    [radius * cosine, radius * sine]
}

/// A draw from the distribution of two correlated values.
fn draw(random: &mut fastrand::Rng, values: [f64; 2], covariance: &Covariance<2>) -> [f64; 2] {
    let [first, second] = normal_deviates(random);
    let r = covariance.correlation(0, 1).unwrap_or(0.0);
    let u = [0, 1].map(|index| covariance.uncertainty(index));
    [
        values[0] + u[0] * first,
        values[1] + u[1] * (r * first + (1.0 - r * r).sqrt() * second),
    ]
}

/// Mean, standard deviations and correlation of what was drawn, gathered around a first guess so that nothing cancels.
struct Sample {
    guess: [f64; 2],
    sums: [f64; 2],
    products: [f64; 3],
    count: f64,
}

impl Sample {
    fn around(guess: [f64; 2]) -> Self {
        Self {
            guess,
            sums: [0.0; 2],
            products: [0.0; 3],
            count: 0.0,
        }
    }

    fn add(&mut self, found: [f64; 2]) {
        let [x, y] = [found[0] - self.guess[0], found[1] - self.guess[1]];
        self.sums = [self.sums[0] + x, self.sums[1] + y];
        let [xx, xy, yy] = self.products;
        self.products = [xx + x * x, xy + x * y, yy + y * y];
        self.count += 1.0;
    }

    /// Compares with an estimate: standard deviations, correlation, and the mean within a tenth of the uncertainty.
    fn assert_agrees(&self, covariance: &Covariance<2>, what: &str) {
        let [x, y] = self.sums.map(|sum| sum / self.count);
        let [xx, xy, yy] = self.products.map(|sum| sum / self.count);
        let (sx, sy) = ((xx - x * x).sqrt(), (yy - y * y).sqrt());
        for (index, mean, deviation) in [(0, x, sx), (1, y, sy)] {
            let u = covariance.uncertainty(index);
            assert!(
                (deviation / u - 1.0).abs() < TOLERANCE,
                "{what} {index}: {deviation} is not {u}"
            );
            assert!(
                mean.abs() < 0.1 * u,
                "{what} {index}: the mean is off by {mean}, u is {u}"
            );
        }
        let r = covariance.correlation(0, 1).unwrap();
        let found = (xy - x * y) / (sx * sy);
        assert!(
            (found - r).abs() < TOLERANCE,
            "{what}: correlation {found} is not {r}"
        );
    }
}

/// One pair of each kind, with relative uncertainties up to 2 % and a strong correlation.
fn pairs() -> [Pair; 8] {
    [
        (PairKind::CsD, [(22e-6, 0.2e-6), (0.15, 0.003)]),
        (PairKind::CpD, [(8e-6, 0.1e-6), (0.6, 0.01)]),
        (PairKind::CsEsr, [(32e-6, 0.3e-6), (10.4, 0.2)]),
        (PairKind::CpRp, [(47e-9, 0.4e-9), (30e3, 500.0)]),
        (PairKind::LsQ, [(10.0, 0.1), (7.85, 0.15)]),
        (PairKind::LpQ, [(0.5, 0.01), (3.0, 0.05)]),
        (PairKind::ZTheta, [(254.0, 2.0), (60.0, 0.5)]),
        (PairKind::RX, [(12.0, 0.2), (-30.0, 0.5)]),
    ]
    .map(|(kind, values)| {
        let values = values.map(|(value, u)| Uncertain::new(value, u));
        Pair::new(kind, 120.0, values, 0.7).unwrap()
    })
}

fn exact_impedance(pair: &Pair, values: [f64; 2]) -> Impedance {
    let values = values.map(Uncertain::exact);
    let pair = Pair::new(pair.kind(), pair.frequency(), values, 0.0).unwrap();
    pair.impedance().unwrap()
}

#[test]
fn the_covariance_of_every_pair_agrees_with_monte_carlo() {
    let mut random = fastrand::Rng::with_seed(20_561_103);
    for pair in pairs() {
        let z = pair.impedance().unwrap();
        let mut sample = Sample::around([z.value().re, z.value().im]);
        for _ in 0..TRIALS {
            let values = draw(&mut random, pair.values(), &pair.covariance());
            let z = exact_impedance(&pair, values).value();
            sample.add([z.re, z.im]);
        }
        sample.assert_agrees(&z.covariance(), pair.kind().name());
    }
}

/// Parameters in twos, so that their correlation is looked at too; twos that are tied to each other are not among them.
#[test]
fn the_uncertainty_of_every_parameter_agrees_with_monte_carlo() {
    use Parameter as P;
    let mut random = fastrand::Rng::with_seed(7);
    for (re, im, parameters) in [
        (12.0, -30.0, [P::SeriesCapacitance, P::DissipationFactor]),
        (12.0, -30.0, [P::ParallelCapacitance, P::ParallelResistance]),
        (12.0, 30.0, [P::SeriesInductance, P::QualityFactor]),
        (12.0, 30.0, [P::ParallelInductance, P::Angle]),
        (12.0, -30.0, [P::Magnitude, P::Angle]),
        (-12.0, 30.0, [P::Magnitude, P::Angle]),
        (12.0, -30.0, [P::SeriesResistance, P::Reactance]),
        (12.0, -30.0, [P::Resistance, P::Magnitude]),
    ] {
        let covariance = Covariance::correlated([0.2, 0.4], [[1.0, -0.6], [-0.6, 1.0]]).unwrap();
        let impedance = |re, im, covariance| {
            let value = Complex64::new(re, im);
            Impedance::new(ComplexEstimate { value, covariance }, 1e3).unwrap()
        };
        let of = |z: &Impedance| parameters.map(|parameter| z.equivalent(parameter).unwrap());
        let estimates = of(&impedance(re, im, covariance));
        let mut sample = Sample::around(estimates.map(|estimate| estimate.value));
        for _ in 0..TRIALS {
            let [re, im] = draw(&mut random, [re, im], &covariance);
            let drawn = of(&impedance(re, im, Covariance::ZERO));
            sample.add(drawn.map(|estimate| estimate.value));
        }
        let [x, y] = sample.sums.map(|sum| sum / sample.count);
        let [xx, _, yy] = sample.products.map(|sum| sum / sample.count);
        for (index, deviation) in [(xx - x * x).sqrt(), (yy - y * y).sqrt()]
            .into_iter()
            .enumerate()
        {
            let u = estimates[index].u;
            let parameter = parameters[index];
            assert!(
                (deviation / u - 1.0).abs() < TOLERANCE,
                "{parameter}: {deviation} is not {u}"
            );
        }
    }
}

/// Residuals far larger than those of a bench, so that each of the three uncertainties matters.
#[test]
fn the_uncertainty_of_a_corrected_impedance_agrees_with_monte_carlo() {
    let uncertain = |re, im, u: [f64; 2], r| ComplexEstimate {
        value: Complex64::new(re, im),
        covariance: Covariance::correlated(u, [[1.0, r], [r, 1.0]]).unwrap(),
    };
    let zm = uncertain(12.0, -338.0, [1.0, 2.0], 0.5);
    let zs = uncertain(2.0, 3.5, [0.8, 1.5], -0.4);
    let yo = uncertain(2e-4, 8e-4, [8e-6, 1.2e-5], 0.3);
    let mut random = fastrand::Rng::with_seed(13);
    let at_1_khz = |estimate| Impedance::new(estimate, 1e3).unwrap();
    let residuals = Residuals::new(at_1_khz(zs), yo);
    let zx = residuals.correct(&at_1_khz(zm)).unwrap();
    let mut sample = Sample::around([zx.value().re, zx.value().im]);
    for _ in 0..TRIALS {
        let [zm, zs, yo] = [zm, zs, yo].map(|estimate| {
            let centre = [estimate.value.re, estimate.value.im];
            let [re, im] = draw(&mut random, centre, &estimate.covariance);
            Complex64::new(re, im)
        });
        let found = behind_two_elements(zm, zs, yo);
        sample.add([found.re, found.im]);
    }
    sample.assert_agrees(&zx.covariance(), "behind two elements");
}

/// A pair of any kind, from small to large, with any correlation.
fn any_pair() -> impl Strategy<Value = Pair> {
    let uncertainty = || prop_oneof![Just(0.0), 1e-6..0.1];
    (
        proptest::sample::select(PairKind::ALL.to_vec()),
        (-3.0..3.0, -3.0..3.0, 1.0..5.0),
        (uncertainty(), uncertainty(), -1.0..=1.0),
    )
        .prop_map(
            |(kind, (first, second, frequency), (u_first, u_second, r))| {
                // Microfarad, henry and kilohm are the scale of a chassis.
                let scale = |parameter| match parameter {
                    Parameter::SeriesCapacitance | Parameter::ParallelCapacitance => 1e-6,
                    Parameter::SeriesResistance
                    | Parameter::ParallelResistance
                    | Parameter::Magnitude
                    | Parameter::Resistance
                    | Parameter::Reactance => 1e3,
                    _ => 1.0,
                };
                let [a, b] = kind.parameters().map(scale);
                let (a, b) = (a * libm::exp10(first), (b * libm::exp10(second)).min(1e6));
                let b = if kind == PairKind::ZTheta {
                    b.min(90.0)
                } else {
                    b
                };
                let values = [
                    Uncertain::new(a, a * u_first),
                    Uncertain::new(b, b * u_second),
                ];
                Pair::new(kind, libm::exp10(frequency), values, r).unwrap()
            },
        )
}

proptest! {
    #[test]
    fn a_covariance_stays_positive_semidefinite(pair in any_pair()) {
        let z = pair.impedance().unwrap();
        prop_assert!(z.covariance().is_positive_semidefinite(), "{:?}", z.covariance());
    }

    #[test]
    fn a_corrected_covariance_stays_positive_semidefinite_and_is_no_smaller_than_that_of_the_reading(
        pair in any_pair(), zs in (0.0..1.0, 0.0..1.0), u in 1e-6..0.1,
    ) {
        let reading = pair.impedance().unwrap();
        let value = Complex64::new(zs.0, zs.1);
        let covariance = Covariance::independent([u, u]).unwrap();
        let short = Impedance::new(ComplexEstimate { value, covariance }, pair.frequency()).unwrap();
        let none = ComplexEstimate::exact(Complex64::ZERO);
        let residuals = Residuals::new(short, none);
        let corrected = residuals.correct(&reading).unwrap().covariance();
        prop_assert!(corrected.is_positive_semidefinite());
        for part in [0, 1] {
            prop_assert!(corrected.uncertainty(part) >= reading.covariance().uncertainty(part));
        }
    }

    #[test]
    fn correction_undoes_the_residuals_with_their_uncertainties_added(
        size in 0.0..5.0, angle in -1.5..1.5, zs in (0.0..1.0, 0.0..1.0), yo in (0.0..1e-8, 0.0..1e-7), u in 1e-4..1.0,
    ) {
        let (sine, cosine) = libm::sincos(angle);
        let zx = libm::exp10(size) * Complex64::new(cosine, sine);
        let (zs, yo) = (Complex64::new(zs.0, zs.1), Complex64::new(yo.0, yo.1));
        let covariance = Covariance::independent([u, u]).unwrap();
        let value = zs + zx / (1.0 + zx * yo);
        let reading = Impedance::new(ComplexEstimate { value, covariance }, 1e3).unwrap();
        let short = Impedance::new(ComplexEstimate::exact(zs), 1e3).unwrap();
        let residuals = Residuals::new(short, ComplexEstimate::exact(yo));
        let corrected = residuals.correct(&reading).unwrap();
        prop_assert!((corrected.value() - zx).norm_sqr() < 1e-26 * zx.norm_sqr());
        // The uncertainty is magnified by |dZx/dZm| = |1 + Zx Yo|² in all directions (by differentiation of the model).
        let magnified = u * (1.0 + zx * yo).norm_sqr();
        for part in [0, 1] {
            prop_assert!((corrected.covariance().uncertainty(part) / magnified - 1.0).abs() < 1e-9);
        }
    }
}
