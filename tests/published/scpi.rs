//! What SCPI-1999 and IEEE 488.2 say that a meter may send.
//!
//! "From memory" marks what was recalled, "second-hand" what was read in a text that quotes the standard.

use probewright::meter::{DeviceError, Fields, Number, Reply, Sentinels, Shown};

fn value(text: &str) -> f64 {
    let (number, rest) = Number::scan(text.as_bytes()).expect("a number");
    assert!(rest.is_empty(), "`{text}` leaves something over");
    number.value(0).expect("a finite number")
}

fn shown(text: &str) -> Shown {
    Reply::parse(text.as_bytes(), &Fields::one(), &Sentinels::default())
        .expect("a reply")
        .shown
}

/// IEEE 488.2, 8.7.2 to 8.7.4: response numbers of the forms NR1, NR2, NR3 (the three kinds second-hand, the clauses from memory).
#[test]
fn the_three_forms_of_a_response_number_are_understood() {
    for (text, expected) in [
        ("0", 0.0),
        ("-42", -42.0),
        ("+273", 273.0),
        ("12.0", 12.0),
        ("-0.5", -0.5),
        ("+1.25000E-03", 1.25e-3),
        ("+2.73E+2", 273.0),
    ] {
        assert_eq!(value(text).to_bits(), f64::to_bits(expected), "{text}");
    }
}

/// Forms that meters send though the standard has stricter ones (common practice, no source).
#[test]
fn looser_forms_are_understood_too() {
    for (text, expected) in [
        (".5", 0.5),
        ("1.E3", 1000.0),
        ("1.234567e-12", 1.234_567e-12),
        ("0.001234567", 0.001_234_567),
    ] {
        assert_eq!(value(text).to_bits(), f64::to_bits(expected), "{text}");
    }
}

/// SCPI-1999, volume 1, 7.2.1.4 and 7.2.1.5 (numbers second-hand, clauses from memory): 9.9E37 is infinity, 9.91E37 not a number.
#[test]
fn infinity_and_not_a_number_are_told_apart() {
    for text in [
        "+9.9E37",
        "9.9E+37",
        "-9.9E+37",
        "+9.90000E+37",
        "9.9e37",
        "99000000000000000000000000000000000000.000000",
    ] {
        assert_eq!(shown(text), Shown::Overload, "{text}");
    }
    for text in ["9.91E37", "+9.91000000E+37", "9.91e+37"] {
        assert_eq!(shown(text), Shown::NotANumber, "{text}");
    }
    assert_eq!(shown("+9.8E+37"), Shown::Value(9.8e37));
}

/// IEEE 488.2, 7.7.3 (from memory): the suffix `MOHM` is mega although `M` is milli elsewhere; `K`, `U`, `N`, `P` are kilo, micro, nano, pico.
#[test]
fn suffix_multipliers_are_those_of_the_standard() {
    for (text, expected) in [
        ("1.5MOHM", 1.5e6),
        ("4.7KOHM", 4.7e3),
        ("47UF", 47e-6),
        ("47NF", 47e-9),
        ("47PF", 47e-12),
        ("1MF", 1e-3),
        ("2MAOHM", 2e6),
    ] {
        assert_eq!(shown(text), Shown::Value(expected), "{text}");
    }
}

/// SCPI-1999, volume 2, `SYSTem:ERRor[:NEXT]?`: `number,"text"`. The texts are those of the standard's list (second-hand);
/// `+0` second-hand, `-000` and the doubled quote from memory. The last one is a device's own, positive number (second-hand: allowed).
#[test]
fn answers_of_the_error_queue_are_understood() {
    for (line, code, text) in [
        ("0,\"No error\"", 0, "No error"),
        ("+0,\"No error\"", 0, "No error"),
        ("-000,\"No error\"", 0, "No error"),
        ("-113,\"Undefined header\"", -113, "Undefined header"),
        ("-350,\"Queue overflow\"", -350, "Queue overflow"),
        (
            "-222,\"Data out of range;CONF:RES 1E99\"",
            -222,
            "Data out of range;CONF:RES 1E99",
        ),
        (
            "-151,\"Invalid string data;\"\"RES, 2\"\"\"",
            -151,
            "Invalid string data;\"RES, 2\"",
        ),
        ("501,\"Cover open\"", 501, "Cover open"),
    ] {
        let error = DeviceError::parse(line).expect("an answer of the error queue");
        assert_eq!((error.code, &*error.text), (code, text), "{line}");
        assert_eq!(DeviceError::recognise(line), Some(error), "{line}");
    }
}
