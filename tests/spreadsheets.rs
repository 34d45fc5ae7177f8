//! Lists as spreadsheets write them, byte by byte, and our own files as another reader of CSV reads them.

use std::fs;
use std::process::{Command, Stdio};

use proptest::prelude::*;

use probewright::face::books::ledger::{Choice, DECISION_COLUMNS, Decision};
use probewright::face::books::results::{COLUMNS, Results};
use probewright::face::engine::parts::{ListSettings, Part, PartsList, read};
use probewright::face::engine::source::{
    DecimalMark, Dialect, Problem, Separator, TableRemark, TextEncoding, from_cell,
};

use crate::program::{Program, replay};
use crate::sit::{Bench, Way};
use crate::talking::{Talking, plan};

/// The list that each of the files below holds.
const LIST: &str = "\
ref,kind,value,tolerance,rating,note
R1,resistor,4.7k,10%,0.5W,\"warm, ½ lit\"
C1,capacitor,0.047 µF,-10/+50%,400V,
TP1,point,-12.5 V,±2.5%,,
";

fn list(text: &str) -> PartsList {
    list_of(text.as_bytes())
}

fn list_of(bytes: &[u8]) -> PartsList {
    read(bytes, &ListSettings::default()).unwrap_or_else(|errors| panic!("{errors}"))
}

fn errors(text: &str) -> Vec<Problem> {
    let errors = read(text.as_bytes(), &ListSettings::default()).expect_err(text);
    let problems = errors.faults().iter().map(|error| error.problem.clone());
    problems.collect()
}

/// The parts without what depends on how the file writes them.
fn meant(list: PartsList) -> Vec<Part> {
    let parts = list.parts.into_iter().map(|part| Part {
        row: 0,
        value_text: String::new(),
        ..part
    });
    parts.collect()
}

fn utf16(text: &str, to_bytes: fn(u16) -> [u8; 2]) -> Vec<u8> {
    format!("\u{feff}{text}")
        .encode_utf16()
        .flat_map(to_bytes)
        .collect()
}

#[test]
fn a_list_reads_the_same_however_a_spreadsheet_writes_it() {
    let german = "\
ref;kind;value;tolerance;rating;note\r\n\
R1;resistor;4,7k;10%;0,5W;warm, \u{bd} lit\r\n\
C1;capacitor;0,047 \u{b5}F;-10/+50%;400V;\r\n\
TP1;point;-12,5 V;\u{b1}2,5%;;\r\n";
    let one_byte = |text: &str| -> Vec<u8> {
        let codes = text.chars().map(|letter| u8::try_from(u32::from(letter)));
        codes.collect::<Result<_, _>>().unwrap()
    };
    let tabs = german.replace(';', "\t");
    let files: [(&str, Vec<u8>, &[TableRemark]); 9] = [
        (
            "as a spreadsheet of a German locale exports",
            one_byte(german),
            &[
                TableRemark::Encoding(TextEncoding::Windows1252),
                semicolons(false),
                commas("4,7k", 2),
            ],
        ),
        (
            "as a spreadsheet of a German locale exports in UTF-8, with a line that says the separator",
            format!("\u{feff}sep=;\r\n{german}").into_bytes(),
            &[
                TableRemark::Encoding(TextEncoding::MarkedUtf8),
                semicolons(true),
                commas("4,7k", 3),
            ],
        ),
        (
            "as a spreadsheet of a German locale exports as Unicode text",
            utf16(&tabs, u16::to_le_bytes),
            &[
                TableRemark::Encoding(TextEncoding::Utf16Le),
                TableRemark::Separator {
                    separator: Separator::Tab,
                    by_line: false,
                },
                commas("4,7k", 2),
            ],
        ),
        (
            "the same with the high byte first",
            utf16(&tabs, u16::to_be_bytes),
            &[
                TableRemark::Encoding(TextEncoding::Utf16Be),
                TableRemark::Separator {
                    separator: Separator::Tab,
                    by_line: false,
                },
                commas("4,7k", 2),
            ],
        ),
        (
            "as a spreadsheet of an English locale exports as UTF-8",
            format!("\u{feff}{}", LIST.replace('\n', "\r\n")).into_bytes(),
            &[TableRemark::Encoding(TextEncoding::MarkedUtf8)],
        ),
        (
            "as an old spreadsheet exports, lines ended by carriage returns",
            LIST.replace('\n', "\r").into_bytes(),
            &[TableRemark::CarriageReturns],
        ),
        (
            "with every cell in quotation marks, padded with empty columns and rows, names in capitals",
            b"\"REF\",\"Kind\",\"VALUE\",\"Tolerance\",\"rating\",\"NOTE\",\"\",\"\"\n\
              \"R1\",\"resistor\",\"4.7k\",\"10%\",\"0.5W\",\"warm, \xC2\xBD lit\",\"\",\"\"\n\
              \"\",\"\",\"\",\"\",\"\",\"\",\"\",\"\"\n\
              \"C1\",\" capacitor \",\"0.047 \xC2\xB5F\",\"-10/+50%\",\"400V\",\"\",\"\",\"\"\n\
              \"TP1\",\"point\",\"-12.5 V\",\"\xC2\xB12.5%\",\"\",\"\",\"\",\"\"\n\
              ,,,,,,,\n"
                .to_vec(),
            &[],
        ),
        (
            "with blanks that do not break, as copied from a page",
            LIST.replace("4.7k", "4.7\u{a0}k")
                .replace("-12.5 V", "-12.5\u{202f}V\u{200b}")
                .replace("C1,", "\u{a0}C1\u{a0},")
                .into_bytes(),
            &[TableRemark::OddBlanks { cells: 3 }],
        ),
        (
            "with remarks that a spreadsheet has put in quotation marks",
            format!("\"# ref, kind, value\",,,,,\n# 5\" wide, \"so\",,,,,\n{LIST}").into_bytes(),
            &[],
        ),
    ];
    let expected = meant(list(LIST));
    for (what, bytes, remarks) in files {
        let read = list_of(&bytes);
        assert_eq!(read.remarks, remarks, "{what}");
        assert_eq!(read.extra_columns, [""; 0], "{what}");
        assert_eq!(meant(read), expected, "{what}");
    }
}

fn semicolons(by_line: bool) -> TableRemark {
    TableRemark::Separator {
        separator: Separator::Semicolon,
        by_line,
    }
}

fn commas(text: &str, row: usize) -> TableRemark {
    TableRemark::Decimal {
        mark: DecimalMark::Comma,
        row,
        text: text.to_owned(),
    }
}

#[test]
fn every_column_of_numbers_takes_decimal_commas_and_no_text_does() {
    let list = list("\
ref;kind;value;rating;loss;leakage;frequency;sheet_ohm_per_volt;sheet_range;source_ohm;with;load;role;note
C1;capacitor;4,7 uF;6,3V;0,15;0,5 mA;1,5 kHz;;;;T1.2 12,9V;;coupling, 1,5;at 4,7
TP1;point;6,3V;;;;;1,5k;7,5V;2,2k;;;;
T1.2;ratio;38,5:1;;;;;;;;;8,5;;
F1;fuse;T1,6A 250V;;;;;;;;;;;
C2;capacitor;10 nF;X2,275V~;;;;;;;;;;
");
    let c1 = list.find("C1").unwrap();
    assert_eq!(c1.rating.dc_volts, Some(6.3));
    assert_eq!(
        (c1.loss_limit, c1.loss_frequency_hertz),
        (Some(0.15), Some(1500.0))
    );
    assert_eq!(c1.leakage_limit_ampere, Some(0.5e-3));
    assert_eq!(c1.partners.volts(), Some(12.9));
    assert_eq!(
        (c1.role.as_str(), c1.note.as_str()),
        ("coupling, 1,5", "at 4,7")
    );
    assert_eq!(c1.value_text, "4,7 uF");
    let sheet = list.find("TP1").unwrap().sheet.unwrap();
    assert_eq!(
        (sheet.ohm_per_volt, sheet.range_volt, sheet.source_ohm),
        (1500.0, 7.5, Some(2200.0))
    );
    let ratio = list.find("T1.2").unwrap();
    assert_eq!((ratio.nominal.value(), ratio.load_ohm), (38.5, Some(8.5)));
    assert_eq!(list.find("C2").unwrap().rating.ac_volts, Some(275.0));
}

#[test]
fn a_declared_decimal_sign_settles_what_has_two_meanings() {
    let text = "ref;kind;value\nR1;r;1,000\nR2;r;1.234,5\nR3;r;1.000\n";
    let problems = errors(text);
    assert_eq!(problems.len(), 2, "{problems:?}");
    for (problem, words) in problems.iter().zip([
        "`1,000` is 1 if the comma is the decimal sign, and 1000 if it parts thousands",
        "`1.000` is 1 if the point is the decimal sign, and 1000 if it parts thousands",
    ]) {
        assert!(problem.to_string().contains(words), "{problem}");
    }
    let declared = |decimal| ListSettings {
        dialect: Dialect {
            decimal: Some(decimal),
            ..Dialect::default()
        },
        ..ListSettings::default()
    };
    let comma = read(text.as_bytes(), &declared(DecimalMark::Comma)).unwrap();
    let values = comma.parts.iter().map(|part| part.nominal.value());
    assert_eq!(values.collect::<Vec<_>>(), [1.0, 1234.5, 1000.0]);
    assert!(comma.remarks.contains(&TableRemark::Thousands {
        row: 4,
        column: "value",
        found: "1.000".to_owned(),
        read: "1000".to_owned(),
    }));
    let quoted = "ref,kind,value\nR1,r,\"1,000\"\nR2,r,4.7k\n";
    let point = read(quoted.as_bytes(), &declared(DecimalMark::Point)).unwrap();
    assert_eq!(point.parts[0].nominal.value(), 1000.0);
    let comma = read(quoted.as_bytes(), &declared(DecimalMark::Comma)).unwrap_err();
    assert!(comma.to_string().contains("expected decimals with a comma"));
}

#[test]
fn what_cannot_be_decided_is_refused_and_says_what_to_do() {
    for (text, words) in [
        (
            "ref,kind,value\nR1,r,\"1,000\"\n",
            "1000 if it parts thousands; write it in one way, or say `decimal` under [sheet] in job.toml",
        ),
        (
            "ref,kind,value\nR1,r,\"4,7k\"\n",
            "say `decimal = \",\"` under [sheet] in job.toml",
        ),
        (
            "ref,kind,value,rating\nR1,r,1k,\"0,5W\"\n",
            "say `decimal = \",\"` under [sheet] in job.toml",
        ),
        (
            "ref;kind;value\nR1;r;4,7k\nR2;r;4.7k\n",
            "decimals with a point in `4.7k` and with a comma in `4,7k` in row 2",
        ),
        (
            "ref,kind,value,x;ref;kind;value\nR1,r,1k,\n",
            "parted by semicolons: `ref,kind,value,x` `ref` `kind` `value`",
        ),
        ("sep=|\nref|kind|value\n", "found `sep=|`"),
        ("r\0e\0f\0,\0k\0", "found a zero byte"),
        (
            "ref;kind;value\nR1;r;4,7k\nR2;r;2,2,2\n",
            "expected in `2,2,2` one decimal sign at most",
        ),
        (
            "ref;kind;value\nR1;r;4,7k\nR2;r;4.00E+03\n",
            "a spreadsheet has made a rounded number of it",
        ),
        (
            "sep=,\nref;kind;value\nR1;r;1k\n",
            "found columns parted by semicolons, expected commas",
        ),
    ] {
        let found = errors(text);
        assert_eq!(found.len(), 1, "{text}: {found:?}");
        assert!(found[0].to_string().contains(words), "{}", found[0]);
    }
}

#[test]
fn what_a_spreadsheet_has_spoilt_is_named() {
    let found = errors(
        "ref,kind,value,tolerance\n\
         02-Jan,resistor,1k,\n\
         4.00E+03,resistor,1k,\n\
         #NAME?,resistor,1k,\n\
         R4,resistor,1.00E+06,\n\
         R5,resistor,01/02/2026,\n\
         R6,resistor,4.7 kÎ©,Â±5%\n\
         R7,resistor,1k,#DIV/0!\n\
         C8,capacitor,4.7E-08,\n",
    );
    let words = [
        "found `02-Jan`: a spreadsheet has made a date of it",
        "found `4.00E+03`: a spreadsheet has made a rounded number of it",
        "found `#NAME?`: a spreadsheet has taken it for a formula",
        "found `1.00E+06`: a spreadsheet has made a rounded number of it",
        "found `01/02/2026`: a spreadsheet has made a date of it",
        "found `4.7 kÎ©`, which was `4.7 kΩ`",
        "found `Â±5%`, which was `±5%`",
        "found `#DIV/0!`: a spreadsheet has taken it",
        "found `4.7E-08`: a spreadsheet has made a rounded number of it",
    ];
    assert_eq!(found.len(), words.len(), "{found:#?}");
    for (problem, words) in found.iter().zip(words) {
        assert!(problem.to_string().starts_with(words), "{problem}");
    }
    let place = list("ref,kind,value,from\nR1,r,4.7e3,02-Jan\n");
    assert!(matches!(
        place.remarks[..],
        [TableRemark::DateAsPlace { row: 2, .. }]
    ));
}

#[test]
fn text_beyond_the_named_columns_is_an_error_and_blanks_there_are_none() {
    let found = errors("ref;kind;value;\nR1;r;1k;\nR2;r;1k;;\nR3;r;1k;left over\n");
    assert_eq!(found.len(), 1);
    assert!(
        found[0]
            .to_string()
            .starts_with("found 4 fields, expected 3")
    );
}

#[test]
fn rows_are_counted_as_an_editor_does_behind_remarks_and_with_any_line_ends() {
    for end in ["\n", "\r\n", "\r"] {
        let text = "# one\n\n# two\nref,kind,value,note\nR1,r,1k,\"a\nb\"\n# three\nR2,r,1k,\n"
            .replace('\n', end);
        let rows: Vec<usize> = list(&text).parts.iter().map(|part| part.row).collect();
        assert_eq!(rows, [5, 8], "{end:?}");
    }
}

/// Output of `parts check` for a file in a folder with that `job.toml`.
fn check(job: &str, parts: &[u8], status: i32) -> String {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("job.toml"), job).unwrap();
    let file = folder.path().join("parts.csv");
    fs::write(&file, parts).unwrap();
    let finished = Program::new(["parts", "check", file.to_str().unwrap()])
        .run()
        .with_status(status);
    finished.out().replace(&format!("{}:", file.display()), "")
}

#[test]
fn the_check_says_what_was_found_out() {
    let german =
        b"ref;kind;value;tolerance\r\nC1;capacitor;4,7 \xB5F;10%\r\nR1;resistor;1.234,5;10%\r\n";
    let said = check("", german, 0);
    for line in [
        "remark: read as Windows-1252, since it is not UTF-8; look whether letters such as µ, ½ and ä are right, and save it as UTF-8 if they are not",
        "remark: columns parted by semicolons, as the names of the columns are",
        "remark: decimals with a comma, as in `4,7 µF` in row 2",
        "remark: row 3, value: `1.234,5` read as 1234.5",
    ] {
        assert!(said.lines().any(|found| found == line), "{line}\n{said}");
    }
}

#[test]
fn the_check_reads_a_list_as_the_job_beside_it_says() {
    let parts = b"ref;kind;value\nR1;resistor;1,000k\n";
    let refused = check("", parts, 2);
    assert!(
        refused.starts_with("2:value: found `1,000k`, which is ambiguous"),
        "{refused}"
    );
    let read = check("[sheet]\nseparator = \";\"\ndecimal = \",\"\n", parts, 0);
    assert!(read.contains("1 kΩ") && !read.contains("remark"), "{read}");
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("parts.csv");
    fs::write(&file, parts).unwrap();
    let arguments = ["parts", "check", file.to_str().unwrap(), "--decimal", "."];
    let read = Program::new(arguments).run().with_status(0).out();
    assert!(read.contains("1 MΩ"), "{read}");
    let wrong = Program::new(["parts", "check", "parts.csv", "--separator", "|"]);
    let _ = wrong
        .run()
        .with_status(2)
        .complaining(&["`,`, `;` or `tab`"]);
}

#[test]
fn a_wrong_setting_of_the_sheet_is_named() {
    for (job, words) in [
        (
            "[sheet]\nseparator = \"|\"\n",
            "found separator = `|`, expected `,`, `;` or `tab`",
        ),
        (
            "[sheet]\ndecimal = \";\"\n",
            "found decimal = `;`, expected `.` or `,`",
        ),
        ("[sheet]\ncolour = \"red\"\n", "colour"),
    ] {
        let error = probewright::face::engine::settings::Settings::parse(job).unwrap_err();
        assert!(error.to_string().contains(words), "{error}");
    }
}

/// The list of the sitting is in Windows-1252, with semicolons and commas, and so it is in the recording.
#[test]
fn a_sitting_says_what_was_found_out_and_its_replay_reads_the_same_bytes() {
    let bench = Bench::new(Way::Socket);
    let parts =
        b"ref;kind;value;tolerance\r\nC1;capacitor;4,7 \xB5F;10%\r\nR1;resistor;4,7k;10%\r\n";
    fs::write(bench.job.root().join("parts.csv"), parts).unwrap();
    let mut sitting = Program::new(bench.arguments()).start();
    for remark in [
        "read as Windows-1252",
        "columns parted by semicolons",
        "decimals with a comma",
    ] {
        let _ = sitting.remarks(&format!("parts.csv: {remark}"));
    }
    sitting.say("end");
    let live = sitting.end().with_status(0);
    let recording = bench.job.recording();
    let (replayed, rows) = replay(&recording);
    let replayed = replayed.with_status(0);
    assert_eq!(rows, fs::read(bench.job.results()).unwrap());
    assert!(live.out().contains("C1") && replayed.out().contains("C1"));
}

/// Reads CSV from standard input and prints its rows as JSON, by the csv module of Python's library.
const READER: &str = "\
import csv, io, json, sys
text = io.TextIOWrapper(sys.stdin.buffer, encoding='utf-8', newline='')
print(json.dumps(list(csv.reader(text, strict=True))))
";

/// The rows of a CSV text as Python reads them; `None` where there is no Python.
fn by_python(text: &[u8]) -> Option<Vec<Vec<String>>> {
    use std::io::Write as _;
    let started = Command::new("python3")
        .args(["-c", READER])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn();
    let Ok(mut python) = started else {
        let _ = writeln!(std::io::stderr(), "skipped: no python3 to read CSV with");
        return None;
    };
    python.stdin.take().unwrap().write_all(text).unwrap();
    let output = python.wait_with_output().unwrap();
    assert!(output.status.success());
    Some(serde_json::from_slice(&output.stdout).unwrap())
}

/// Texts that a careless writer or a spreadsheet would spoil.
const HOSTILE: [&str; 12] = [
    "=1+1",
    "+12 V",
    "-10/+50%",
    "@home",
    "\t=1+1",
    "\r\n=1+1",
    "a,b;c",
    "say \"5\"",
    "two\nlines",
    "two\r\nlines",
    "'tis, ½ µΩ",
    "",
];

#[test]
fn decisions_are_read_by_another_reader_as_they_were_written() {
    let mut file = csv::WriterBuilder::new()
        .terminator(csv::Terminator::CRLF)
        .from_writer(Vec::new());
    file.write_record(DECISION_COLUMNS.map(|(name, _)| name))
        .unwrap();
    for text in HOSTILE {
        let decision = Decision {
            time: "2056-11-03T19:25:30+01:00".parse().unwrap(),
            designator: text.to_owned(),
            choice: Choice::Replace,
            reason: text.to_owned(),
            article: text.to_owned(),
            bag: None,
        };
        file.write_record(decision.row()).unwrap();
    }
    let bytes = file.into_inner().unwrap();
    let own: Vec<String> = Decision::read_all(&bytes)
        .unwrap()
        .into_iter()
        .map(|decision| decision.reason)
        .collect();
    assert_eq!(own, HOSTILE);
    let Some(rows) = by_python(&bytes) else {
        return;
    };
    assert_eq!(rows.len(), 1 + HOSTILE.len());
    for (row, text) in rows[1..].iter().zip(HOSTILE) {
        for column in [1, 3, 4] {
            assert_eq!(from_cell(&row[column]), text);
            assert!(
                !row[column].starts_with(['=', '+', '-', '@', '\t', '\r']),
                "{row:?}"
            );
        }
    }
}

#[test]
fn results_are_read_by_another_reader_as_they_were_written() {
    let parts = "ref,kind,value,tolerance,also\n\"=R1;\"\"x\"\", 'y'\",resistor,\"1\n k\",10%,\n@R2,resistor,1000 Ω,10%,\n";
    let functions = "[function.resistance]\nidle = \"overload\"\nrange = [{ up_to = 1e6, resolution = 0.1, percent_of_reading = 0.3, counts = 2 }]\n";
    let plan = plan(functions, parts, "", "").unwrap();
    let mut bench = Talking::new(plan.clone(), 10);
    for _ in 0..2 {
        bench.shows("OL OHM", 15);
        bench.shows("1010.0 OHM", 25);
    }
    bench.shows("OL OHM", 15);
    let records = bench.records();
    assert_eq!(records.len(), 2);
    let mut bytes = Vec::new();
    let mut results = Results::new(&mut bytes, true).unwrap();
    for record in records {
        results.add(&record.row).unwrap();
    }
    drop(results);
    let own = probewright::face::books::ledger::read_measurements(&bytes).unwrap();
    let Some(rows) = by_python(&bytes) else {
        return;
    };
    assert_eq!(rows[0], COLUMNS.map(|(name, ..)| name));
    assert!(
        rows.iter().all(|row| row.len() == COLUMNS.len()),
        "{rows:?}"
    );
    let place = |name| rows[0].iter().position(|column| column == name).unwrap();
    for ((row, own), (designator, listed)) in rows[1..]
        .iter()
        .zip(&own)
        .zip([("=R1;\"x\", 'y'", "1  k"), ("@R2", "1000 Ω")])
    {
        assert_eq!(from_cell(&row[place("ref")]), designator);
        assert_eq!(own.designator, designator);
        assert!(row[place("ref")].starts_with('\''));
        assert_eq!(from_cell(&row[place("listed")]), listed);
        let value: f64 = row[place("value")].parse().unwrap();
        assert!((value - 1010.0).abs() < 1.0, "{value}");
        assert_eq!(row[place("verdict")], "pass");
    }
}

/// How a program writes a list.
#[derive(Debug, Clone)]
#[expect(clippy::struct_excessive_bools, reason = "each is a habit of its own")]
struct Habits {
    separator: char,
    comma: bool,
    declared: bool,
    quoted: bool,
    padding: usize,
    line: bool,
    end: &'static str,
    encoding: TextEncoding,
}

fn dialects() -> impl Strategy<Value = Habits> {
    let separator = prop_oneof![Just(','), Just(';'), Just('\t')];
    let encoding = prop_oneof![
        Just(TextEncoding::Utf8),
        Just(TextEncoding::MarkedUtf8),
        Just(TextEncoding::Utf16Le),
        Just(TextEncoding::Utf16Be),
        Just(TextEncoding::Windows1252),
    ];
    let end = prop_oneof![Just("\n"), Just("\r\n"), Just("\r")];
    let flags = any::<(bool, bool, bool, bool)>();
    (separator, flags, 0_usize..3, end, encoding).prop_map(
        |(separator, (comma, declared, quoted, line), padding, end, encoding)| Habits {
            separator,
            comma,
            // Commas beside commas are only read where that is declared.
            declared: declared || (comma && separator == ','),
            quoted,
            padding,
            line,
            end,
            encoding,
        },
    )
}

impl Habits {
    fn cell(&self, text: &str) -> String {
        let needed = text.contains([self.separator, '"', '\n', '\r']) || text.starts_with('#');
        if self.quoted || needed {
            format!("\"{}\"", text.replace('"', "\"\""))
        } else {
            text.to_owned()
        }
    }

    fn row(&self, cells: &[String]) -> String {
        let cells = cells.iter().map(|text| self.cell(text));
        let padding = std::iter::repeat_n(self.cell(""), self.padding);
        let cells: Vec<String> = cells.chain(padding).collect();
        cells.join(&self.separator.to_string()) + self.end
    }

    fn file(&self, rows: &[Written]) -> Vec<u8> {
        let mut text = String::new();
        if self.line {
            text = ["sep=", &self.separator.to_string(), self.end].concat();
        }
        text +=
            &self.row(&["ref", "kind", "value", "tolerance", "rating", "note"].map(str::to_owned));
        for (number, row) in rows.iter().enumerate() {
            let figures = |number: &str| number.replace('.', if self.comma { "," } else { "." });
            text += &self.row(&[
                format!("R{number}"),
                "resistor".to_owned(),
                figures(&row.value),
                figures(&row.tolerance),
                figures(&row.rating),
                row.note.clone(),
            ]);
        }
        match self.encoding {
            TextEncoding::Utf8 => text.into_bytes(),
            TextEncoding::MarkedUtf8 => format!("\u{feff}{text}").into_bytes(),
            TextEncoding::Utf16Le => utf16(&text, u16::to_le_bytes),
            TextEncoding::Utf16Be => utf16(&text, u16::to_be_bytes),
            // Latin-1 is the part of Windows-1252 that the notes below have letters of.
            TextEncoding::Windows1252 => text
                .chars()
                .map(|letter| u8::try_from(u32::from(letter)).unwrap())
                .collect(),
        }
    }
}

/// The cells of a row, with points.
#[derive(Debug, Clone)]
struct Written {
    value: String,
    tolerance: String,
    rating: String,
    note: String,
}

fn rows() -> impl Strategy<Value = Vec<Written>> {
    // One figure behind the point, so that no number could have parted thousands.
    let value = (1_u32..999, 0_u32..10, "(|k|M| Meg)")
        .prop_map(|(whole, tenth, unit)| format!("{whole}.{tenth}{unit}"));
    let tolerance = (1_u32..50, "(|\\.5)").prop_map(|(percent, half)| format!("{percent}{half}%"));
    // Two letters beyond ASCII side by side may be one of UTF-8 when written in one byte each, which no reader can tell.
    let note = "([a-z,;\"' .#=]|[µ½äß][a-z]){0,9}";
    let row = (value, tolerance, "(|0\\.5W|1/2W|250V)", note);
    let row = row.prop_map(|(value, tolerance, rating, note)| Written {
        value,
        tolerance,
        rating,
        note: note.trim().to_owned(),
    });
    proptest::collection::vec(row, 1..6)
}

proptest! {
    #[test]
    fn any_list_reads_the_same_in_every_dialect(rows in rows(), dialect in dialects()) {
        let plain = Habits {
            separator: ',',
            comma: false,
            declared: false,
            quoted: false,
            padding: 0,
            line: false,
            end: "\n",
            encoding: TextEncoding::Utf8,
        };
        let expected = meant(list_of(&plain.file(&rows)));
        let settings = ListSettings {
            dialect: Dialect {
                decimal: dialect.declared.then_some(if dialect.comma { DecimalMark::Comma } else { DecimalMark::Point }),
                ..Dialect::default()
            },
            ..ListSettings::default()
        };
        let read = read(&dialect.file(&rows), &settings);
        let read = read.unwrap_or_else(|errors| panic!("{dialect:?}: {errors}"));
        prop_assert_eq!(meant(read), expected);
    }
}
