//! Every quantity from the wire to its column: a recording of a talk-only meter is replayed by the real program.

use std::path::Path;
use std::process::Command;

use probewright::face::bench::recording::{Event, Header, LinkState, Writer};
use probewright::face::engine::quantity::Stamp;

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
range = [{ up_to = 400, resolution = 0.001, percent_of_reading = 0.1, counts = 5 }]
[function.inductance]
idle = "overload"
frequency_hz = 120
range = [{ up_to = 100, resolution = 0.01, percent_of_reading = 0.5, counts = 2 }]
[function.voltage]
idle = { below = 0.2 }
range = [{ up_to = 1000, resolution = 0.01, percent_of_reading = 0.1, counts = 2 }]
[function.current]
idle = { below = 1e-7 }
range = [{ up_to = 0.1, resolution = 1e-7, percent_of_reading = 0.2, counts = 2 }]
"#;

const PARTS: &str = "\
ref,kind,value,tolerance
TP1,point,250V,
TP2,point,-12 V,5%
L1,coil,10 H,20%
S1,switch,,
F1,fuse,T500mA 250V,
F2,fuse,1 A,
";

/// Lines of the meter, in the order of the list: in the air, then on the part.
const SHOWN: [(&str, &str); 6] = [
    ("0.01 VDC", "248.00 VDC"),
    ("-0.03 VDC", "-14.20 VDC"),
    ("OL H", "9.10 H"),
    ("OL OHM", "-0.001 OHM"),
    ("OL OHM", "0.310 OHM"),
    ("OL OHM", "120.0 OHM"),
];

/// The recording of a sitting in which every part is touched for two seconds.
fn record(path: &Path) {
    let file = |name, content| Event::File { name, content };
    let setting = |key, value| Event::Setting { key, value };
    let setup = [
        file("job.toml", b""),
        file("parts.csv", PARTS.as_bytes()),
        file("profile.toml", PROFILE.as_bytes()),
        setting("m_is_thousand", "no"),
        setting("only", ""),
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
    let mut at = 0;
    let up = Event::Link {
        meter: 0,
        state: LinkState::Up,
        reason: "",
    };
    writer.record(Stamp::ZERO, &up).unwrap();
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
    send("live", 1);
    send("0.00 VDC", 5);
    for (air, touch) in SHOWN {
        send(air, 5);
        send(touch, 20);
        send(air, 5);
    }
    let end = Stamp::from_micros(at + 100_000);
    writer.record(end, &Event::Command { text: "end" }).unwrap();
    writer.seal(end, "ended").unwrap();
}

#[test]
fn every_quantity_is_judged_and_lands_in_its_row_with_its_unit() {
    let folder = tempfile::tempdir().unwrap();
    let (recording, rows) = (folder.path().join("a.rec"), folder.path().join("a.csv"));
    record(&recording);
    let output = Command::new(env!("CARGO_BIN_EXE_probewright"))
        .arg("replay")
        .arg(&recording)
        .arg("--csv")
        .arg(&rows)
        .output()
        .unwrap();
    let said = String::from_utf8_lossy(&output.stdout).into_owned();
    assert_eq!(output.status.code(), Some(0), "{said}{output:?}");
    let mut reader = csv::Reader::from_path(&rows).unwrap();
    let names = reader.headers().unwrap().clone();
    let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
    let cell = |row: usize, name: &str| {
        let place = names.iter().position(|column| column == name);
        rows[row][place.unwrap_or_else(|| panic!("no column {name}"))].to_owned()
    };
    assert_eq!(rows.len(), 6, "{said}");
    let expected = [
        ("TP1", "volt", "248", "212.5", "287.5", "pass"),
        ("TP2", "volt", "-14.2", "-12.6", "-11.4", "fail"),
        ("L1", "henry", "9.1", "8", "12", "pass"),
        ("S1", "ohm", "-0.001", "", "1", "pass"),
        ("F1", "ohm", "0.31", "", "3.6", "pass"),
        ("F2", "ohm", "120", "", "1", "fail"),
    ];
    for (row, (part, unit, value, lower, upper, verdict)) in expected.into_iter().enumerate() {
        let of = |word: &str| cell(row, word);
        assert_eq!((of("ref"), of("unit")), (part.to_owned(), unit.to_owned()));
        assert_eq!(
            (of("value"), of("lower"), of("upper"), cell(row, "verdict")),
            (value.into(), lower.into(), upper.into(), verdict.into()),
            "{part}: {said}"
        );
    }
    assert_eq!(cell(4, "listed"), "T500mA 250V");
    assert!(said.contains("(up to 1 Ω)"), "{said}");
    assert!(said.contains("212.5 V to 287.5 V"), "{said}");
}
