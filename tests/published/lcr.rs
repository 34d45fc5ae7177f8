//! Replies of LCR meters and their correction against figures from outside the project.

use approx::{assert_abs_diff_eq, assert_relative_eq};
use num_complex::Complex64;
use probewright::face::engine::impedance::{
    ComplexEstimate, Impedance, Pair, PairKind, Parameter, Residuals, Uncertain,
};
use probewright::face::engine::judge::{LcrReading, LossKind};
use probewright::face::engine::meter::{EquivalentCircuit, Field, Fields, Reply, Sentinels, Shown};
use probewright::face::engine::quantity::Quantity;

/// Cs in farad, D, f in hertz, then ESR in ohm, Cp in farad, |Z| in ohm and θ in degrees: computed with mpmath 1.3 at 30
/// digits from Z = ESR + 1/(jωCs), ESR = D/(ωCs), Cp = Cs/(1 + D²).
const CAPACITORS: [[f64; 7]; 6] = [
    [
        22e-6,
        0.15,
        120.0,
        9.042_894_493_86,
        21.515_892_420_5e-6,
        60.960_407_732_5,
        -81.469_234_39,
    ],
    [
        47e-9,
        0.008,
        1e3,
        27.090_203_079_5,
        46.996_992_192_5e-9,
        3_386.383_744_01,
        -89.541_643_54,
    ],
    [
        470e-12,
        0.001_5,
        1e3,
        507.941_307_74,
        469.998_942_502e-12,
        338_627.919_449,
        -89.914_056_4,
    ],
    [
        32e-6,
        0.25,
        120.0,
        10.361_649_940_9,
        30.117_647_058_8e-6,
        42.722_177_161_9,
        -75.963_756_53,
    ],
    [
        8e-6,
        0.6,
        1e3,
        11.936_620_731_9,
        5.882_352_941_18e-6,
        23.200_620_424_9,
        -59.036_243_47,
    ],
    [
        100e-12,
        0.001,
        1e6,
        1.591_549_430_92,
        99.999_900_000_1e-12,
        1_591.550_226_69,
        -89.942_704_24,
    ],
];

/// Ls in henry, Rs in ohm, f in hertz, then X in ohm, Q and Lp in henry: likewise, from X = ωLs, Q = X/Rs,
/// Lp = Ls (1 + 1/Q²).
const COILS: [[f64; 6]; 1] = [[
    10.0,
    400.0,
    50.0,
    3_141.592_653_59,
    7.853_981_633_97,
    10.162_113_893_8,
]];

/// The value and second value that a reply of these two fields means.
fn reply(
    quantity: Quantity,
    circuit: EquivalentCircuit,
    hz: f64,
    fields: [(Field, f64); 2],
) -> [f64; 2] {
    let list = fields.map(|(field, _)| field);
    let places = Fields::derived(&list, quantity, circuit, Some(hz)).unwrap();
    let line = format!("{:e},{:e}", fields[0].1, fields[1].1);
    let reply = Reply::parse(line.as_bytes(), &places, &Sentinels::default()).unwrap();
    match (reply.shown, reply.second) {
        (Shown::Value(value), Some(second)) => [value, second],
        other => panic!("{line}: {other:?}"),
    }
}

#[test]
fn capacitance_and_loss_follow_from_magnitude_and_angle() {
    for [cs, d, hz, _, cp, size, angle] in CAPACITORS {
        // θ is printed to eight decimals of a degree, so D = |cot θ| is off by (1 + D²) times half of the last.
        let rounding = 5.1e-9_f64.to_radians() * (1.0 + d * d);
        for (circuit, farad) in [
            (EquivalentCircuit::Series, cs),
            (EquivalentCircuit::Parallel, cp),
        ] {
            for fields in [
                [(Field::Impedance, size), (Field::AngleDeg, angle)],
                [
                    (Field::Impedance, size),
                    (Field::AngleRad, angle.to_radians()),
                ],
            ] {
                let [value, loss] = reply(Quantity::Capacitance, circuit, hz, fields);
                assert_abs_diff_eq!(loss, d, epsilon = rounding);
                assert_relative_eq!(value, farad, max_relative = 1e-10 + 2.0 * d * rounding);
            }
        }
    }
}

#[test]
fn capacitance_and_loss_follow_from_resistance_and_reactance() {
    for [cs, d, hz, esr, cp, ..] in CAPACITORS {
        let x = -1.0 / (std::f64::consts::TAU * hz * cs);
        for (circuit, farad) in [
            (EquivalentCircuit::Series, cs),
            (EquivalentCircuit::Parallel, cp),
        ] {
            let fields = [(Field::Resistance, esr), (Field::Reactance, x)];
            let [value, loss] = reply(Quantity::Capacitance, circuit, hz, fields);
            assert_relative_eq!(value, farad, max_relative = 1e-10);
            assert_relative_eq!(loss, d, max_relative = 1e-10);
        }
    }
}

#[test]
fn inductance_and_quality_follow_from_resistance_and_reactance() {
    for [ls, rs, hz, x, q, lp] in COILS {
        for (circuit, henry) in [
            (EquivalentCircuit::Series, ls),
            (EquivalentCircuit::Parallel, lp),
        ] {
            let fields = [(Field::Resistance, rs), (Field::Reactance, x)];
            let [value, quality] = reply(Quantity::Inductance, circuit, hz, fields);
            assert_relative_eq!(value, henry, max_relative = 1e-10);
            assert_relative_eq!(quality, q, max_relative = 1e-10);
        }
    }
}

/// Relations of the series and the parallel circuit as a maker's operating manual of a component analyser tabulates them
/// by D alone: Cs = Cp (1 + D²), Ls = Lp/(1 + D²), Rs = Rp D²/(1 + D²), Rp = Rs (1 + 1/D²), D = 1/Q.
#[test]
fn series_and_parallel_forms_are_related_by_the_loss_factor_alone() {
    for (kind, first, d) in [
        (PairKind::CpD, 8e-6, 0.6),
        (PairKind::CpD, 47e-9, 0.008),
        (PairKind::LpQ, 10.0, 0.125),
        (PairKind::LpQ, 0.3e-3, 1.25),
    ] {
        let capacitive = kind == PairKind::CpD;
        let second = if capacitive { d } else { 1.0 / d };
        let values = [first, second].map(Uncertain::exact);
        let z = Pair::new(kind, 1e3, values, 0.0)
            .unwrap()
            .impedance()
            .unwrap();
        let value = |parameter| z.equivalent(parameter).unwrap().value;
        let series = if capacitive {
            (value(Parameter::SeriesCapacitance), first * (1.0 + d * d))
        } else {
            (value(Parameter::SeriesInductance), first / (1.0 + d * d))
        };
        assert_relative_eq!(series.0, series.1, max_relative = 1e-12);
        let (rs, rp) = (
            value(Parameter::SeriesResistance),
            value(Parameter::ParallelResistance),
        );
        assert_relative_eq!(rs, rp * d * d / (1.0 + d * d), max_relative = 1e-12);
        assert_relative_eq!(rp, rs * (1.0 + 1.0 / (d * d)), max_relative = 1e-12);
        assert_relative_eq!(
            value(Parameter::QualityFactor),
            1.0 / d,
            max_relative = 1e-12
        );
    }
}

/// 470 pF with D 0.0015 at 1 kHz behind 0.03 Ω + 0.6 µH, with 1 nS + 3 pF across it, reads Cs 473.00052658135 pF with
/// D 0.00182705596302409 (mpmath 1.3 at 40 digits, Zm = Zs + Zx/(1 + Zx Yo)).
#[test]
fn a_small_capacitor_is_found_again_behind_its_leads() {
    let w = std::f64::consts::TAU * 1e3;
    let at = |re, im| ComplexEstimate::exact(Complex64::new(re, im));
    let series = Impedance::new(at(0.03, w * 0.6e-6), 1e3).unwrap();
    let residuals = Residuals::new(series, at(1e-9, w * 3e-12));
    let reading = LcrReading {
        kind: PairKind::CsD,
        frequency_hz: Some(1e3),
        second: Some(Uncertain::exact(0.001_827_055_963_024_09)),
        specified: true,
    };
    let read = Uncertain::exact(473.000_526_581_35e-12);
    let z = reading.impedance(read, Some(&residuals)).unwrap();
    let value = |parameter| z.equivalent(parameter).unwrap().value;
    assert_relative_eq!(
        value(Parameter::SeriesCapacitance),
        470e-12,
        max_relative = 5e-12
    );
    assert_relative_eq!(
        value(Parameter::DissipationFactor),
        0.001_5,
        max_relative = 2e-11
    );
}

/// 8 µF with D 0.6 at 1 kHz is Cp 5.88235294118 µF with Rp 45.0939005427 Ω (mpmath 1.3, Rp = ESR (1 + 1/D²)).
#[test]
fn a_parallel_resistance_tells_the_loss_factor() {
    let reading = LcrReading {
        kind: PairKind::CpRp,
        frequency_hz: Some(1e3),
        second: Some(Uncertain::new(45.093_900_542_7, 0.45)),
        specified: true,
    };
    let value = Uncertain::new(5.882_352_941_18e-6, 0.06e-6);
    let loss = reading.loss(value).unwrap();
    assert_eq!(loss.kind, LossKind::TanDelta);
    assert_relative_eq!(loss.value, 0.6, max_relative = 1e-11);
    // D = 1/(ωCpRp), so relative uncertainties add in square (JCGM 100:2008, 5.1.6, from memory).
    let relative = libm::hypot(0.45_f64 / 45.093_900_542_7, 0.06 / 5.882_352_941_18);
    assert_relative_eq!(
        loss.standard_uncertainty / loss.value,
        relative,
        max_relative = 1e-9
    );
}
