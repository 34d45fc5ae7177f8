//! One value has the same digits wherever it is shown: in the lines of a sitting, on its page, and in all that looks at its job later.

use std::ffi::OsString;
use std::fs;
use std::io::{BufRead as _, BufReader, Write as _};
use std::net::TcpStream;

use serde_json::Value;

use crate::program::{PATIENCE, Program, Started};
use crate::sit::{Bench, Way};
use probewright::face::bench::simulator::{Component, Options, Scale};

const PARTS: &str = "\
ref,kind,value,tolerance,rating,material,role
R1,resistor,1,5%,,,cathode bias
C1,capacitor,47 uF,20%,25 V,electrolytic,cathode bypass
L1,winding,185,10%,,,
C2,capacitor,46.95 nF,20%,400 V,paper,detector
";

/// Figures on a line of the sitting about a part.
#[derive(Debug)]
struct Said {
    part: &'static str,
    /// `46.64 µF ± 0.24 µF`.
    value: String,
    /// `-0.8 %`.
    off: String,
    /// `37.6 µF to 56.4 µF`.
    limits: String,
}

impl Said {
    fn of(part: &'static str, line: &str) -> Self {
        let (_, rest) = line.split_once(&format!("{part} ")).unwrap();
        let words: Vec<&str> = rest.split_whitespace().collect();
        let percent = words.iter().position(|word| *word == "%").unwrap();
        let (_, limits) = line.split_once(" (").unwrap();
        Self {
            part,
            value: words[..5].join(" "),
            off: words[percent - 1..=percent].join(" "),
            limits: limits.split_once(')').unwrap().0.to_owned(),
        }
    }

    /// Checks that a text shows all of these.
    fn shown(&self, view: &str, text: &str, words: &[&String]) {
        let text = text.replace('\u{a0}', " ");
        for word in words {
            assert!(
                text.contains(word.as_str()),
                "{view} of {} without `{word}`:\n{text}",
                self.part
            );
        }
    }
}

/// The numbers of the page as it draws them.
fn words_of_page(address: &str) -> Value {
    let mut stream = TcpStream::connect(address).unwrap();
    stream.set_read_timeout(Some(PATIENCE)).unwrap();
    write!(stream, "GET /events HTTP/1.0\r\nHost: {address}\r\n\r\n").unwrap();
    let lines = BufReader::new(stream).lines().map(Result::unwrap);
    let data = lines.filter_map(|line| line.strip_prefix("data:").map(str::to_owned));
    let mut pictures = data.map(|data| serde_json::from_str::<Value>(&data).unwrap());
    let whole = |picture: &Value| {
        picture["words"]["last"]
            .as_array()
            .is_some_and(|last| last.len() == 4)
    };
    pictures.find(whole).unwrap()["words"].clone()
}

/// A sitting at 15 °C with leads of so many ohms, what its lines say, and what its page does.
fn sitting(bench: &Bench, leads: f64) -> (Vec<Said>, Value) {
    let mut arguments = bench.arguments();
    arguments.extend(["--plain", "--temperature", "15", "--page", "0"].map(OsString::from));
    let mut program: Started = Program::new(arguments).start();
    let url = program.remarks("page ");
    program.sees(&["meter: Probewright,Simulated Meter"]);
    program.say("override all the chassis has been unpowered for a year");
    program.say("zero");
    let touch = |program: &mut Started, component, words: &[&str]| {
        bench
            .probes
            .place(component, std::time::Duration::from_millis(40));
        let line = program.sees(words);
        bench.probes.lift();
        line
    };
    touch(
        &mut program,
        Component::resistor(leads),
        &["taken off every resistance"],
    );
    let mut said = Vec::new();
    for (part, component) in [
        ("R1", Component::resistor(1.054 + leads)),
        ("C1", Component::capacitor(46.64e-6)),
        ("L1", Component::resistor(181.28 + leads)),
        ("C2", Component::capacitor(56.58e-9)),
    ] {
        program.sees(&[&format!("  {part:<8} ")]);
        let line = touch(&mut program, component, &[&format!("{part} "), "±", "%"]);
        said.push(Said::of(part, &line));
    }
    let address = url.trim_start_matches("http://").trim_end_matches('/');
    let page = words_of_page(address);
    program.say("end");
    let _ = program.end();
    (said, page)
}

#[test]
fn every_view_shows_the_same_digits_of_one_value() {
    let bench = Bench::with(Way::Terminal, |options| {
        let scale = |lowest| Scale::new(lowest, 7, 20_000);
        Options {
            resistance: scale(10.0),
            capacitance: scale(1e-9),
            ..options
        }
    });
    fs::write(bench.job.root().join("parts.csv"), PARTS).unwrap();
    let (earlier, _) = sitting(&bench, 0.15);
    let (later, page) = sitting(&bench, 0.03);
    let root = bench.job.root();
    let run = |words: &[&str]| {
        let words = words.iter().map(|word| match *word {
            "JOB" => root.clone().into_os_string(),
            word => word.into(),
        });
        Program::new(words).run().out()
    };
    let html = run(&["report", "JOB", "--output", "-"]);
    let glance = run(&["JOB"]);
    let compared = run(&["compare", "JOB"]);
    let json = [
        run(&["JOB", "--json"]),
        run(&["report", "JOB", "--format", "json"]),
    ];
    let csv = run(&["report", "JOB", "--format", "csv"]);
    let folder = bench.job.beside(".");
    let archive = |more: &[&str]| {
        let words = ["archive", folder.to_str().unwrap()];
        Program::new(words.iter().chain(more))
            .run()
            .with_status(0)
            .out()
    };
    archive(&[]);
    let answer = archive(&["--query", "select * from measurement"]);
    let rows = bench.job.rows();
    assert_eq!(rows.len(), 8);
    // Answers of the archive have nine figures.
    let nine = |number: f64| format!("{number:.8e}");
    for one in &later {
        let (part, value) = (one.part, &one.value);
        let drawn = page["last"].as_array().unwrap().iter();
        let drawn = drawn.filter(|last| last["ref"] == part);
        let [drawn] = drawn.collect::<Vec<_>>()[..] else {
            panic!("{part}: {page}")
        };
        one.shown("page", &drawn.to_string(), &[value, &one.off, &one.limits]);
        let history = run(&["decide", "JOB", part]);
        one.shown("history", &history, &[value, &one.off]);
        let why = run(&["why", "JOB", part]);
        one.shown("why", &why, &[value, &one.off, &one.limits]);
        one.shown("report", &html, &[value, &one.limits]);
        one.shown("glance as JSON", &json[0], &[value]);
        // Those that are good are only counted in the glance.
        let row = rows.iter().rfind(|row| row.get("ref") == part).unwrap();
        if row.get("verdict") == "pass" {
            assert!(!glance.contains(&format!("  {part}  ")), "{glance}");
        } else {
            one.shown("glance", &glance, &[value, &one.off]);
        }
        for cell in ["value", "lower", "upper"] {
            let cell = row.get(cell).to_owned();
            one.shown("CSV", &csv, &[&cell]);
        }
        for (view, text) in [("archive", &answer), ("report as JSON", &json[1])] {
            let cells = text.split([',', ' ', '\n', '\r']);
            let mut numbers = cells.filter_map(|cell| cell.parse::<f64>().ok());
            let value = nine(row.number("value"));
            assert!(
                numbers.any(|number| nine(number) == value),
                "{view} of {part}:\n{text}"
            );
        }
        // A part that did not change shows none, however long the leads were.
        let line = compared
            .lines()
            .find(|line| line.starts_with(&format!("{part} ")));
        let line = line.unwrap_or_else(|| panic!("no {part} in\n{compared}"));
        let then = earlier.iter().find(|other| other.part == part).unwrap();
        for said in [then, one] {
            let bare = said.value.split(" ± ").next().unwrap().to_owned();
            said.shown("comparison", line, &[&bare]);
        }
    }
    assert!(!compared.contains("beyond chance\n"), "{compared}");
    assert!(
        compared.contains("no change that the meter could tell (4)"),
        "{compared}"
    );
    // The touch that the report draws shows one of these values, and none whose readings were others.
    let (_, drawn) = html.split_once("at rest after").unwrap();
    let (drawn, _) = drawn.split_once("</p>").unwrap();
    let mut all = earlier.iter().chain(&later).filter(|one| one.part != "R1");
    assert!(all.any(|one| drawn.contains(&one.value)), "{drawn}");
}
