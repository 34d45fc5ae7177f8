//! New parts before they go in: `sit --batch` and `batch`, with the real program and a simulated meter.

use std::ffi::OsString;
use std::fs;
use std::path::PathBuf;
use std::time::Duration;

use probewright::face::bench::simulator::{
    BenchClock, Component, Options, Probes, RangeChange, Running, Scale, Serve,
};
use probewright::face::books::batch;
use probewright::face::books::job::Folder;
use probewright::face::engine::judge::Verdict;
use rustix::process::Signal;

use crate::bench;
use crate::program::{Finished, Job, Program, Row, Started, at, files_in, replay, rows};

/// The list has a capacitor at which a sitting would ask for a voltmeter first.
const PARTS: &str = "ref,kind,value,rating,material\nC1,capacitor,47uF,450V,electrolytic\nR1,resistor,4K7,1/2W,film\nR2,resistor,4K7,1/2W,film\n";

const RESISTORS: &str = "4K7 1/2W 5% film";

/// A job and an LCR meter.
struct Bench {
    job: Job,
    meter: Running,
    probes: Probes,
    profile: OsString,
}

impl Bench {
    fn new() -> Self {
        let options = Options {
            serve: Serve::Tcp,
            readings_per_second: 50.0,
            range_change: RangeChange::Silent,
            capacitance: Scale::new(1e-9, 8, 10_000),
            with_loss: true,
            with_status: true,
            ..Options::default()
        };
        let (probes, meter) = bench::start(BenchClock::real_time(), options);
        Self {
            job: Job::new(PARTS),
            meter,
            probes,
            profile: "scpi-lcr-meter".into(),
        }
    }

    /// With a meter that tells the loss at the frequency at which it is limited for electrolytics.
    fn at_120_hertz(mut self) -> Self {
        let shipped = probewright::face::engine::meter::shipped_profile("scpi-lcr-meter").unwrap();
        let text = shipped
            .text
            .replacen("frequency_hz = 1000 ", "frequency_hz = 120 ", 1);
        assert_ne!(text, shipped.text);
        let file = self.job.beside("at-120-hertz.toml");
        fs::write(&file, text).unwrap();
        self.profile = file.into();
        self
    }

    fn arguments(&self, article: &str, count: &str) -> Vec<OsString> {
        let mut arguments: Vec<OsString> = vec!["sit".into(), self.job.root().into()];
        arguments.extend(["--batch", article, "--count", count].map(OsString::from));
        arguments.extend(["--meter".into(), at(&self.profile, self.meter.address())]);
        arguments
    }

    fn sit(&self, article: &str, count: &str) -> Sitting<'_> {
        let mut program = Program::new(self.arguments(article, count)).start();
        program.sees(&["meter: "]);
        Sitting {
            bench: self,
            program,
        }
    }

    /// Runs a command on the job.
    fn command(&self, command: &str, rest: &[&str]) -> Finished {
        let mut arguments: Vec<OsString> = vec![command.into(), self.job.root().into()];
        arguments.extend(rest.iter().map(OsString::from));
        Program::new(arguments).run()
    }

    fn incoming(&self) -> PathBuf {
        self.job.root().join("incoming.csv")
    }

    fn recordings(&self) -> Vec<PathBuf> {
        files_in(&self.job.root().join("incoming"), "rec")
    }

    fn rows(&self) -> Vec<Row> {
        rows(&fs::read(self.incoming()).unwrap())
    }

    fn labels(&self) -> Vec<String> {
        let rows = self.rows();
        rows.iter().map(|row| row.get("ref").to_owned()).collect()
    }
}

struct Sitting<'a> {
    bench: &'a Bench,
    program: Started,
}

impl Sitting<'_> {
    /// Holds the probes to a part until its verdict is there, then lifts.
    fn touch(&mut self, bag: &str, component: Component, verdict: &str) {
        let probes = &self.bench.probes;
        probes.place(component, Duration::from_millis(40));
        self.program.sees(&[bag, verdict]);
        probes.lift();
    }

    fn in_hand(&mut self, bag: &str) {
        self.program.sees(&[&format!("  {bag:<8} ")]);
    }

    fn resistors(&mut self, first: u32, values: &[f64]) {
        for (number, value) in (first..).zip(values) {
            if number > first {
                self.in_hand(&format!("bag {number}"));
            }
            let verdict = if (4465.0..=4935.0).contains(value) {
                " PASS "
            } else {
                " FAIL "
            };
            self.touch(
                &format!("bag {number}"),
                Component::resistor(*value),
                verdict,
            );
        }
    }

    fn end(mut self) -> Finished {
        self.program.say("end");
        self.program.end().with_status(0)
    }
}

#[test]
fn new_parts_are_measured_one_touch_each_and_kept_apart_from_the_old_ones() {
    let bench = Bench::new();
    let mut sitting = bench.sit(RESISTORS, "6");
    sitting.resistors(1, &[4700.0, 4612.0, 4790.0, 5400.0, 4701.0, 4615.0]);
    sitting
        .program
        .sees(&["every part of the list was taken in hand"]);
    let finished =
        sitting
            .end()
            .complaining(&["4.7 kΩ 0.5 W ±5 % film", "bag 1 to bag 6", "hold no charge"]);
    let out = finished.out();
    for words in [
        "6 measured: 5 good; 1 not good: bag 4\n",
        "5; the figures below are of these, not of the 1 left out\n",
        "bag 2  4.61",
        "standard deviation",
        "against the meter   more than its u = ",
        "─ nominal 4.7 kΩ ─",
    ] {
        assert!(out.contains(words), "no `{words}` in\n{out}");
    }
    // Nothing of the equipment was touched.
    assert_eq!(
        fs::read_to_string(bench.job.root().join("parts.csv")).unwrap(),
        PARTS
    );
    assert!(!bench.job.results().exists());
    assert!(bench.job.recordings().is_empty());
    let numbers: Vec<String> = (1..=6).map(|number| format!("bag {number}")).collect();
    assert_eq!(bench.labels(), numbers);
    // The recording gives the same rows again.
    let recordings = bench.recordings();
    let (replayed, csv) = replay(&recordings[0]);
    let _ = replayed.with_status(0);
    assert_eq!(csv, fs::read(bench.incoming()).unwrap());

    // Later: the list of batches, one of them, and which go together.
    let name = recordings[0]
        .file_stem()
        .unwrap()
        .to_str()
        .unwrap()
        .to_owned();
    let listed = bench.command("batch", &[]).with_status(0).out();
    assert!(
        listed.contains(&name) && listed.contains("bag 1 to bag 6"),
        "{listed}"
    );
    let again = bench.command("batch", &["bag 4"]).with_status(0).out();
    assert!(out.ends_with(&again), "{again}");
    let pairs = bench
        .command("batch", &[&name, "--match", "pairs"])
        .with_status(0)
        .out();
    let line = |words: &str| pairs.lines().any(|line| line.contains(words));
    assert!(line("bag 1, bag 5") && line("bag 2, bag 6"), "{pairs}");
    assert!(line("left over: bag 3"), "{pairs}");
    let why = bench.command("why", &["bag 4"]).with_status(0).out();
    assert!(
        why.contains("bag 4: FAIL") && why.contains("It is new, a resistor"),
        "{why}"
    );

    // For the other parts of the program.
    let batches = batch::read(&Folder::open(&bench.job.root()).unwrap()).unwrap();
    assert_eq!(batches[0].article.to_string(), "4.7 kΩ 0.5 W ±5 % film");
    let bag = batches[0].bag(4).unwrap();
    assert_eq!(bag.row.verdict, Verdict::Fail);
    assert!((bag.value().unwrap() - 5400.0).abs() < 20.0 && bag.row.value.unwrap().u > 0.0);
    what_was_found_is_told_wherever_the_bag_is_named(&bench);
    what_was_found_can_be_audited_and_asked_for(&bench, &name);
}

/// By `decide`, the history, the glance and the report.
fn what_was_found_is_told_wherever_the_bag_is_named(bench: &Bench) {
    let fitted = |part: &str, bag: &str| {
        let words = [part, "fitted", "--bag", bag];
        bench.command("decide", &words).with_status(0)
    };
    let found = "bag 1: 4.7";
    let says = |out: &str, words: &[&str]| {
        for word in words {
            assert!(out.contains(word), "no `{word}` in\n{out}");
        }
    };
    let said = fitted("R1", "1").out();
    says(
        &said,
        &["R1       decided: fitted (bag 1).", found, ", pass, "],
    );
    let _ = fitted("R2", "1").complaining(&["bag 1 was fitted as R1 already"]);
    let _ = fitted("R2", "4").complaining(&["bag 4 was no good part", "fail, above its band"]);
    let _ = fitted("C1", "2")
        .complaining(&["bag 2 holds a part with a resistance, and C1 has a capacitance"]);
    let gone =
        fitted("C1", "99").complaining(&["bag 99 is not in incoming.csv", "probewright batch"]);
    assert_eq!(gone.out().lines().count(), 1);
    let history = bench.command("decide", &["R1"]).with_status(0).out();
    says(
        &history,
        &["decided: fitted (bag 1)\n                     bag 1: 4.7"],
    );
    let root = bench.job.root();
    let glance = Program::new([root.as_os_str()]).run().with_status(0).out();
    says(
        &glance,
        &[found, "bag 4: 5.4", "bag 99 is not in incoming.csv"],
    );
    assert!(
        glance.lines().all(|line| line.chars().count() <= 80),
        "{glance}"
    );

    let made = bench.command("report", &[]).with_status(0).out();
    says(
        &made,
        &["3 parts, 0 sittings, 1 batch of new parts, 0 photos"],
    );
    let page = fs::read_to_string(root.join("report.html")).unwrap();
    says(
        &page,
        &[
            "incoming.csv",
            "Batches of new parts",
            "bag 99 is not in incoming.csv",
        ],
    );
    let json = bench
        .command("report", &["--format", "json"])
        .with_status(0)
        .out();
    let json: serde_json::Value = serde_json::from_str(&json).unwrap();
    let check = &json["parts"][1]["decisions"][0]["bag_check"];
    assert_eq!(
        (&check["verdict"], &check["unit"]),
        (&"pass".into(), &"ohm".into())
    );
    assert!(json["parts"][0]["decisions"][1]["bag_check"].is_null());
    let batch = &json["sittings"][0];
    assert_eq!(
        (&batch["of_new_parts"], &batch["state"]),
        (&true.into(), &"sealed".into())
    );
    assert_eq!(batch["rows"], 6);
    assert_eq!(
        json["files"].as_array().unwrap().last().unwrap()["name"],
        "incoming.csv"
    );
    let csv = bench
        .command("report", &["--format", "csv"])
        .with_status(0)
        .out();
    let csv = rows(csv.as_bytes());
    assert_eq!(csv[0].get("bag_verdict"), "not in incoming.csv");
    assert_eq!(csv[1].number("bag_value"), check["value"].as_f64().unwrap());
}

fn what_was_found_can_be_audited_and_asked_for(bench: &Bench, name: &str) {
    // Whoever opens a pipe waits for ever.
    let pipe = bench.job.root().join("incoming/pipe.rec");
    rustix::fs::mkfifoat(rustix::fs::CWD, pipe, rustix::fs::Mode::RWXU).unwrap();
    let audit = bench.command("audit", &[]).with_status(0).out();
    for words in ["6 rows compared", "bag 99 is not in incoming.csv"] {
        assert!(audit.contains(words), "no `{words}` in\n{audit}");
    }
    // The number that was put right, and the list of the batch, are nothing to be remarked.
    for words in ["bag 1", "`parts.csv`"] {
        assert!(!audit.contains(words), "`{words}` in\n{audit}");
    }
    let _ = bench.command("archive", &[]).with_status(0);
    let ask = |question: &str| {
        bench
            .command("archive", &["--query", question])
            .with_status(0)
            .out()
    };
    let sitting = ask("select source, name, state from sitting");
    assert_eq!(
        sitting,
        format!("source,name,state\r\nincoming,{name},sealed\r\n")
    );
    let fitted = ask(
        "select decision.\"ref\", verdict from decision join measurement on source = 'incoming' \
        and measurement.\"ref\" = 'bag ' || bag where bag = 4",
    );
    assert_eq!(fitted, "ref,verdict\r\nR2,fail\r\n");
    let meters = ask("select profile, sittings from meters_used");
    assert_eq!(meters.lines().count(), 2, "{meters}");

    let text = fs::read_to_string(bench.incoming()).unwrap();
    fs::write(
        bench.incoming(),
        text.replacen(",fail,fail,", ",fail,pass,", 1),
    )
    .unwrap();
    let audit = bench.command("audit", &[]).with_status(3).out();
    assert!(
        audit.contains("bag 4 value, attempt 1: `verdict` says `pass`, the replay says `fail`"),
        "{audit}"
    );
    // Half a row: what was killed while it wrote.
    fs::write(bench.incoming(), &text[..text.len() - 30]).unwrap();
    let audit = bench.command("audit", &[]).with_status(3).out();
    assert!(audit.contains("ends too early"), "{audit}");
    let listed = bench.command("batch", &[]).with_status(0).out();
    assert!(listed.contains("bag 1 to bag 5"), "{listed}");
    // Not even a header: what was recorded is not taken for nothing.
    fs::write(bench.incoming(), &text[..60]).unwrap();
    let _ = bench.command("batch", &[]).with_status(3).complaining(&[
        "incoming.csv has no row",
        "replay",
        name,
    ]);
    fs::write(bench.incoming(), text).unwrap();
    fs::remove_file(&bench.recordings()[0]).unwrap();
    let audit = bench.command("audit", &[]).with_status(3).out();
    assert!(audit.contains("whose recording"), "{audit}");
}

#[test]
fn a_new_electrolytic_is_neither_taken_as_charged_nor_condemned_for_its_kind() {
    let bench = Bench::new().at_120_hertz();
    let mut sitting = bench.sit("47uF 450V electrolytic", "2");
    let good = Component::capacitor(47.5e-6).with_loss(0.05);
    // More than the 0.25 of a new one at 450 V, and less than twice that, which one in service may have.
    let lossy = Component::capacitor(47.6e-6).with_loss(0.4);
    sitting.touch("bag 1", good, " PASS ");
    sitting.in_hand("bag 2");
    sitting.touch("bag 2", lossy, " FAIL ");
    let out = sitting.end().out();
    // The first thing asked for is the part itself, no voltmeter.
    let second = out.lines().nth(1).unwrap();
    assert!(second.starts_with("  bag 1    capacitor 47 µF"), "{out}");
    for words in ["discharge", "charged", "replaced whatever"] {
        assert!(!out.contains(words), "{out}");
    }
    assert!(out.contains("  tan δ 0.0500 at 120 Hz  pass "), "{out}");
    for row in bench.rows() {
        assert!(
            !row.get("checks").contains("policy"),
            "{}",
            row.get("checks")
        );
        assert!(row.get("checks").contains("loss"), "{}", row.get("checks"));
    }
    // The same holds in a replay, where the recording alone says that the parts are new.
    let (replayed, csv) = replay(&bench.recordings()[0]);
    let _ = replayed.with_status(0);
    assert_eq!(csv, fs::read(bench.incoming()).unwrap());
}

#[test]
fn a_bag_number_is_never_given_twice() {
    let bench = Bench::new();
    // Killed in the second of three.
    let mut sitting = bench.sit(RESISTORS, "3");
    sitting.resistors(1, &[4700.0]);
    sitting.in_hand("bag 2");
    sitting.program.signal(Signal::KILL);
    let _ = sitting.program.status();
    assert_eq!(bench.labels(), ["bag 1"]);
    // The next one goes on, and is ended early.
    let mut sitting = bench.sit(RESISTORS, "3");
    sitting.resistors(2, &[4710.0, 4760.0]);
    let _ = sitting.end();
    assert_eq!(bench.labels(), ["bag 1", "bag 2", "bag 3"]);
    // Without its rows the recordings still know.
    fs::rename(bench.incoming(), bench.job.beside("away.csv")).unwrap();
    let mut sitting = bench.sit(RESISTORS, "1");
    sitting.resistors(4, &[4730.0]);
    let _ = sitting.end();
    assert_eq!(bench.labels(), ["bag 4"]);
    // And without those the decisions.
    fs::remove_dir_all(bench.job.root().join("incoming")).unwrap();
    fs::remove_file(bench.incoming()).unwrap();
    let decisions =
        "time,ref,decision,reason,article,bag\r\n2056-11-03T19:25:30+01:00,C1,fitted,,,9\r\n";
    fs::write(bench.job.root().join("decisions.csv"), decisions).unwrap();
    let out = bench.sit(RESISTORS, "1").end().out();
    assert!(out.contains("  bag 10   "), "{out}");
    assert!(out.ends_with("no new part was measured\n"), "{out}");
}

#[test]
fn what_cannot_be_is_refused_before_anything_is_made() {
    let bench = Bench::new();
    let refused = |arguments: Vec<OsString>, words: &[&str]| {
        let _ = Program::new(arguments)
            .run()
            .with_status(2)
            .complaining(words);
    };
    refused(bench.arguments("450V", "3"), &["--batch `450V`"]);
    refused(bench.arguments("250 V", "3"), &["250 V"]);
    refused(bench.arguments(RESISTORS, "0"), &["--count"]);
    refused(bench.arguments(RESISTORS, "501"), &["--count"]);
    let mut both = bench.arguments(RESISTORS, "3");
    both.extend(["--only", "R1"].map(OsString::from));
    refused(both, &["--only"]);
    assert!(!bench.incoming().exists() && bench.recordings().is_empty());
    let out = bench.command("batch", &[]).with_status(0).out();
    assert!(out.contains("no new parts were measured yet"), "{out}");

    let mut sitting = bench.sit(RESISTORS, "1");
    sitting.resistors(1, &[4700.0]);
    let _ = sitting.end();
    let complains = |rest: &[&str], words: &[&str]| {
        let _ = bench
            .command("batch", rest)
            .with_status(2)
            .complaining(words);
    };
    complains(&["bag 7"], &["found `bag 7`", "20"]);
    complains(
        &["--match", "pairs"],
        &["1 good parts are enough for 0 pairs"],
    );
    complains(
        &["bag 1", "--match", "quads", "--groups", "2"],
        &["enough for 0 quads"],
    );
    complains(&["--groups", "2"], &["--match"]);
}

#[test]
fn a_place_that_cannot_be_written_to_is_named_and_nothing_is_lost() {
    let bench = Bench::new();
    // A file where the recordings are to lie.
    fs::write(bench.job.root().join("incoming"), "mine").unwrap();
    let _ = Program::new(bench.arguments(RESISTORS, "1"))
        .run()
        .with_status(1)
        .complaining(&["incoming"]);
    assert_eq!(
        fs::read_to_string(bench.job.root().join("incoming")).unwrap(),
        "mine"
    );
    // A table of somebody else where the rows are to go.
    fs::remove_file(bench.job.root().join("incoming")).unwrap();
    fs::write(bench.incoming(), "a,b\n1,2\n").unwrap();
    let _ = Program::new(bench.arguments(RESISTORS, "1"))
        .run()
        .with_status(2)
        .complaining(&["incoming.csv"]);
    assert_eq!(fs::read_to_string(bench.incoming()).unwrap(), "a,b\n1,2\n");
}
