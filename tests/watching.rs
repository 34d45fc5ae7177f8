//! Probes that stay on after a verdict: what settles elsewhere under them withdraws what was said.

use std::time::Duration;

use crate::program::{Job, Program};
use crate::sit::{Bench, Way, ohm};
use crate::talking::{Talking, plan};

const FUNCTIONS: &str = r#"
[function.resistance]
idle = "overload"
range = [{ up_to = 1e6, resolution = 0.1, percent_of_reading = 0.1, counts = 2 }]
"#;

#[test]
fn a_value_that_settles_elsewhere_withdraws_the_one_that_was_said() {
    let mut bench = Bench::new(Way::Terminal);
    bench.job = Job::new("ref,kind,value,tolerance\nR1,resistor,4K7,10%\nR2,resistor,10K,10%\n");
    let mut sitting = bench.sit();
    sitting.hold(ohm(4700.0), &["R1 ", " PASS "]);
    sitting.program.say("decide keep it reads well");
    sitting.program.sees(&["R1 ", "keep"]);
    // The joint gives way under the probe.
    bench.probes.place(ohm(5600.0), Duration::ZERO);
    sitting.program.sees(&[
        "R1 ",
        "settled elsewhere than before: 4.7 kΩ is withdrawn",
        "until you decide again: keep: it reads well",
    ]);
    sitting.program.sees(&["R1 ", " FAIL ", "+19.1 %"]);
    bench.probes.lift();
    sitting.in_hand("R2");
    sitting.touch(ohm(10e3), &["R2 ", " PASS "]);
    let finished = sitting.end();
    bench.check_recording(&finished);
    let rows = bench.job.rows();
    let told: Vec<_> = rows
        .iter()
        .map(|row| (row.get("ref"), row.get("verdict"), row.get("withdraws")))
        .collect();
    assert_eq!(
        told,
        [("R1", "pass", ""), ("R1", "fail", "1"), ("R2", "pass", "")]
    );
    let root = bench.job.root();
    let glance = Program::new([&root]).run().with_status(0).out();
    assert!(glance.contains("1 kept, 1 good"), "{glance}");
    let audited = Program::new(["audit".as_ref(), root.as_os_str()]).run();
    let _ = audited.with_status(0);
}

#[test]
fn a_slide_and_a_value_within_its_uncertainty_change_nothing() {
    let list = "ref,kind,value\nR1,resistor,4K7\nR2,resistor,10K\n";
    for (ohms, changes) in [(4700.4, false), (4790.0, true)] {
        let mut hand = Talking::new(plan(FUNCTIONS, list, "", "").unwrap(), 20);
        hand.shows("OL OHM", 6);
        hand.shows("4700.0 OHM", 30);
        (0..60).for_each(|n| hand.shows(&format!("{:.1} OHM", 4700.0 + 3.0 * f64::from(n)), 1));
        assert_eq!(hand.records().len(), 1, "a slide is no reason");
        hand.shows("OL OHM", 6);
        hand.says("redo");
        hand.shows("4700.0 OHM", 30);
        hand.shows(&format!("{ohms:.1} OHM"), 60);
        assert_eq!(hand.records().len(), if changes { 3 } else { 2 }, "{ohms}");
    }
}
