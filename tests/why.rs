//! Words of `why` on a verdict, from a recording of a talk-only meter: points, drifts, halves of a winding, charge, touch current.

use std::path::{Path, PathBuf};

use probewright::face::bench::recording::{Event, Header, LinkState, Writer};
use probewright::face::engine::quantity::Stamp;

use crate::program::Program;

const PROFILE: &str = r#"
format = 1
title = "a meter with a knob"
mode = "talk"
[line]
baud = 2400
[timing]
silent_after_s = 5.0
[number]
overload_words = ["OL"]
[function.resistance]
idle = "overload"
range = [{ up_to = 1e6, resolution = 0.01, percent_of_reading = 0.1, counts = 5 }]
[function.capacitance]
idle = { below = 1e-11 }
range = [{ up_to = 1e-4, resolution = 1e-12, percent_of_reading = 0.5, counts = 2 }]
[function.voltage]
idle = { below = 0.2 }
range = [{ up_to = 1000, resolution = 0.01, percent_of_reading = 0.1, counts = 2 }]
"#;

const JOB: &str = "[mains]\nvolts = 230\nhertz = 50\n";

const PARTS: &str = "\
ref,kind,value,tolerance,rating,material,role,from,to,in_circuit,with,sheet_ohm_per_volt,sheet_range,source_ohm
C1,capacitor,10 nF,20%,400V,mica,coupling,A1,G2,no,R1,,,
R1,resistor,470k,20%,,carbon,grid leak,G2,chassis,no,C1,,,
R2,resistor,270R,10%,,carbon,cathode bias,K2,chassis,no,12.9V,,,
R3,resistor,220k,10%,,carbon,screen divider,HT,S,yes,R4 250V,,,
R4,resistor,47k,10%,,carbon,screen divider,S,chassis,no,R3 250V,,,
C2,capacitor,25uF,20%,25V,electrolytic,cathode bypass,K2,chassis,no,R2,,,
C3,capacitor,32uF,20%,450V,electrolytic,reservoir,HT,chassis,no,,,,
R5,resistor,470k,10%,,carbon,bleeder,HT,chassis,no,,,,
T1.a,winding,165R,15%,,,,,,no,,,,
T1.b,winding,180R,15%,,,,,,no,,,,
C4,capacitor,50 nF,20%,250V~,ceramic,mains to chassis,L,chassis,no,,,,
S1,switch,,,,,,,,no,,,,
TP1,point,150 V,10%,,,,,,,,1000,300 V,100k
TP2,point,150 V,10%,,,,,,,,20k,300 V,
";

/// Lines of the meter: part, in the air, then on the part. R5 is not measured.
const SHOWN: [(&str, &str, &str); 13] = [
    ("C1", "0 F", "5.000E-9 F"),
    ("R1", "OL OHM", "470000 OHM"),
    ("R2", "OL OHM", "324.00 OHM"),
    ("R3", "OL OHM", "264000 OHM"),
    ("R4", "OL OHM", "47000 OHM"),
    ("C2", "0 F", "12.50E-6 F"),
    ("C3", "0 F", "32.00E-6 F"),
    ("T1.a", "OL OHM", "165.00 OHM"),
    ("T1.b", "OL OHM", "180.00 OHM"),
    ("C4", "0 F", "50.00E-9 F"),
    ("S1", "OL OHM", "0.02 OHM"),
    ("TP1", "0.01 VDC", "200.00 VDC"),
    ("TP2", "0.01 VDC", "200.00 VDC"),
];

/// The recording of a sitting in which these parts are touched for two seconds each.
fn record(path: &Path, profile: &str, shown: &[(&str, &str, &str)]) {
    let file = |name, content| Event::File { name, content };
    let setting = |key, value| Event::Setting { key, value };
    let only: Vec<&str> = shown.iter().map(|one| one.0).collect();
    let only = only.join(",");
    let setup = [
        file("job.toml", JOB.as_bytes()),
        file("parts.csv", PARTS.as_bytes()),
        file("profile.toml", profile.as_bytes()),
        setting("only", &only),
        setting("rule", "guard-band"),
        setting("profile", "knob"),
    ];
    let header = Header {
        program: "test",
        version: "1",
        begun: "2056-11-03T19:25:30+01:00".parse().unwrap(),
        setup: &setup,
    };
    let out = std::fs::File::create(path).unwrap();
    let mut writer = Writer::onto(out, || Ok(()), path, &header).unwrap();
    let up = Event::Link {
        meter: 0,
        state: LinkState::Up,
        reason: "",
    };
    writer.record(Stamp::ZERO, &up).unwrap();
    let safe = Event::Command {
        text: "override all the chassis has been unpowered for a year",
    };
    writer.record(Stamp::ZERO, &safe).unwrap();
    let mut at = 0;
    let mut send = |text: &str, times: u32| {
        for _ in 0..times {
            at += 100_000;
            let line = format!("{text}\r\n");
            let event = match text {
                "live" => Event::Command { text },
                _ => Event::In {
                    meter: 0,
                    bytes: line.as_bytes(),
                },
            };
            writer.record(Stamp::from_micros(at), &event).unwrap();
        }
    };
    for (part, air, touch) in shown {
        if part.starts_with("TP") {
            send("live", 1);
        }
        send(air, 8);
        send(touch, 20);
        send(air, 5);
    }
    let end = Stamp::from_micros(at + 100_000);
    writer.record(end, &Event::Command { text: "end" }).unwrap();
    writer.seal(end, "ended").unwrap();
}

/// A sitting that was recorded.
struct Sitting {
    _folder: tempfile::TempDir,
    recording: PathBuf,
}

impl Sitting {
    fn of(shown: &[(&str, &str, &str)]) -> Self {
        let folder = tempfile::tempdir().unwrap();
        let recording = folder.path().join("a.rec");
        record(&recording, PROFILE, shown);
        Self {
            _folder: folder,
            recording,
        }
    }

    /// Output of `why` about a part.
    fn why(&self, designator: &str) -> String {
        let path = self.recording.to_str().unwrap();
        Program::new(["why", path, designator])
            .run()
            .with_status(0)
            .out()
    }
}

/// The line of `text` that begins with `beginning`, without that.
fn line<'a>(text: &'a str, beginning: &str) -> &'a str {
    text.lines()
        .find_map(|line| line.strip_prefix(beginning))
        .unwrap_or_else(|| panic!("no line `{beginning}` in:\n{text}"))
}

#[test]
fn a_point_is_explained_by_what_this_meter_should_read() {
    let sitting = Sitting::of(&SHOWN);
    let known = sitting.why("TP1");
    assert!(known.starts_with("TP1: PASS."), "{known}");
    assert!(
        known.contains("So 135 V to 165 V conforms on the meter of the service sheet."),
        "{known}"
    );
    // By the divider: 150 V on 300 kΩ behind 100 kΩ is 200 V without a meter and 198.02 V on 10 MΩ.
    assert!(
        known.contains("Compared with 178.218 V to 217.822 V"),
        "{known}"
    );
    assert_eq!(
        line(&known, "Check of loading: "),
        "the listed 150 V was read with 1 kΩ/V on the 300 V range (300 kΩ) behind 100 kΩ; without any meter it is 200 V; \
         for this meter of 10 MΩ expect 198 V, in tolerance from 178 V to 218 V."
    );
    let unknown = sitting.why("TP2");
    assert!(unknown.starts_with("TP2: INCONCLUSIVE."), "{unknown}");
    assert!(!unknown.contains("probability"), "{unknown}");
    assert!(
        line(&unknown, "Check of loading (inconclusive): ")
            .contains("expect between 150 V and 250 V"),
        "{unknown}"
    );
}

#[test]
fn the_input_resistance_of_the_profile_decides_what_a_point_should_read() {
    let folder = tempfile::tempdir().unwrap();
    let recording = folder.path().join("a.rec");
    let profile = PROFILE.replace(
        "[function.voltage]\n",
        "[function.voltage]\ninput_megohm = 0.3\n",
    );
    let point = SHOWN.into_iter().filter(|one| one.0 == "TP1");
    record(&recording, &profile, &point.collect::<Vec<_>>());
    let text = Program::new(["why", recording.to_str().unwrap(), "TP1"])
        .run()
        .with_status(0)
        .out();
    // A meter of 300 kΩ loads as the sheet's did, so 150 V is expected, and 200 V is too much.
    assert!(text.starts_with("TP1: FAIL."), "{text}");
    assert!(
        text.contains("for this meter of 300 kΩ expect 150 V"),
        "{text}"
    );
}

#[test]
fn a_drift_is_told_by_what_it_changes() {
    let sitting = Sitting::of(&SHOWN);
    let change = |part| line(&sitting.why(part), "What the drift changes: ").to_owned();
    // 1/(2π · 470 kΩ · 10 nF) is 33.86 Hz; half the capacitance doubles it. At 50 Hz a high-pass at 67.7 Hz is 4.52 dB down,
    // one at 33.9 Hz is 1.64 dB down.
    assert_eq!(
        change("C1"),
        "bass corner 67.7 Hz instead of 33.9 Hz (+100 %), 2.9 dB less at 50 Hz (coupling with R1 of 470 kΩ as listed)."
    );
    assert_eq!(
        change("R1"),
        "bass corner 33.9 Hz instead of 33.9 Hz (0 %), less than 0.1 dB of change at 50 Hz (coupling with C1 of 10 nF as listed)."
    );
    // 12.9 V over 270 Ω and over 324 Ω.
    assert!(
        change("R2")
            .starts_with("current 39.8 mA instead of 47.8 mA (−16.7 %) (cathode bias at 12.9 V)."),
        "{}",
        change("R2")
    );
    // 250 V over 220 kΩ and 47 kΩ gives 44.0 V, with the upper one 20 % up 37.8 V.
    assert_eq!(
        change("R3"),
        "voltage 37.8 V instead of 44 V (−14.1 %) (divider at 250 V with R4 of 47 kΩ as listed, without load). \
         It is still in circuit, so this holds only if nothing in parallel disturbs the reading."
    );
    assert!(change("R4").starts_with("voltage 44 V instead of 44 V"));
    assert_eq!(
        change("C2"),
        "bypass begins at 47.2 Hz instead of 23.6 Hz (+100 %) (cathode bypass with R2 of 270 Ω as listed). \
         The bass corner lies above that, how far depends on the valve; it moves by the same factor."
    );
    assert!(!sitting.why("C3").contains("What the drift changes"));
}

#[test]
fn the_halves_of_a_winding_are_compared() {
    let sitting = Sitting::of(&SHOWN);
    // 200 · (165 - 180)/(165 + 180) = -8.70 %.
    let balance = line(
        &sitting.why("T1.a"),
        "Balance of the halves T1.a and T1.b: ",
    )
    .to_owned();
    assert!(
        balance.starts_with("their difference is −8.70 % ± 0."),
        "{balance}"
    );
    assert!(balance.ends_with("the halves agree (pass)."), "{balance}");
    let other = sitting.why("T1.b");
    let other = line(&other, "Balance of the halves T1.b and T1.a: ");
    assert!(other.starts_with("their difference is +8.70 %"), "{other}");
}

#[test]
fn a_half_alone_has_no_balance() {
    let alone = SHOWN
        .map(|one| one)
        .into_iter()
        .filter(|one| one.0 == "T1.a");
    let sitting = Sitting::of(&alone.collect::<Vec<_>>());
    let text = sitting.why("T1.a");
    assert!(
        text.ends_with("The other half, T1.b, has no value in this sitting: the balance of the halves is not known.\n"),
        "{text}"
    );
}

#[test]
fn a_partner_and_a_bleeder_count_even_if_they_are_not_in_the_sitting() {
    let some = SHOWN.into_iter().filter(|one| matches!(one.0, "C1" | "C3"));
    let sitting = Sitting::of(&some.collect::<Vec<_>>());
    assert!(
        sitting
            .why("C1")
            .contains("coupling with R1 of 470 kΩ as listed")
    );
    let charge = sitting.why("C3");
    // 32 µF · 470 kΩ · ln(450/60) = 30.3 s; with both at their upper limits 1.2 · 1.1 times as much.
    assert!(
        line(&charge, "Charge of C3: ").starts_with(
            "up to 450 V, 3.24 J, below 60 V after 30.3 s to 40 s if its bleeder of 470 kΩ is whole. Capacitors hold lethal charge"
        ),
        "{charge}"
    );
    assert!(!sitting.why("C1").contains("Charge of"));
}

#[test]
fn a_capacitor_from_line_to_chassis_has_its_touch_current_told() {
    let text = Sitting::of(&SHOWN).why("C4");
    // 2π · 50 Hz · 50 nF · 230 V = 3.61 mA.
    assert!(
        line(&text, "Touch current, ").starts_with(
            "2πfCV at 230 V and 50 Hz into a person who joins the chassis to earth: 3.61 mA, above 6 of the 7 limits"
        ),
        "{text}"
    );
}

#[test]
fn what_has_only_to_conduct_is_no_value_with_a_tolerance() {
    let text = Sitting::of(&SHOWN).why("S1");
    assert!(
        text.contains(
            "The list (row 13) has it as a switch, which has only to conduct: 1 Ω at most, the usual limit of its kind, \
             since the list states no resistance."
        ),
        "{text}"
    );
}

#[test]
fn no_explanation_has_two_blanks_or_an_empty_pair_of_brackets() {
    let sitting = Sitting::of(&SHOWN);
    for (part, _, _) in SHOWN {
        let text = sitting.why(part);
        for flaw in ["  ", "()", " .", " ,", "..", "NaN", "inf "] {
            assert!(!text.contains(flaw), "`{flaw}` in:\n{text}");
        }
    }
}
