//! The owner's report: what it tells of a job, as what, and what it does when it cannot be written.
//!
//! `PROBEWRIGHT_WRITE_REPORTS=1` writes the kept report anew; it is to be looked at before it is kept.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

use chrono::DateTime;
use probewright::face::books::batch::Bags;
use probewright::face::books::job::Folder;
use probewright::face::books::ledger::{Book, Choice, Decision, DecisionsFile, read_incoming};
use probewright::face::books::results::COLUMNS;
use probewright::face::engine::judge::policy::Policy;
use probewright::face::engine::quantity::{Band, Quantity};
use probewright::face::views::report::owner::{
    Facts, FileFacts, Photo, Proof, SittingFacts, Touch, TouchPoint, json, page, short_page, table,
};
use serde_json::Value;
use tempfile::TempDir;

use crate::program::{self, Finished, Job, Program, files_in, measured, rows};

const WHEN: &str = "2056-11-25T18:00:00+01:00";

const PARTS: &str = "ref,kind,value,tolerance,rating,material,role,from,to,in_circuit,note,also
R1,resistor,4K7,10%,1/2W,carbon,anode load,V1 anode,HT,no,,
R2,resistor,680R,10%,1/4W,carbon,feedback,T2,V2,yes,,
R3,resistor,47k,5%,1W,carbon,splitter,V3,HT,no,pair with R4,
C4,capacitor,.047 MFD,20%,400V,paper,coupling,V1,V2,no,,leakage
C5,capacitor,25uF,,25V,electrolytic,cathode bypass,V1,chassis,no,,
L1,winding,180R,15%,,,smoothing choke,V6,HT,no,,
";

/// The cells of a value and its limits.
fn value<'a>(quantity: &'a str, numbers: [&'a str; 5]) -> Vec<(&'a str, &'a str)> {
    let words = ["value", "uncertainty", "nominal", "lower", "upper"];
    let numbers = words.into_iter().zip(numbers);
    [("quantity", quantity)]
        .into_iter()
        .chain(numbers)
        .collect()
}

fn results() -> String {
    let mut rows = Vec::new();
    let mut add = |own: &[(&str, &str)], quantity: &str, numbers: [&str; 5]| {
        rows.push(measured(&[own, &value(quantity, numbers)].concat()));
    };
    add(
        &[("ref", "R1"), ("kind", "resistor"), ("probability", "1")],
        "resistance",
        ["4712", "2.1", "4700", "4230", "5170"],
    );
    add(
        &[
            ("ref", "R2"),
            ("kind", "resistor"),
            ("in_circuit", "yes"),
            ("verdict", "inconclusive"),
            (
                "reason",
                "low in circuit, a parallel path may do that: lift one lead",
            ),
        ],
        "resistance",
        ["512.1", "0.16", "680", "612", "748"],
    );
    add(
        &[
            ("ref", "R3"),
            ("kind", "resistor"),
            ("verdict", "conditional fail"),
            ("reason", "above its band"),
            ("probability", "0.31"),
        ],
        "resistance",
        ["49360", "20", "47000", "44650", "49350"],
    );
    add(
        &[
            ("ref", "C4"),
            ("kind", "capacitor"),
            ("verdict", "fail"),
            ("reason", "above its band"),
            ("checks", "role: looked at in its role `coupling`"),
            ("probability", "0"),
        ],
        "capacitance",
        ["6.2e-8", "4e-10", "4.7e-8", "3.76e-8", "5.64e-8"],
    );
    add(
        &[
            ("ref", "C4"),
            ("kind", "capacitor"),
            ("time", "2056-11-20T10:00:00+01:00"),
            ("sitting", "20561120T095900"),
        ],
        "capacitance",
        ["4.72e-8", "3e-10", "4.7e-8", "3.76e-8", "5.64e-8"],
    );
    add(
        &[
            ("ref", "C5"),
            ("kind", "capacitor"),
            ("found", "open"),
            ("verdict", "fail"),
            ("reason", "open: nothing conducts with the probes on it"),
        ],
        "capacitance",
        ["", "", "2.5e-5", "2e-5", "4.5e-5"],
    );
    program::results(&rows)
}

fn decision(
    time: &str,
    of: &str,
    choice: Choice,
    reason: &str,
    fitted: (&str, Option<u32>),
) -> Decision {
    Decision {
        time: DateTime::parse_from_rfc3339(time).unwrap(),
        designator: of.to_owned(),
        choice,
        reason: reason.to_owned(),
        article: fitted.0.to_owned(),
        bag: fitted.1,
    }
}

fn decisions() -> Vec<Decision> {
    let none = ("", None);
    vec![
        decision(
            "2056-11-04T09:00:00+01:00",
            "C4",
            Choice::Replace,
            "a leak here spoils the next valve",
            none,
        ),
        decision(
            "2056-11-04T09:01:00+01:00",
            "R3",
            Choice::Accept,
            "a shade high, and nothing depends on it",
            none,
        ),
        decision(
            "2056-11-04T09:02:00+01:00",
            "C5",
            Choice::Order,
            "dried out",
            ("25uF 50V electrolytic", None),
        ),
        decision(
            "2056-11-19T17:00:00+01:00",
            "C4",
            Choice::Fitted,
            "",
            ("47 nF 630 V film", Some(3)),
        ),
    ]
}

/// A small job with something of everything.
struct Small {
    title: String,
    book: Book,
    bags: Bags,
    policy: Policy,
    sittings: Vec<SittingFacts>,
    files: Vec<FileFacts>,
    photos: Vec<Photo>,
    left_out: Vec<String>,
    touch: Touch,
}

impl Small {
    fn new(parts: &str, results: &str, decisions: Vec<Decision>) -> Self {
        let mut book = Book::read("", parts.as_bytes(), results.as_bytes(), b"").unwrap();
        book.decisions = decisions;
        let digest = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad".to_owned();
        let sealed = SittingFacts {
            begun: Some(DateTime::parse_from_rfc3339("2056-11-03T19:25:30+01:00").unwrap()),
            lasted_s: Some(2712.0),
            program: Some("0.1.0".to_owned()),
            meters: vec!["line-meter".to_owned(), "bridge".to_owned()],
            lines: 2754,
            proof: Proof::Sealed {
                digest: digest.clone(),
            },
            ..SittingFacts::missing("20561103T192530", 5, "")
        };
        let points = (0..30).map(|reading| TouchPoint {
            at_s: 0.1 * f64::from(reading),
            value: 6.2e-8 * (1.0 - 0.5 * libm::pow(0.7_f64, f64::from(reading))),
        });
        Self {
            title: "wireless set of a lighthouse, 1954".to_owned(),
            book,
            bags: Bags::default(),
            policy: Policy::default(),
            sittings: vec![
                sealed,
                SittingFacts::missing(
                    "20561120T095900",
                    1,
                    "there is no sittings/20561120T095900.rec",
                ),
            ],
            files: vec![FileFacts {
                name: "results.csv".to_owned(),
                bytes: 1234,
                digest,
            }],
            photos: vec![],
            left_out: vec![],
            touch: Touch {
                title: "C4".to_owned(),
                sitting: "20561103T192530".to_owned(),
                quantity: Quantity::Capacitance,
                points: points.collect(),
                settled_s: 2.8,
                value: 6.2e-8,
                uncertainty: 4e-10,
                band: Band::new(3.76e-8, 5.64e-8).unwrap(),
            },
        }
    }

    fn usual() -> Self {
        Self::new(PARTS, &results(), decisions())
    }

    /// With the check of the bag that C4 came from, and its recording.
    fn with_bags() -> Self {
        let mut small = Self::usual();
        let mut cells = vec![
            ("time", "2056-11-18T10:00:00+01:00"),
            ("sitting", "20561118T095900"),
            ("ref", "bag 3"),
            ("kind", "capacitor"),
            ("listed", "47 nF"),
            ("verdict", "conditional pass"),
        ];
        cells.extend(value(
            "capacitance",
            ["4.71e-8", "3e-10", "4.7e-8", "4.465e-8", "4.935e-8"],
        ));
        let text = program::results(&[measured(&cells)]);
        small.bags = Bags::of(&read_incoming(text.as_bytes()).unwrap());
        small.sittings.push(SittingFacts {
            of_new_parts: true,
            ..SittingFacts::missing(
                "20561118T095900",
                1,
                "there is no incoming/20561118T095900.rec",
            )
        });
        small
    }

    fn facts(&self) -> Facts<'_> {
        Facts {
            title: &self.title,
            made: DateTime::parse_from_rfc3339(WHEN).unwrap(),
            program: "0.1.0",
            book: &self.book,
            bags: &self.bags,
            policy: &self.policy,
            own_policy: false,
            sittings: &self.sittings,
            files: &self.files,
            photos: &self.photos,
            left_out: &self.left_out,
            touch: Some(&self.touch),
            circuit: None,
        }
    }
}

/// Text of a page without its markup, blanks made one; a text in a line of its own is parted by a blank.
pub(crate) fn text_of(page: &str) -> String {
    let within = ["span", "b>", "bdi", "strong", "svg", "use", "time", "code"];
    let body = page.split_once("</style>").unwrap().1;
    let mut text = String::new();
    for piece in body.split('<') {
        let (tag, words) = piece.split_once('>').unwrap_or(("", piece));
        let name = format!("{}>", tag.trim_start_matches('/'));
        let flows = within.iter().any(|one| name.starts_with(one)) && !tag.contains("block");
        text += if flows { "" } else { " " };
        text += words;
    }
    for (written, meant) in [
        ("\u{a0}", " "),
        ("&quot;", "\""),
        ("&lt;", "<"),
        ("&gt;", ">"),
        ("&amp;", "&"),
    ] {
        text = text.replace(written, meant);
    }
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[track_caller]
fn says(text: &str, sentences: &[&str]) {
    for sentence in sentences {
        assert!(text.contains(sentence), "no `{sentence}` in:\n{text}");
    }
}

#[test]
fn the_owner_reads_in_plain_words_what_was_done_and_why() {
    let small = Small::usual();
    let text = text_of(&page(&small.facts()));
    says(
        &text,
        &[
            "The maker’s list has 6 parts. 5 of them were measured, from 3 November 2056 to 20 November 2056, in 2 sittings.",
            "1 part was replaced, and something is still to be done about 4 parts.",
            "1 part was replaced Part Found Now Put in 1 had failed C4 paper capacitor, 47 nF, coupling",
            "62.00 nF ± 0.80 nF fail 47.20 nF ± 0.60 nF pass 47 nF 630 V film 19 Nov 2056, from bag 3, of which no check is on record “a leak here spoils the next valve”: C4",
            "R3 carbon resistor, 47 kΩ, splitter It reads 49.360 kΩ ± 0.040 kΩ, where 44.65 kΩ to 49.35 kΩ is right (conditional fail). Accepted as it is on 4 November 2056. “a shade high, and nothing depends on it”",
            "Fitted, to be measured. Fitted on 19 November 2056. Still to be measured: leakage.",
            "On order. Found open, where 20 µF to 45 µF is right (fail). Ordered on 4 November 2056: 25uF 50V electrolytic. “dried out”",
            "Not measured yet, or only in part: L1.",
            "It is not finished. Something is still to be done about 4 parts",
            "A verdict in this report is about a value, never about safety.",
        ],
    );
}

#[test]
fn the_next_technician_finds_values_limits_meters_and_decisions() {
    let small = Small::usual();
    let text = text_of(&page(&small.facts()));
    says(
        &text,
        &[
            "R1 anode load V1 anode – HT carbon resistor, 4.7 kΩ ±10 % 0.5 W, 4.23 kΩ to 5.17 kΩ 4.7120 kΩ ± 0.0042 kΩ pass 3 Nov 2056, 9 readings, conformity > 99.9 %, line-meter as found none needed",
            "1 part more reads as it should, and nothing was decided: unfold to read or print their values",
            "fitted, 19 Nov 2056 47 nF 630 V film bag 3 before: replace, 4 Nov 2056, “a leak here spoils the next valve”",
            "C4 leakage not measured not measured",
            "Before it went in: bag 3 is not in incoming.csv",
            "Checked, as found: role: looked at in its role “coupling”",
            "The decision rule of this job is guard-band, the policy the one that comes with the program.",
        ],
    );
}

#[test]
fn what_was_found_of_a_bag_before_its_part_went_in_is_told_in_every_form() {
    let small = Small::with_bags();
    let text = text_of(&page(&small.facts()));
    says(
        &text,
        &[
            "in 2 sittings.",
            "47 nF 630 V film 19 Nov 2056, from bag 3, checked on 18 Nov 2056: 47.10 nF ± 0.60 nF (conditional pass) “a leak here",
            "Before it went in: bag 3: 47.10 nF ± 0.60 nF, conditional pass, 18 Nov 2056",
            "Batches of new parts, in incoming/ Name Begun Meter Recording Rows of incoming.csv 20561118T095900",
            "there is no incoming/20561118T095900.rec",
        ],
    );
    let rows = rows(&table(&small.facts()));
    let c4 = rows.iter().find(|row| row.get("ref") == "C4").unwrap();
    assert_eq!(c4.number("bag_value"), 4.71e-8);
    assert_eq!(c4.number("bag_uncertainty"), 3e-10);
    assert_eq!(c4.get("bag_verdict"), "conditional pass");
    assert_eq!(c4.get("bag_time"), "2056-11-18T10:00:00.000+01:00");
    let document: Value = serde_json::from_str(&json(&small.facts())).unwrap();
    let decisions = &document["parts"][3]["decisions"];
    assert_eq!(decisions[0]["bag_check"], Value::Null);
    assert_eq!(decisions[1]["bag_check"]["uncertainty"], 3e-10);
    assert_eq!(decisions[1]["bag_check"]["upper"], 4.935e-8);
    assert_eq!(document["sittings"][2]["of_new_parts"], true);
}

#[test]
fn every_number_at_the_top_is_that_of_its_list() {
    let page = page(&Small::usual().facts());
    let text = text_of(&page);
    says(
        &text,
        &["on the list 6 good as found 1 replaced 1 left, knowingly 1 still to do 4"],
    );
    // A cell for each part and each further measurement of it: C4 is to have its leakage measured.
    let (_, picture) = page.split_once("Every part against its limits").unwrap();
    let (picture, _) = picture.split_once("</section>").unwrap();
    assert_eq!(picture.matches("<li>").count(), 6 + 1);
    for (became, cells) in [("left", 1), ("new, to do", 2), ("to do", 3), ("", 1)] {
        let cell = format!("<span class=\"became\">{became}</span>");
        assert_eq!(picture.matches(&cell).count(), cells, "{became}");
    }
}

#[test]
fn the_owners_form_has_the_picture_and_what_was_done_and_no_more() {
    let text = text_of(&short_page(&Small::usual().facts()));
    says(
        &text,
        &[
            "Every part against its limits",
            "1 part was replaced",
            "What was knowingly left",
            "What is still to do",
            "Before it is switched on",
            "It is not finished. Something is still to be done about 4 parts",
            "The full report has every value",
        ],
    );
    for further in [
        "For the next technician",
        "How this can be proven",
        "SHA-256",
    ] {
        assert!(!text.contains(further), "{text}");
    }
}

#[test]
fn what_is_not_known_is_said_with_what_to_do_about_it() {
    let text = text_of(&page(&Small::usual().facts()));
    says(
        &text,
        &[
            "R2 read 512.10 Ω ± 0.32 Ω, which proves nothing: low in circuit, a parallel path may do that: lift one lead. To know, unsolder one end of it and measure it again.",
            "Not measured, of what is in it now: L1.",
            "Of C4 the list asks for more than was measured; missing: leakage.",
            "1 value lies so near to a limit",
        ],
    );
}

#[test]
fn the_report_says_how_it_can_be_proven_and_what_cannot() {
    let text = text_of(&page(&Small::usual().facts()));
    says(
        &text,
        &[
            "20561103T192530 3 November 2056, 19:25 (UTC +01:00), lasted 45 min 12 s line-meter bridge sealed, and as it was written 2754 lines by probewright 0.1.0 5",
            "SHA-256 in its seal: ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad",
            "missing: there is no sittings/20561120T095900.rec",
            "sed '$d' sittings/NAME.rec | sha256sum; tail -n 1 sittings/NAME.rec",
            "probewright audit .",
        ],
    );
}

#[test]
fn the_same_facts_give_the_same_bytes_and_those_that_were_looked_at() {
    let small = Small::with_bags();
    let found = page(&small.facts());
    assert_eq!(found, page(&Small::with_bags().facts()));
    let kept = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reports/small.html");
    if std::env::var_os("PROBEWRIGHT_WRITE_REPORTS").is_some() {
        fs::write(&kept, &found).unwrap();
    }
    let (kept, found) = (fs::read_to_string(kept).unwrap(), found);
    let differs = kept
        .lines()
        .zip(found.lines())
        .find(|(kept, found)| kept != found);
    assert_eq!(differs, None);
    assert_eq!(kept, found);
}

#[test]
fn nothing_that_comes_from_a_file_becomes_markup() {
    let nasty = "<script>alert(1)</script>\"'&\u{202e}txt.exe שלום\u{0}";
    let long = "long words and no end ".repeat(500);
    let quoted = |text: &str| format!("\"{}\"", text.replace('"', "\"\""));
    let parts = format!(
        "ref,kind,value,role,from,to,note\n{nasty},resistor,1k,{role},{role},{role},{note}\n",
        nasty = quoted(&nasty.replace('\u{0}', "")), // A list with such a byte is refused.
        role = quoted(&nasty.replace('\u{0}', "")),
        note = quoted(&long)
    );
    let known = Book::read("", parts.as_bytes(), b"", b"").unwrap();
    let designator = &known.list.parts[0].designator;
    let mut small = Small::new(
        &parts,
        "",
        vec![decision(
            WHEN,
            designator,
            Choice::Fitted,
            nasty,
            (nasty, None),
        )],
    );
    small.title = nasty.to_owned();
    small.left_out = vec![nasty.to_owned()];
    small.photos = vec![Photo::new("a.jpg", nasty, b"\xff\xd8\xff\xe0".to_vec()).unwrap()];
    small.touch.title = nasty.to_owned();
    small.sittings[0].meters = vec![nasty.to_owned(); 7];
    small.sittings[0].proof = Proof::Damaged(nasty.to_owned());
    let page = page(&small.facts());
    let title = "&lt;script&gt;alert(1)&lt;/script&gt;&quot;'&amp;\u{202e}txt.exe שלום\u{fffd}";
    assert!(page.contains(&format!("<h1><bdi>{title}</bdi></h1>")));
    assert!(page.matches("&lt;script&gt;").count() > 10);
    assert!(!page.contains("<script") && !page.contains('\u{0}') && !page.contains("href=\"http"));
    // An attribute ends nowhere but at its end.
    assert!(page.contains(&format!("alt=\"{title}\">")), "{page}");
    says(
        &text_of(&page),
        &["cut here; the whole text is in the files of the job"],
    );
    assert!(!page.contains(&long));
    // Neither do the other forms run anything.
    let document: Value = serde_json::from_str(&json(&small.facts())).unwrap();
    assert_eq!(document["parts"][0]["note"].as_str().unwrap(), long.trim());
    let rows = rows(&table(&small.facts()));
    assert_eq!(rows[0].get("decision_reason"), nasty);
}

#[test]
fn a_job_without_anything_and_one_with_a_single_part_still_make_a_report() {
    let mut small = Small::new("ref,kind,value\nR1,resistor,4K7\n", "", vec![]);
    small.sittings.clear();
    small.files.clear();
    let facts = Facts {
        touch: None,
        ..small.facts()
    };
    let text = text_of(&page(&facts));
    says(
        &text,
        &[
            "The maker’s list has 1 part. None of them was measured yet.",
            "Not measured yet, or only in part: R1.",
            "There was no sitting yet, so there is nothing to be proven.",
        ],
    );
    assert!(!text.contains("Every part against its limits"), "{text}");
    assert_eq!(rows(&table(&facts)).len(), 1);
}

fn table_of(document: &str, header: &str) -> Vec<(String, String)> {
    let text = fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(document)).unwrap();
    let (_, rest) = text
        .split_once(&format!("\n{header}\n"))
        .unwrap_or_else(|| panic!("no `{header}`"));
    let rows = rest
        .lines()
        .skip(1)
        .take_while(|line| line.starts_with('|'));
    let cells = rows.map(|row| row.trim_matches('|').split_once('|').unwrap());
    cells
        .map(|(name, what)| {
            (
                name.trim().trim_matches('`').to_owned(),
                what.trim().to_owned(),
            )
        })
        .collect()
}

/// The page of the kept report.
pub(crate) fn kept_page() -> String {
    page(&Small::usual().facts())
}

/// The names of all fields, `[]` behind a list; what is measured after has the fields of what is measured before.
fn fields(value: &Value, path: &str, into: &mut BTreeSet<String>) {
    match value {
        Value::Object(object) => {
            for (name, value) in object {
                let path = if path.is_empty() {
                    name.clone()
                } else {
                    format!("{path}.{name}")
                };
                into.insert(path.replace("].after.", "].before."));
                fields(value, &path, into);
            }
        }
        Value::Array(list) => list
            .iter()
            .for_each(|value| fields(value, &format!("{path}[]"), into)),
        _ => {}
    }
}

#[test]
fn the_fields_of_the_json_are_those_of_the_documentation() {
    let document: Value = serde_json::from_str(&json(&Small::with_bags().facts())).unwrap();
    let mut found = BTreeSet::new();
    fields(&document, "", &mut found);
    // A measurement has the columns of the results under their names, and each check three fields.
    let row = BTreeSet::from(COLUMNS.map(|(name, ..)| name.to_owned()));
    let of_check = ["aspect", "verdict", "words"].map(|name| format!("checks[].{name}"));
    for measurement in ["parts[].steps[].before.", "parts[].decisions[].bag_check."] {
        let own = |name: &String| name.strip_prefix(measurement).map(str::to_owned);
        let mut named: BTreeSet<String> = found.iter().filter_map(own).collect();
        found.retain(|name| own(name).is_none());
        named.remove("meter");
        named.retain(|name| !of_check.contains(name));
        assert_eq!(named, row, "{measurement}");
    }
    let listed: Vec<String> = table_of("src/cli/manual/json.md", "| JSON field | what it holds |")
        .into_iter()
        .map(|(name, _)| name)
        .collect();
    let expected: BTreeSet<String> = listed.iter().cloned().collect();
    assert_eq!(found, expected);
    assert_eq!(listed.len(), expected.len(), "a field is listed twice");
}

#[test]
fn the_other_forms_hold_what_the_page_says() {
    let small = Small::usual();
    let document: Value = serde_json::from_str(&json(&small.facts())).unwrap();
    let c4 = &document["parts"][3];
    assert_eq!(document["version"], 3);
    assert_eq!(c4["standing"], "fitted, to be measured");
    assert_eq!(c4["steps"][0]["before"]["value"], 6.2e-8);
    assert_eq!(c4["steps"][0]["after"]["value"], 4.72e-8);
    assert_eq!(c4["steps"][1]["before"], Value::Null);
    assert_eq!(document["sittings"][1]["state"], "missing");
    let rows = rows(&table(&small.facts()));
    let of = |designator: &str| {
        rows.iter()
            .find(|row| row.get("ref") == designator)
            .unwrap()
    };
    assert_eq!(of("C4").number("before_value"), 6.2e-8);
    assert_eq!(of("C4").number("after_value"), 4.72e-8);
    assert_eq!(of("C4").get("bag"), "3");
    assert_eq!(of("R1").number("after_value"), 4712.0);
    assert_eq!(of("R1").get("before_meter"), "line-meter");
    assert_eq!(
        (of("C5").get("before_found"), of("C5").get("before_value")),
        ("open", "")
    );
    assert_eq!(of("L1").number("upper"), 207.0);
}

/// The job of the demonstration that is kept with the program, with decisions.
pub(crate) struct Demonstrated {
    directory: TempDir,
}

impl Demonstrated {
    pub(crate) fn new() -> Self {
        let directory = tempfile::tempdir().unwrap();
        let job = directory.path().join("job");
        let kept = Path::new(env!("CARGO_MANIFEST_DIR")).join("recordings/cinema-multimeter");
        fs::create_dir_all(job.join("sittings")).unwrap();
        let sitting = files_in(&kept.join("sittings"), "rec").remove(0);
        let own = ["job.toml", "parts.csv", "results.csv"].map(PathBuf::from);
        for name in own
            .into_iter()
            .chain([Path::new("sittings").join(sitting.file_name().unwrap())])
        {
            fs::copy(kept.join(&name), job.join(&name)).unwrap();
        }
        let mut file = DecisionsFile::open(&Folder::open(&job).unwrap(), |_| ()).unwrap();
        for (of, choice, reason, fitted) in [
            ("R3", Choice::Replace, "drifted far up", ("", None)),
            ("R3", Choice::Fitted, "", ("220k 1/2W film 5%", Some(2))),
            (
                "R13",
                Choice::Accept,
                "a shade high, and nothing depends on it",
                ("", None),
            ),
            (
                "C4",
                Choice::Order,
                "dried out",
                ("25uF 50V electrolytic", None),
            ),
        ] {
            file.add(&decision(WHEN, of, choice, reason, fitted))
                .unwrap();
        }
        Self { directory }
    }

    pub(crate) fn job(&self) -> PathBuf {
        self.directory.path().join("job")
    }

    pub(crate) fn report(&self, arguments: &[&str]) -> Finished {
        Program::new(
            ["report", self.job().to_str().unwrap(), "--made", WHEN]
                .iter()
                .chain(arguments),
        )
        .run()
    }
}

#[test]
fn a_job_is_reported_on_and_the_report_is_never_overwritten_unasked() {
    let demo = Demonstrated::new();
    let out = demo.report(&[]).with_status(0).out();
    let file = demo.job().join("report.html");
    says(
        &out,
        &[
            &format!("made {}", file.display()),
            "46 parts, 1 sitting, 0 photos",
        ],
    );
    let first = fs::read(&file).unwrap();
    let text = text_of(&String::from_utf8(first.clone()).unwrap());
    says(
        &text,
        &[
            "public-address amplifier of a village cinema, 1956 Made on 25 November 2056",
            "not measured yet 220k 1/2W film 5% 25 Nov 2056, from bag 2, of which no check is on record “drifted far up”: R3",
            "sealed, and as it was written",
            "What a measurement looks like",
        ],
    );
    let seal = fs::read_to_string(files_in(&demo.job().join("sittings"), "rec").remove(0)).unwrap();
    let seal = seal.lines().last().unwrap().split('\t').nth(4).unwrap();
    assert_eq!(seal.len(), 64);
    says(&text, &[&format!("SHA-256 in its seal: {seal}")]);
    let _ = demo
        .report(&[])
        .with_status(2)
        .complaining(&["report.html` exists already", "--force"]);
    assert_eq!(fs::read(&file).unwrap(), first);
    // With the same time, the same bytes.
    let _ = demo.report(&["--force"]).with_status(0);
    assert_eq!(fs::read(&file).unwrap(), first);
    assert_eq!(
        demo.report(&["--output", "-"])
            .with_status(0)
            .out()
            .into_bytes(),
        first
    );
    let out = demo.report(&["--short"]).with_status(0).out();
    says(&out, &["report-short.html"]);
    let _ = demo
        .report(&["--short", "--format", "csv"])
        .with_status(2)
        .complaining(&["--short"]);
    let csv = demo.report(&["--format", "csv"]).with_status(0).out();
    assert_eq!(rows(csv.as_bytes()).len(), 46);
    let document: Value =
        serde_json::from_str(&demo.report(&["--format", "json"]).with_status(0).out()).unwrap();
    assert_eq!(document["counts"]["parts"], 46);
    assert_eq!(document["sittings"][0]["sha256"], seal);
}

#[test]
fn a_job_without_its_recordings_and_one_with_a_damaged_one_are_reported_with_a_word_about_it() {
    let demo = Demonstrated::new();
    let recording = files_in(&demo.job().join("sittings"), "rec").remove(0);
    let text = fs::read_to_string(&recording).unwrap();
    let middle = text.lines().count() / 2;
    let altered: Vec<String> = text
        .lines()
        .enumerate()
        .map(|(place, line)| {
            if place == middle {
                line.replacen('\t', "1\t", 1)
            } else {
                line.to_owned()
            }
        })
        .collect();
    fs::write(&recording, altered.join("\n") + "\n").unwrap();
    let line = format!("line {}", middle + 1);
    let _ = demo
        .report(&[])
        .with_status(3)
        .complaining(&["sitting", &line]);
    let page = fs::read_to_string(demo.job().join("report.html")).unwrap();
    says(&text_of(&page), &["damaged: line"]);
    // There and without a line is not the same as gone; what the report says does not hang on where the job lies.
    fs::write(&recording, "").unwrap();
    let _ = demo
        .report(&["--force"])
        .with_status(3)
        .complaining(&["nothing was recorded in it"]);
    let page = fs::read_to_string(demo.job().join("report.html")).unwrap();
    says(&text_of(&page), &["damaged: it holds no whole line"]);
    assert!(!page.contains(demo.job().to_str().unwrap()));
    fs::remove_file(&recording).unwrap();
    let _ = demo
        .report(&["--force"])
        .with_status(0)
        .complaining(&["there is no sittings/"]);
    let page = fs::read_to_string(demo.job().join("report.html")).unwrap();
    let text = text_of(&page);
    says(
        &text,
        &["missing: there is no sittings/", "meter not known"],
    );
    assert!(!text.contains("What a measurement looks like"));
}

#[test]
fn photos_go_into_the_report_and_what_is_none_is_named() {
    let job = Job::new("ref,kind,value\nR1,resistor,4K7\n");
    let photos = job.root().join("photos");
    fs::create_dir(&photos).unwrap();
    fs::write(photos.join("b.jpg"), b"\xff\xd8\xff\xe0 and so on").unwrap();
    fs::write(photos.join("a.PNG"), b"\x89PNG\r\n\x1a\n and so on").unwrap();
    fs::write(photos.join("b.txt"), "The underside, <before>\n").unwrap();
    fs::write(photos.join("c.webp"), "a letter").unwrap();
    fs::write(photos.join("d.jpg"), vec![0xff; 8_000_001]).unwrap();
    fs::write(
        photos.join("readme.md"),
        "no picture, and not called like one",
    )
    .unwrap();
    let _ = Program::new(["report", job.root().to_str().unwrap()])
        .run()
        .with_status(0)
        .complaining(&[
            "`c.webp` is left out: it does not begin",
            "`d.jpg` is left out: it has 8.0 MB",
        ]);
    let page = fs::read_to_string(job.root().join("report.html")).unwrap();
    let place = |text: &str| page.find(text).unwrap_or_else(|| panic!("no {text}"));
    assert!(
        place("data:image/png;base64,iVBORw0KGgo") < place("data:image/jpeg;base64,/9j/4CBhbmQ")
    );
    says(
        &text_of(&page),
        &[
            "a.PNG",
            "The underside, <before>",
            "`c.webp` is left out",
            "`d.jpg` is left out",
        ],
    );
    assert!(!page.contains("readme.md"));
}

#[test]
fn a_full_disk_and_a_folder_that_takes_nothing_lose_nothing() {
    let demo = Demonstrated::new();
    let job = demo.job();
    let report = job.join("report.html");
    fs::write(&report, "the old one").unwrap();
    let before = fs::read_dir(&job).unwrap().count();
    // Files may grow to 32 KiB (in units of 512 bytes in POSIX, of 1024 in other shells: to 64 KiB at the most).
    let _ = Program::by_shell(
        "trap '' XFSZ; ulimit -f 64; exec \"$@\"",
        ["report", job.to_str().unwrap(), "--force"],
    )
    .run()
    .with_status(1)
    .complaining(&[
        "cannot write `",
        "report.html`; nothing was changed",
        "too large",
    ]);
    assert_eq!(fs::read_to_string(&report).unwrap(), "the old one");
    assert_eq!(
        fs::read_dir(&job).unwrap().count(),
        before,
        "something was left behind"
    );
    let _ = demo
        .report(&["--output", "/dev/full"])
        .with_status(1)
        .complaining(&["cannot write `/dev/full`", "No space left"]);
    assert!(fs::metadata("/dev/full").is_ok_and(|device| !device.is_file()));
    let _ = Program::by_shell(
        "exec \"$@\" > /dev/full",
        ["report", job.to_str().unwrap(), "--format", "json"],
    )
    .run()
    .with_status(1)
    .complaining(&["cannot write the report to standard output"]);
    // A folder that takes no file, of root's neither.
    let _ = demo
        .report(&["--output", "/proc/report.html"])
        .with_status(1)
        .complaining(&["cannot write `/proc/report.html`; nothing was changed"]);
    let _ = demo
        .report(&["--output", job.to_str().unwrap()])
        .with_status(2)
        .complaining(&["is a folder"]);
}

#[test]
fn a_job_that_cannot_be_understood_is_refused_with_file_and_line() {
    let job = Job::new("ref,kind,value\nR1,resistor,what\n");
    let report = || Program::new(["report", job.root().to_str().unwrap()]).run();
    let _ = report().with_status(2).complaining(&["parts.csv:2:value:"]);
    fs::write(
        job.root().join("parts.csv"),
        "ref,kind,value\nR1,resistor,4K7\n",
    )
    .unwrap();
    fs::write(
        job.root().join("decisions.csv"),
        "time,ref,decision\nnow,R1,keep\n",
    )
    .unwrap();
    let _ = report()
        .with_status(2)
        .complaining(&["decisions.csv:2:time: "]);
    assert!(!job.root().join("report.html").exists());
    let nowhere = job.beside("nowhere");
    let _ = Program::new(["report", nowhere.to_str().unwrap()])
        .run()
        .with_status(2)
        .complaining(&["probewright new"]);
}
