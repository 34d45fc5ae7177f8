//! Every input file of a job with every kind of damage, through every command that reads it: bad input is status 2 with file and
//! line, what is only written otherwise is read, and nothing panics.

use std::ffi::OsString;
use std::fs;
use std::path::{Path, PathBuf};

use tempfile::TempDir;

use crate::program::Program;

/// Damage to a file, and the status that every command that reads it ends with.
struct Damage {
    what: &'static str,
    status: i32,
    /// The line that the message names; `None` for what is no error, and where the text as a whole is none.
    line: Option<usize>,
    bytes: Vec<u8>,
}

impl Damage {
    fn new(
        what: &'static str,
        status: i32,
        line: Option<usize>,
        bytes: impl Into<Vec<u8>>,
    ) -> Self {
        let bytes = bytes.into();
        Self {
            what,
            status,
            line,
            bytes,
        }
    }
}

/// A text of 70,000 characters.
fn long() -> String {
    "x".repeat(70_000)
}

fn utf16(text: &str) -> Vec<u8> {
    let units = format!("\u{feff}{text}");
    units.encode_utf16().flat_map(u16::to_le_bytes).collect()
}

/// The damages of a TOML file.
fn of_toml(text: &str) -> Vec<Damage> {
    let end = 1 + text.matches('\n').count();
    let first = |line: &str| format!("{line}\n{text}");
    vec![
        Damage::new(
            "not UTF-8",
            2,
            Some(end),
            [text.as_bytes(), b"# \xb5\n"].concat(),
        ),
        Damage::new("a zero byte", 2, Some(1), first("\0")),
        Damage::new("a wrong key", 2, Some(1), first("nonsense = 1")),
        Damage::new("no TOML", 2, Some(1), first("[")),
        Damage::new("UTF-16", 2, Some(1), utf16(text)),
        Damage::new("a long remark", 0, None, first(&format!("# {}", long()))),
    ]
}

/// A table, its header first.
struct Table(Vec<Vec<String>>);

impl Table {
    fn read(text: &str) -> Self {
        let mut reader = csv::ReaderBuilder::new()
            .has_headers(false)
            .comment(Some(b'#'))
            .from_reader(text.as_bytes());
        let rows = reader
            .records()
            .map(|row| row.unwrap().iter().map(str::to_owned).collect());
        Self(rows.collect())
    }

    fn write(&self) -> String {
        let mut writer = csv::WriterBuilder::new()
            .terminator(csv::Terminator::CRLF)
            .from_writer(Vec::new());
        self.0
            .iter()
            .for_each(|row| writer.write_record(row).unwrap());
        String::from_utf8(writer.into_inner().unwrap()).unwrap()
    }

    fn place(&self, column: &str) -> usize {
        self.0[0].iter().position(|name| name == column).unwrap()
    }

    /// With that text in a cell of the first row.
    fn with(&self, column: &str, text: &str) -> String {
        let mut rows = self.0.clone();
        text.clone_into(&mut rows[1][self.place(column)]);
        Self(rows).write()
    }

    fn without(&self, column: &str) -> String {
        let mut rows = self.0.clone();
        for row in &mut rows {
            row.remove(self.place(column));
        }
        Self(rows).write()
    }
}

/// The damages of a table with a column that holds words, and one that it cannot do without.
fn of_table(text: &str, words: &str, needed: &str) -> Vec<Damage> {
    let table = Table::read(text);
    let plain = table.write();
    // 0x81 is no letter of Windows-1252.
    let mut not_utf8 = table.with(words, "?").into_bytes();
    let at = not_utf8.iter().rposition(|byte| *byte == b'?').unwrap();
    not_utf8[at] = 0x81;
    let zero = table.with(words, "\0");
    let last = &plain[..plain.len() - 2];
    vec![
        Damage::new("not UTF-8", 2, Some(2), not_utf8),
        Damage::new("a zero byte", 2, Some(2), zero),
        Damage::new("a wrong cell", 2, Some(2), table.with(needed, "nonsense")),
        Damage::new("a missing column", 2, Some(1), table.without(needed)),
        Damage::new(
            "a quotation mark left open",
            2,
            Some(2),
            plain.replacen("\r\n", "\r\n\"", 1),
        ),
        Damage::new(
            "no line end behind the last row",
            0,
            None,
            last.replace("\r\n", "\n"),
        ),
        Damage::new(
            "a cell of 70,000 characters",
            0,
            None,
            table.with(words, &long()),
        ),
        Damage::new("UTF-16", 0, None, utf16(&plain)),
        Damage::new("semicolons", 0, None, plain.replace(',', ";")),
        Damage::new("old line ends", 0, None, plain.replace("\r\n", "\r")),
    ]
}

/// A job with every file that it can have, and beside it a drawer and a profile.
struct Whole(TempDir);

const DECISIONS: &str = "time,ref,decision,reason,article,bag\r\n\
    2056-11-03T19:25:30.000+01:00,R1,replace,drifted,,\r\n2056-11-03T19:25:31.000+01:00,R2,keep,fine,,\r\n";
const STOCK: &str = "article,count,place\r\n47nF 630V film,3,left\r\nknobs,2,right\r\n";

impl Whole {
    fn new() -> Self {
        let whole = Self(tempfile::tempdir().unwrap());
        let kept = Path::new(env!("CARGO_MANIFEST_DIR")).join("recordings/cinema-multimeter");
        let job = whole.job();
        fs::create_dir(&job).unwrap();
        for name in ["job.toml", "parts.csv", "results.csv"] {
            fs::copy(kept.join(name), job.join(name)).unwrap();
        }
        fs::copy(job.join("results.csv"), job.join("incoming.csv")).unwrap();
        fs::write(job.join("decisions.csv"), DECISIONS).unwrap();
        fs::write(job.join("stock.csv"), STOCK).unwrap();
        let policy = "[[replace]]\nmaterial = \"paper\"\nreason = \"leaks\"\nsource = \"a test\"\n";
        fs::write(job.join("policy.toml"), policy).unwrap();
        let profile = probewright::face::engine::meter::shipped_profile("scpi-multimeter").unwrap();
        fs::write(job.join("meter.toml"), profile.text).unwrap();
        let _ = Program::new([OsString::from("tables"), job.into()])
            .run()
            .with_status(0);
        whole
    }

    fn job(&self) -> PathBuf {
        self.0.path().join("job")
    }

    /// Runs a command; `JOB` in it stands for the folder.
    fn run(&self, command: &str) -> (Option<i32>, String) {
        let folder = self.job().display().to_string();
        let words = command.split(' ').map(|word| word.replace("JOB", &folder));
        let finished = Program::new(words).run();
        let said = format!("{}{}", finished.out(), finished.err());
        (finished.status.code(), said)
    }
}

/// Damages a file in each way, and runs each command on it.
fn check(name: &str, commands: &[&str], damages: impl Fn(&str) -> Vec<Damage>) {
    let whole = Whole::new();
    let file = whole.job().join(name);
    let sound = fs::read_to_string(&file).unwrap();
    let mut wrong = Vec::new();
    for damage in damages(&sound) {
        fs::write(&file, &damage.bytes).unwrap();
        for command in commands {
            // A sitting has no meter at this port, and says so once everything was read.
            let (status, said) = whole.run(command);
            // An archive is made of what can be read, and says what was left out.
            let sits = command.starts_with("sit ");
            let expected = match damage.status {
                0 if sits => 1,
                2 if command.starts_with("archive ") => 3,
                status => status,
            };
            let place = damage.line.map(|line| format!("{name}:{line}:"));
            let good = status == Some(expected)
                && place.is_none_or(|place| said.contains(&place))
                && !said.contains("panicked");
            if !good {
                let said: String = said.chars().take(600).collect();
                wrong.push(format!(
                    "{name}, {}, `{command}`: {status:?}\n{said}",
                    damage.what
                ));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n\n"));
}

const SIT: &str = "sit JOB --meter JOB/meter.toml@/nowhere/at/all --plain";

#[test]
fn job_toml() {
    let commands = [
        "JOB",
        "JOB --json",
        "decide JOB R1",
        "substitute JOB",
        "order JOB",
        "compare JOB",
        "report JOB --format json",
        "parts check JOB",
        "archive JOB",
        SIT,
    ];
    check("job.toml", &commands, of_toml);
}

#[test]
fn parts_csv() {
    let commands = [
        "JOB",
        "decide JOB R1",
        "substitute JOB",
        "order JOB",
        "report JOB --format csv",
        "parts check JOB",
        "parts check JOB/parts.csv",
        "archive JOB",
        SIT,
    ];
    check("parts.csv", &commands, |text| {
        of_table(text, "note", "kind")
    });
}

#[test]
fn results_csv() {
    let commands = [
        "JOB",
        "JOB --json",
        "decide JOB R1",
        "order JOB",
        "compare JOB",
        "report JOB --format json",
        "archive JOB",
    ];
    check("results.csv", &commands, |text| {
        of_table(text, "reason", "verdict")
    });
}

#[test]
fn incoming_csv() {
    let commands = ["batch JOB", "report JOB --format json", "archive JOB"];
    check("incoming.csv", &commands, |text| {
        of_table(text, "reason", "verdict")
    });
}

#[test]
fn decisions_csv() {
    let commands = [
        "JOB",
        "decide JOB R1",
        "order JOB",
        "report JOB --format json",
    ];
    check("decisions.csv", &commands, |text| {
        of_table(text, "reason", "decision")
    });
}

#[test]
fn stock_csv() {
    check("stock.csv", &["order JOB"], |text| {
        of_table(text, "place", "count")
    });
}

#[test]
fn policy_toml() {
    check(
        "policy.toml",
        &["substitute JOB", "order JOB", SIT],
        of_toml,
    );
}

#[test]
fn goods_toml() {
    check("goods.toml", &["substitute JOB", "order JOB"], of_toml);
}

#[test]
fn tables_of_limits() {
    for name in [
        "loss.toml",
        "leakage.toml",
        "insulation.toml",
        "ageing.toml",
    ] {
        check(name, &[SIT], of_toml);
    }
}

#[test]
fn a_device_profile() {
    check("meter.toml", &["meter check JOB/meter.toml", SIT], of_toml);
}

#[test]
fn a_torn_last_row_is_no_error() {
    for (name, command) in [
        ("results.csv", "JOB"),
        ("incoming.csv", "report JOB --format json"),
        ("decisions.csv", "decide JOB R1"),
    ] {
        let whole = Whole::new();
        let file = whole.job().join(name);
        let mut text = fs::read(&file).unwrap();
        text.extend(b"2056-11-03T19:25:3");
        fs::write(&file, &text).unwrap();
        let (status, said) = whole.run(command);
        assert_eq!(status, Some(0), "{name}: {said}");
    }
}
