//! Impedance, its equivalents and corrections against figures from outside the project.
//!
//! The tables were computed with mpmath 1.3 at 30 digits from the definitions in the comments, unless said otherwise.

use std::array::from_fn;
use std::f64::consts::TAU;

use approx::{assert_abs_diff_eq, assert_relative_eq};
use num_complex::Complex64;
use probewright::face::engine::impedance::{
    ComplexEstimate, Covariance, Impedance, Pair, PairKind, Parameter, Residuals, Uncertain,
    angular_frequency, behind_two_elements, parallel_capacitance, parallel_inductance,
};
use probewright::face::engine::statistics::mean_and_deviation;

/// Half a unit of the last printed figure of the table's shortest entry (225752200.27).
const PRINTED: f64 = 2.3e-11;

/// Cs, D, f, then ESR, Cp, Rp, |Z| and θ in degrees. ESR = D/(ωCs), Cp = Cs/(1 + D²), Rp = ESR (1 + 1/D²).
const CAPACITORS: [[f64; 8]; 9] = [
    [
        22e-6,
        0.15,
        120.0,
        9.042_894_493_86,
        21.515_892_420_5e-6,
        410.949_316_443,
        60.960_407_732_5,
        -81.469_234_39,
    ],
    [
        47e-9,
        0.008,
        1e3,
        27.090_203_079_5,
        46.996_992_192_5e-9,
        423_311.513_32,
        3_386.383_744_01,
        -89.541_643_54,
    ],
    [
        470e-12,
        0.001_5,
        1e3,
        507.941_307_74,
        469.998_942_502e-12,
        225_752_200.27,
        338_627.919_449,
        -89.914_056_4,
    ],
    [
        100e-9,
        0.05,
        1e3,
        79.577_471_545_9,
        99.750_623_441_4e-9,
        31_910.566_089_9,
        1_593.537_625_86,
        -87.137_594_77,
    ],
    [
        32e-6,
        0.25,
        120.0,
        10.361_649_940_9,
        30.117_647_058_8e-6,
        176.148_048_995,
        42.722_177_161_9,
        -75.963_756_53,
    ],
    [
        8e-6,
        0.6,
        1e3,
        11.936_620_731_9,
        5.882_352_941_18e-6,
        45.093_900_542_7,
        23.200_620_424_9,
        -59.036_243_47,
    ],
    [
        10e-6,
        0.20,
        100.0,
        31.830_988_618_4,
        9.615_384_615_38e-6,
        827.605_704_078,
        162.306_832_102,
        -78.690_067_53,
    ],
    [
        1e-6,
        0.01,
        1e3,
        1.591_549_430_92,
        0.999_900_009_999e-6,
        15_917.085_858_6,
        159.162_900_64,
        -89.427_061_3,
    ],
    [
        100e-12,
        0.001,
        1e6,
        1.591_549_430_92,
        99.999_900_000_1e-12,
        1_591_551.022_47,
        1_591.550_226_69,
        -89.942_704_24,
    ],
];

fn exact(kind: PairKind, f: f64, [first, second]: [f64; 2]) -> Impedance {
    let values = [Uncertain::exact(first), Uncertain::exact(second)];
    Pair::new(kind, f, values, 0.0)
        .unwrap()
        .impedance()
        .unwrap()
}

fn value(z: &Impedance, parameter: Parameter) -> f64 {
    z.equivalent(parameter).unwrap().value
}

/// All parameters that the row of a capacitor lists.
fn assert_capacitor(z: &Impedance, [cs, d, _, esr, cp, rp, size, angle]: [f64; 8], tolerance: f64) {
    for (parameter, expected) in [
        (Parameter::SeriesCapacitance, cs),
        (Parameter::DissipationFactor, d),
        (Parameter::SeriesResistance, esr),
        (Parameter::Resistance, esr),
        (Parameter::ParallelCapacitance, cp),
        (Parameter::ParallelResistance, rp),
        (Parameter::Magnitude, size),
        (Parameter::QualityFactor, 1.0 / d),
    ] {
        assert_relative_eq!(value(z, parameter), expected, max_relative = tolerance);
    }
    assert_abs_diff_eq!(value(z, Parameter::Angle), angle, epsilon = 5.1e-9);
}

#[test]
fn capacitors_as_series_capacitance_and_dissipation_factor() {
    for row in CAPACITORS {
        assert_capacitor(
            &exact(PairKind::CsD, row[2], [row[0], row[1]]),
            row,
            PRINTED,
        );
    }
}

/// Inputs are rounded as expected figures are, so errors add up to three times.
#[test]
fn capacitors_as_every_other_pair() {
    for row in CAPACITORS {
        let [cs, d, f, esr, cp, rp, ..] = row;
        for (kind, pair) in [
            (PairKind::CpD, [cp, d]),
            (PairKind::CsEsr, [cs, esr]),
            (PairKind::CpRp, [cp, rp]),
            (PairKind::RX, [esr, -1.0 / (TAU * f * cs)]),
        ] {
            assert_capacitor(&exact(kind, f, pair), row, 3.0 * PRINTED);
        }
        assert_relative_eq!(
            parallel_capacitance(cs, d),
            cp,
            max_relative = 3.0 * PRINTED
        );
    }
}

/// The angle is printed to eight decimals of a degree: D = |cot θ| is off by (1 + D²) times 5e-9 degrees in radian.
#[test]
fn capacitors_as_magnitude_and_angle() {
    for [cs, d, f, _, _, _, size, angle] in CAPACITORS {
        let z = exact(PairKind::ZTheta, f, [size, angle]);
        let rounding = 5.1e-9_f64.to_radians() * (1.0 + d * d);
        assert_abs_diff_eq!(
            value(&z, Parameter::DissipationFactor),
            d,
            epsilon = rounding
        );
        let tolerance = PRINTED + d * rounding;
        assert_relative_eq!(
            value(&z, Parameter::SeriesCapacitance),
            cs,
            max_relative = tolerance
        );
    }
}

/// L, Rs, f, then Q, Lp and Rp: Q = ωL/Rs, Lp = Ls (1 + 1/Q²), Rp = Rs (1 + Q²).
#[test]
fn inductors() {
    for [l, r, f, q, lp, rp] in [
        [
            10.0,
            400.0,
            50.0,
            7.853_981_633_97,
            10.162_113_893_8,
            25_074.011_002_7,
        ],
        [
            0.5,
            8.0,
            1e3,
            392.699_081_699,
            0.500_003_242_278,
            1_233_708.550_14,
        ],
    ] {
        let same = |found, expected| assert_relative_eq!(found, expected, max_relative = PRINTED);
        same(parallel_inductance(l, q), lp);
        for (kind, pair) in [(PairKind::LsQ, [l, q]), (PairKind::LpQ, [lp, q])] {
            let z = exact(kind, f, pair);
            same(value(&z, Parameter::SeriesInductance), l);
            same(value(&z, Parameter::ParallelInductance), lp);
            same(value(&z, Parameter::QualityFactor), q);
            same(value(&z, Parameter::DissipationFactor), 1.0 / q);
            same(value(&z, Parameter::SeriesResistance), r);
            same(value(&z, Parameter::ParallelResistance), rp);
        }
    }
    let z = exact(PairKind::LsQ, 50.0, [10.0, 7.853_981_633_97]);
    assert_relative_eq!(
        value(&z, Parameter::Reactance),
        3_141.592_653_59,
        max_relative = PRINTED
    );
}

#[test]
fn open_and_short_correction() {
    let (zm, zs) = (Complex64::new(12.3, -338.2), Complex64::new(0.21, 0.35));
    let yo = Complex64::new(2e-9, 3.1e-8);
    let two_elements = Complex64::new(12.090_024_829_623_66, -338.553_564_977_752_7);
    let near = |found: Complex64, expected: Complex64| {
        assert!(
            (found - expected).norm_sqr() < 1e-24,
            "{found} is not {expected}"
        );
    };
    near(behind_two_elements(zm, zs, yo), two_elements);
    let at_1_khz = |z| Impedance::new(ComplexEstimate::exact(z), 1e3).unwrap();
    let residuals = Residuals::new(at_1_khz(zs), ComplexEstimate::exact(yo));
    near(
        residuals.correct(&at_1_khz(zm)).unwrap().value(),
        two_elements,
    );
}

/// 470 pF with D = 0.0015 at 1 kHz behind 0.03 Ω + 0.6 µH, with 1 nS + 3 pF across it (mpmath 1.3 at 40 digits, Zm = Zs +
/// Zx/(1 + Zx Yo)).
#[test]
fn a_small_capacitor_comes_back_from_behind_its_residuals() {
    let w = angular_frequency(1e3);
    let (zs, yo) = (
        Complex64::new(0.03, w * 0.6e-6),
        Complex64::new(1e-9, w * 3e-12),
    );
    let read = Complex64::new(614.766_731_704_251, -336_479.420_524_54);
    let reading = Impedance::new(ComplexEstimate::exact(read), 1e3).unwrap();
    assert_relative_eq!(
        value(&reading, Parameter::SeriesCapacitance),
        473.000_526_581_35e-12,
        max_relative = PRINTED
    );
    assert_relative_eq!(
        value(&reading, Parameter::DissipationFactor),
        0.001_827_055_963_024_09,
        max_relative = PRINTED
    );
    let short = Impedance::new(ComplexEstimate::exact(zs), 1e3).unwrap();
    let residuals = Residuals::new(short, ComplexEstimate::exact(yo));
    let corrected = residuals.correct(&reading).unwrap();
    assert_relative_eq!(
        value(&corrected, Parameter::SeriesCapacitance),
        470e-12,
        max_relative = 1e-12
    );
    assert_relative_eq!(
        value(&corrected, Parameter::DissipationFactor),
        0.0015,
        max_relative = 1e-11
    );
}

/// JCGM 100:2008, H.2: five simultaneous readings of voltage (V), current (A) and phase (rad). Single readings from
/// memory; they reproduce the means, uncertainties and correlations that a public text quotes from the GUM.
const SIMULTANEOUS: [[f64; 5]; 3] = [
    [5.007, 4.994, 5.005, 4.990, 4.999],
    [19.663e-3, 19.639e-3, 19.640e-3, 19.685e-3, 19.678e-3],
    [1.0456, 1.0438, 1.0468, 1.0428, 1.0433],
];

/// Means of the readings of H.2, and the covariance of the means.
fn means_of_h2() -> ([f64; 3], Covariance<3>) {
    let means = SIMULTANEOUS.map(|readings| {
        let (mean, _) = mean_and_deviation(readings.into_iter(), readings[0]).unwrap();
        mean
    });
    let covariance = from_fn(|i: usize| {
        from_fn(|j: usize| {
            let (first, second) = (SIMULTANEOUS[i.min(j)], SIMULTANEOUS[i.max(j)]);
            let (a, b) = (means[i.min(j)], means[i.max(j)]);
            let products = first.iter().zip(second).map(|(x, y)| (x - a) * (y - b));
            products.sum::<f64>() / (5.0 * 4.0)
        })
    });
    (means, Covariance::new(covariance).unwrap())
}

/// Uncertainties and correlations to nine figures by the library GTC 1.5.1, to two or three as the GUM prints them (R, X
/// and Z from memory).
fn assert_h2(z: &Impedance) {
    for (parameter, expected, u, printed) in [
        (
            Parameter::Resistance,
            127.732_169_928,
            0.071_071_407_4,
            "127.732 0.071",
        ),
        (
            Parameter::Reactance,
            219.846_511_913,
            0.295_581_677,
            "219.847 0.296",
        ),
        (
            Parameter::Magnitude,
            254.259_701_948,
            0.236_336_130,
            "254.260 0.236",
        ),
    ] {
        let found = z.equivalent(parameter).unwrap();
        assert_relative_eq!(found.value, expected, max_relative = 1e-11);
        assert_relative_eq!(found.u, u, max_relative = 1e-8);
        assert_eq!(format!("{:.3} {:.3}", found.value, found.u), printed);
    }
}

#[test]
fn gum_h2_statistics_of_the_readings() {
    let (means, covariance) = means_of_h2();
    let figures = [4.999, 19.661e-3, 1.044_46];
    let uncertainties = [0.003_209_361_31, 9.471_008_39e-6, 0.000_752_063_827];
    for index in 0..3 {
        assert_relative_eq!(means[index], figures[index], max_relative = 1e-12);
        assert_relative_eq!(
            covariance.uncertainty(index),
            uncertainties[index],
            max_relative = 1e-8
        );
    }
    for (i, j, r) in [
        (0, 1, -0.355_311_220),
        (0, 2, 0.857_624_210),
        (1, 2, -0.645_111_220),
    ] {
        assert_relative_eq!(
            covariance.correlation(i, j).unwrap(),
            r,
            max_relative = 1e-8
        );
    }
}

/// R = (V/I) cos φ, X = (V/I) sin φ and Z = V/I, all at once.
#[test]
fn gum_h2_from_voltage_current_and_phase() {
    let ([v, i, phi], covariance) = means_of_h2();
    let (sine, cosine) = libm::sincos(phi);
    let jacobian = [
        [cosine / i, -v * cosine / (i * i), -v / i * sine],
        [sine / i, -v * sine / (i * i), v / i * cosine],
        [1.0 / i, -v / (i * i), 0.0],
    ];
    let all = covariance.transformed(&jacobian);
    for (first, second, r, printed) in [
        (0, 1, -0.588_429_784, "-0.588"),
        (0, 2, -0.485_259_224, "-0.485"),
        (1, 2, 0.992_511_649, "0.993"),
    ] {
        let found = all.correlation(first, second).unwrap();
        assert_relative_eq!(found, r, max_relative = 1e-8);
        assert_eq!(format!("{found:.3}"), printed);
    }
    let estimate = ComplexEstimate {
        value: Complex64::new(v / i * cosine, v / i * sine),
        covariance: covariance.transformed(&[jacobian[0], jacobian[1]]),
    };
    assert_h2(&Impedance::new(estimate, 1e3).unwrap());
}

/// The same by way of a pair: |Z| = V/I and φ are correlated, and the pair keeps that.
#[test]
fn gum_h2_from_magnitude_and_angle() {
    let ([v, i, phi], covariance) = means_of_h2();
    let degree = 1_f64.to_degrees();
    let polar = covariance.transformed(&[[1.0 / i, -v / (i * i), 0.0], [0.0, 0.0, degree]]);
    let values = [
        Uncertain::new(v / i, polar.uncertainty(0)),
        Uncertain::new(phi.to_degrees(), polar.uncertainty(1)),
    ];
    let correlation = polar.correlation(0, 1).unwrap();
    let pair = Pair::new(PairKind::ZTheta, 1e3, values, correlation).unwrap();
    let z = pair.impedance().unwrap();
    assert_h2(&z);
    assert_relative_eq!(
        z.covariance().correlation(0, 1).unwrap(),
        -0.588_429_784,
        max_relative = 1e-8
    );
    // Without the correlation the uncertainties would be wrong.
    let without = Pair::new(PairKind::ZTheta, 1e3, values, 0.0).unwrap();
    let reactance = without
        .impedance()
        .unwrap()
        .equivalent(Parameter::Reactance);
    assert!(reactance.unwrap().u < 0.9 * 0.295_581_677);
}
