//! Parts that have only to conduct: the makes of a switch, fuses and lamps.

use probewright::face::bench::simulator::Component;
use probewright::face::engine::judge::{Aspect, Reason, Verdict};
use probewright::face::engine::sitting::Record;

use crate::program::{Job, Program};
use crate::sit;
use crate::talking::{Taken, Talking, plan};

const FUNCTIONS: &str = r#"
[function.resistance]
idle = "overload"
range = [{ up_to = 1e6, resolution = 0.001, percent_of_reading = 0.1, counts = 2 }]
"#;

const HEAD: &str = "ref,kind,value,also\n";

/// A bench whose meter sends twenty lines a second.
struct Bench(Talking);

impl Bench {
    fn new(rows: &str) -> Self {
        let plan = plan(FUNCTIONS, &format!("{HEAD}{rows}"), "", "").unwrap();
        Self(Talking::new(plan, 20))
    }

    fn shows(&mut self, line: &str, times: usize) {
        self.0.shows(&format!("{line} OHM"), times);
    }

    fn touches(&mut self, ohms: &str) {
        self.shows("OL", 6);
        self.shows(ohms, 30);
        self.shows("OL", 6);
    }

    fn says(&mut self, command: &str) {
        self.0.says(command);
    }

    fn records(&self) -> Vec<&Record> {
        self.0.records()
    }

    fn verdicts(&self) -> Vec<Verdict> {
        let records = self.records();
        records.iter().map(|record| record.row.verdict).collect()
    }

    fn spread(&self) -> (Option<Verdict>, String) {
        let record = *self.records().last().expect("something was judged");
        let check = record
            .row
            .checks
            .iter()
            .find(|check| check.aspect == Aspect::Spread);
        let check = check.expect("the last make tells the spread");
        (check.verdict, check.words.clone())
    }
}

const SWITCH: &str = "SW1,switch,1 Ω,3 makes\nR1,resistor,1k,\n";

#[test]
fn every_make_is_judged_and_the_last_one_tells_the_spread() {
    let mut bench = Bench::new(SWITCH);
    for ohms in ["0.020", "0.050", "0.080"] {
        bench.touches(ohms);
    }
    assert_eq!(bench.verdicts(), [Verdict::Pass; 3]);
    let (verdict, words) = bench.spread();
    assert_eq!(verdict, Some(Verdict::Pass));
    assert!(
        words.starts_with("3 of 3 makes from 20 mΩ to 80 mΩ, 60.00 mΩ ± 0.82 mΩ apart"),
        "{words}"
    );
    assert!(words.contains("standard deviation 30 mΩ"), "{words}");
    let titles: Vec<String> = bench
        .records()
        .iter()
        .map(|record| bench.0.sitting.plan().parts()[record.part].title().into())
        .collect();
    assert_eq!(titles, ["SW1", "SW1 make 2", "SW1 make 3"]);
    assert_eq!(bench.0.sitting.summary().count(Verdict::Pass), 1);
}

#[test]
fn one_bad_make_fails_the_contact() {
    let mut bench = Bench::new(SWITCH);
    for ohms in ["0.020", "4.000", "0.020"] {
        bench.touches(ohms);
    }
    assert_eq!(
        bench.verdicts(),
        [Verdict::Pass, Verdict::Fail, Verdict::Fail]
    );
    assert_eq!(bench.0.sitting.summary().count(Verdict::Fail), 1);
}

#[test]
fn makes_that_scatter_fail_although_each_is_good() {
    let mut bench = Bench::new(SWITCH);
    for ohms in ["0.020", "0.700", "0.020"] {
        bench.touches(ohms);
    }
    assert_eq!(
        bench.verdicts(),
        [Verdict::Pass, Verdict::Pass, Verdict::Fail]
    );
    assert_eq!(bench.spread().0, Some(Verdict::Fail));
}

#[test]
fn a_make_measured_again_replaces_the_former_and_one_that_is_open_is_left_out_of_the_spread() {
    let mut bench = Bench::new(SWITCH);
    bench.touches("0.020");
    bench.touches("0.900");
    bench.says("redo");
    bench.touches("0.030");
    bench.touches("0.020");
    assert_eq!(bench.spread().0, Some(Verdict::Pass));
    bench.says("goto SW1 make 2");
    bench.says("on");
    bench.shows("OL", 10);
    let record = *bench.records().last().unwrap();
    assert_eq!(
        (
            record.part,
            record.row.verdict,
            record.row.grounds().verdict().1
        ),
        (1, Verdict::Fail, Reason::Open)
    );
    bench.says("goto sw1 make 3");
    bench.touches("0.020");
    assert!(
        bench.spread().1.starts_with("2 of 3 makes"),
        "{:?}",
        bench.spread()
    );
}

#[test]
fn the_leads_are_taken_off_every_make() {
    let mut bench = Bench::new("SW1,switch,50 mΩ,2 makes\n");
    bench.says("zero");
    bench.touches("0.150");
    bench.touches("0.170");
    bench.touches("0.175");
    assert_eq!(bench.verdicts(), [Verdict::Pass; 2]);
}

/// Limits: 1 Ω at 1 A and 11.2 Ω at 250 mA, twice the largest drop by IEC 60127-7, standard sheet 1, over the current; a fifth of
/// 6.3 V / 0.3 A is 4.2 Ω.
#[test]
fn fuses_lamps_and_contacts_are_held_to_what_their_rating_allows() {
    for (row, ohms, verdict) in [
        ("F1,fuse,1A,", "0.130", Verdict::Pass),
        ("F1,fuse,1A,", "20.000", Verdict::Fail),
        ("F1,fuse,T250mA 250V,", "4.500", Verdict::Pass),
        ("F1,fuse,T250mA 250V,", "42.000", Verdict::Fail),
        ("LP1,lamp,6.3V 0.3A,", "2.100", Verdict::Pass),
        ("LP1,lamp,6.3V 0.3A,", "21.000", Verdict::Fail),
        ("S1,switch,2A 250V,", "0.040", Verdict::Pass),
        ("S1,switch,2A 250V,", "5.000", Verdict::Fail),
        ("F1,fuse,10 Ω,", "9.000", Verdict::Pass),
        ("F1,fuse,10 Ω,", "12.000", Verdict::Fail),
    ] {
        let mut bench = Bench::new(&format!("{row}\n"));
        bench.touches(ohms);
        assert_eq!(bench.verdicts(), [verdict], "{row} {ohms}");
    }
}

#[test]
fn a_fuse_or_a_lamp_without_a_rating_conducts_and_no_more_is_said() {
    for row in ["F1,fuse,,", "F1,fuse,250V,", "LP1,lamp,,", "LP1,lamp,6.3V,"] {
        let mut bench = Bench::new(&format!("{row}\n"));
        bench.touches("20.000");
        assert_eq!(bench.verdicts(), [Verdict::ConditionalPass], "{row}");
        assert_eq!(
            reason(&bench),
            "rating: conducts, no more is known without its rating"
        );
    }
    let mut bench = Bench::new("S1,switch,,\n");
    bench.touches("0.100");
    assert_eq!(bench.verdicts(), [Verdict::Pass]);
}

#[test]
fn without_a_zero_what_leads_alone_could_do_is_no_fault() {
    let rows = "F1,fuse,2A,\nS1,switch,50 mΩ,\nS2,switch,50 mΩ,\n";
    let mut bench = Bench::new(rows);
    for ohms in ["0.450", "0.200", "1.200"] {
        bench.touches(ohms);
    }
    let open = Verdict::Inconclusive;
    assert_eq!(bench.verdicts(), [open, open, Verdict::Fail]);
    let words = "above its limit by no more than leads may have: take them off with `zero`";
    assert_eq!(bench.records()[0].row.reason, words);
    let mut bench = Bench::new(rows);
    bench.says("zero");
    bench.touches("0.180");
    for ohms in ["0.450", "0.200", "0.400"] {
        bench.touches(ohms);
    }
    assert_eq!(
        bench.verdicts(),
        [Verdict::Pass, Verdict::Pass, Verdict::Fail]
    );
}

#[test]
fn what_a_rating_and_the_leads_decide_reaches_line_row_and_report() {
    let mut bench = sit::Bench::new(sit::Way::Terminal);
    bench.job = Job::new("ref,kind,value\nF1,fuse,1A\nF2,fuse,\nF3,fuse,2A\n");
    let mut sitting = bench.sit();
    let words = "conducts, no more is known without its rating";
    sitting.touch(
        Component::resistor(20.0),
        &["F1 ", " FAIL ", "2000 % of what is allowed"],
    );
    sitting.in_hand("F2");
    sitting.touch(
        Component::resistor(27.0),
        &["F2 ", " CONDITIONAL PASS ", words],
    );
    sitting.in_hand("F3");
    let leads = "no more than leads may have";
    sitting.touch(Component::resistor(0.5), &["F3 ", " INCONCLUSIVE ", leads]);
    let finished = sitting.end();
    bench.check_recording(&finished);
    let rows = bench.job.rows();
    assert!(
        rows[0]
            .get("checks")
            .contains("IEC 60127-7, standard sheet 1")
    );
    let verdicts: Vec<&str> = rows.iter().map(|row| row.get("verdict")).collect();
    assert_eq!(verdicts, ["fail", "conditional pass", "inconclusive"]);
    let root = bench.job.root();
    let why = |part: &str| {
        let words = ["why".into(), root.clone().into_os_string(), part.into()];
        Program::new(words).run().with_status(0).out()
    };
    assert!(
        why("F1").contains("1 Ω at most, by its rating"),
        "{}",
        why("F1")
    );
    assert!(why("F1").contains("IEC 60127-7"), "{}", why("F1"));
    assert!(why("F2").contains(words), "{}", why("F2"));
    let _ = Program::new(["report".into(), root.clone()])
        .run()
        .with_status(0);
    let report = std::fs::read_to_string(root.join("report.html")).unwrap();
    for words in [words, leads] {
        assert!(report.contains(words), "{words}");
    }
}

#[test]
fn a_blown_fuse_is_open_only_upon_the_word() {
    let mut bench = Bench::new("F1,fuse,500 mA,\nR1,resistor,1k,\n");
    bench.shows("OL", 60);
    assert_eq!(bench.verdicts(), []);
    bench.says("on");
    bench.shows("OL", 10);
    let record = *bench.records().last().unwrap();
    assert_eq!(
        (record.row.verdict, record.row.grounds().verdict().1),
        (Verdict::Fail, Reason::Open)
    );
    assert_eq!(
        bench.0.said.iter().filter_map(Taken::of).next_back(),
        Some(Taken::InHand(1))
    );
}

/// The words of the last judgement.
fn reason(bench: &Bench) -> String {
    bench
        .records()
        .last()
        .expect("something was judged")
        .row
        .reason
        .clone()
}

#[test]
fn a_contact_or_a_fuse_that_reads_negative_is_not_judged_and_a_later_good_reading_counts() {
    for row in [
        "SW1,switch,1 Ω,\n",
        "F1,fuse,1A,\n",
        "SW1,switch,1 Ω,2 makes\n",
    ] {
        let mut bench = Bench::new(row);
        bench.touches("-25.000");
        assert_eq!(bench.verdicts(), [Verdict::Inconclusive], "{row}");
        assert_eq!(reason(&bench), "negative: look for a charge or a voltage");
        bench.touches("0.050");
        assert_eq!(
            bench.verdicts().len(),
            1,
            "{row}: first the discharge check"
        );
        bench.says("override all a voltmeter of my own shows nothing across it");
        bench.touches("0.050");
        assert_eq!(bench.verdicts()[1], Verdict::Pass, "{row}");
        assert_eq!(bench.records()[1].part, 0, "the same was still in hand");
    }
}

#[test]
fn leads_that_were_taken_off_too_much_are_to_be_zeroed_again() {
    let mut bench = Bench::new("SW1,switch,1 Ω,\nR1,resistor,1k,\n");
    bench.says("zero");
    bench.touches("0.150");
    bench.touches("0.020");
    assert_eq!(bench.verdicts(), [Verdict::Inconclusive]);
    assert_eq!(
        reason(&bench),
        "below zero with the leads taken off: zero again"
    );
    // Within the uncertainty of both readings, and exactly nothing.
    bench.touches("0.149");
    assert_eq!(bench.verdicts()[1], Verdict::Pass);
    let mut bench = Bench::new("SW1,switch,1 Ω,\nR1,resistor,1k,\n");
    bench.touches("0.000");
    assert_eq!(bench.verdicts(), [Verdict::Pass]);
}
