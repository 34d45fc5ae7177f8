//! Before work on resistance and capacitance each reservoir capacitor is seen discharged, and leads are taken off.

use probewright::judge::{Aspect, Verdict};
use probewright::quantity::Stamp;
use probewright::sitting::{Command, Event, Input, Plan, PlanTexts, Refusal, Sitting, What};

const PROFILE: &str = r#"
format = 1
title = "talks only"
mode = "talk"

[line]
baud = 9600

[timing]
silent_after_s = 600.0

[number]
overload_words = ["OL"]

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
struct Bench {
    sitting: Sitting,
    micros: u64,
    said: Vec<What>,
}

impl Bench {
    fn new(only: &str) -> Self {
        let plan = Plan::of(&PlanTexts {
            parts: PARTS.as_bytes(),
            job: "",
            policy: "",
            profile: PROFILE,
            profile_name: "test",
            only,
            rule: "guard-band",
            temperature: "",
            ..PlanTexts::default()
        })
        .unwrap();
        let mut bench = Self {
            sitting: Sitting::begin(plan),
            micros: 0,
            said: Vec::new(),
        };
        bench.input(Input::LinkUp);
        bench.shows("OL OHM", 2);
        bench
    }

    fn input(&mut self, input: Input<'_>) {
        let said = &mut self.said;
        self.micros += 50_000;
        let now = Stamp::from_micros(self.micros);
        self.sitting
            .handle(now, input, &mut |event: Event| said.push(event.what));
    }

    fn shows(&mut self, line: &str, times: usize) {
        for _ in 0..times {
            self.input(Input::Bytes(format!("{line}\r\n").as_bytes()));
        }
    }

    fn says(&mut self, command: &str) {
        self.input(Input::Command(&command.parse::<Command>().unwrap()));
    }

    /// A touch that is long enough, and the lift after it.
    fn touches(&mut self, line: &str, air: &str) {
        self.shows(line, 30);
        self.shows(air, 6);
    }

    fn judged(&self) -> impl Iterator<Item = &probewright::sitting::Record> {
        self.said.iter().filter_map(|what| match what {
            What::Judged(record) => Some(&**record),
            _ => None,
        })
    }

    fn in_hand(&self) -> Option<&What> {
        self.said
            .iter()
            .rev()
            .find(|what| matches!(what, What::InHand(_) | What::ToDischarge(_)))
    }
}

#[test]
fn no_resistance_is_measured_before_the_capacitors_were_seen_discharged() {
    let mut bench = Bench::new("R*");
    assert_eq!(bench.in_hand(), Some(&What::ToDischarge(0)));
    bench.touches("10.00 OHM", "OL OHM");
    assert_eq!(bench.judged().count(), 0);
    bench.says("next");
    let refused = What::Refused {
        command: Command::Next,
        why: Refusal::DischargeFirst,
    };
    assert_eq!(bench.said.last(), Some(&refused));
    bench.touches("2.00 VDC", "0.00 VDC");
    assert_eq!(bench.in_hand(), Some(&What::InHand(0)));
    bench.touches("10.00 OHM", "OL OHM");
    assert_eq!(bench.judged().count(), 1);
}

#[test]
fn a_charged_capacitor_holds_the_work_back_and_no_reason_helps() {
    let mut bench = Bench::new("R*");
    bench.touches("312.0 VDC", "0.00 VDC");
    let charged = |what: &What| matches!(what, What::AcrossCapacitor { discharged: false, volts, .. } if *volts > 300.0);
    assert!(bench.said.iter().any(charged));
    bench.says("override it will be all right");
    assert!(matches!(
        bench.said.last(),
        Some(What::Refused {
            why: Refusal::StillCharged,
            ..
        })
    ));
    bench.touches("-12.0 VDC", "0.00 VDC");
    assert_eq!(bench.in_hand(), Some(&What::InHand(0)));
}

#[test]
fn a_reason_goes_on_without_and_is_kept() {
    let mut bench = Bench::new("R*");
    bench.says("override removed from the chassis");
    assert!(bench.said.contains(&What::Overridden {
        reason: "removed from the chassis".to_owned()
    }));
    assert_eq!(bench.in_hand(), Some(&What::InHand(0)));
    bench.says("override once more");
    assert!(matches!(
        bench.said.last(),
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
    assert_eq!(bench.in_hand(), Some(&What::ToDischarge(0)));
    bench.says("on");
    bench.shows("0.00 VDC", 40);
    assert_eq!(bench.in_hand(), Some(&What::InHand(0)));
}

#[test]
fn after_a_test_point_under_power_everything_is_seen_discharged_anew() {
    let mut bench = Bench::new("A1,R2");
    // The point itself is measured under power; nothing is held back before it.
    assert_eq!(bench.in_hand(), Some(&What::InHand(0)));
    bench.touches("251.0 VDC", "0.00 VDC");
    assert_eq!(bench.judged().count(), 1);
    assert_eq!(bench.in_hand(), Some(&What::ToDischarge(0)));
    bench.touches("100.0 OHM", "OL OHM");
    assert_eq!(bench.judged().count(), 1);
}

#[test]
fn the_resistance_of_the_leads_is_taken_off_from_the_zero_on() {
    let mut bench = Bench::new("R*");
    bench.says("override removed from the chassis");
    bench.says("zero");
    bench.touches("0.50 OHM", "OL OHM");
    assert!(
        bench
            .said
            .iter()
            .any(|what| matches!(what, What::Zeroed { ohms, .. } if (ohms - 0.5).abs() < 1e-9))
    );
    assert_eq!(bench.in_hand(), Some(&What::InHand(0)));
    // 11.2 Ω is beyond 10 Ω + 10 %, 10.7 Ω is not.
    bench.touches("11.20 OHM", "OL OHM");
    let record = bench.judged().next().unwrap();
    assert_eq!(record.judgement.verdict, Verdict::Pass);
    assert!((record.judgement.judged.unwrap().value - 10.7).abs() < 1e-9);
    assert!(
        record
            .judgement
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
    assert_eq!(bench.said.last(), Some(&refused));
    bench.touches("0.50 OHM", "OL OHM");
    assert!(
        !bench
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
    assert!(bench.said.contains(&What::NotZeroed));
    assert_eq!(bench.judged().count(), 0);
}

/// The events that tell of charge, with the first one of anything else that follows them.
fn charge_told(only: &str) -> Vec<What> {
    let said = Bench::new(only).said;
    let tells = |what: &What| matches!(what, What::MayBeCharged(_) | What::ChargeCaution);
    let last = said.iter().rposition(tells).expect("a charge is told");
    said.into_iter().take(last + 2).collect()
}

#[test]
fn what_may_be_charged_is_told_once_before_anything_is_asked_for() {
    // Whatever part is selected: the capacitor is in the equipment.
    for (only, first) in [("R*", What::ToDischarge(0)), ("A1", What::InHand(0))] {
        assert_eq!(
            charge_told(only),
            [What::MayBeCharged(0), What::ChargeCaution, first]
        );
    }
}
