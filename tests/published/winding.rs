//! Windings against figures from outside the project: arithmetic by mpmath 1.3 at 30 digits, textbook problems, definitions.

use approx::assert_relative_eq;
use probewright::face::engine::judge::winding::{
    Measured, Temperature, balance, impedance_ratio, reflected_load, resistance_at_20, turns_ratio,
};

fn exact(value: f64) -> Measured {
    Measured::exact(value).unwrap()
}

fn celsius(value: f64) -> Temperature {
    Temperature::new(value, 0.0).unwrap()
}

/// R20 by the rule with 234.5 °C (IEC 60028, from memory), by mpmath.
#[test]
fn resistance_at_twenty_degrees() {
    for (ohms, t, by_rule) in [
        (100.0, 30.0, 96.219_281_663_5),
        (8.2, 5.0, 8.713_569_937_37),
        (1250.0, 27.5, 1_214.217_557_25),
        (0.42, 35.0, 0.396_623_376_623),
        (200.0, 15.0, 204.008_016_032),
        (35.0, 22.0, 34.727_095_516_6),
    ] {
        let found = resistance_at_20(exact(ohms), celsius(t));
        assert_relative_eq!(found.value, by_rule, max_relative = 2e-12);
    }
}

/// 1/254.5 and 1/234.5 per kelvin, by mpmath: the slope of copper's resistance against that at 20 °C and at 0 °C.
#[test]
fn slope_of_copper() {
    let kelvin = Temperature::new(20.0, 1.0).unwrap();
    let found = resistance_at_20(exact(1.0), kelvin);
    assert_relative_eq!(
        found.standard_uncertainty,
        0.003_929_273,
        max_relative = 2e-7
    );
    let frozen = resistance_at_20(exact(1.0), Temperature::new(0.0, 1.0).unwrap());
    assert_relative_eq!(
        frozen.standard_uncertainty / frozen.value,
        0.004_264_392,
        max_relative = 2e-7
    );
}

/// Reflected impedance n² Z: problems 18-3 and 18-4 of S. Gibilisco, Teach Yourself Electricity and Electronics, 3rd edition
/// (4:1 and 37.5 Ω); a public collection of questions (3000 to 30 Ω); figure 18-19 of Grob as quoted in public (300 Ω seen
/// as 75 Ω). The others by definition.
#[test]
fn reflected_loads() {
    for (turns, load, seen) in [
        (4.0, 37.5, 600.0),
        (10.0, 30.0, 3000.0),
        (0.5, 300.0, 75.0),
        (25.0, 8.0, 5000.0),
        (20.0, 15.0, 6000.0),
        (45.0, 3.0, 6075.0),
    ] {
        let found = reflected_load(exact(turns), exact(load));
        assert_relative_eq!(found.value, seen, max_relative = 1e-12);
    }
}

/// 240 V against 7.6 V: n = 31.5789, and 8 Ω reflect 7977.839 Ω (definition, by mpmath).
#[test]
fn ratio_from_two_voltages() {
    let turns = turns_ratio(exact(240.0), exact(7.6));
    assert_relative_eq!(turns.value, 31.5789, max_relative = 2e-6);
    assert_relative_eq!(
        reflected_load(turns, exact(8.0)).value,
        7977.839,
        max_relative = 1e-7
    );
    assert_relative_eq!(
        impedance_ratio(turns).value * 8.0,
        7977.839,
        max_relative = 1e-7
    );
}

/// The relative uncertainty of a quotient is the root of the sum of the squares of its parts' (JCGM 100:2008, 5.1.6, clause from
/// memory): 3 % and 4 % make 5 %. 38² is 1444, and 1444 × 8 Ω are 11 552 Ω (definition, by hand), with twice the relative
/// uncertainty of the ratio.
#[test]
fn uncertainty_of_a_ratio_and_the_load_behind_it() {
    let measured = |value, u| Measured::new(value, u).unwrap();
    let turns = turns_ratio(measured(7.6, 0.03 * 7.6), measured(0.2, 0.04 * 0.2));
    assert_relative_eq!(turns.value, 38.0, max_relative = 1e-12);
    assert_relative_eq!(turns.relative_uncertainty(), 0.05, max_relative = 1e-12);
    let seen = reflected_load(turns, exact(8.0));
    assert_relative_eq!(seen.value, 11_552.0, max_relative = 1e-12);
    assert_relative_eq!(seen.relative_uncertainty(), 0.10, max_relative = 1e-12);
}

/// By definition: 90 and 110 differ by 20 % of their mean; 165 and 180 by 15/172.5 = 8.695652174 %.
#[test]
fn difference_of_two_halves() {
    assert_relative_eq!(
        balance(exact(110.0), exact(90.0)).percent.value,
        20.0,
        max_relative = 1e-12
    );
    let found = balance(exact(165.0), exact(180.0));
    assert_relative_eq!(found.percent.value, -8.695_652_174, max_relative = 1e-9);
    assert_eq!(found.mean.value, 172.5);
}
