//! Before work on resistance and capacitance each reservoir capacitor is seen discharged, and leads are taken off.

use probewright::face::engine::judge::{Aspect, Verdict};
use probewright::face::engine::sitting::{Command, Record, Refusal, What};

use crate::talking::{Taken, Talking, plan};

const FUNCTIONS: &str = r#"
[function.resistance]
idle = "overload"
range = [{ up_to = 1e6, resolution = 0.001, percent_of_reading = 0.1, counts = 2 }]

[function.voltage]
idle = { below = 0.2 }
range = [{ up_to = 1000.0, resolution = 0.01, percent_of_reading = 0.1, counts = 2 }]
"#;

const PARTS: &str = "\
ref,kind,value,tolerance,rating,material,role
R1,resistor,10R,10%,,,
C1,capacitor,32uF,,450V,electrolytic,reservoir
A1,point,250V,10%,,,
R2,resistor,100R,10%,,,
";

/// A bench whose meter sends twenty lines a second.
struct Bench(Talking);

impl Bench {
    fn new(only: &str) -> Self {
        let mut bench = Self(Talking::new(plan(FUNCTIONS, PARTS, only, "").unwrap(), 20));
        bench.shows("OL OHM", 2);
        bench
    }

    fn shows(&mut self, line: &str, times: usize) {
        self.0.shows(line, times);
    }

    fn says(&mut self, command: &str) {
        self.0.says(command);
    }

    /// A touch that is long enough, and the lift after it.
    fn touches(&mut self, line: &str, air: &str) {
        self.shows(line, 30);
        self.shows(air, 6);
    }

    fn judged(&self) -> Vec<&Record> {
        self.0.records()
    }

    fn in_hand(&self) -> Option<Taken> {
        self.0.said.iter().filter_map(Taken::of).next_back()
    }
}

#[test]
fn no_resistance_is_measured_before_the_capacitors_were_seen_discharged() {
    let mut bench = Bench::new("R*");
    assert_eq!(bench.in_hand(), Some(Taken::ToDischarge(0)));
    bench.touches("10.00 OHM", "OL OHM");
    assert_eq!(bench.judged().len(), 0);
    bench.says("next");
    let refused = What::Refused {
        command: Command::Next,
        why: Refusal::DischargeFirst,
    };
    assert_eq!(bench.0.said.last(), Some(&refused));
    bench.touches("2.00 VDC", "0.00 VDC");
    assert_eq!(bench.in_hand(), Some(Taken::InHand(0)));
    bench.touches("10.00 OHM", "OL OHM");
    assert_eq!(bench.judged().len(), 1);
}

#[test]
fn a_charged_capacitor_holds_the_work_back_and_no_reason_helps() {
    let mut bench = Bench::new("R*");
    bench.touches("312.0 VDC", "0.00 VDC");
    let charged = |what: &What| matches!(what, What::AcrossCapacitor { discharged: false, volts, .. } if *volts > 300.0);
    assert!(bench.0.said.iter().any(charged));
    bench.says("override it will be all right");
    assert!(matches!(
        bench.0.said.last(),
        Some(What::Refused {
            why: Refusal::StillCharged,
            ..
        })
    ));
    bench.touches("-12.0 VDC", "0.00 VDC");
    assert_eq!(bench.in_hand(), Some(Taken::InHand(0)));
}

#[test]
fn a_reason_goes_on_without_and_is_kept() {
    let mut bench = Bench::new("R*");
    bench.says("override removed from the chassis");
    assert!(bench.0.said.contains(&What::Overridden {
        reason: "removed from the chassis".to_owned()
    }));
    assert_eq!(bench.in_hand(), Some(Taken::InHand(0)));
    bench.says("override once more");
    assert!(matches!(
        bench.0.said.last(),
        Some(What::Refused {
            why: Refusal::NothingToOverride,
            ..
        })
    ));
}

#[test]
fn a_capacitor_that_reads_next_to_nothing_counts_once_the_person_says_that_the_probes_are_on_it() {
    let mut bench = Bench::new("R*");
    bench.shows("0.00 VDC", 40);
    assert_eq!(bench.in_hand(), Some(Taken::ToDischarge(0)));
    bench.says("on");
    bench.shows("0.00 VDC", 40);
    assert_eq!(bench.in_hand(), Some(Taken::InHand(0)));
}

#[test]
fn after_a_test_point_under_power_everything_is_seen_discharged_anew() {
    let mut bench = Bench::new("A1,R2");
    // The point itself is measured under power; nothing is held back before it.
    assert_eq!(bench.in_hand(), Some(Taken::InHand(0)));
    bench.touches("251.0 VDC", "0.00 VDC");
    assert_eq!(bench.judged().len(), 1);
    assert_eq!(bench.in_hand(), Some(Taken::ToDischarge(0)));
    bench.touches("100.0 OHM", "OL OHM");
    assert_eq!(bench.judged().len(), 1);
}

#[test]
fn the_resistance_of_the_leads_is_taken_off_from_the_zero_on() {
    let mut bench = Bench::new("R*");
    bench.says("override removed from the chassis");
    bench.says("zero");
    bench.touches("0.50 OHM", "OL OHM");
    assert!(
        bench
            .0
            .said
            .iter()
            .any(|what| matches!(what, What::Zeroed { ohms, .. } if (ohms - 0.5).abs() < 1e-9))
    );
    assert_eq!(bench.in_hand(), Some(Taken::InHand(0)));
    // 11.2 Ω is beyond 10 Ω + 10 %, 10.7 Ω is not.
    bench.touches("11.20 OHM", "OL OHM");
    let record = bench.judged()[0];
    assert_eq!(record.row.verdict, Verdict::Pass);
    assert!((record.row.value.unwrap().value - 10.7).abs() < 1e-9);
    assert!(
        record
            .row
            .checks
            .iter()
            .any(|check| check.aspect == Aspect::Leads)
    );
}

#[test]
fn leads_are_not_measured_while_a_test_point_is_in_hand() {
    let mut bench = Bench::new("A1,R2");
    bench.says("zero");
    let refused = What::Refused {
        command: Command::Zero,
        why: Refusal::UnderPower,
    };
    assert_eq!(bench.0.said.last(), Some(&refused));
    bench.touches("0.50 OHM", "OL OHM");
    assert!(
        !bench
            .0
            .said
            .iter()
            .any(|what| matches!(what, What::Zeroed { .. }))
    );
}

#[test]
fn a_part_is_not_taken_for_leads() {
    let mut bench = Bench::new("R*");
    bench.says("override removed from the chassis");
    bench.says("zero");
    bench.touches("100.0 OHM", "OL OHM");
    assert!(bench.0.said.contains(&What::NotZeroed));
    assert_eq!(bench.judged().len(), 0);
}

/// The events that tell of charge, with the first one of anything else that follows them.
fn charge_told(only: &str) -> Vec<What> {
    let said = Bench::new(only).0.said;
    let tells = |what: &What| matches!(what, What::MayBeCharged(_) | What::ChargeCaution);
    let last = said.iter().rposition(tells).expect("a charge is told");
    said.into_iter().take(last + 2).collect()
}

#[test]
fn what_may_be_charged_is_told_once_before_anything_is_asked_for() {
    // Whatever part is selected: the capacitor is in the equipment.
    for (only, first) in [("R*", Taken::ToDischarge(0)), ("A1", Taken::InHand(0))] {
        let told = charge_told(only);
        let [What::MayBeCharged(charge), What::ChargeCaution, taken] = &told[..] else {
            panic!("{told:?}")
        };
        assert_eq!(charge.designator, "C1");
        assert_eq!(Taken::of(taken), Some(first));
    }
}

#[test]
fn a_negative_resistance_brings_the_discharge_check_again() {
    let mut bench = Bench::new("R*");
    bench.touches("2.00 VDC", "0.00 VDC");
    bench.touches("-25.00 OHM", "OL OHM");
    assert_eq!(bench.judged()[0].row.verdict, Verdict::Inconclusive);
    assert_eq!(bench.in_hand(), Some(Taken::ToDischarge(0)));
    bench.touches("10.00 OHM", "OL OHM");
    assert_eq!(bench.judged().len(), 1, "nothing is measured before that");
    bench.touches("2.00 VDC", "0.00 VDC");
    assert_eq!(bench.in_hand(), Some(Taken::InHand(0)));
    bench.touches("10.00 OHM", "OL OHM");
    assert_eq!(bench.judged()[1].row.verdict, Verdict::Pass);
}
