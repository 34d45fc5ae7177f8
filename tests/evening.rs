//! [`Evening`]: a sitting made of items alone, as the page is shown it.

use probewright::face::views::serve::Patience;
use probewright::face::views::state::{Item, State, VERSION};
use serde_json::{Value, json};

use crate::page::Show;

/// A sitting on that port (0 for any) and its next item.
pub(crate) struct Evening {
    pub(crate) show: Show,
    pub(crate) next: u64,
    pub(crate) at_us: u64,
}

impl Evening {
    pub(crate) fn on(port: u16, sitting: &str) -> Self {
        let address = format!("127.0.0.1:{port}");
        let mut state = State {
            title: "console receiver, upper chassis".to_owned(),
            began: "2056-11-03T19:25:30+01:00".to_owned(),
            ..State::default()
        };
        "scpi-multimeter".clone_into(&mut state.meter.profile);
        state.progress.parts = 48;
        let mut evening = Self {
            show: Show::of(state, &address, sitting, Patience::default()),
            next: 1,
            at_us: 0,
        };
        evening.tell(json!({ "what": "link", "way": "up" }));
        evening.tell(json!({ "what": "meter", "state": "identified", "text": "scpi-multimeter, as its profile expects" }));
        evening
    }

    pub(crate) fn tell(&mut self, news: Value) {
        self.say(news, None, "plain");
    }

    pub(crate) fn say(&mut self, news: Value, line: Option<&str>, mood: &str) {
        let mut item =
            json!({ "version": VERSION, "id": self.next, "at_us": self.at_us, "mood": mood });
        item["news"] = news;
        if let Some(line) = line {
            item["line"] = json!(line);
        }
        let item: Item = serde_json::from_value(item).unwrap();
        self.show.hub.publish(item);
        self.next += 1;
    }

    /// Readings of a touch that settles, 50 a second.
    pub(crate) fn touch(&mut self, quantity: &str, value: f64) {
        self.reading(quantity, Some(1.6 * value), true);
        self.tell(json!({ "what": "contact" }));
        for reading in 0..90 {
            self.at_us += 20_000;
            let decay = libm::exp(-f64::from(reading) / 12.0);
            let ripple = 1.0 + 1e-3 * f64::from(reading * 7 % 5 - 2);
            self.reading(quantity, Some(value * ripple * (1.0 + 0.6 * decay)), true);
        }
    }

    pub(crate) fn reading(&mut self, quantity: &str, value: Option<f64>, touching: bool) {
        self.tell(json!({ "what": "reading", "quantity": quantity, "value": value, "overload": value.is_none(), "touching": touching }));
    }

    pub(crate) fn in_hand(&mut self, designator: &str) {
        let next = json!([{ "ref": "R13", "step": "value", "what": "resistor 220 kΩ ±10 %, carbon composition" },
            { "ref": "C9", "step": "leakage", "what": "capacitor 47 nF ±20 %, paper, 400 V" }, { "ref": "T2.pri", "step": "value", "what": "winding 320 Ω ±20 %" }]);
        let news = json!({ "what": "in-hand", "entry": entry(designator), "next": next });
        self.say(news, Some("the line of the plain view"), "quiet");
    }

    pub(crate) fn judge(&mut self, designator: &str, verdict: &str, value: f64) {
        self.tell(judged(designator, verdict, value));
        self.tell(progress(13));
    }
}

pub(crate) fn entry(designator: &str) -> Value {
    json!({ "ref": designator, "step": "value", "kind": "resistor", "listed": "4K7",
        "nominal": "4.7 kΩ", "task": false, "what": "resistor 4.7 kΩ ±10 %, carbon composition, 0.5 W", "from": "V2 anode", "to": "HT2", "role": "anode load", "band": band(),
        "quantity": "resistance", "unit": "Ω", "note": "left lead is brittle", "in_circuit": true, "index": 12, "of": 50 })
}

pub(crate) fn band() -> Value {
    json!({ "lower": 4230.0, "nominal": 4700.0, "upper": 5170.0, "words": "4.23 kΩ to 5.17 kΩ" })
}

pub(crate) fn judged(designator: &str, verdict: &str, value: f64) -> Value {
    let (contact, at) = (1_000_000, 2_800_000);
    let estimate = json!({ "value": value, "uncertainty": 30.0, "scatter": 1.0, "specification": 29.9, "remaining": 0.4 });
    json!({ "what": "judged", "part": 11,
        "settled": { "quantity": "resistance", "contact_us": contact, "at_us": at, "readings": 24, "finding": { "value": estimate }, "second": null },
        "row": { "row": 4, "time": "2056-11-03T19:25:32.800+01:00", "sitting": "evening", "ref": designator, "step": "value", "kind": "resistor",
            "listed": "4K7", "in_circuit": true, "attempt": 1, "found": "value", "quantity": "resistance", "unit": "ohm", "read": value, "value": value, "uncertainty": 30.0,
            "nominal": 4700.0, "lower": 4230.0, "upper": 5170.0, "guard": 60.0, "probability": 0.0, "value_verdict": verdict,
            "verdict": verdict, "reason": "above its band by more than the uncertainty",
            "checks": [{ "aspect": "temperature", "verdict": "fail", "words": "a parallel path only lowers a resistance" }],
            "policy": "", "rule": "guard-band", "readings": 24, "rests_on": [], "withdraws": [] } })
}

/// A part of a loop.
fn group(
    part: &str,
    ends: [&str; 2],
    lower: f64,
    upper: Option<f64>,
    share: f64,
    verdict: &str,
) -> Value {
    let suspect = verdict == "inconclusive";
    json!({ "parts": [part], "ends": ends, "lower_ohm": lower, "upper_ohm": upper, "together": false, "share": share,
        "verdict": verdict, "suspect": suspect, "lift": suspect.then_some(part), "reasons": ["from all readings of its loop"] })
}

pub(crate) fn progress(done: usize) -> Value {
    json!({ "what": "progress", "parts": 48, "done": done, "counts": { "pass": 9, "conditional pass": 1, "conditional fail": 0, "fail": 2,
        "inconclusive": 1, "unsettled": 0, "skipped": 0, "not_reached": 35 }, "mean_s": 9.5, "left_s": 332.0 })
}

pub(crate) fn every_verdict(evening: &mut Evening) {
    for (part, verdict, value) in [
        ("R7", "pass", 4712.0),
        ("R8", "conditional pass", 5150.0),
        ("R9", "conditional fail", 5190.0),
        ("T1.pri", "fail", 6120.0),
        ("R11", "inconclusive", 4100.0),
    ] {
        evening.judge(part, verdict, value);
    }
}

/// The first news of that kind.
pub(crate) fn kind(what: &str) -> Value {
    let mut all = every_kind().into_iter();
    all.find(|news| news["what"] == what).unwrap()
}

/// News of every kind, some of them twice.
pub(crate) fn every_kind() -> Vec<Value> {
    let mut all = vec![
        json!({ "what": "in-hand", "entry": entry("R12"), "next": [{ "ref": "C4", "step": "value", "what": "capacitor" }] }),
        json!({ "what": "may-be-charged", "ref": "C1", "volts": 450.0, "coulombs": 0.0144, "joules": 3.24, "bleed_s": 9.2,
            "slowest_bleed_s": 18.0, "words": "C1: 3.2 J at 450 V" }),
        json!({ "what": "charge-caution" }),
        json!({ "what": "nothing-left" }),
        json!({ "what": "to-discharge", "entry": entry("C1") }),
        json!({ "what": "across-capacitor", "ref": "C1", "step": "value", "volts": 212.5, "discharged": false, "below_volt": 2.0 }),
        json!({ "what": "overridden", "ref": "C13", "step": "value", "reason": "removed", "left": ["C14"] }),
        json!({ "what": "to-power", "entry": entry("TP1"), "next": [] }),
        json!({ "what": "power-off" }),
        json!({ "what": "lead", "ref": "R21", "step": "value", "lifted": true }),
        json!({ "what": "still-lifted", "parts": ["R21"] }),
        json!({ "what": "loops", "pieces": [[
            group("R21", ["V1 grid", "V1 cathode"], 99e3, Some(101e3), 0.83, "pass"),
            group("R22", ["V1 cathode", "chassis"], 1.2e3, None, 0.31, "inconclusive"),
            group("R23", ["V1 grid", "tone top"], 4.6e6, Some(4.8e6), 0.12, "fail"),
            group("R24", ["tone top", "chassis"], 215e3, Some(225e3), 0.71, "conditional pass")]], "left_out": 0 }),
        json!({ "what": "to-lift", "leads": [{ "ref": "R21", "settles": ["R21", "R22"] }] }),
        json!({ "what": "to-soak", "entry": entry("C2"), "next": [], "test": "450 V for 5 min", "volts": 450.0, "read_after_s": 300.0 }),
        json!({ "what": "soak-caution", "number": 2, "of": 8, "words": "One hand, dry floor." }),
        json!({ "what": "heeded" }),
        json!({ "what": "unheeded", "ref": "C2", "step": "leakage" }),
        json!({ "what": "soak-begun", "ref": "C2", "step": "leakage", "volts": 400.0, "read_after_s": 300.0 }),
        json!({ "what": "soaking", "ref": "C2", "step": "leakage", "elapsed_s": 60.0, "amperes": 1.2e-3, "trend": "falling",
            "expected": { "after_s": 300.0, "lower": 1e-4, "upper": 3e-4 }, "verdict": "fail", "reason": "above its limit already" }),
        json!({ "what": "soaking", "ref": "C2", "step": "leakage", "elapsed_s": 1.0, "amperes": null, "trend": null, "expected": null, "verdict": null,
            "reason": "too early" }),
        json!({ "what": "soak-missed", "ref": "C2", "step": "leakage" }),
        json!({ "what": "contact" }),
        json!({ "what": "contact" }),
        json!({ "what": "awaiting-open", "ref": "R12", "step": "value" }),
        json!({ "what": "deciding", "ref": "R12", "decision": "replace", "reason": "drifted" }),
        json!({ "what": "not-decided", "ref": "R12", "decision": "replace", "reason": "drifted", "obstacle": "the disk is full" }),
        json!({ "what": "gripped-again", "ref": "R12", "step": "value", "in_hand": "R13", "asked": true }),
        json!({ "what": "at-place", "entry": entry("V2"), "parts": ["R4", "R5"] }),
        json!({ "what": "which-part", "place": "V2", "quantity": "resistance", "value": 4.712e3, "candidates": ["R4", "R5"], "alike": true }),
        json!({ "what": "reads-like", "ref": "R12", "step": "value", "candidates": ["R13", "R15"] }),
        json!({ "what": "moved", "ref": "R12", "step": "value", "belongs_to": "R13", "decision": "replace", "reason": "drifted", "check_from": "R9" }),
        json!({ "what": "settled-anew", "ref": "R12", "step": "value", "quantity": "resistance", "before": 4.7e3, "decision": "keep", "reason": "fine" }),
        json!({ "what": "restless", "ref": "R12", "step": "value", "value": 4.7e3, "quantity": "resistance" }),
        json!({ "what": "unsettled", "ref": "R12", "step": "value", "lasted_s": 4.2, "readings": 40 }),
        json!({ "what": "lifted" }),
        json!({ "what": "skipped", "ref": "R12", "step": "value" }),
        json!({ "what": "noted", "text": "a lead is loose" }),
        json!({ "what": "decided", "ref": "R12", "decision": "replace", "reason": "drifted" }),
        json!({ "what": "refused", "command": "redo", "obstacle": "nothing-to-redo" }),
        json!({ "what": "awaiting-zero" }),
        json!({ "what": "zeroed", "ohms": 0.14, "uncertainty": 0.02 }),
        json!({ "what": "not-zeroed" }),
        json!({ "what": "zero-later" }),
        json!({ "what": "awaiting-apart" }),
        json!({ "what": "fixture", "farads": 8e-12, "ohms": 0.1, "hertz": 1000.0 }),
        json!({ "what": "no-fixture" }),
        json!({ "what": "signalled", "signal": "redo" }),
        json!({ "what": "link", "way": "up" }),
        json!({ "what": "link", "way": "lost", "reason": "no such device", "meter": "bridge" }),
        json!({ "what": "link", "way": "lost", "reason": "no such device" }),
        progress(14),
    ];
    for verdict in [
        "pass",
        "conditional pass",
        "conditional fail",
        "fail",
        "inconclusive",
    ] {
        all.push(judged("R12", verdict, 4712.0));
    }
    for news in [
        json!({ "state": "identified", "text": "so it says" }),
        json!({ "state": "wrong-meter", "found": "another", "expected": null }),
        json!({ "state": "trouble", "code": -113, "text": "so it says" }),
        json!({ "state": "not-understood", "text": "so it says" }),
        json!({ "state": "silent" }),
        json!({ "state": "answering" }),
        json!({ "state": "wrong-quantity", "expected": "resistance", "found": null }),
        json!({ "state": "cannot-measure", "quantity": "voltage", "in_profile": true }),
    ] {
        for meter in [json!({}), json!({ "meter": "bridge" })] {
            let mut all_of_it = json!({ "what": "meter" });
            for part in [&meter, &news] {
                let part = part.as_object().unwrap().clone();
                all_of_it.as_object_mut().unwrap().extend(part);
            }
            all.push(all_of_it);
        }
    }
    all
}
