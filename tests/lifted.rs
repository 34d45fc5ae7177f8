//! Leads that are lifted and joined again at the bench.

use std::fs;

use crate::program::Row;
use crate::sit::{Bench, Way, ohm};

const PARTS: &str = "\
ref,kind,value,tolerance,from,to,in_circuit
R1,resistor,100k,10%,tone top,chassis,yes
R2,resistor,220k,10%,tone top,chassis,yes
R3,resistor,10k,10%,HT1,HT2,yes
";

#[test]
fn a_part_with_a_lead_lifted_is_judged_out_of_circuit_and_joined_again_in_it() {
    let bench = Bench::new(Way::Terminal);
    fs::write(bench.job.root().join("parts.csv"), PARTS).unwrap();
    let mut sitting = bench.sit();
    sitting.touch(
        ohm(68.7e3),
        &["R1 ", " INCONCLUSIVE ", "low in circuit", "lift one lead"],
    );
    sitting.in_hand("R2");
    sitting.program.say("lifted R9");
    sitting
        .program
        .sees(&["`lifted R9`: this sitting has no part of that designator"]);
    sitting.program.say("lifted r1");
    sitting.program.sees(&["R1 ", "a lead is lifted"]);
    sitting.program.say("redo");
    sitting.in_hand("R1");
    sitting.touch(ohm(139e3), &["R1 ", " FAIL ", "above its band"]);
    sitting.in_hand("R2");
    sitting.touch(ohm(221e3), &["R2 ", " CONDITIONAL PASS "]);
    sitting.in_hand("R3");
    sitting.program.say("rejoined R1");
    sitting.program.sees(&["R1 ", "joined again"]);
    sitting.program.say("goto R1");
    sitting.in_hand("R1");
    sitting.touch(ohm(85e3), &["R1 ", " INCONCLUSIVE "]);
    sitting.program.say("lifted R3");
    sitting.program.sees(&["  R3 "]);
    sitting.touch(ohm(9.95e3), &["R3 ", " PASS "]);
    let finished = sitting.end();
    assert!(
        finished.out().contains("still lifted: R3"),
        "{}",
        finished.out()
    );
    let rows = bench.job.rows();
    let short: Vec<_> = rows
        .iter()
        .map(|row| (row.get("ref"), row.get("in_circuit"), row.get("verdict")))
        .collect();
    assert_eq!(
        short,
        [
            ("R1", "yes", "inconclusive"),
            ("R1", "no", "fail"),
            ("R2", "yes", "conditional pass"),
            ("R1", "yes", "inconclusive"),
            ("R3", "no", "pass"),
        ]
    );
    let remark = |row: &Row| row.get("checks").contains("read with a lead lifted of R1");
    let remarked: Vec<bool> = rows.iter().map(remark).collect();
    assert_eq!(remarked, [false, false, true, false, false]);
    bench.check_recording(&finished);
}
