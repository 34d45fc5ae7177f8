//! Corners, bias and dividers against values of their defining formulas, by mpmath 1.3 at 30 digits unless said.

use approx::assert_relative_eq;
use probewright::face::engine::judge::drift::{
    Drift, Effect, Member, WorkingCircuit, corner_frequency, divider_volts, high_pass_decibels,
    low_pass_decibels, self_bias_amperes,
};

/// 1/(2πRC), in hertz; the first also from a circuit simulation (33.86276 Hz by ngspice 39).
#[test]
fn corner_frequencies() {
    for (ohms, farads, hertz) in [
        (470e3, 10e-9, 33.862_753_85),
        (1e6, 10e-9, 15.915_494_31),
        (1e6, 20e-9, 7.957_747_155),
        (500e3, 20e-9, 15.915_494_31),
        (220e3, 47e-9, 15.392_160_84),
        (50e3, 20e-9, 159.154_943_1),
        (500e3, 250e-12, 1_273.239_545),
        (820.0, 100e-9, 1_940.913_94),
        (2.2e6, 100e-9, 0.723_431_559_5),
        (2200.0, 25e-6, 2.893_726_238),
        (270.0, 25e-6, 23.578_510_09),
        (1500.0, 25e-6, 4.244_131_8),
    ] {
        let found = corner_frequency(ohms, farads).unwrap();
        assert_relative_eq!(found, hertz, max_relative = 1e-8);
    }
}

/// The AVC line of 2.2 MΩ and 100 nF has a time constant of 0.22 s (definition).
#[test]
fn time_constant_of_the_avc_line() {
    let constant = 1.0 / (std::f64::consts::TAU * corner_frequency(2.2e6, 100e-9).unwrap());
    assert_relative_eq!(constant, 0.22, max_relative = 1e-12);
}

/// Back from 12.9 V over 270 Ω (definition): 47.77777778 mA and 0.616333 W; with the resistor 20 % up 39.81481481 mA.
#[test]
fn the_current_behind_a_cathode_voltage() {
    let amperes = self_bias_amperes(12.9, 270.0).unwrap();
    assert_relative_eq!(amperes * 1e3, 47.777_777_78, max_relative = 1e-9);
    assert_relative_eq!(amperes * 12.9, 0.616_333, max_relative = 1e-6);
    let circuit = WorkingCircuit::SelfBias {
        cathode_volts: 12.9,
        ohms: 270.0,
    };
    let Effect::Current(change) = circuit.effect(&[drift(Member::Resistor, 324.0)]).unwrap() else {
        panic!("a cathode resistor tells a current");
    };
    assert_relative_eq!(change.nominal * 1e3, 47.777_777_78, max_relative = 1e-9);
    assert_relative_eq!(change.actual * 1e3, 39.814_814_81, max_relative = 1e-9);
}

fn drift(member: Member, measured: f64) -> Drift {
    Drift { member, measured }
}

/// 250 V over 220 kΩ and 47 kΩ, and what 20 % up do (definition, by mpmath).
#[test]
fn divider() {
    assert_relative_eq!(
        divider_volts(250.0, 220e3, 47e3).unwrap(),
        44.007_490_6,
        max_relative = 1e-9
    );
    let circuit = WorkingCircuit::Divider {
        supply_volts: 250.0,
        upper_ohms: 220e3,
        lower_ohms: 47e3,
    };
    let (upper, lower) = (drift(Member::Upper, 264e3), drift(Member::Lower, 56.4e3));
    for (drifts, volts) in [
        (&[upper][..], 37.781_350_5),
        (&[lower][..], 51.013_024_6),
        (&[upper, lower][..], 44.007_490_6),
    ] {
        let Effect::Voltage(change) = circuit.effect(drifts).unwrap() else {
            panic!("a divider gives a voltage");
        };
        assert_relative_eq!(change.actual, volts, max_relative = 2e-9);
    }
}

/// First-order filters by definition: at the corner 10 log 2 = 3.010299957 dB down, a decade beyond 10 log 101 =
/// 20.043213738 dB, an octave beyond 10 log 5 = 6.989700043 dB.
#[test]
fn levels_of_first_order_filters() {
    for (ratio, decibels) in [
        (1.0, -3.010_299_957),
        (2.0, -6.989_700_043),
        (10.0, -20.043_213_738),
    ] {
        let low = low_pass_decibels(159.0 * ratio, 159.0).unwrap();
        assert_relative_eq!(low, decibels, max_relative = 1e-9);
        let high = high_pass_decibels(159.0 / ratio, 159.0).unwrap();
        assert_relative_eq!(high, decibels, max_relative = 1e-9);
    }
}
