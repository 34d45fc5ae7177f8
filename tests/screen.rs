//! The board, drawn for every situation in four sizes and compared with the files in `tests/screens/`.
//!
//! Run with `PROBEWRIGHT_WRITE_SCREENS=1` to write them anew, and look at them before you keep them.

use std::fmt::Write as _;
use std::fs;
use std::path::PathBuf;
use std::time::Duration;

use chrono::DateTime;
use probewright::face::engine::judge::capacitor::{
    Direction, Forecast, Mark, SOAK_CAUTIONS, SoakReason, SoakReport,
};
use probewright::face::engine::judge::{Verdict, judge};
use probewright::face::engine::meter::shipped_profile;
use probewright::face::engine::parts::{Step, Title};
use probewright::face::engine::probing::{Estimate, Finding, SettledValue};
use probewright::face::engine::quantity::{Quantity, Stamp};
use probewright::face::engine::sitting::{
    Entry, Event, LinkNews, Live, MeterNews, Next, Plan, Record, Row, RowPosition, Setup, Soaking,
    Summary, ToSoak, What,
};
use probewright::face::views::screen::{Aside, Look, Typing, draw};
use probewright::face::views::state::State;
use ratatui::Terminal;
use ratatui::backend::TestBackend;
use ratatui::buffer::Buffer;
use ratatui::style::{Color, Modifier};
use serde_json::json;

const PARTS: &str = "\
ref,kind,value,tolerance,rating,material,role,from,to,in_circuit,note,also
C1,capacitor,32uF,-10/+50%,450V,electrolytic,reservoir,HT1,chassis,no,,
R1,resistor,4K7,10%,0.5W,carbon,anode load,HT2,V1 anode,no,body is grey with soot,
R2,resistor,1M,20%,0.5W,carbon,grid leak,V2 grid,chassis,yes,,
C2,capacitor,47nF,20%,400V,paper,coupling,V1 anode,V2 grid,no,,leakage
R3,resistor,330R,5%,1W,,cathode bias,V2 cathode,chassis,no,,
T1.pri,winding,18R,,,,mains primary,mains,mains,no,,
R4,resistor,100k,10%,,,,,,no,,
R5,resistor,100k,10%,,,,,,no,,
R6,resistor,100k,10%,,,,,,no,,
R7,resistor,100k,10%,,,,,,no,,
R8,resistor,100k,10%,,,,,,no,,
R9,resistor,100k,10%,,,,,,no,,
";

const SIZES: [(u16, u16); 4] = [(60, 20), (80, 24), (120, 40), (240, 70)];

const KEYS: [(char, &str); 14] = [
    ('n', "next"),
    ('b', "back"),
    ('s', "skip"),
    ('r', "redo"),
    ('g', "goto"),
    ('w', "note"),
    ('o', "on"),
    ('z', "zero"),
    ('h', "heed"),
    ('a', "soak"),
    ('v', "override"),
    ('l', "live"),
    ('d', "decide"),
    ('e', "end"),
];

/// A view at a sitting of which the events are told by hand.
struct View {
    plan: Plan,
    /// The last verdict on each entry.
    verdicts: Vec<Option<Verdict>>,
    began: Option<u64>,
    state: State,
    at: u64,
}

impl View {
    /// Link and meter are there.
    fn new() -> Self {
        let profile = shipped_profile("scpi-multimeter").unwrap();
        let setup = Setup::of(PARTS, "scpi-multimeter", profile.text)
            .with_file(Setup::JOB, "title = \"amplifier of the village hall\"\n")
            .with_setting(Setup::TEMPERATURE, "21");
        let plan = Plan::of(&setup).unwrap();
        let began = DateTime::parse_from_rfc3339("2056-11-03T19:25:30+01:00").unwrap();
        let plan = plan.of_sitting("evening", began);
        let mut view = Self {
            verdicts: vec![None; plan.parts().len()],
            began: None,
            state: State::begin(&plan),
            plan,
            at: 0,
        };
        view.hear(What::Link {
            meter: None,
            news: LinkNews::Up,
        });
        view.hear(What::Meter {
            meter: None,
            news: MeterNews::Identified {
                text: "Bench,Multimeter,0,1".to_owned(),
            },
        });
        view
    }

    fn hear(&mut self, what: What) {
        let at = Stamp::from_micros(self.at);
        let item = self.state.next_item(&Event { at, what });
        self.state.apply(&item);
    }

    /// How far it is. Each entry that is judged here is a part of its own.
    fn summary(&self) -> Summary {
        let mut summary = Summary {
            parts: self.plan.rows(),
            ..Summary::default()
        };
        let counts = &mut summary.counts;
        for verdict in self.verdicts.iter().flatten() {
            summary.done += 1;
            *match verdict {
                Verdict::Pass => &mut counts.pass,
                Verdict::ConditionalPass => &mut counts.conditional_pass,
                Verdict::ConditionalFail => &mut counts.conditional_fail,
                Verdict::Fail => &mut counts.fail,
                Verdict::Inconclusive => &mut counts.inconclusive,
            } += 1;
        }
        counts.not_reached = summary.parts - summary.done;
        if summary.done > 0 {
            let taken = (self.at - self.began.unwrap_or(self.at)) as f64 * 1e-6;
            summary.mean_s = Some(taken / summary.done as f64);
            summary.left_s = summary.mean_s.map(|mean| mean * counts.not_reached as f64);
        }
        summary
    }

    /// The three entries still to be measured behind that one.
    fn following(&self, entry: usize) -> Vec<Next> {
        let all = (entry + 1..self.verdicts.len()).chain(0..entry);
        let open = all.filter(|entry| self.verdicts[*entry].is_none());
        open.take(3)
            .map(|entry| Next::of(&self.plan.parts()[entry]))
            .collect()
    }

    fn wait(&mut self, milliseconds: u64) {
        self.at += milliseconds * 1000;
    }

    fn entry(&self, title: &str) -> usize {
        let found = self
            .plan
            .parts()
            .iter()
            .position(|part| part.title() == title);
        found.unwrap()
    }

    fn in_hand(mut self, title: &str) -> Self {
        self.wait(900);
        let place = self.entry(title);
        self.began.get_or_insert(self.at);
        self.hear(What::InHand {
            entry: Box::new(Entry::of(&self.plan, place)),
            next: self.following(place),
        });
        self.read(Quantity::Resistance, None, false);
        self
    }

    fn read(&mut self, quantity: Quantity, value: Option<f64>, touching: bool) {
        self.wait(100);
        self.hear(What::Reading(Live {
            quantity,
            value,
            overload: value.is_none(),
            touching,
        }));
    }

    /// Readings that approach a value.
    fn touch(mut self, quantity: Quantity, value: f64) -> Self {
        for reading in 0..30 {
            let way = 0.4 * value * libm::exp(-0.3 * f64::from(reading));
            self.read(quantity, Some(value - way), true);
            if reading == 0 {
                self.hear(What::Contact);
            }
        }
        self
    }

    fn judge(mut self, title: &str, finding: Finding) -> Self {
        let part = self.entry(title);
        let settled = SettledValue {
            quantity: self.plan.parts()[part].measured(),
            contact: Stamp::from_micros(self.at.saturating_sub(1_200_000)),
            at: Stamp::from_micros(self.at),
            readings: 12,
            finding,
            second: None,
        };
        let beside = self.plan.beside(&settled);
        let judgement = judge(
            &self.plan.parts()[part],
            &settled,
            &beside,
            self.plan.conditions(),
        );
        self.verdicts[part] = Some(judgement.verdict);
        self.began.get_or_insert(self.at);
        let place = RowPosition {
            row: 1,
            time: self.plan.begun(),
            sitting: String::new(),
            attempt: 1,
            rests_on: Vec::new(),
            withdraws: Vec::new(),
        };
        let record = Record {
            part,
            row: Row::of(&self.plan.parts()[part], &settled, judgement, place),
            settled,
        };
        self.hear(What::Judged(Box::new(record)));
        self.hear(What::Progress(Box::new(self.summary())));
        self
    }

    fn value(self, title: &str, value: f64) -> Self {
        self.judge(
            title,
            Finding::Value(Estimate::combine(value, 0.0, value * 5e-4, 0.0)),
        )
    }

    /// Eleven verdicts so far, so that the first one is no longer among the last ten.
    fn well_on(self) -> Self {
        let ohm = Quantity::Resistance;
        self.in_hand("R2")
            .touch(ohm, 700e3)
            .value("R2", 700e3)
            .in_hand("R3")
            .touch(ohm, 346.4)
            .value("R3", 346.4)
            .in_hand("T1.pri")
            .touch(ohm, 18.1)
            .value("T1.pri", 18.1)
            .in_hand("R4")
            .judge("R4", Finding::Open)
            .in_hand("R5")
            .touch(ohm, 109.98e3)
            .value("R5", 109.98e3)
            .in_hand("R6")
            .value("R6", 100.2e3)
            .value("R6", 100.1e3)
            .value("R7", 110.05e3)
            .value("R8", 131e3)
            .value("R9", 99e3)
            .value("R9", 98e3)
    }

    fn screen(&self, width: u16, height: u16, look: Look, aside: &Aside<'_>) -> Buffer {
        let mut terminal = Terminal::new(TestBackend::new(width, height)).unwrap();
        terminal
            .draw(|frame| draw(frame, &self.state, aside, look))
            .unwrap();
        terminal.backend().buffer().clone()
    }
}

/// The rows of a screen, without blanks at their ends.
fn rows(buffer: &Buffer) -> String {
    let mut text = String::new();
    for y in 0..buffer.area.height {
        let row: String = (0..buffer.area.width)
            .map(|x| buffer[(x, y)].symbol())
            .collect();
        writeln!(text, "{}", row.trim_end()).unwrap();
    }
    text
}

/// The colours of a screen, a letter a cell: the colour's first, or `d` for dim and `b` for bold without colour.
fn colours(buffer: &Buffer) -> String {
    let letter = |x, y| {
        let cell = &buffer[(x, y)];
        match cell.fg {
            _ if cell.symbol() == " " => ' ',
            Color::Green => 'g',
            Color::Yellow => 'y',
            Color::Magenta => 'm',
            Color::Red => 'r',
            Color::Reset if cell.modifier.contains(Modifier::DIM) => 'd',
            Color::Reset if cell.modifier.contains(Modifier::BOLD) => 'b',
            Color::Reset => '.',
            other => panic!("{other} is not among the colours"),
        }
    };
    let mut text = String::new();
    for y in 0..buffer.area.height {
        let row: String = (0..buffer.area.width).map(|x| letter(x, y)).collect();
        writeln!(text, "{}", row.trim_end()).unwrap();
    }
    text
}

fn compare(name: &str, text: &str) {
    let file = PathBuf::from(env!("CARGO_MANIFEST_DIR"))
        .join("tests/screens")
        .join(format!("{name}.txt"));
    if std::env::var_os("PROBEWRIGHT_WRITE_SCREENS").is_some() {
        fs::create_dir_all(file.parent().unwrap()).unwrap();
        fs::write(&file, text).unwrap();
    }
    let kept = fs::read_to_string(&file).unwrap_or_default();
    assert!(
        kept == text,
        "{}: the screen is now\n{text}",
        file.display()
    );
}

/// Compares a situation with the files, in every size; without colour it must look the same but for the colours.
fn check(name: &str, view: &View) {
    check_with(
        name,
        view,
        &Aside {
            keys: &KEYS,
            ..Aside::default()
        },
    );
}

fn check_with(name: &str, view: &View, aside: &Aside<'_>) {
    for (width, height) in SIZES {
        let plain = view.screen(width, height, Look { colour: false }, aside);
        assert!(
            plain
                .content
                .iter()
                .all(|cell| cell.fg == Color::Reset && cell.bg == Color::Reset)
        );
        let coloured = view.screen(width, height, Look { colour: true }, aside);
        assert_eq!(rows(&plain), rows(&coloured));
        compare(&format!("{name}-{width}x{height}"), &rows(&plain));
        if width == 80 {
            compare(&format!("{name}-colours"), &colours(&coloured));
        }
    }
}

#[test]
fn a_part_in_hand() {
    check("in-hand", &View::new().in_hand("R1"));
}

#[test]
fn two_places_to_be_read_between() {
    let mut view = View::new().in_hand("R1");
    let mut entry = Entry::of(&view.plan, view.entry("R1"));
    "V1 anode to HT2".clone_into(&mut entry.designator);
    "between".clone_into(&mut entry.step);
    "probes on these two places, across R1: 4.7 kΩ if all is as listed".clone_into(&mut entry.what);
    "V1 anode".clone_into(&mut entry.from);
    "HT2".clone_into(&mut entry.to);
    view.hear(What::InHand {
        entry: Box::new(entry),
        next: Vec::new(),
    });
    check("two-places", &view);
}

#[test]
fn a_part_in_hand_after_others() {
    check("in-hand-later", &View::new().well_on().in_hand("C2"));
}

#[test]
fn touching() {
    let view = View::new()
        .well_on()
        .in_hand("R1")
        .touch(Quantity::Resistance, 4712.0);
    check("touching", &view);
}

#[test]
fn a_pass() {
    let view = View::new()
        .in_hand("R1")
        .touch(Quantity::Resistance, 4712.0)
        .value("R1", 4712.0);
    check("pass", &view);
}

#[test]
fn a_fail() {
    let view = View::new()
        .well_on()
        .in_hand("R1")
        .touch(Quantity::Resistance, 6310.0)
        .value("R1", 6310.0);
    check("fail", &view);
}

#[test]
fn a_conditional_pass() {
    let view = View::new()
        .in_hand("R5")
        .touch(Quantity::Resistance, 109.98e3)
        .value("R5", 109.98e3);
    check("conditional-pass", &view);
}

#[test]
fn an_inconclusive_verdict() {
    let view = View::new()
        .in_hand("R2")
        .touch(Quantity::Resistance, 700e3)
        .value("R2", 700e3);
    check("inconclusive", &view);
}

#[test]
fn a_lost_link() {
    let mut view = View::new()
        .well_on()
        .in_hand("R1")
        .touch(Quantity::Resistance, 4712.0);
    view.hear(What::Link {
        meter: None,
        news: LinkNews::Lost {
            reason: "No such device (os error 19)".to_owned(),
        },
    });
    check("link-lost", &view);
}

#[test]
fn a_capacitor_to_be_seen_discharged_and_one_that_is_charged() {
    let mut view = View::new();
    view.hear(What::ToDischarge {
        entry: Box::new(Entry::to_discharge(&view.plan, 0, (1, 2))),
    });
    view.read(Quantity::Voltage, Some(0.000_31), false);
    check("to-discharge", &view);
    let mut view = view.touch(Quantity::Voltage, 212.5);
    view.hear(What::AcrossCapacitor {
        title: "C1".into(),
        volts: 212.5,
        discharged: false,
        below_volt: 2.0,
    });
    check("charged", &view);
}

/// Rows of a screen that are a block from end to end, letters cut out of it or not.
fn block(rows: &[String], width: usize) -> usize {
    let solid = |row: &&String| {
        row.chars().count() == width && row.starts_with("██") && row.ends_with("██")
    };
    rows.iter().filter(solid).count()
}

#[test]
fn charged_with_its_volts_takes_half_of_every_screen_and_names_what_may_be_charged() {
    let mut view = View::new();
    let charge = json!({ "what": "may-be-charged", "ref": "C2", "volts": null, "coulombs": null, "joules": null, "bleed_s": null, "slowest_bleed_s": null, "words": "C2" });
    view.hear(serde_json::from_value(charge).unwrap());
    view.hear(What::ToDischarge {
        entry: Box::new(Entry::to_discharge(&view.plan, 0, (1, 2))),
    });
    let across = |volts, discharged| What::AcrossCapacitor {
        title: "C1".into(),
        volts,
        discharged,
        below_volt: 2.0,
    };
    let aside = Aside::default();
    view.hear(across(212.5, false));
    // Probes lifted: the voltmeter says nothing of the capacitor any more.
    view.read(Quantity::Voltage, Some(0.000_2), false);
    for (width, height) in SIZES {
        let screen = rows(&view.screen(width, height, Look { colour: true }, &aside));
        let lines: Vec<String> = screen.lines().map(str::to_owned).collect();
        let block = block(&lines, width.into());
        assert!(2 * block >= usize::from(height), "{block} of\n{screen}");
        assert!(screen.contains("now - - -, to be below 2 V"), "{screen}");
        assert!(screen.contains("may be charged: C1  C2"), "{screen}");
    }
    view.hear(across(0.4, true));
    for (width, height) in SIZES {
        let screen = rows(&view.screen(width, height, Look { colour: true }, &aside));
        assert!(screen.contains("may be charged: C2"), "{screen}");
    }
}

#[test]
fn the_foot_names_every_key_and_no_line_ends_within_a_number() {
    let view = View::new()
        .in_hand("R2")
        .touch(Quantity::Resistance, 700e3)
        .value("R2", 700e3);
    for width in 60..125 {
        for height in [20, 24, 40] {
            let aside = Aside {
                keys: &KEYS,
                ..Aside::default()
            };
            let screen = rows(&view.screen(width, height, Look { colour: false }, &aside));
            for (key, word) in KEYS {
                assert!(
                    screen.contains(&format!("{key} {word}")),
                    "{word}\n{screen}"
                );
            }
            let within = |row: &str| row.ends_with('±') || row.ends_with("± 0.70");
            assert!(!screen.lines().any(within), "{screen}");
        }
    }
}

/// Shape and colour of each verdict: those of the page (`page.css`, `index.html`) and of the report (`mark.rs`).
#[test]
fn a_verdict_has_one_shape_and_one_colour_and_each_its_own() {
    let shapes = [
        (100e3, '●', 'g'),
        (109.98e3, '○', 'g'),
        (110.05e3, '△', 'y'),
        (131e3, '■', 'r'),
    ];
    for (value, shape, colour) in shapes {
        let view = View::new().in_hand("R5").value("R5", value);
        let screen = view.screen(80, 24, Look { colour: true }, &Aside::default());
        let (rows, colours) = (rows(&screen), colours(&screen));
        let (rows, colours): (Vec<_>, Vec<_>) = (rows.lines().collect(), colours.lines().collect());
        let listed = rows.iter().position(|row| row.ends_with(" R5")).unwrap();
        assert!(rows[listed].starts_with(shape), "{value}: {}", rows[listed]);
        assert!(colours[listed].starts_with(colour), "{value}");
    }
    let view = View::new().in_hand("R2").value("R2", 700e3);
    let screen = view.screen(80, 24, Look { colour: true }, &Aside::default());
    assert!(rows(&screen).contains("◇? R2"));
    assert!(colours(&screen).lines().any(|row| row == "mm mm"));
}

#[test]
fn a_leakage_to_be_measured_and_one_under_voltage() {
    let mut view = View::new().well_on();
    let part = view.entry("C2 leakage");
    let test = view.plan.leakage(part).unwrap();
    let read_after_s = test.limit.read_after.duration().as_secs_f64();
    view.hear(What::ToSoak(Box::new(ToSoak {
        entry: Entry::of(&view.plan, part),
        next: view.following(part),
        test: test.words(),
        volts: test.volts,
        read_after_s,
    })));
    check("to-soak", &view);
    // The longest of the cautions.
    let longest = SOAK_CAUTIONS
        .iter()
        .max_by_key(|words| words.len())
        .unwrap();
    view.hear(What::SoakCaution {
        number: 8,
        of: 8,
        text: (*longest).to_owned(),
    });
    check("heed", &view);
    view.hear(What::Heeded);
    view.read(Quantity::Current, Some(52e-6), true);
    let title = || Title::of("C2", Step::Leakage);
    view.hear(What::SoakBegun {
        title: title(),
        volts: 400.0,
        read_after_s,
    });
    for second in 1..=35 {
        view.wait(900);
        let current = 50e-6 / f64::from(second);
        view.read(Quantity::Current, Some(current), true);
    }
    let report = SoakReport {
        elapsed: Duration::from_secs(30),
        latest_ampere: Some(1.43e-6),
        own: Mark::Waiting,
        trend: Some(Direction::Falling),
        forecast: Some(Ok(Forecast {
            after: Duration::from_secs(60),
            low_ampere: 0.7e-6,
            ampere: 0.83e-6,
            high_ampere: 0.9e-6,
            exponent: 1.0,
            exponent_uncertainty: 0.01,
            readings: 30,
        })),
        verdict: None,
        reason: SoakReason::TooEarly,
    };
    view.hear(What::Soaking(Box::new(Soaking::of(title(), &report))));
    check("soaking", &view);
}

#[test]
fn the_leads_are_to_be_zeroed_while_a_remark_is_typed() {
    let mut view = View::new().in_hand("R1");
    view.hear(What::AwaitingZero { meter: None });
    let aside = Aside {
        keys: &KEYS,
        typing: Some(Typing {
            word: "note",
            text: "cracked at one end",
        }),
        remark: None,
    };
    check_with("zero", &view, &aside);
}

#[test]
fn the_end() {
    let mut view = View::new().well_on();
    let summary = view.summary();
    assert_eq!(summary.count(Verdict::Fail), 2);
    view.hear(What::Ended(Box::new(summary)));
    check("end", &view);
}

#[test]
fn a_screen_of_any_size_is_drawn() {
    let views = [
        View::new(),
        View::new().well_on().in_hand("R1"),
        View::new()
            .well_on()
            .in_hand("R1")
            .touch(Quantity::Resistance, 4712.0),
        View::new().in_hand("R2").value("R2", 700e3),
    ];
    for view in &views {
        for width in [1, 2, 9, 20, 37, 59, 60, 61, 80, 99, 100, 101, 300] {
            for height in (1..9).chain([15, 19, 20, 21, 25, 26, 27, 90]) {
                view.screen(width, height, Look { colour: true }, &Aside::default());
            }
        }
    }
}
