//! Safety classes and touch currents against figures from outside the project.
//!
//! The standards themselves were not at hand: each table says where its figures were read. Products of the defining
//! formulas were computed with mpmath 1.3 at 30 digits.

use approx::assert_relative_eq;
use probewright::face::engine::judge::safety::{
    ClassFamily, Mains, MainsPlace, TOUCH_LIMITS, Waveform, Weight, check_class, class_data,
    largest_capacitance, total_capacitance, touch_current,
};
use probewright::face::engine::quantity::{SafetyClass, parse_rating};

fn mains(volts: f64, hertz: f64) -> Mains {
    Mains::new(volts, hertz).unwrap()
}

/// Impulse test up to 1 µF, IEC 60384-14: X1 and X2 as quoted in makers' public data
/// sheets, X3 as quoted in a public note on X and Y capacitors; that X3 has no test is from memory.
#[test]
fn classes_between_lines() {
    for (class, test) in [
        (SafetyClass::X1, Some(4.0)),
        (SafetyClass::X2, Some(2.5)),
        (SafetyClass::X3, None),
    ] {
        let data = class_data(class);
        assert_eq!(data.family, ClassFamily::X);
        assert_eq!(data.impulse_test_kilovolts, test, "{class}");
    }
}

/// Impulse test and rated voltages, IEC 60384-14 as quoted in public articles on safety capacitors; which class bridges
/// reinforced insulation is from memory.
#[test]
fn classes_from_line_to_chassis() {
    for (class, test, inside, outside, reinforced) in [
        (SafetyClass::Y1, Some(8.0), [250.0, 500.0], 500.1, true),
        (SafetyClass::Y2, Some(5.0), [150.0, 300.0], 149.9, false),
        (SafetyClass::Y2, Some(5.0), [150.0, 300.0], 300.1, false),
        (SafetyClass::Y3, None, [150.0, 250.0], 250.1, false),
        (SafetyClass::Y4, Some(2.5), [125.0, 149.9], 150.0, false),
    ] {
        let data = class_data(class);
        assert_eq!(data.family, ClassFamily::Y);
        assert_eq!(data.impulse_test_kilovolts, test, "{class}");
        assert_eq!(data.reinforced, reinforced, "{class}");
        let rated = data.rated.unwrap();
        assert!(inside.iter().all(|volts| rated.contains(*volts)), "{class}");
        assert!(!rated.contains(outside), "{class}");
    }
}

/// A Y part may stand in for an X part of the same rated voltage, never the other way round (as quoted in two public
/// articles on safety capacitors).
#[test]
fn a_y_may_stand_in_for_an_x_and_never_the_other_way() {
    let fails = |rating: &str, place| {
        let rating = parse_rating(rating).unwrap();
        match check_class(&rating, place, Some(mains(230.0, 50.0))).weight() {
            Some(Weight::Fault) => true,
            Some(Weight::Doubt) => panic!("{place}: in doubt"),
            Some(Weight::Remark) | None => false,
        }
    };
    assert!(!fails("Y2 250V~", MainsPlace::AcrossLine));
    assert!(!fails("X2 250V~", MainsPlace::AcrossLine));
    assert!(!fails("Y2 250V~", MainsPlace::LineToChassis));
    assert!(fails("X2 250V~", MainsPlace::LineToChassis));
    assert!(fails("X1 440V~", MainsPlace::LineToChassis));
}

/// 2πfCV in milliampere, by mpmath.
#[test]
fn touch_currents() {
    let (america, europe) = (mains(120.0, 60.0), mains(230.0, 50.0));
    for (nanofarads, supply, milliamperes) in [
        (1.0, america, 0.045_238_934_21),
        (1.0, europe, 0.072_256_631_03),
        (2.2, america, 0.099_525_655_27),
        (2.2, europe, 0.158_964_588_3),
        (4.7, america, 0.212_622_990_8),
        (4.7, europe, 0.339_606_165_9),
        (10.0, america, 0.452_389_342_1),
        (10.0, europe, 0.722_566_310_3),
        (47.0, america, 2.126_229_908),
        (47.0, europe, 3.396_061_659),
        (2.2, mains(250.0, 50.0), 0.172_787_595_9),
        // Old line-to-chassis capacitors of .05 and .1 µF.
        (50.0, mains(117.0, 60.0), 2.205_398_043),
        (100.0, mains(117.0, 60.0), 4.410_796_086),
    ] {
        let amperes = touch_current(nanofarads * 1e-9, supply).unwrap();
        assert_relative_eq!(amperes * 1e3, milliamperes, max_relative = 1e-9);
    }
}

/// The same solved for the capacitance, in nanofarad, by mpmath.
#[test]
fn largest_capacitances() {
    let (america, europe) = (mains(120.0, 60.0), mains(230.0, 50.0));
    for (milliamperes, supply, nanofarads) in [
        (0.25, america, 5.526_213_301_8),
        (0.25, europe, 3.459_890_067_22),
        (0.5, america, 11.052_426_603_6),
        (0.5, europe, 6.919_780_134_43),
        (0.75, europe, 10.379_670_201_6),
        (3.5, europe, 48.438_460_941),
        (0.25, mains(250.0, 50.0), 3.183_098_861_84),
    ] {
        let farads = largest_capacitance(milliamperes * 1e-3, supply).unwrap();
        assert_relative_eq!(farads * 1e9, nanofarads, max_relative = 1e-10);
    }
}

/// Capacitances in parallel add, by definition: three of 2.2 nF draw three times the current of one.
#[test]
fn several_capacitors_add() {
    let total = total_capacitance(&[2.2e-9; 3]).unwrap();
    let amperes = touch_current(total, mains(230.0, 50.0)).unwrap();
    assert_relative_eq!(amperes, 3.0 * 0.158_964_588_3e-3, max_relative = 1e-9);
}

/// The limits as commonly quoted: IEC 60950-1, table 5A, and ANSI C101 on a public mailing list of product-safety
/// engineers, 3.5 mA by a maker of power supplies, IEC 60065 in a public television manual, IEC 62368-1 from memory.
#[test]
fn limits_of_touch_current() {
    for (standard, milliamperes, waveform) in [
        ("IEC 60950-1", 0.25, Waveform::Rms),
        ("IEC 60950-1", 0.75, Waveform::Rms),
        ("IEC 60950-1", 3.5, Waveform::Rms),
        ("ANSI C101", 0.5, Waveform::Rms),
        ("IEC 60065", 0.7, Waveform::Peak),
        ("IEC 60065", 2.0, Waveform::Direct),
        ("IEC 62368-1, ES1", 0.5, Waveform::Rms),
        ("IEC 62368-1, ES1", 2.0, Waveform::Direct),
        ("IEC 62368-1, ES2", 5.0, Waveform::Rms),
        ("IEC 62368-1, ES2", 25.0, Waveform::Direct),
    ] {
        let found = TOUCH_LIMITS.iter().filter(|limit| {
            limit.standard.starts_with(standard)
                && limit.waveform == waveform
                && (limit.amperes * 1e3 - milliamperes).abs() < 1e-9
        });
        assert_eq!(found.count(), 1, "{standard} {milliamperes} mA");
    }
    // IEC 62368-1 states ES1 both as 0.5 mA root mean square and as 0.707 mA peak (from memory).
    let es1 = TOUCH_LIMITS
        .iter()
        .find(|limit| limit.standard == "IEC 62368-1, ES1");
    let peak = es1.unwrap().rms_amperes().unwrap() * std::f64::consts::SQRT_2;
    assert_eq!(format!("{:.3}", peak * 1e3), "0.707");
}
