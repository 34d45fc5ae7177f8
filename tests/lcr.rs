//! From the reply of an LCR meter to the verdict, for replies that hold other things than the part's own quantity.

use std::fmt::Write as _;

use approx::assert_relative_eq;
use probewright::face::books::comparison::Outcome;
use probewright::face::engine::judge::{Aspect, Reason, Verdict};
use probewright::face::engine::quantity::Stamp;
use probewright::face::engine::sitting::{
    Input, MeterNews, Plan, Record, Row, Setup, Sitting, What,
};
use probewright::face::views::report::{Evidence, explanation};

use crate::row::compared;
use crate::talking::{self, Talking};

const HEAD: &str = "\
format = 1
title = \"a bridge that sends by itself\"
mode = \"talk\"
[line]
baud = 9600
[timing]
silent_after_s = 5
";

const POLAR: &str = "\
[function.capacitance]
fields = [\"impedance\", \"angle_deg\"]
frequency_hz = 1000
second_limit = { absolute = 0.001 }
idle = { below = 1e-12 }
range = [{ up_to = 1e-3, resolution = 1e-14, percent_of_reading = 0.5 }]
";

const PARTS_OF_Z: &str = "\
[function.inductance]
fields = [\"resistance\", \"reactance\"]
frequency_hz = 50
second_limit = { percent_of_reading = 1 }
idle = \"overload\"
range = [{ up_to = 100, resolution = 1e-6, percent_of_reading = 0.5 }]
";

const OHMS: &str = "\
[function.resistance]
idle = \"overload\"
range = [{ up_to = 1e6, resolution = 0.1, percent_of_reading = 0.5 }]
";

fn plan(function: &str, parts: &str) -> Plan {
    let profile = format!("{HEAD}{function}");
    Plan::of(&Setup::of(parts, "bridge", &profile)).unwrap_or_else(|error| panic!("{error}"))
}

/// Events while the probes are in the air and then on each part in turn, with these lines.
fn sit(plan: &Plan, air: &str, touches: &[&str]) -> Vec<What> {
    let mut sitting = Sitting::begin(plan.clone());
    let mut said = Vec::new();
    let mut at = 0;
    let mut lines = String::new();
    writeln!(lines, "{air}").unwrap();
    for touch in touches {
        for (line, times) in [(air, 6), (touch, 20), (air, 6)] {
            lines.extend((0..times).map(|_| format!("{line}\n")));
        }
    }
    sitting.handle(Stamp::ZERO, Input::LinkUp, &mut |event| {
        said.push(event.what);
    });
    for line in lines.split_inclusive('\n') {
        at += 100_000;
        let input = Input::Bytes(line.as_bytes());
        sitting.handle(Stamp::from_micros(at), input, &mut |event| {
            said.push(event.what);
        });
    }
    said
}

fn records(said: &[What]) -> Vec<Record> {
    let record = |what: &What| match what {
        What::Judged(record) => Some(Record::clone(record)),
        _ => None,
    };
    said.iter().filter_map(record).collect()
}

fn news(said: &[What]) -> Vec<String> {
    let news = |what: &What| match what {
        What::Meter { news, .. } => Some(format!("{news:?}")),
        _ => None,
    };
    said.iter().filter_map(news).collect()
}

const CAPACITORS: &str = "ref,kind,value,tolerance,rating,material,loss,frequency,role\n\
    C1,capacitor,47 nF,10%,400V,paper,0.01,1 kHz,detector\nC2,capacitor,100 nF,10%,400V,paper,0.01,1 kHz,detector\n";

/// 47 nF with D 0.008 and 100 nF with D 0.05, both at 1 kHz, as |Z| and θ (mpmath 1.3, from Z = ESR + 1/(jωCs)).
#[test]
fn a_capacitance_is_settled_and_judged_from_magnitude_and_angle() {
    let plan = plan(POLAR, CAPACITORS);
    let touches = ["3386.38374401,-89.54164354", "1593.53762586,-87.13759477"];
    let records = records(&sit(&plan, "9.9E37,9.91E37", &touches));
    assert_eq!(records.len(), 2);
    for (record, farad, loss, verdict) in [
        (&records[0], 47e-9, 0.008, Verdict::Pass),
        (&records[1], 100e-9, 0.05, Verdict::Fail),
    ] {
        let judged = record.row.value.unwrap();
        assert_relative_eq!(judged.value, farad, max_relative = 1e-8);
        let second = record.settled.second.unwrap();
        assert_relative_eq!(second.value, loss, max_relative = 1e-7);
        assert_eq!(record.row.verdict, verdict);
    }
    let mut checks = records[1].row.checks.iter();
    let loss = checks.find(|check| check.aspect == Aspect::Loss).unwrap();
    assert!(
        loss.words.starts_with("tan δ 0.0500 at 1000 Hz"),
        "{loss:?}"
    );
    assert_eq!(loss.verdict, Some(Verdict::Fail));
}

/// At a loss factor D the parallel capacitance of the same part is Cs / (1 + D²), by definition of the two circuits.
#[test]
fn an_unchanged_electrolytic_read_in_parallel_and_then_in_series_shows_no_change() {
    const PARTS: &str =
        "ref,kind,value,tolerance,rating,material\nC1,capacitor,100uF,20%,25V,electrolytic\n";
    let read = |circuit: &str, farad: f64| {
        let functions = format!(
            "[function.capacitance]\nfields = [\"capacitance\", \"loss\"]\ncircuit = \"{circuit}\"\nfrequency_hz = 120\n\
             second_limit = {{ absolute = 0.001 }}\nidle = {{ below = 1e-12 }}\n\
             range = [{{ up_to = 1, resolution = 1e-12, percent_of_reading = 0.1 }}]\n"
        );
        let mut bench = Talking::new(talking::plan(&functions, PARTS, "", "").unwrap(), 20);
        bench.says("override all each was seen below 2 V");
        bench.shows("0,0", 6);
        bench.shows(&format!("{farad:e},0.3"), 30);
        bench.records()[0].row.clone()
    };
    let series = read("series", 100e-6);
    let parallel = read("parallel", 100e-6 / 1.09);
    let raw = |row: &Row| row.read.unwrap();
    assert!(raw(&series) > 1.08 * raw(&parallel));
    for (first, second) in [(&series, &parallel), (&parallel, &series)] {
        assert_eq!(compared(PARTS, first, second), Outcome::NoChange);
    }
}

#[test]
fn a_loss_below_zero_is_named_recorded_and_never_judged() {
    let plan = plan(POLAR, CAPACITORS);
    let records = records(&sit(&plan, "9.9E37,9.91E37", &["3386.38,-93"]));
    let [record] = &records[..] else {
        panic!("{records:?}")
    };
    assert_eq!(record.row.verdict, Verdict::Inconclusive);
    assert_eq!(record.row.grounds().verdict().1, Reason::NegativeLoss);
    assert_eq!(record.row.probability, None);
    assert!(record.settled.second.unwrap().value < -0.05);
}

#[test]
fn a_shorted_capacitor_is_beyond_the_range_and_no_capacitance() {
    let plan = plan(POLAR, CAPACITORS);
    let records = records(&sit(&plan, "9.9E37,9.91E37", &["0.2,12"]));
    assert_eq!(records[0].row.grounds().verdict().1, Reason::BeyondRange);
}

#[test]
fn a_reply_that_lacks_a_field_is_named_and_never_judged() {
    let plan = plan(POLAR, CAPACITORS);
    for line in [
        "3386.38",
        "3386.38,",
        ",-89.5",
        "3386.38,-89.5,0",
        "3386.38,-89.5 V",
    ] {
        let said = sit(&plan, "9.9E37,9.91E37", &[line]);
        assert_eq!(records(&said), [], "{line}");
        let named = |what: &What| {
            matches!(
                what,
                What::Meter {
                    news: MeterNews::NotUnderstood { .. },
                    ..
                }
            )
        };
        assert!(said.iter().any(named), "{line}: {:?}", news(&said));
    }
}

#[test]
fn a_voltage_is_no_reading_of_a_resistance() {
    let plan = plan(OHMS, "ref,kind,value,tolerance\nR1,resistor,230,10%\n");
    let said = sit(&plan, "9.9E37", &["230 V"]);
    assert_eq!(records(&said), []);
    let named = |what: &What| {
        matches!(
            what,
            What::Meter {
                news: MeterNews::WrongQuantity { .. },
                ..
            }
        )
    };
    assert!(said.iter().any(named), "{:?}", news(&said));
    assert_eq!(records(&sit(&plan, "9.9E37", &["230 OHM"])).len(), 1);
}

/// 10 H with 400 Ω at 50 Hz is X = 3141.59265359 Ω and Q = 7.85398163397 (mpmath 1.3); its sibling has 40 % less of L and,
/// at the same resistance, of Q.
#[test]
fn a_coil_with_less_l_and_q_than_its_sibling_hints_at_a_shorted_turn() {
    let parts = "ref,kind,value,tolerance,with\nL1,coil,10 H,50%,L2\nL2,coil,10 H,50%,\nL3,coil,10 H,50%,\n";
    let plan = plan(PARTS_OF_Z, parts);
    let touches = [
        "400,1884.95559215",
        "400,3141.59265359",
        "400,3141.59265359",
    ];
    let records = records(&sit(&plan, "9.9E37,9.9E37", &touches));
    assert_eq!(records.len(), 3);
    let healthy = records[1].settled;
    assert_relative_eq!(
        healthy.second.unwrap().value,
        7.853_981_634,
        max_relative = 1e-9
    );
    let evidence = Evidence {
        plan: &plan,
        list: plan.parts(),
        records: &records,
    };
    let said = |index: usize| explanation(&plan.parts()[index], &records[index], &evidence);
    let suspect = said(0);
    assert!(
        suspect.contains(
            "Beside its sibling L2: L is 0.600 ± 0.005 and Q 0.600 ± 0.010 times as large"
        ) && suspect.contains("hints at a shorted turn"),
        "{suspect}"
    );
    let sound = said(1);
    assert!(sound.contains("nothing hints at a shorted turn"), "{sound}");
    assert!(!said(2).contains("sibling"));
}
