//! Test points of a whole list: what feeds them, what they feed, and what follows from a touch to the row.

use probewright::face::engine::judge::{Aspect, Verdict};
use probewright::face::engine::sitting::Record;

use crate::talking::{Talking, plan};

const VOLTS: &str = r"
[function.voltage]
idle = { below = 0.2 }
range = [{ up_to = 1000.0, resolution = 0.01, percent_of_reading = 0.1, counts = 2 }]
";

/// A reservoir, a rail behind 10 kΩ that 40 kΩ load, an anode, and a rail that nothing feeds.
const PARTS: &str = "\
ref,kind,value,rating,role,from,to,sheet_ohm_per_volt,sheet_range
TP1,point,250V,,,HT1,chassis,1000,300V
TP2,point,200V,,,HT2,chassis,1000,300V
TP3,point,100V,,,A1,chassis,1000,300V
TP4,point,250V,,,HT9,chassis,1000,300V
TP5,point,250V,,,HT2,,,
C1,capacitor,32uF,450V,reservoir,HT1,chassis,,
C2,capacitor,16uF,275V,smoothing,HT2,chassis,,
C3,capacitor,10 nF,160V,coupling,A1,G2,,
R1,resistor,10k,,dropper,HT1,HT2,,
R2,resistor,40k,,bleeder,HT2,chassis,,
R3,resistor,100k,,anode load,HT2,A1,,
R4,resistor,1M,,grid leak,G2,chassis,,
";

/// Record of a touch of `point` at that voltage.
fn judged(point: &str, volts: f64) -> Record {
    let mut bench = Talking::new(plan(VOLTS, PARTS, point, "").unwrap(), 20);
    bench.shows("0.00 VDC", 2);
    bench.says("live");
    bench.shows(&format!("{volts:.2} VDC"), 30);
    bench.shows("0.00 VDC", 6);
    let records = bench.records();
    assert_eq!(records.len(), 1, "{point} {volts}");
    records[0].clone()
}

fn loading(record: &Record) -> &str {
    &record.row.check(Aspect::Loading).unwrap().words
}

/// By the definition of a voltage divider: a sheet's meter of 300 kΩ on 8 kΩ reads 300/308, one of 10 MΩ 10/10.008.
#[test]
fn a_rail_is_judged_behind_what_the_list_says_of_it() {
    let record = judged("TP2", 205.0);
    let expected = 200.0 * (308.0 / 300.0) * (10_000.0 / 10_008.0);
    let [lower, upper] = record.row.band.limits().map(Option::unwrap);
    assert!((lower / (0.85 * expected) - 1.0).abs() < 1e-9, "{lower}");
    assert!((upper / (1.15 * expected) - 1.0).abs() < 1e-9, "{upper}");
    assert_eq!(record.row.verdict, Verdict::Pass);
    for words in ["behind 8 kΩ", "by R1, R2 from the reservoir C1"] {
        assert!(loading(&record).contains(words), "{}", loading(&record));
    }
    assert_eq!(judged("TP2", 160.0).row.verdict, Verdict::Fail);
}

#[test]
fn a_reservoir_is_stiff_and_has_the_tolerance_of_a_sheet_that_states_none() {
    let record = judged("TP1", 215.0);
    assert_eq!(record.row.verdict, Verdict::Pass);
    let [lower, upper] = record.row.band.limits().map(Option::unwrap);
    assert!((lower - 212.5).abs() < 1e-9 && (upper - 287.5).abs() < 1e-9);
    assert_eq!(judged("TP1", 205.0).row.verdict, Verdict::Fail);
}

#[test]
fn an_anode_has_bounds_and_what_nothing_feeds_has_none() {
    let record = judged("TP3", 114.7);
    assert!(
        loading(&record).contains("behind 108 kΩ at most"),
        "{}",
        loading(&record)
    );
    // Up to 115 V without a resistance, from 114.4 V on with all of it: what lies between holds whatever the valve draws.
    assert!(
        matches!(record.row.verdict, Verdict::Pass | Verdict::ConditionalPass),
        "{record:?}"
    );
    assert_eq!(judged("TP3", 105.0).row.verdict, Verdict::Inconclusive);
    for outside in [80.0, 157.0] {
        assert_eq!(judged("TP3", outside).row.verdict, Verdict::Fail);
    }
    let unknown = judged("TP4", 300.0);
    assert_eq!(unknown.row.verdict, Verdict::Inconclusive);
    assert!(
        loading(&unknown).contains("not known"),
        "{}",
        loading(&unknown)
    );
}

#[test]
fn a_voltage_above_the_rating_of_a_capacitor_there_fails_whatever_the_sheet_says() {
    let record = judged("TP5", 285.0);
    assert_eq!(record.row.value_verdict, Verdict::Pass);
    assert_eq!(record.row.verdict, Verdict::Fail);
    assert_eq!(
        record.row.reason,
        "above rating: 285 V at C2, which is rated 275 V"
    );
    assert_eq!(judged("TP5", -285.0).row.verdict, Verdict::Fail);
    assert_eq!(judged("TP5", 260.0).row.verdict, Verdict::Pass);
    // A coupling capacitor into a grid leak bears the whole of it, too.
    let coupled = judged("TP3", 170.0);
    assert!(coupled.row.check(Aspect::Overvoltage).is_some());
}
