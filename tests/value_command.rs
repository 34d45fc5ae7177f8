//! The command `value`: what it shows and what it refuses.

use std::process::{Command, Output};

fn value(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_probewright"))
        .arg("value")
        .args(arguments)
        .output()
        .expect("the program runs")
}

fn shown(arguments: &[&str]) -> String {
    let output = value(arguments);
    assert_eq!(
        output.status.code(),
        Some(0),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
    String::from_utf8(output.stdout).expect("text")
}

fn refused(arguments: &[&str]) -> String {
    let output = value(arguments);
    assert_eq!((output.status.code(), output.stdout.len()), (Some(2), 0));
    String::from_utf8(output.stderr).expect("text")
}

#[test]
fn a_marking_is_shown_with_band_and_preferred_values() {
    let expected = "\
capacitance  47 nF
tolerance    ±10 %, as marked
band         42.3 nF to 51.7 nF
rating       400 V
series  nearest  deviation
E6      47 nF    0 %
E12     47 nF    0 %
E24     47 nF    0 %
E48     46.4 nF  −1.28 %
E96     47.5 nF  +1.06 %
remark: three figures read as the code: two figures and a power of ten, in pF
remark: would also fit a resistance; read as a capacitance because a voltage is beside it
";
    assert_eq!(shown(&["473K 400V"]), expected);
}

#[test]
fn arguments_may_stand_without_quotation_marks() {
    assert_eq!(shown(&["4K7", "10%"]), shown(&["4K7 10%"]));
    assert_eq!(
        shown(&["--", "16uF", "450V", "-10/+50%"]),
        shown(&["16uF 450V -10/+50%"])
    );
}

#[test]
fn inductances_voltages_and_currents_are_shown_when_asked_for() {
    assert!(shown(&["10 H 20%"]).starts_with(
        "inductance   10 H\ntolerance    ±20 %, as marked\nband         8 H to 12 H\nseries"
    ));
    let volts =
        "voltage      −12 V\ntolerance    ±5 %, as marked\nband         −12.6 V to −11.4 V\n";
    assert_eq!(shown(&["--quantity", "voltage", "--", "-12 V 5%"]), volts);
    assert!(shown(&["0.3 mA", "--quantity", "Current"]).starts_with("current      300 µA\n"));
    assert!(refused(&["100µH"]).contains("100 µF with a tolerance letter or 100 µH"));
    assert!(shown(&["0.5 H"]).starts_with("inductance   500 mH\n"));
    assert!(
        refused(&["250V"]).contains("found `250V`, a voltage, expected the part's value first")
    );
    assert!(refused(&["0 V", "--quantity", "voltage"]).contains("other than zero"));
    assert!(refused(&["-10 H"]).len() > 10);
}

#[test]
fn colours_are_known_by_themselves() {
    assert!(
        shown(&["yellow violet red gold"]).starts_with("resistance   4.7 kΩ\ntolerance    ±5 %")
    );
    assert!(
        shown(&["red green orange", "--body-end-dot"])
            .starts_with("resistance   25 kΩ\ntolerance    ±20 %")
    );
    assert!(
        refused(&["yellow violet red white"])
            .contains("found white as band 4, which is no tolerance")
    );
    assert!(
        refused(&["red red red", "--quantity", "capacitance"]).contains("expected a resistance")
    );
}

#[test]
fn what_is_ambiguous_is_asked_for() {
    assert!(refused(&["473K"]).contains("473 kΩ or 47 nF"));
    assert!(shown(&["473K", "--quantity", "resistance"]).starts_with("resistance   473 kΩ"));
    assert!(
        refused(&["22 m"])
            .contains("as a resistance, `m` may mean a million, a thousand or a thousandth")
    );
    assert!(
        shown(&["22 m", "--m-is-thousand", "--quantity", "resistance"])
            .starts_with("resistance   22 kΩ")
    );
    assert!(refused(&["250", "--quantity", "capacitance"]).contains("`250 pF`"));
    assert!(
        refused(&["4K7", "--quantity", "impedance"])
            .contains("expected `resistance`, `capacitance`, `inductance`, `voltage`, `current`, `ac_voltage` or `ratio`")
    );
}
