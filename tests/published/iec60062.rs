//! Markings: IEC 60062 and the writing of old lists.
#![expect(
    clippy::float_cmp,
    reason = "a written value is converted in one step, so it is the nearest number to the decimal one and equal to the literal"
)]

use probewright::face::engine::quantity::{
    Amount, ColourCode, Drawing, Quantity, Tolerance, ToleranceError, parse_body_end_dot,
    parse_colour_bands, parse_marking, parse_tolerance, parse_value,
};

const FARAD: Quantity = Quantity::Capacitance;
const OHM: Quantity = Quantity::Resistance;

fn value(text: &str, quantity: Quantity) -> f64 {
    let read = parse_value(text, Some(quantity), Drawing::default());
    read.unwrap_or_else(|error| panic!("{text}: {error}"))
        .amount
        .value()
}

fn percent(minus: f64, plus: f64) -> Tolerance {
    Tolerance::percent(minus, plus).expect("a good tolerance")
}

/// The table of a public encyclopedia's article on the RKM code.
#[test]
fn letter_codes_of_resistance() {
    let table = [
        ("R47", 0.47),
        ("4R7", 4.7),
        ("470R", 470.0),
        ("4K7", 4700.0),
        ("47K", 47e3),
        ("47K3", 47.3e3),
        ("470K", 470e3),
        ("4M7", 4.7e6),
    ];
    for (text, ohm) in table {
        assert_eq!(value(text, OHM), ohm, "{text}");
    }
    // From memory of IEC 60062.
    for (text, ohm) in [("6R8", 6.8), ("1M0", 1e6)] {
        assert_eq!(value(text, OHM), ohm, "{text}");
    }
}

/// From memory of IEC 60062.
#[test]
fn letter_codes_of_capacitance() {
    for (text, farad) in [
        ("4n7", 4.7e-9),
        ("p33", 0.33e-12),
        ("2µ2", 2.2e-6),
        ("100n", 100e-9),
        ("1m0", 1e-3),
    ] {
        assert_eq!(value(text, FARAD), farad, "{text}");
    }
}

/// Three characters: a public page on capacitor codes (473, 104, 222, 101, 229); with letter: a second such page (473K,
/// 105K 330V). 228 follows from the first page's rule that a third figure of 8 multiplies by 0.01.
#[test]
fn three_figure_codes_of_capacitance() {
    for (text, farad) in [
        ("473", 47e-9),
        ("104", 100e-9),
        ("222", 2.2e-9),
        ("101", 100e-12),
        ("229", 2.2e-12),
        ("228", 0.22e-12),
    ] {
        assert_eq!(value(text, FARAD), farad, "{text}");
    }
    let with_letter = parse_value("473K", Some(FARAD), Drawing::default()).unwrap();
    assert_eq!(
        (with_letter.amount.value(), with_letter.tolerance),
        (47e-9, Some(percent(10.0, 10.0)))
    );
    let marking = parse_marking("105K 330V", Some(FARAD), Drawing::default()).unwrap();
    assert_eq!(
        (
            marking.amount.value(),
            marking.tolerance,
            marking.rating.dc_volts
        ),
        (1e-6, Some(percent(10.0, 10.0)), Some(330.0))
    );
}

/// B to N and Z: three public lists agree; Q, S, T: one of them; H: a page on capacitor codes; W: a public table of
/// IEC 60062; E, L, P of resistors: from memory of IEC 60062.
#[test]
fn tolerance_letters() {
    let symmetric = [
        ('B', 0.1),
        ('C', 0.25),
        ('D', 0.5),
        ('F', 1.0),
        ('G', 2.0),
        ('H', 3.0),
        ('J', 5.0),
        ('K', 10.0),
        ('M', 20.0),
        ('N', 30.0),
        ('W', 0.05),
    ];
    for quantity in [OHM, FARAD] {
        let nominal = Amount::new(quantity, if quantity == OHM { 4700.0 } else { 10e-12 }).unwrap();
        for (letter, size) in symmetric {
            assert_eq!(
                parse_tolerance(&letter.to_string(), nominal),
                Ok(percent(size, size)),
                "{letter} of {quantity}"
            );
        }
    }
    let resistance = Amount::new(OHM, 4700.0).unwrap();
    for (letter, size) in [("E", 0.005), ("L", 0.01), ("P", 0.02)] {
        assert_eq!(
            parse_tolerance(letter, resistance),
            Ok(percent(size, size)),
            "{letter}"
        );
    }
    let capacitance = Amount::new(FARAD, 16e-6).unwrap();
    for (letter, minus, plus) in [
        ("Q", 10.0, 30.0),
        ("T", 10.0, 50.0),
        ("S", 20.0, 50.0),
        ("Z", 20.0, 80.0),
    ] {
        assert_eq!(
            parse_tolerance(letter, capacitance),
            Ok(percent(minus, plus)),
            "{letter}"
        );
        assert!(
            matches!(
                parse_tolerance(letter, resistance),
                Err(ToleranceError::UnknownLetter { .. })
            ),
            "{letter}"
        );
    }
}

/// Below 10 pF: the public lists of tolerance letters.
#[test]
fn tolerance_letters_of_small_capacitors_are_in_picofarad() {
    let small = Amount::new(FARAD, 8.2e-12).unwrap();
    for (letter, picofarad) in [("B", 0.1), ("C", 0.25), ("D", 0.5), ("F", 1.0), ("G", 2.0)] {
        let band = parse_tolerance(letter, small).unwrap().band(small);
        approx::assert_relative_eq!(
            band.upper() - small.value(),
            picofarad * 1e-12,
            max_relative = 1e-9
        );
        approx::assert_relative_eq!(
            small.value() - band.lower(),
            picofarad * 1e-12,
            max_relative = 1e-9
        );
    }
}

/// Public lists of letters on old capacitors disagree: P is guaranteed minimum or 0/+80 %, L 15 % or 0.01 %, E 1 pF or
/// 0.5 %, Y -20/+50 % or 0/+50 %; V is in one list only.
#[test]
fn letters_on_which_lists_disagree_are_refused() {
    let capacitance = Amount::new(FARAD, 10e-9).unwrap();
    for letter in ["P", "L", "E", "Y", "V"] {
        assert!(
            matches!(
                parse_tolerance(letter, capacitance),
                Err(ToleranceError::AmbiguousLetter { .. })
            ),
            "{letter}"
        );
    }
}

/// By the definition of the code's places (arithmetic); the third is an encyclopedia's example.
#[test]
fn colour_bands() {
    check_colours(parse_colour_bands("yellow violet red gold"), 4700.0, 5.0);
    check_colours(parse_colour_bands("brown black black red brown"), 10e3, 1.0);
    check_colours(parse_colour_bands("red red blue brown brown"), 2260.0, 1.0);
    check_colours(parse_colour_bands("green blue black"), 56.0, 20.0);
    check_colours(parse_colour_bands("red violet gold"), 2.7, 20.0);
    // A multiplier of 0.001 came with IEC 60062:2016, as its abstract says.
    check_colours(parse_colour_bands("brown black black pink brown"), 0.1, 1.0);
    // Six bands: red is 50 ppm/K, green 20 ppm/K, as public tables of the code give them.
    let temperature = |text| parse_colour_bands(text).unwrap().temperature_coefficient;
    assert_eq!(temperature("red red blue brown brown red"), Some(50.0));
    assert_eq!(temperature("red red blue brown brown green"), Some(20.0));
}

/// The code of the Radio Manufacturers Association as public texts on old sets describe it; values by its definition.
#[test]
fn body_end_and_dot() {
    check_colours(parse_body_end_dot("red green orange"), 25e3, 20.0);
    check_colours(parse_body_end_dot("red red red"), 2200.0, 20.0);
    check_colours(parse_body_end_dot("brown black yellow gold"), 100e3, 5.0);
}

#[track_caller]
fn check_colours<E: std::fmt::Debug>(code: Result<ColourCode, E>, ohm: f64, tolerance: f64) {
    let code = code.expect("good colours");
    assert_eq!(
        (code.amount.value(), code.tolerance),
        (ohm, percent(tolerance, tolerance))
    );
}

/// A public page on the notation of the 1930s: 120 mmF, 0.1 mF, .005 MFD; 10M and 22M for thousands; "Meg" is always a
/// million (common practice, no source).
#[test]
fn old_words() {
    assert_eq!(value("120 mmF", FARAD), 120e-12);
    assert_eq!(value("0.1 mF", FARAD), 0.1e-6);
    assert_eq!(value(".005 MFD", FARAD), 5e-9);
    let old = |text| {
        parse_value(
            text,
            Some(OHM),
            Drawing {
                m_is_thousand: true,
            },
        )
        .unwrap()
        .amount
        .value()
    };
    assert_eq!(old("10M"), 10e3);
    assert_eq!(old("22M"), 22e3);
    assert_eq!(old("1 Meg"), 1e6);
}
