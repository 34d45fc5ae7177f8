//! Answers that a meter may send by SCPI-1999 and IEEE 488.2.
//!
//! "From memory" marks what was recalled, "second-hand" what was read in a text that quotes the standard.

use probewright::face::engine::meter::{
    DeviceError, Fields, Number, Profile, Reply, Sentinels, Shown, shipped_profiles,
};

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
        ("250VDC", 250.0),
        ("-12 V", -12.0),
        ("1.5KV", 1500.0),
        ("63MV", 63e-3),
        ("60MA", 60e-3),
        ("47UA", 47e-6),
        ("500MH", 0.5),
        ("100UH", 100e-6),
    ] {
        assert_eq!(shown(text), Shown::Value(expected), "{text}");
    }
}

/// The short form of a keyword is its first four letters, three if the fourth is a vowel (SCPI-1999, volume 1, as quoted in a
/// maker's manual of a general instrument). The keywords are those of the standard's list; `INDuctance` follows the same rule,
/// and whether the standard lists it was not seen.
#[test]
fn the_set_up_commands_of_the_shipped_profiles_are_short_forms() {
    let short = |keyword: &str| {
        let vowel = keyword.chars().nth(3).is_some_and(|c| "AEIOUY".contains(c));
        keyword[..keyword.len().min(if vowel { 3 } else { 4 })].to_owned()
    };
    let keywords = [
        "CONFIGURE",
        "RESISTANCE",
        "CAPACITANCE",
        "INDUCTANCE",
        "VOLTAGE",
        "CURRENT",
        "DC",
        "AC",
    ];
    let known: Vec<String> = keywords.into_iter().map(short).collect();
    let mut commands = 0;
    for shipped in shipped_profiles() {
        let profile = Profile::parse(shipped.text, shipped.name).expect("a good profile");
        for (quantity, function) in profile.functions() {
            // CONFigure:VOLTage:AC is a function of its own (from memory).
            let name = quantity.name().to_uppercase();
            let (current, name) = match name.strip_prefix("AC_") {
                Some(name) => (Some("AC"), name),
                None => (None, name.as_str()),
            };
            for command in &function.setup {
                commands += 1;
                let nodes: Vec<&str> = command.split(':').collect();
                assert!(
                    nodes
                        .iter()
                        .all(|node| known.iter().any(|word| word == node)),
                    "{command}"
                );
                assert_eq!(nodes.contains(&"AC"), current.is_some(), "{command}");
                // CONFigure:<function>, SCPI-1999 volume 2 (from memory).
                assert_eq!(nodes[0], "CONF", "{command}");
                assert_eq!(nodes[1], short(name), "{command}");
            }
        }
    }
    assert!(commands > 0);
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
