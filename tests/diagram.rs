//! The picture of the loops that were read in circuit: `network JOB draw`, and the section of the report.

use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::fs;
use std::time::Instant;

use probewright::face::engine::network::{Branch, Network, resistances};
use probewright::face::engine::parts::{ListSettings, read};

use crate::network_command::PARTS;
use crate::program::{Finished, Job, Program, measured, results};

/// The demonstration's list with every part where it sits.
fn chassis_in_circuit() -> String {
    let list = include_str!("../src/cli/demo/parts.csv");
    let settings = csv::ReaderBuilder::new()
        .comment(Some(b'#'))
        .from_reader(list.as_bytes());
    let mut settings = settings;
    let names = settings.headers().unwrap().clone();
    let place = names.iter().position(|name| name == "in_circuit").unwrap();
    let mut text = csv::Writer::from_writer(Vec::new());
    text.write_record(&names).unwrap();
    for row in settings.records() {
        let row = row.unwrap();
        let cells = row.iter().enumerate();
        let cells = cells.map(|(at, cell)| if at == place { "yes" } else { cell });
        text.write_record(cells).unwrap();
    }
    String::from_utf8(text.into_inner().unwrap()).unwrap()
}

/// A job in which each part was read where it sits: as listed, but for those with another true value, in ohm.
fn read_in_circuit(list: &str, others: &[(&str, f64)]) -> Job {
    let job = Job::new(list);
    let parts = read(list.as_bytes(), &ListSettings::default())
        .unwrap()
        .parts;
    let network = Network::of(&parts);
    let branches = network.elements().iter().map(|element| {
        let name = &parts[element.part].designator;
        let other = others.iter().find(|(other, _)| other == name);
        Branch {
            ends: element.ends,
            siemens: other.map_or(element.listed_siemens(), |(_, ohms)| 1.0 / ohms),
        }
    });
    let branches: Vec<Branch> = branches.collect();
    let groups = network.groups(|_| true);
    let pairs: Vec<[usize; 2]> = groups.iter().map(|group| group.ends).collect();
    let found = resistances(network.nodes().all().len(), &branches, &pairs);
    let rows = pairs.iter().zip(found).map(|(pair, ohms)| {
        let ohms = ohms.filter(|ohms| *ohms < 20e6);
        let value = ohms.map_or(String::new(), |ohms| ohms.to_string());
        let u = ohms.map_or(String::new(), |ohms| (ohms * 2e-4).to_string());
        measured(&[
            ("ref", &network.pair_name(*pair)),
            ("step", "between"),
            ("in_circuit", "yes"),
            ("value", &value),
            ("uncertainty", &u),
            (
                "found",
                if ohms.is_some() {
                    "value"
                } else {
                    "beyond range"
                },
            ),
            ("verdict", "inconclusive"),
            ("reason", "a reading between two places"),
        ])
    });
    fs::write(job.results(), results(&rows.collect::<Vec<_>>())).unwrap();
    job
}

/// The demonstration's chassis with two faults: R5 has drifted far up, and R6 far down.
pub(crate) fn demonstrated() -> Job {
    read_in_circuit(&chassis_in_circuit(), &[("R5", 2.2e6), ("R6", 310.0)])
}

fn draw(job: &Job, words: &[&str]) -> Finished {
    let root = job.root();
    let first = ["network", root.to_str().unwrap(), "draw"];
    Program::new(first.iter().chain(words)).run()
}

#[test]
fn the_loops_are_drawn_with_shares_and_what_is_in_doubt() {
    let list = PARTS;
    let job = read_in_circuit(list, &[("R2", 1250.0), ("R3", 300e3)]);
    let said = draw(&job, &[]).with_status(0).out();
    assert!(
        said.contains("made ") && said.contains("network.svg"),
        "{said}"
    );
    let drawn = fs::read_to_string(job.root().join("network.svg")).unwrap();
    for words in [
        ">tone top<",
        ">tone foot<",
        ">R3<",
        "suspect: lift a lead",
        // Side by side, as one box with all names; beside a capacitor, since it is in doubt.
        ">R6 R7<",
        "together",
        "lift a lead of R6",
        ">R2 C1<",
        ">fails<",
        // 100 kΩ beside 770 kΩ in series carries 770 / 870 of the current.
        "100 kΩ · 89 %",
    ] {
        assert!(drawn.contains(words), "no `{words}` in {drawn}");
    }
    assert!(
        !drawn.contains(">R1<") && !drawn.contains("var("),
        "{drawn}"
    );
    // The same bytes, and no file is replaced unasked.
    let again = draw(&job, &["--output", "-"]).with_status(0).out();
    assert_eq!(again, drawn);
    let _ = draw(&job, &[])
        .with_status(2)
        .complaining(&["exists already"]);
}

#[test]
fn where_no_loop_was_read_nothing_is_drawn() {
    let job = Job::new(PARTS);
    let _ = draw(&job, &[])
        .with_status(2)
        .complaining(&["nothing was read in circuit"]);
    let list: String = PARTS
        .lines()
        .take(2)
        .fold(String::new(), |text, line| text + line + "\n");
    let job = read_in_circuit(&list, &[]);
    let said = draw(&job, &[]).with_status(0).out();
    assert!(said.contains("nothing to draw"), "{said}");
    assert!(!job.root().join("network.svg").exists());
}

/// The end of the meter's range is what an overload says; without its profile the rest of the report is made.
#[test]
fn a_report_is_made_although_the_profile_of_the_meter_is_gone() {
    let job = demonstrated();
    let root = job.root();
    fs::write(root.join("job.toml"), "[meter]\nprofile = \"gone.toml\"\n").unwrap();
    let report = Program::new(["report", root.to_str().unwrap()]).run();
    let report = report
        .with_status(0)
        .complaining(&["what was read in circuit is left out", "gone.toml"]);
    assert!(report.out().contains("made "));
    let page = fs::read_to_string(root.join("report.html")).unwrap();
    assert!(!page.contains("What was read where it sits"));
}

#[test]
fn what_a_list_writes_is_text_in_the_picture() {
    let list = PARTS
        .replace("tone top", "<script>\u{1}&")
        .replace("R4", &"LONG".repeat(20));
    let job = read_in_circuit(&list, &[]);
    let drawn = draw(&job, &["--output", "-"]).with_status(0).out();
    assert!(
        drawn.contains("&lt;script&gt;\u{fffd}&amp;") && !drawn.contains("<script"),
        "{drawn}"
    );
    let cut = format!(">{}…<", &"LONG".repeat(7)[..25]);
    assert!(drawn.contains(&cut), "{drawn}");
}

/// A loop of 400 parts between 200 places is too large to be read: its doubtful part is drawn with what is near it, soon, and that is said.
#[test]
fn of_a_huge_loop_what_is_in_doubt_is_drawn_and_said() {
    let mut list = "ref,kind,value,tolerance,from,to,in_circuit\n".to_owned();
    let mut joined = BTreeSet::new();
    for number in 0..400_usize {
        let from = number % 200;
        let to = if number < 200 {
            (from + 1) % 200
        } else {
            (from * 7 + 31) % 200
        };
        if from != to && joined.insert([from.min(to), from.max(to)]) {
            writeln!(list, "R{number},resistor,10k,10%,n{from},n{to},yes").unwrap();
        }
    }
    let job = read_in_circuit(&list, &[("R77", 47e3)]);
    let begun = Instant::now();
    let said = draw(&job, &[]).with_status(0).out();
    println!("drawn in {:?}", begun.elapsed());
    assert!(said.contains("are left out"), "{said}");
    let drawn = fs::read_to_string(job.root().join("network.svg")).unwrap();
    assert!(
        drawn.contains(">R77<") && drawn.contains("suspect"),
        "{drawn}"
    );
    let boxes = drawn.matches("<g class=\"part").count();
    assert_eq!(boxes, 60);
}
