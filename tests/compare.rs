//! `compare`: two sittings side by side, and the drift of parts over many jobs.

use std::fs;
use std::path::{Path, PathBuf};

use probewright::face::books::results::COLUMNS;

use crate::program::{self, Job, Program, measured};

/// A row of the results of a resistor of 100 Ω ±10 %, with u = 0.3 Ω.
pub(crate) struct Measured<'a> {
    pub(crate) time: &'a str,
    pub(crate) sitting: &'a str,
    pub(crate) part: &'a str,
    pub(crate) found: &'a str,
    pub(crate) value: &'a str,
    pub(crate) in_circuit: bool,
    pub(crate) verdict: &'a str,
}

impl<'a> Measured<'a> {
    /// A value out of circuit.
    pub(crate) fn new(day: &'a str, part: &'a str, value: &'a str, verdict: &'a str) -> Self {
        Self {
            time: day,
            sitting: day,
            part,
            found: "value",
            value,
            in_circuit: false,
            verdict,
        }
    }

    fn line(&self) -> String {
        measured(&[
            ("time", &format!("{}T19:25:40.250+01:00", self.time)),
            ("sitting", &(self.sitting.replace('-', "") + "T190000")),
            ("ref", self.part),
            ("listed", "100"),
            ("in_circuit", if self.in_circuit { "yes" } else { "no" }),
            ("found", self.found),
            ("value", self.value),
            ("guard", "0.6"),
            ("verdict", self.verdict),
        ])
    }
}

/// The text of a results file.
pub(crate) fn results(rows: &[Measured<'_>]) -> String {
    let rows: Vec<String> = rows.iter().map(Measured::line).collect();
    program::results(&rows)
}

const PARTS: &str = "ref,kind,value,tolerance,material\nR1,resistor,100,10%,carbon\nR2,resistor,100,10%,carbon\n\
    R3,resistor,100,10%,film\nR4,resistor,100,10%,film\nR5,resistor,100,10%,film\n";

/// A job in which R1 drifted, R2 stayed, R3 was replaced, R4 opened, and R5 was measured once.
fn job() -> Job {
    let job = Job::new(PARTS);
    let (first, later) = ("2056-11-03", "2056-12-04");
    let mut open = Measured::new(later, "R4", "", "fail");
    open.found = "open";
    let rows = [
        Measured::new(first, "R1", "100", "pass"),
        Measured::new(first, "R2", "100", "pass"),
        Measured::new(first, "R3", "150", "fail"),
        Measured::new(first, "R4", "100", "pass"),
        Measured::new(first, "R5", "100", "pass"),
        Measured::new(later, "R1", "105", "pass"),
        Measured::new(later, "R2", "100.5", "pass"),
        Measured::new(later, "R3", "101", "pass"),
        open,
    ];
    fs::write(job.results(), results(&rows)).unwrap();
    let decisions = "time,ref,decision,reason,article,bag\r\n\
        2056-11-20T10:00:00.000+01:00,R3,fitted,,100 Ω film,\r\n";
    fs::write(job.root().join("decisions.csv"), decisions).unwrap();
    job
}

fn compare(job: &Job, arguments: &[&str]) -> Program {
    let root = job.root();
    let head = ["compare".to_owned(), root.to_str().unwrap().to_owned()];
    Program::new(
        head.into_iter()
            .chain(arguments.iter().map(ToString::to_string)),
    )
}

#[test]
fn first_and_last_stand_side_by_side_with_what_changed_and_what_did_not() {
    let job = job();
    let out = compare(&job, &[]).run().with_status(0).out();
    let expected = "\
a test
before: first measurement of the part that was found
after:  last measurement of the part now fitted

changed (1)
part  before    after     change            d/u(d)
R1    100.00 Ω  105.00 Ω  +5.00 % ± 0.85 %  +11.8   beyond chance

cannot be compared (1)
part  before    after
R4    100.00 Ω  open   has opened

another part was fitted (1)
part  before    after     change             d/u(d)
R3    150.00 Ω  101.00 Ω  −32.67 % ± 0.57 %  −115    fail, now pass

no change that the meter could tell (1)
part  before    after     change            d/u(d)
R2    100.00 Ω  100.50 Ω  +0.50 % ± 0.85 %  +1.2

1 part has no second measurement to be compared with.
Changed: by more than U(d), k = 2, the expanded uncertainty of the difference.
Of 2 compared, 0.1 would look changed by chance if none had. Those marked
beyond chance hold with all 2 taken together (Holm, 5 %).
The errors of both measurements are taken as independent. With the same meter
they are partly common, so U(d) is too large rather than too small: fewer changes
are called real, not more.
";
    assert_eq!(out, expected);
}

#[test]
fn a_sitting_is_named_by_how_it_begins_and_must_be_the_earlier_one() {
    let job = job();
    let out = compare(
        &job,
        &["--before", "205611", "--after", "205612", "--only", "R1"],
    );
    let out = out.run().with_status(0).out();
    assert!(
        out.contains("before: sitting 20561103T190000\nafter:  sitting 20561204T190000\n"),
        "{out}"
    );
    assert!(out.contains("R1 ") && !out.contains("R2 "), "{out}");
    let _ = compare(&job, &["--before", "2056"])
        .run()
        .with_status(2)
        .complaining(&["`2056`", "20561103T190000, 20561204T190000"]);
    let _ = compare(&job, &["--before", "205612", "--after", "205611"])
        .run()
        .with_status(2)
        .complaining(&["the earlier sitting after --before"]);
}

#[test]
fn rows_go_into_a_file_and_as_json_with_the_same_figures() {
    let job = job();
    let csv = job.beside("rows.csv");
    let arguments = ["--csv", csv.to_str().unwrap(), "--json"];
    let out = compare(&job, &arguments).run().with_status(0).out();
    let json: serde_json::Value = serde_json::from_str(&out).unwrap();
    assert_eq!(json["compared"], 2);
    let rows = crate::program::rows(&fs::read(&csv).unwrap());
    let refs: Vec<&str> = rows.iter().map(|row| row.get("ref")).collect();
    assert_eq!(refs, ["R1", "R2", "R3", "R4"]);
    for (row, value) in rows.iter().zip(json["rows"].as_array().unwrap()) {
        assert_eq!(row.get("outcome"), value["outcome"].as_str().unwrap());
        if value["d_over_u"].is_number() {
            assert_eq!(Some(row.number("d_over_u")), value["d_over_u"].as_f64());
        }
    }
    assert_eq!(rows[0].get("outcome"), "changed, beyond chance");
    assert!((rows[0].number("change_uncertainty") - 0.3 * 2f64.sqrt()).abs() < 1e-8);
    assert_eq!(rows[2].get("fitted"), "2056-11-20T10:00:00+01:00");
    assert_eq!(
        (rows[2].get("p_holm"), rows[3].get("obstacle")),
        ("", "no value")
    );
}

#[test]
fn a_file_that_is_there_is_replaced_only_by_force_and_a_full_disk_is_told() {
    let job = job();
    let csv = job.beside("rows.csv");
    fs::write(&csv, "mine").unwrap();
    let path = csv.to_str().unwrap();
    let _ = compare(&job, &["--csv", path])
        .run()
        .with_status(2)
        .complaining(&["exists already", "--force"]);
    assert_eq!(fs::read(&csv).unwrap(), b"mine");
    let _ = compare(&job, &["--csv", path, "--force"])
        .run()
        .with_status(0);
    assert!(fs::read_to_string(&csv).unwrap().starts_with("ref,step,"));
    let _ = compare(&job, &["--csv", "/dev/full"])
        .run()
        .with_status(1)
        .complaining(&["/dev/full", "No space left"]);
}

#[test]
fn a_job_without_results_has_nothing_to_compare_and_a_bad_row_is_named() {
    let job = Job::new(PARTS);
    let out = compare(&job, &[]).run().with_status(0).out();
    assert!(out.contains("5 parts have no second measurement"), "{out}");
    let rows = [Measured::new("2056-11-03", "R1", "lots", "pass")];
    fs::write(job.results(), results(&rows)).unwrap();
    let _ = compare(&job, &[])
        .run()
        .with_status(2)
        .complaining(&["results.csv:2:", ": found `lots`"]);
}

/// Jobs of different years of making, whose carbon resistors have drifted by half a per cent a year since 2000.
fn jobs(folder: &Path, count: usize) -> Vec<PathBuf> {
    let job = |number: usize| {
        let root = folder.join(format!("job-{number}"));
        fs::create_dir(&root).unwrap();
        let made = 2000 - 5 * number;
        fs::write(root.join("job.toml"), format!("made = {made}\n")).unwrap();
        fs::write(root.join("parts.csv"), PARTS).unwrap();
        let carbon = format!("{}", 100.0 + 2.5 * number as f64);
        let day = "2026-11-03";
        let mut low = Measured::new(day, "R4", "80", "inconclusive");
        low.in_circuit = true;
        let rows = [
            Measured::new(day, "R1", &carbon, "pass"),
            Measured::new(day, "R2", &carbon, "pass"),
            Measured::new(day, "R3", "101", "pass"),
            low,
        ];
        fs::write(root.join("results.csv"), results(&rows)).unwrap();
        root
    };
    (0..count).map(job).collect()
}

fn by(jobs: &[PathBuf], arguments: &[&str]) -> Program {
    let jobs = jobs.iter().map(|job| job.to_str().unwrap().to_owned());
    let rest = arguments.iter().map(ToString::to_string);
    Program::new(["compare".to_owned()].into_iter().chain(jobs).chain(rest))
}

#[test]
fn drift_is_put_together_by_material_and_held_against_age() {
    let folder = tempfile::tempdir().unwrap();
    let jobs = jobs(folder.path(), 7);
    let out = by(&jobs, &["--by", "material"]).run().with_status(0).out();
    for line in [
        "drift from the nominal value, as found, in 7 jobs",
        "carbon resistor  14     0     +7.5 %  +2.5 % to +12.5 %  4 (29 %)",
        "film resistor    7      0     +1.0 %  +1.0 % to +1.0 %   0 (0 %)",
        "  7 in circuit, where the reading proved nothing",
        "  7 not measured as found",
        "  carbon resistor: the older, the higher (tau +1.00, p < 0.001; 7 jobs, 26 to 56 years old)",
        "    +0.50 % a year (95 %: +0.50 % to +0.50 %)",
        "  film resistor: 7 jobs, 26 to 56 years old; nothing to tell them apart by",
    ] {
        assert!(
            out.lines().any(|found| found == line),
            "no `{line}` in\n{out}"
        );
    }
    let out = by(&jobs, &["--by", "age", "--json"])
        .run()
        .with_status(0)
        .out();
    let json: serde_json::Value = serde_json::from_str(&out).unwrap();
    assert_eq!(json["groups"][0]["group"], "resistor, 20 to 29 years");
    assert_eq!(json["left_out"]["inconclusive_in_circuit"], 7);
}

#[test]
fn few_jobs_say_nothing_of_age_and_a_bad_year_is_named() {
    let folder = tempfile::tempdir().unwrap();
    let jobs = jobs(folder.path(), 3);
    let out = by(&jobs, &["--by", "kind"]).run().with_status(0).out();
    assert!(
        out.contains("3 jobs of known age, 26 to 36 years old; 5 are needed"),
        "{out}"
    );
    let _ = by(&jobs, &[])
        .run()
        .with_status(2)
        .complaining(&["--by kind"]);
    for year in ["56", "2999"] {
        fs::write(jobs[1].join("job.toml"), format!("made = {year}\n")).unwrap();
        let _ = by(&jobs, &["--by", "age"])
            .run()
            .with_status(2)
            .complaining(&["job-1", &format!("found made = `{year}`"), "made = 1956"]);
    }
}

#[test]
fn a_recorded_demonstration_compared_with_itself_on_another_meter_tells_windings_at_20_degrees() {
    let job = Job::new("");
    let recordings = Path::new(env!("CARGO_MANIFEST_DIR")).join("recordings");
    let of = |name: &str, file: &str| fs::read_to_string(recordings.join(name).join(file)).unwrap();
    fs::write(
        job.root().join("parts.csv"),
        of("cinema-multimeter", "parts.csv"),
    )
    .unwrap();
    fs::write(
        job.root().join("job.toml"),
        of("cinema-multimeter", "job.toml"),
    )
    .unwrap();
    let first = of("cinema-multimeter", "results.csv");
    let later = of("cinema-lcr-meter", "results.csv").replace("20261125T142420", "20270101T100000");
    let (_, rows) = later.split_once('\n').unwrap();
    fs::write(job.results(), first + rows).unwrap();
    let arguments = ["--before", "2026", "--after", "2027", "--only", "L1"];
    let out = compare(&job, &arguments).run().with_status(0).out();
    assert!(out.contains("185."), "{out}");
    assert!(out.contains("Windings are compared at 20 °C"), "{out}");
}

#[test]
fn a_value_that_the_list_states_otherwise_since_is_named() {
    let job = Job::new(PARTS);
    let rows = [
        Measured::new("2056-11-03", "R1", "100", "pass"),
        Measured::new("2056-12-04", "R1", "100", "pass"),
    ];
    let text = results(&rows).replacen("R1,value,resistor,100,", "R1,value,resistor,220,", 1);
    let nominal = COLUMNS
        .iter()
        .position(|(name, ..)| *name == "nominal")
        .unwrap();
    let changed: String = text
        .lines()
        .map(|line| {
            let mut cells: Vec<&str> = line.split(',').collect();
            if line.contains(",220,") {
                cells[nominal] = "220";
            }
            cells.join(",") + "\r\n"
        })
        .collect();
    fs::write(job.results(), changed).unwrap();
    let out = compare(&job, &[]).run().with_status(0).out();
    assert!(out.contains("0.0     the list was changed\n"), "{out}");
    assert!(
        out.contains(
            "R1: the list said resistor 220, and resistor 100 later: is it the same part?\n"
        ),
        "{out}"
    );
}

#[test]
fn a_beginning_that_several_sittings_have_is_told_with_those() {
    let job = job();
    let _ = compare(&job, &["--before", "2056"])
        .run()
        .with_status(2)
        .complaining(&[
            "--before: found `2056`, with which 2 sittings begin: 20561103T190000, 20561204T190000",
        ]);
    let _ = compare(&job, &["--after", "2057"])
        .run()
        .with_status(2)
        .complaining(&["--after: found `2057`, expected the name of a sitting"]);
}
