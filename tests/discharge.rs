//! Before work on resistance and capacitance each reservoir capacitor is seen discharged, and leads are taken off.

use probewright::face::engine::judge::{Aspect, Verdict};
use probewright::face::engine::sitting::{Command, Plan, Record, Refusal, Setup, What};
use probewright::face::views::told::told;

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
        obstacle: Refusal::DischargeFirst,
    };
    assert_eq!(bench.0.said.last(), Some(&refused));
    bench.touches("1.90 VDC", "0.00 VDC");
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
    bench.says("override C1 it will be all right");
    assert!(matches!(
        bench.0.said.last(),
        Some(What::Refused {
            obstacle: Refusal::StillCharged,
            ..
        })
    ));
    bench.touches("-1.20 VDC", "0.00 VDC");
    assert_eq!(bench.in_hand(), Some(Taken::InHand(0)));
}

/// Electrolytics recover: what was seen discharged and rises under the probes holds the work back again.
#[test]
fn a_capacitor_that_recovers_under_the_probes_is_not_discharged() {
    let mut bench = Bench::new("R*");
    let across = |bench: &Bench| {
        let told = bench.0.said.iter().filter_map(|what| match what {
            What::AcrossCapacitor { discharged, .. } => Some(*discharged),
            _ => None,
        });
        told.collect::<Vec<_>>()
    };
    bench.shows("1.20 VDC", 30);
    bench.shows("14.00 VDC", 60);
    bench.shows("0.00 VDC", 6);
    assert_eq!(across(&bench), [true, false]);
    assert_eq!(bench.in_hand(), Some(Taken::ToDischarge(0)));
    // A rise that has not come to rest is one as well.
    bench.shows("1.20 VDC", 30);
    (0..10).for_each(|n| bench.shows(&format!("{:.2} VDC", 1.2 + 0.3 * f64::from(n)), 1));
    bench.shows("0.00 VDC", 6);
    assert_eq!(across(&bench), [true, false, true, false]);
    assert_eq!(bench.in_hand(), Some(Taken::ToDischarge(0)));
    // And the other way round.
    bench.shows("14.00 VDC", 30);
    bench.shows("1.10 VDC", 60);
    bench.shows("0.00 VDC", 6);
    assert_eq!(across(&bench)[4..], [false, true]);
    assert_eq!(bench.in_hand(), Some(Taken::InHand(0)));
    bench.touches("10.00 OHM", "OL OHM");
    assert_eq!(bench.judged()[0].row.verdict, Verdict::Pass);
}

#[test]
fn a_reason_goes_on_without_and_is_kept() {
    let mut bench = Bench::new("R*");
    bench.says("override all removed from the chassis");
    assert!(bench.0.said.contains(&What::Overridden {
        title: None,
        reason: "removed from the chassis".to_owned(),
        left: Vec::new(),
    }));
    assert_eq!(bench.in_hand(), Some(Taken::InHand(0)));
    bench.says("override all once more");
    assert!(matches!(
        bench.0.said.last(),
        Some(What::Refused {
            obstacle: Refusal::NothingToOverride,
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
    assert_eq!(bench.in_hand(), Some(Taken::ToPower(0)));
    bench.says("live");
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
    bench.says("override all removed from the chassis");
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
        obstacle: Refusal::UnderPower,
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
    bench.says("override all removed from the chassis");
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
    for (only, first) in [("R*", Taken::ToDischarge(0)), ("A1", Taken::ToPower(0))] {
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
    bench.touches("1.90 VDC", "0.00 VDC");
    bench.touches("-25.00 OHM", "OL OHM");
    assert_eq!(bench.judged()[0].row.verdict, Verdict::Inconclusive);
    assert_eq!(bench.in_hand(), Some(Taken::ToDischarge(0)));
    bench.touches("10.00 OHM", "OL OHM");
    assert_eq!(bench.judged().len(), 1, "nothing is measured before that");
    bench.touches("1.90 VDC", "0.00 VDC");
    assert_eq!(bench.in_hand(), Some(Taken::InHand(0)));
    bench.touches("10.00 OHM", "OL OHM");
    assert_eq!(bench.judged()[1].row.verdict, Verdict::Pass);
}

/// Two reservoirs, a resistor, and what the meter's profile says before its functions.
fn two_reservoirs(head: &str, functions: &str) -> Talking {
    let parts = "\
ref,kind,value,tolerance,rating,material,role
R1,resistor,10R,10%,,,
C1,capacitor,32uF,,450V,electrolytic,reservoir
C5,capacitor,16uF,,350V,electrolytic,smoothing
";
    let profile = crate::talking::profile(functions).replace("[line]", &format!("{head}[line]"));
    let setup = Setup::of(parts, "test", &profile).with_setting(Setup::ONLY, "R*");
    let mut bench = Talking::new(Plan::of(&setup).unwrap(), 20);
    bench.shows("OL OHM", 2);
    bench
}

fn lines(bench: &Talking) -> Vec<String> {
    let lines = bench.said.iter().filter_map(|what| told(what).line);
    lines.map(|line| line.text).collect()
}

fn refused(bench: &Talking) -> Option<Refusal> {
    match bench.said.last() {
        Some(What::Refused { obstacle, .. }) => Some(*obstacle),
        _ => None,
    }
}

fn touch(bench: &mut Talking, line: &str, air: &str) {
    bench.shows(line, 30);
    bench.shows(air, 6);
}

/// 58 V harm nobody, and are not put on the meter that measures ohms.
#[test]
fn what_harms_nobody_is_still_too_much_for_the_meter() {
    let mut bench = Bench::new("R*");
    bench.touches("58.0 VDC", "0.00 VDC");
    assert_eq!(bench.in_hand(), Some(Taken::ToDischarge(0)));
    bench.touches("10.00 OHM", "OL OHM");
    assert_eq!(bench.judged().len(), 0);
    let said = lines(&bench.0);
    let of_it = said
        .iter()
        .find(|line| line.contains("NOT LOW ENOUGH FOR THE METER"))
        .unwrap();
    for words in [
        "60 V",
        "not below the 2 V",
        "not the input protection of its manual",
        "leave the discharge resistor on until it is measured",
    ] {
        assert!(of_it.contains(words), "{words}: {of_it}");
    }
    bench.says("override C1 that harms nobody");
    assert_eq!(refused(&bench.0), Some(Refusal::StillCharged));
    bench.touches("2.00 VDC", "0.00 VDC");
    assert_eq!(bench.in_hand(), Some(Taken::ToDischarge(0)));
    bench.touches("1.99 VDC", "0.00 VDC");
    assert_eq!(bench.in_hand(), Some(Taken::InHand(0)));
}

#[test]
fn the_limit_is_that_of_the_profile_and_what_is_asked_for_says_it() {
    let mut bench = two_reservoirs("residual_v = 0.5\n", FUNCTIONS);
    let asked = lines(&bench);
    let asked = asked
        .iter()
        .find(|line| line.contains("discharged?"))
        .unwrap();
    assert!(asked.contains("below 500 mV"), "{asked}");
    assert!(asked.contains("`override C1`"), "{asked}");
    touch(&mut bench, "1.00 VDC", "0.00 VDC");
    assert_eq!(taken(&bench), Some(Taken::ToDischarge(0)));
    touch(&mut bench, "0.40 VDC", "0.00 VDC");
    assert_eq!(taken(&bench), Some(Taken::ToDischarge(1)));
}

/// The last that was taken in hand.
fn taken(bench: &Talking) -> Option<Taken> {
    bench.said.iter().filter_map(Taken::of).next_back()
}

#[test]
fn an_override_is_for_the_capacitor_that_it_names_and_says_which_are_left() {
    let mut bench = two_reservoirs("", FUNCTIONS);
    for (command, why) in [
        ("override", Refusal::NameTheCapacitor),
        ("override it was taken out", Refusal::NameTheCapacitor),
        ("override C7 it was taken out", Refusal::NameTheCapacitor),
        ("override C51 it was taken out", Refusal::NameTheCapacitor),
        ("override C5", Refusal::NoReasonToOverride),
        ("override all", Refusal::NoReasonToOverride),
    ] {
        bench.says(command);
        assert_eq!(refused(&bench), Some(why), "{command}");
        let words = lines(&bench).pop().unwrap();
        assert!(words.contains("override C5 "), "{words}");
    }
    bench.says("override c5 it was taken out");
    let words = lines(&bench).pop().unwrap();
    assert!(
        words.ends_with("C5 discharged: it was taken out; still to be seen: C1"),
        "{words}"
    );
    assert_eq!(taken(&bench), Some(Taken::ToDischarge(0)));
    touch(&mut bench, "10.00 OHM", "OL OHM");
    assert!(bench.records().is_empty());
    bench.says("override C5 once more");
    assert_eq!(refused(&bench), Some(Refusal::NotHeldBack));
    touch(&mut bench, "0.50 VDC", "0.00 VDC");
    assert_eq!(taken(&bench), Some(Taken::InHand(0)));
}

#[test]
fn the_one_in_hand_gives_way_to_the_next_and_all_to_the_work() {
    let mut bench = two_reservoirs("", FUNCTIONS);
    bench.says("override C1 it was taken out");
    assert_eq!(taken(&bench), Some(Taken::ToDischarge(1)));
    bench.says("override all the chassis is new");
    assert_eq!(taken(&bench), Some(Taken::InHand(0)));
    touch(&mut bench, "10.00 OHM", "OL OHM");
    assert_eq!(bench.records().len(), 1);
}

#[test]
fn a_charged_one_is_not_gone_without_by_naming_another_nor_by_all() {
    let mut bench = two_reservoirs("", FUNCTIONS);
    touch(&mut bench, "312.0 VDC", "0.00 VDC");
    bench.says("override all it will be all right");
    assert_eq!(refused(&bench), Some(Refusal::StillCharged));
    bench.says("override C5 it was taken out");
    assert_eq!(taken(&bench), Some(Taken::ToDischarge(0)));
    touch(&mut bench, "10.00 OHM", "OL OHM");
    assert!(bench.records().is_empty());
}

/// A cathode bypass hurts nobody, and one without a rating may; what is small is not asked for.
const MIXED: &str = "\
ref,kind,value,tolerance,rating,material,role
R1,resistor,10R,10%,,,
C1,capacitor,25uF,,25V,electrolytic,cathode bypass
C2,capacitor,8uF,,,electrolytic,
C3,capacitor,.5 MFD,,,paper,cathode bypass
C4,capacitor,.01 MFD,,,paper,coupling
C5,capacitor,220pF,,50V,ceramic,
C6,capacitor,.25 MFD,,400V,paper,screen bypass
";

#[test]
fn what_harms_only_the_meter_and_what_has_no_rating_is_seen_as_well_and_nothing_small() {
    let mut bench = Talking::new(plan(FUNCTIONS, MIXED, "", "").unwrap(), 20);
    bench.shows("OL OHM", 2);
    for designator in ["C2", "C3", "C6", "C1"] {
        let asked = lines(&bench);
        let asked = asked.iter().rfind(|line| line.contains("discharged?"));
        let asked = asked.unwrap();
        assert!(asked.trim_start().starts_with(designator), "{asked}");
        touch(&mut bench, "24.00 VDC", "0.00 VDC");
        touch(&mut bench, "10.00 OHM", "OL OHM");
        assert!(
            bench.records().is_empty(),
            "nothing at 24 V on {designator}"
        );
        touch(&mut bench, "1.00 VDC", "0.00 VDC");
    }
    assert_eq!(taken(&bench), Some(Taken::InHand(0)));
    touch(&mut bench, "10.00 OHM", "OL OHM");
    assert_eq!(bench.records().len(), 1);
}

#[test]
fn a_recording_of_an_earlier_edition_asks_for_what_it_asked_for() {
    let setup = Setup::of(MIXED, "test", &crate::talking::profile(FUNCTIONS));
    let of_1_1 = setup.with_setting(Setup::EDITION, "1.1");
    let bench = Talking::new(Plan::of(&of_1_1).unwrap(), 20);
    assert_eq!(taken(&bench), Some(Taken::InHand(0)));
}

#[test]
fn a_recording_of_an_earlier_edition_keeps_its_limits_and_its_override() {
    let setup = Setup::of(PARTS, "test", &crate::talking::profile(FUNCTIONS));
    let mut bench = Talking::new(
        Plan::of(&setup.with_setting(Setup::EDITION, "1.1")).unwrap(),
        20,
    );
    bench.shows("OL OHM", 2);
    bench.says("override C1");
    assert_eq!(taken(&bench), Some(Taken::InHand(0)));
    bench.says("goto A1");
    touch(&mut bench, "251.0 VDC", "0.00 VDC");
    assert_eq!(bench.records().len(), 1, "without `live`");
    touch(&mut bench, "58.0 VDC", "0.00 VDC");
    assert_eq!(taken(&bench), Some(Taken::InHand(3)));
}

/// The last that was said of what no meter measures.
fn says_to_override(bench: &Talking) {
    let said = lines(bench);
    let words = said.iter().rfind(|line| line.starts_with("no meter here"));
    let words = words.unwrap();
    assert!(
        words.contains("`override`") && !words.contains("`skip`"),
        "{words}"
    );
}

#[test]
fn a_meter_without_volts_is_told_to_override_and_not_to_skip() {
    let ohms_alone = FUNCTIONS.split("[function.voltage]").next().unwrap();
    let mut bench = two_reservoirs("", ohms_alone);
    says_to_override(&bench);
    bench.says("skip");
    assert_eq!(refused(&bench), Some(Refusal::DischargeFirst));
    bench.says("override C1 another voltmeter shows 0.1 V");
    says_to_override(&bench);
}

#[test]
fn no_test_point_is_read_before_the_word_that_the_power_is_on() {
    let mut bench = Bench::new("R1,A1,R2");
    bench.says("override all removed from the chassis");
    bench.says("live");
    assert_eq!(refused(&bench.0), Some(Refusal::NothingToPower));
    bench.touches("10.00 OHM", "OL OHM");
    assert_eq!(bench.in_hand(), Some(Taken::ToPower(1)));
    let said = lines(&bench.0);
    let words = said.iter().rfind(|line| line.contains("A1")).unwrap();
    for part in [
        "POWER COMES ON NOW",
        "with it still off, clip the common lead on",
        "one hand",
        "insulated",
        "`live`",
    ] {
        assert!(words.contains(part), "{part}: {words}");
    }
    bench.says("on");
    assert_eq!(refused(&bench.0), Some(Refusal::LiveFirst));
    bench.touches("251.0 VDC", "0.00 VDC");
    assert_eq!(bench.judged().len(), 1, "nothing before `live`");
    bench.says("live");
    assert_eq!(bench.in_hand(), Some(Taken::InHand(1)));
    bench.touches("251.0 VDC", "0.00 VDC");
    assert_eq!(bench.judged().len(), 2);
    // The next part is measured without power, and first seen discharged.
    let off = bench.0.said.iter().position(|what| *what == What::PowerOff);
    let seen = |what: &What| Taken::of(what) == Some(Taken::ToDischarge(0));
    let discharge = bench.0.said.iter().rposition(seen);
    assert!(off.is_some() && off < discharge, "{off:?} {discharge:?}");
    bench.says("override all removed from the chassis");
    bench.says("goto A1");
    assert_eq!(bench.in_hand(), Some(Taken::ToPower(1)), "power went off");
}

#[test]
fn power_that_is_on_is_asked_for_once() {
    let parts = "ref,kind,value,tolerance\nA1,point,250V,10%\nA2,point,90V,10%\n";
    let mut bench = Talking::new(plan(FUNCTIONS, parts, "", "").unwrap(), 20);
    bench.shows("0.00 VDC", 2);
    bench.says("live");
    touch(&mut bench, "251.0 VDC", "0.00 VDC");
    touch(&mut bench, "91.0 VDC", "0.00 VDC");
    assert_eq!(bench.records().len(), 2);
    bench.says("redo");
    touch(&mut bench, "91.0 VDC", "0.00 VDC");
    assert_eq!(bench.records().len(), 3);
}
