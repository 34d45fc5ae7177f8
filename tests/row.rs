//! A row alone gives its verdict again, whatever was measured and however it was corrected.

use std::fs;
use std::sync::LazyLock;
use std::time::Duration;

use probewright::face::books::batch;
use probewright::face::books::comparison::{Outcome, When, pairs};
use probewright::face::books::job::Folder;
use probewright::face::books::ledger::{Book, read_measurements};
use probewright::face::books::results::Results;
use probewright::face::engine::impedance::Uncertain;
use probewright::face::engine::judge::safety::Mains;
use probewright::face::engine::judge::winding::Temperature;
use probewright::face::engine::judge::wiper::TrackValue;
use probewright::face::engine::judge::{
    Beside, Conditions, LeakageTest, LossKind, LossReading, Rule, Soaked, further_entry, judge,
    turns_entries,
};
use probewright::face::engine::parts::{ListSettings, Part, Step, read};
use probewright::face::engine::probing::{Estimate, Finding, SettledValue, SweepReport, Track};
use probewright::face::engine::quantity::Stamp;
use probewright::face::engine::sitting::{Row, RowPosition};
use proptest::prelude::*;

use crate::program::Job;

const PARTS: &str = "ref,kind,value,tolerance,rating,material,role,law,also,sheet_ohm_per_volt,sheet_range,source_ohm
R1,resistor,100,10%,,carbon,,,,,,
R2,resistor,100,GMV,,film,grid leak,,,,,
C1,capacitor,47 nF,20%,400 V,paper,coupling,,leakage,,,
C2,capacitor,16 uF,-20/+50%,450 V,electrolytic,reservoir,,leakage,,,
C3,capacitor,4.7 nF,20%,250 V AC,paper,line to chassis,,,,,
L1,winding,185,10%,,,,,,,,
P1,potentiometer,500k,20%,,,,audio,stop middle sweep,,,
S1,switch,,,,,,,3 makes,,,
F1,fuse,,,,,,,,,,
H1,coil,10 mH,10%,,,,,,,,
TP1,point,150 V,10%,,,,,,1000,300 V,100k
TP2,point,150 V,10%,,,,,,20k,300 V,
TP3,point,6.3 V AC,5%,,,,,,,,
T1,ratio,38:1,5%,,,,,,,,
";

/// Every entry that such a list makes, with the test of a leakage.
static ENTRIES: LazyLock<Vec<(Part, Option<LeakageTest>)>> = LazyLock::new(|| {
    let conditions = Conditions::by(Rule::GuardBand);
    let list = read(PARTS.as_bytes(), &ListSettings::default()).unwrap();
    let mut entries = Vec::new();
    for part in &list.parts {
        match turns_entries(part) {
            Some(two) => entries.extend(two.map(|entry| (entry, None))),
            None => entries.push((part.clone(), None)),
        }
        for step in &part.also {
            if *step == Step::Leakage {
                let test = LeakageTest::of(part, &conditions).unwrap();
                entries.push((test.entry(part).unwrap(), Some(test)));
            } else {
                entries.push((further_entry(part, *step).unwrap(), None));
            }
        }
    }
    entries
});

/// Random facts of a measurement.
#[derive(Debug, Clone)]
#[expect(clippy::struct_excessive_bools, reason = "each is drawn by itself")]
struct Draw {
    entry: usize,
    /// The value as a share of the nominal one, and its uncertainty as a share of that; else open or beyond range.
    found: Result<(f64, f64), bool>,
    in_circuit: bool,
    simple: bool,
    leads: Option<(f64, f64)>,
    celsius: Option<f64>,
    loss: Option<(bool, f64, f64)>,
    negative_loss: bool,
    mains: bool,
    /// The share of the voltage asked for that was applied.
    soaked: f64,
    primary: Option<f64>,
    track: Option<f64>,
    faults: u32,
    whole: bool,
}

fn draw() -> impl Strategy<Value = Draw> {
    let share = prop_oneof![
        0.0..3.0_f64,
        0.85..1.15_f64,
        Just(0.9),
        Just(1.1),
        -0.1..0.1_f64
    ];
    let u = prop_oneof![Just(0.0), 1e-7..0.3_f64];
    let found = prop_oneof![
        8 => (share, u).prop_map(Ok),
        1 => any::<bool>().prop_map(Err),
    ];
    let first = (
        0..ENTRIES.len(),
        found,
        any::<bool>(),
        any::<bool>(),
        proptest::option::of((0.0..1.0_f64, 0.0..0.1_f64)),
        proptest::option::of(5.0..40.0_f64),
        proptest::option::of((any::<bool>(), -0.1..0.5_f64, 0.0..0.1_f64)),
    );
    let second = (
        any::<bool>(),
        any::<bool>(),
        prop_oneof![Just(1.0), 0.1..1.1_f64],
        proptest::option::of(0.1..60.0_f64),
        proptest::option::of(100e3..900e3_f64),
        0_u32..2,
        any::<bool>(),
    );
    (first, second).prop_map(|(first, second)| {
        let (entry, found, in_circuit, simple, leads, celsius, loss) = first;
        let (negative_loss, mains, soaked, primary, track, faults, whole) = second;
        Draw {
            entry,
            found,
            in_circuit,
            simple,
            leads,
            celsius,
            loss,
            negative_loss,
            mains,
            soaked,
            primary,
            track,
            faults,
            whole,
        }
    })
}

/// The row of that measurement, as the engine makes it.
fn row(draw: &Draw) -> Row {
    let (part, test) = &ENTRIES[draw.entry];
    let part = Part {
        in_circuit: draw.in_circuit,
        ..part.clone()
    };
    let finding = match draw.found {
        Ok((share, u)) => {
            let value = share * part.nominal.value();
            Finding::Value(Estimate::combine(value, 0.0, u * value.abs(), 0.0))
        }
        Err(true) => Finding::Open,
        Err(false) => Finding::BeyondRange,
    };
    let settled = SettledValue {
        quantity: part.measured(),
        contact: Stamp::ZERO,
        at: Stamp::from_micros(1_234_567),
        readings: 9,
        finding,
        second: None,
    };
    let mut conditions = Conditions::by(if draw.simple {
        Rule::Simple
    } else {
        Rule::GuardBand
    });
    conditions.mains = draw.mains.then(|| Mains::new(230.0, 50.0).unwrap());
    conditions.temperature = draw
        .celsius
        .map(|celsius| Temperature::new(celsius, 1.0).unwrap());
    let track = draw
        .track
        .map(|ohms| TrackValue::measured(Uncertain::new(ohms, 0.01 * ohms)));
    let sweep = sweep(draw, &part, track);
    let primary = draw
        .primary
        .map(|volts| Uncertain::new(volts, 0.003 * volts));
    let beside = Beside {
        loss: draw.loss.map(|(is_esr, value, u)| LossReading {
            kind: if is_esr {
                LossKind::Esr
            } else {
                LossKind::TanDelta
            },
            value,
            standard_uncertainty: u,
            is_negative: draw.negative_loss && value < 0.0,
            frequency_hz: Some(120.0),
        }),
        leads: draw.leads.map(|(ohms, u)| Uncertain::new(ohms, u)),
        soaked: test.as_ref().map(|test| Soaked {
            heeded: true,
            test,
            volts: draw.soaked * test.volts,
        }),
        track,
        sweep: (part.step == Step::Sweep).then_some(&sweep),
        primary,
        ..Beside::default()
    };
    let judgement = judge(&part, &settled, &beside, &conditions);
    let rests = match part.step {
        Step::Secondary => primary.is_some(),
        Step::Middle | Step::Sweep => track.is_some(),
        _ => false,
    };
    let place = RowPosition {
        row: 7,
        time: "2056-11-03T19:25:31.234+01:00".parse().unwrap(),
        sitting: "one".to_owned(),
        attempt: 2,
        rests_on: if rests { vec![6] } else { Vec::new() },
        withdraws: Vec::new(),
    };
    Row::of(&part, &settled, judgement, place)
}

fn sweep(draw: &Draw, part: &Part, track: Option<TrackValue>) -> SweepReport {
    let ohms = track.map_or(part.nominal.value(), |track| track.ohms.value);
    SweepReport {
        contact: Stamp::ZERO,
        lifted: Stamp::from_micros(1_234_567),
        took: Duration::from_secs(10),
        readings: 100,
        track: Track {
            ohms,
            steepest: 1.0,
        },
        covered_ohms: 0.9 * ohms,
        specification: 0.0,
        dropouts: draw.faults,
        longest_dropout: Duration::from_millis(200),
        jumps: 0,
        largest_jump_ohms: 0.0,
        hand_step_ohms: 0.1 * ohms,
        whole: draw.whole,
    }
}

/// The row as a file of results gives it back.
fn read_back(row: &Row) -> Row {
    let mut bytes = Vec::new();
    let mut results = Results::new(&mut bytes, true).unwrap();
    results.add(row).unwrap();
    drop(results);
    read_measurements(&bytes).unwrap().remove(0)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2000))]

    #[test]
    fn a_row_that_is_written_and_read_gives_its_verdict_again(draw in draw()) {
        let row = row(&draw);
        let again = read_back(&row);
        prop_assert!(again.step.is(row.step));
        let same = Row { step: row.step, ..again.clone() };
        prop_assert_eq!(&same, &row);
        let judged = again.judged_again();
        prop_assert_eq!(judged.verdict, row.verdict);
        prop_assert_eq!(judged.of_value, row.value_verdict);
        prop_assert_eq!(judged.grounds.guard(), row.guard);
        prop_assert_eq!(judged.probability, row.probability);
        prop_assert_eq!(&judged.why(), &row.reason);
        let json = serde_json::to_string(&row).unwrap();
        let from_json: Row = serde_json::from_str(&json).unwrap();
        prop_assert_eq!(Row { step: row.step, ..from_json }, row);
    }
}

/// Finding of `compare` on an unchanged part, measured twice with these sittings and otherwise as drawn.
pub(crate) fn compared(parts: &str, first: &Row, second: &Row) -> Outcome {
    let mut bytes = Vec::new();
    let mut results = Results::new(&mut bytes, true).unwrap();
    let second = Row {
        sitting: "two".to_owned(),
        time: first.time + chrono::TimeDelta::days(1),
        ..second.clone()
    };
    results.add(first).unwrap();
    results.add(&second).unwrap();
    drop(results);
    let book = Book::read("", parts.as_bytes(), &bytes, b"").unwrap();
    let found = pairs(&book.accounts(), When::First, When::Last);
    assert_eq!(found.pairs.len(), 1);
    found.pairs[0].outcome
}

const USUAL: Draw = Draw {
    entry: 0,
    found: Ok((1.0, 1e-6)),
    in_circuit: false,
    simple: false,
    leads: None,
    celsius: None,
    loss: None,
    negative_loss: false,
    mains: false,
    soaked: 1.0,
    primary: None,
    track: None,
    faults: 0,
    whole: true,
};

/// A resistor of exactly 100 Ω behind leads of so many ohms.
fn with_leads(ohms: f64) -> Row {
    row(&Draw {
        found: Ok(((100.0 + ohms) / 100.0, 1e-6)),
        leads: Some((ohms, 1e-4)),
        ..USUAL
    })
}

#[test]
fn new_parts_measured_with_other_leads_are_as_alike_as_they_are() {
    let job = Job::new("ref,kind,value\nR1,resistor,100\n");
    let mut bytes = Vec::new();
    let mut results = Results::new(&mut bytes, true).unwrap();
    for (number, leads) in [0.15, 0.15, 0.03, 0.03].into_iter().enumerate() {
        let row = Row {
            row: number as u32 + 1,
            designator: format!("bag {}", number + 1),
            ..with_leads(leads)
        };
        results.add(&row).unwrap();
    }
    drop(results);
    fs::write(job.root().join("incoming.csv"), &bytes).unwrap();
    let batches = batch::read(&Folder::open(&job.root()).unwrap()).unwrap();
    let spread = batches[0].spread().unwrap();
    // The readings lie 0.12 Ω apart.
    assert_eq!(spread.count, 4);
    assert!(spread.deviation < 1e-9, "{}", spread.deviation);
    assert!((spread.mean - 100.0).abs() < 1e-9, "{}", spread.mean);
}

#[test]
fn unchanged_parts_with_other_leads_or_at_another_temperature_show_no_change() {
    let (first, second) = (with_leads(0.15), with_leads(0.03));
    assert!(first.read != second.read);
    assert_eq!(compared(PARTS, &first, &second), Outcome::NoChange);
    // A copper winding of 185 Ω at 20 °C, by the 234.5 rule.
    let winding = ENTRIES
        .iter()
        .position(|(part, _)| part.designator == "L1")
        .unwrap();
    let at = |celsius: f64| {
        row(&Draw {
            entry: winding,
            found: Ok(((234.5 + celsius) / 254.5, 1e-6)),
            celsius: Some(celsius),
            ..USUAL
        })
    };
    assert_eq!(compared(PARTS, &at(15.0), &at(30.0)), Outcome::NoChange);
}
