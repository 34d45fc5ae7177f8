//! The loss of capacitors, from the touch to the report: away from the frequency of its limit, and in circuit.

use std::fs;

use probewright::face::bench::simulator::Component;

use crate::program::{Job, Program, Row};
use crate::sit::Bench;

const PARTS: &str = "\
ref,kind,value,tolerance,rating,material,role,from,to,in_circuit
C1,capacitor,16uF,20%,450V,electrolytic,smoothing,HT,chassis,
C2,capacitor,16uF,20%,450V,electrolytic,smoothing,HT2,chassis,
C3,capacitor,16uF,20%,450V,electrolytic,smoothing,HT3,chassis,
C4,capacitor,.1uF,20%,400V,film,tone,V2 anode,V3 grid,yes
C5,capacitor,.1uF,20%,400V,film,tone,V2 anode,V3 grid,
C6,capacitor,16uF,20%,450V,electrolytic,smoothing,HT4,chassis,yes
";

/// tan δ at 1 kHz, as the meter tells it. Expected figures by ESR = tan δ/(2πfC): 16 µF with 3.2 has 31.831 Ω, with 8 has
/// 79.577 Ω, 16.5 µF with 0.5 has 4.823 Ω; 0.25 and 0.5 at 120 Hz are 20.723 Ω and 41.447 Ω. 47 kΩ across 0.1 µF make 0.03386 of
/// none: 1/(2π · 1 kHz · 47 kΩ · 0.1 µF).
#[test]
fn a_loss_is_no_plain_pass_where_only_another_frequency_or_a_lifted_lead_could_tell() {
    let mut bench = Bench::with_loss();
    bench.job = Job::new(PARTS);
    let complete = "[network]\ncomplete = true\n";
    fs::write(bench.job.root().join("job.toml"), complete).unwrap();
    let mut sitting = bench.sit();
    let smoothing = |loss| Component::capacitor(16e-6).with_loss(loss);
    // Each another one, as capacitors are.
    let film = |farads| Component::capacitor(farads).with_loss(0.03386);
    sitting
        .program
        .say("override all a voltmeter of my own shows nothing");
    sitting.in_hand("C1");
    let limits = "Ω, 20.7 Ω when new at 120 Hz";
    let most = "at most 41.";
    sitting.touch(
        smoothing(3.2),
        &[
            "C1 ",
            " CONDITIONAL PASS ",
            "is an ESR of 31.8 Ω",
            most,
            limits,
            "only that could tell",
        ],
    );
    sitting.in_hand("C2");
    sitting.touch(
        Component::capacitor(16.5e-6).with_loss(0.5),
        &["C2 ", " PASS ", "is an ESR of 4.82 Ω, at most "],
    );
    sitting.in_hand("C3");
    sitting.touch(smoothing(8.0), &["C3 ", " FAIL ", "is an ESR of 79.6 Ω"]);
    sitting.in_hand("C4");
    sitting.touch(
        film(0.1e-6),
        &[
            "C4 ",
            " INCONCLUSIVE ",
            "loss: tan δ 0.0339",
            "a parallel path may do that: lift one lead",
        ],
    );
    sitting.in_hand("C5");
    sitting.touch(film(0.11e-6), &["C5 ", " FAIL ", "loss: tan δ 0.0339"]);
    sitting.in_hand("C6");
    sitting.touch(
        smoothing(80.0),
        &["C6 ", " FAIL ", "whatever lies in parallel"],
    );
    let finished = sitting.end();
    bench.check_recording(&finished);
    let rows = bench.job.rows();
    let short: Vec<_> = rows
        .iter()
        .map(|row| (row.get("ref"), row.get("value_verdict"), row.get("verdict")))
        .collect();
    assert_eq!(
        short,
        [
            ("C1", "pass", "conditional pass"),
            ("C2", "pass", "pass"),
            ("C3", "pass", "fail"),
            ("C4", "conditional pass", "inconclusive"),
            ("C5", "pass", "fail"),
            ("C6", "conditional pass", "fail"),
        ]
    );
    let reason = |row: &Row| row.get("reason").to_owned();
    assert!(
        rows.iter()
            .filter(|row| row.get("ref") != "C2")
            .all(|row| reason(row).starts_with("loss: ")),
        "{:?}",
        reason(&rows[0])
    );
    let root = bench.job.root();
    let glance = Program::new([&root]).run().out();
    assert!(glance.contains("79.6 Ω"), "{glance}");
    let _ = Program::new(["report".into(), root.clone()])
        .run()
        .with_status(0);
    let report = fs::read_to_string(root.join("report.html")).unwrap();
    // A number on the page stays with its unit.
    let report = report.replace('\u{a0}', " ");
    for words in ["is an ESR of 31.8 Ω", "a parallel path may do that"] {
        assert!(report.contains(words), "{words}");
    }
}

#[test]
fn in_circuit_a_loss_proves_nothing_where_a_coil_might_lie_in_parallel() {
    let mut bench = Bench::with_loss();
    bench.job = Job::new(
        "ref,kind,value,tolerance,rating,material,role,from,to,in_circuit\n\
         C1,capacitor,16uF,20%,25V,electrolytic,cathode,V1 cathode,chassis,yes\n",
    );
    let mut sitting = bench.sit();
    let seen = "override all a voltmeter of my own shows nothing";
    sitting.program.say(seen);
    sitting.in_hand("C1");
    let dry = Component::capacitor(16e-6).with_loss(80.0);
    let words = "a parallel path may do that: lift one lead";
    sitting.touch(dry, &["C1 ", " INCONCLUSIVE ", words]);
    let finished = sitting.end();
    bench.check_recording(&finished);
}
