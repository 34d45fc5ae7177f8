//! The page in a real browser: what it shows, what its buttons do, and how it lives through a broken connection.
//!
//! With `PROBEWRIGHT_PICTURES=FOLDER` the pictures that the layout was looked at by are kept there.

use std::ffi::OsString;
use std::path::PathBuf;

use probewright::face::engine::quantity::{Quantity, format_steady};
use probewright::face::engine::sitting::Command;
use probewright::face::views::serve::Patience;
use probewright::face::views::state::State;
use rustix::process::Signal;
use serde_json::json;

use crate::browser::{Browser, Complaint, Look};
use crate::evening::{Evening, entry, every_kind, every_verdict, kind, progress};
use crate::page::Show;
use crate::program::Program;
use crate::sit::{Bench, Way, ohm};

/// Complaints of the browser, but for those that `expected` names.
fn check_complaints(browser: &mut Browser, expected: impl Fn(&str) -> bool) {
    let all = browser.complaints();
    let bad: Vec<_> = all
        .iter()
        .filter(|complaint| !expected(&complaint.source))
        .collect();
    assert!(bad.is_empty(), "{bad:#?}");
}

/// A browser, and a sitting whose page it shows live; `None` where there is no browser.
fn live() -> Option<(Browser, Evening)> {
    let mut browser = Browser::start()?;
    let evening = Evening::on(0, "evening");
    browser.open(&evening.show.url.clone());
    browser.shows("connection", "live");
    Some((browser, evening))
}

#[test]
fn the_page_shows_what_is_told_and_nothing_of_it_becomes_markup() {
    let Some(mut browser) = Browser::start() else {
        return;
    };
    let mut evening = Evening::on(0, "evening");
    evening.in_hand("R12");
    browser.open(&evening.show.url.clone());
    browser.shows("connection", "live");
    browser.shows("designator", "R12");
    browser.shows("what", "resistor 4.7 kΩ ±10 %");
    browser.shows("limits", "4.23 kΩ to 5.17 kΩ");
    browser.shows("next", "C9 leakage");
    browser.shows("meter", "as its profile expects");
    evening.touch("resistance", 4712.0);
    browser.shows("value", "kΩ");
    browser.shows("contact", "touching");
    browser.until("document.querySelector('#plot polyline').points.numberOfItems > 80");
    browser.until("document.querySelector('#band .moving') !== null");
    for (verdict, shape) in [
        ("pass", "pass"),
        ("conditional pass", "conditional-pass"),
        ("conditional fail", "conditional-fail"),
        ("fail", "fail"),
        ("inconclusive", "inconclusive"),
    ] {
        evening.judge("R12", verdict, 5100.0);
        browser.until(&format!(
            "document.getElementById('verdict-word').textContent === '{verdict}'"
        ));
        browser.until(&format!(
            "document.getElementById('verdict-use').getAttribute('href') === '#shape-{shape}'"
        ));
        browser.until("document.querySelector('#band .uncertainty') !== null");
    }
    browser.until("document.getElementById('last').children.length === 5");
    browser.shows("progress-words", "13 of 48 parts");
    evening.in_hand("C4");
    browser.shows("designator", "C4");
    browser.shows("verdict-of", "before: R12");
    // Text that looks like markup is text.
    let markup = "<img src=x onerror=alert(1)><b>bold</b>";
    evening.say(
        json!({ "what": "noted", "text": markup }),
        Some(markup),
        "plain",
    );
    browser.shows("said", markup);
    assert_eq!(
        browser.evaluate("document.querySelectorAll('img:not(#loops), b').length"),
        json!(0)
    );
    check_complaints(&mut browser, |_| false);
    // The browser does complain where there is reason to.
    browser.evaluate("document.body.setAttribute('style', 'color: red')");
    let complaints = browser.complaints();
    let policy = |complaint: &Complaint| complaint.text.contains("Content Security Policy");
    assert!(complaints.iter().any(policy), "{complaints:?}");
}

#[test]
fn the_buttons_of_the_page_reach_the_sitting_and_end_asks_again() {
    let Some((mut browser, mut evening)) = live() else {
        return;
    };
    for word in ["skip", "redo", "back", "next", "on", "zero", "soak"] {
        browser.press(&format!("[data-command=\"{word}\"]"));
        let heard = evening
            .show
            .heard
            .recv_timeout(crate::program::PATIENCE)
            .unwrap();
        assert_eq!(heard.to_string(), word);
    }
    for what in ["to-soak", "soak-caution"] {
        evening.tell(kind(what));
    }
    browser.until("document.body.dataset.caution === 'true'");
    browser.press("[data-command=\"heed\"]");
    let heard = evening.show.heard.recv_timeout(crate::program::PATIENCE);
    assert_eq!(heard.unwrap(), Command::Heed);
    browser.press("[data-ask=\"note\"]");
    browser.write("cracked at one end");
    browser.press("#ask-yes");
    let heard = evening
        .show
        .heard
        .recv_timeout(crate::program::PATIENCE)
        .unwrap();
    assert_eq!(heard, Command::Note("cracked at one end".to_owned()));
    browser.press("[data-ask=\"override\"]");
    browser.press("#ask-yes");
    browser.until("document.getElementById('ask').open");
    browser.write("C5 the part lies on the bench");
    browser.press("#ask-yes");
    let heard = evening
        .show
        .heard
        .recv_timeout(crate::program::PATIENCE)
        .unwrap();
    assert_eq!(
        heard,
        Command::Override("C5 the part lies on the bench".to_owned())
    );
    evening.judge("R7", "conditional fail", 5190.0);
    browser.shows("last", "R7");
    browser.press("[data-ask=\"decide\"]");
    browser.press("#ask-yes");
    browser.until("document.getElementById('ask').open");
    browser.press("#ask-choices button:nth-child(2)");
    browser.press("#ask-text");
    browser.write("drifted");
    browser.press("#ask-yes");
    let heard = evening
        .show
        .heard
        .recv_timeout(crate::program::PATIENCE)
        .unwrap();
    assert_eq!(heard.to_string(), "decide R7 replace drifted");
    // A lead, lifted and joined again: which of both, and of which part, are both asked for.
    for (choice, word) in [(6, "lifted"), (7, "rejoined")] {
        browser.press("[data-ask=\"lead\"]");
        browser.until("document.getElementById('ask').open");
        browser.shows("ask-title", "lead");
        let offered = browser.evaluate(
            "[...document.querySelectorAll('#ask-choices button')].filter((one) => one.checkVisibility()).map((one) => one.textContent)",
        );
        assert_eq!(offered, json!(["lifted", "rejoined"]));
        browser.press("#ask-yes");
        browser.press(&format!("#ask-choices button:nth-child({choice})"));
        browser.press("#ask-yes");
        browser.until("document.getElementById('ask').open");
        browser.press("#ask-text");
        browser.write("R12");
        browser.press("#ask-yes");
        let heard = evening.show.heard.recv_timeout(crate::program::PATIENCE);
        assert_eq!(heard.unwrap().to_string(), format!("{word} R12"));
    }
    browser.press("[data-ask=\"end\"]");
    browser.press("#ask-no");
    assert!(
        evening.show.heard.try_recv().is_err(),
        "asked again, said no"
    );
    browser.press("[data-ask=\"end\"]");
    browser.press("#ask-yes");
    let heard = evening
        .show
        .heard
        .recv_timeout(crate::program::PATIENCE)
        .unwrap();
    assert_eq!(heard, Command::End);
    // A refusal is told in its words.
    evening.show.heard = std::sync::mpsc::channel().1;
    check_complaints(&mut browser, |_| false);
    browser.press("[data-command=\"skip\"]");
    browser.shows("said", "the sitting is over");
    check_complaints(&mut browser, |source| source == "network");
}

#[test]
fn the_page_draws_whatever_state_there_is() {
    let Some((mut browser, mut evening)) = live() else {
        return;
    };
    let kinds = every_kind();
    let mut random = fastrand::Rng::with_seed(7);
    for round in 0..1200 {
        evening.at_us += 17_000;
        if round % 3 == 0 {
            let news = kinds[random.usize(..kinds.len())].clone();
            // The end of a sitting is its last item.
            if news["what"] != "ended" {
                evening.say(news, (round % 2 == 0).then_some("a line"), "doubtful");
            }
        } else {
            let value = random.f64() * 1e4;
            evening.reading("resistance", (value > 1e3).then_some(value), value > 2e3);
        }
        if round % 50 == 49 {
            check_state(&mut browser, &evening);
        }
    }
    // A touch longer than can be drawn in full.
    evening.in_hand("R12");
    (0..12).for_each(|_| evening.touch("resistance", 4712.0));
    (0..3000).for_each(|round| evening.reading("resistance", Some(f64::from(round)), true));
    check_state(&mut browser, &evening);
    browser.shows("designator", "R12");
    evening.tell(json!({ "what": "ended", "parts": 48, "done": 13, "counts": progress(13)["counts"], "mean_s": 9.5, "left_s": null }));
    check_state(&mut browser, &evening);
    browser.shows("designator", "over");
    check_complaints(&mut browser, |_| false);
}

#[test]
fn the_loops_can_be_opened_by_themselves_in_their_colours() {
    let Some((mut browser, mut evening)) = live() else {
        return;
    };
    evening.tell(kind("loops"));
    browser.until("!document.getElementById('circuit').hidden");
    let address = browser.evaluate("document.getElementById('loops-whole').href");
    browser.open(address.as_str().unwrap());
    browser.until("document.querySelectorAll('.part').length === 4");
    let fail =
        browser.evaluate("getComputedStyle(document.querySelector('.fail .box')).strokeWidth");
    assert_eq!(fail, json!("3px"));
    check_complaints(&mut browser, |_| false);
}

fn check_state(browser: &mut Browser, evening: &Evening) {
    browser.until(&format!("state.last_id >= {}", evening.next - 1));
    let shown: State = serde_json::from_value(browser.evaluate("state")).unwrap();
    // The loops come as a drawing.
    let mut told = evening.show.hub.state();
    told.loops = None;
    assert_eq!(shown, told);
}

#[test]
fn a_page_lives_through_a_broken_connection_and_takes_the_next_sitting() {
    let Some(mut browser) = Browser::start() else {
        return;
    };
    let mut evening = Evening::on(0, "evening");
    evening.in_hand("R12");
    browser.open(&evening.show.url.clone());
    browser.shows("designator", "R12");
    let port = evening.show.address.port();
    drop(evening);
    browser.shows("connection", "no connection to the sitting since ");
    assert_eq!(
        browser.evaluate("document.querySelector('[data-command=\"skip\"]').disabled"),
        json!(true)
    );
    let mut morning = Evening::on(port, "morning");
    morning.in_hand("C33");
    browser.shows("designator", "C33");
    browser.shows("connection", "live");
    morning.in_hand("C34");
    browser.shows("designator", "C34");
    browser.press("[data-command=\"skip\"]");
    assert_eq!(
        morning.show.heard.recv_timeout(crate::program::PATIENCE),
        Ok(Command::Skip)
    );
    check_state(&mut browser, &morning);
    check_complaints(&mut browser, |source| source == "network");
}

#[test]
fn every_kind_of_item_is_tried_in_the_page() {
    let (_, table) = include_str!("../src/cli/manual/events.md")
        .split_once("| `what` | when | fields |")
        .unwrap();
    let rows = table
        .lines()
        .skip(2)
        .take_while(|row| row.starts_with("| `"));
    let words: Vec<&str> = rows.map(|row| row.split('`').nth(1).unwrap()).collect();
    assert!(words.len() > 30, "{words:?}");
    for word in words {
        let apart = ["reading", "ended"].contains(&word);
        let tried = every_kind().iter().any(|news| news["what"] == word);
        assert!(apart || tried, "{word}");
    }
}

#[test]
fn the_page_writes_every_measured_number_as_the_program_does() {
    let Some((mut browser, mut evening)) = live() else {
        return;
    };
    evening.in_hand("R12");
    for quantity in Quantity::ALL {
        for value in [4.712e-9, 0.33, 4.712, 66_600.0] {
            evening.reading(quantity.name(), Some(value), true);
            let ours = format_steady(quantity, value, 4);
            browser.until(&format!(
                "document.getElementById('value').textContent.replaceAll('\u{a0}', ' ') === '{ours}'"
            ));
        }
    }
    evening.judge("R12", "fail", 5900.0);
    browser.shows("verdict-value", "5.900 kΩ ± 0.060 kΩ · +25.5 % of 4.7 kΩ");
    browser.shows("last", "5.900 kΩ ± 0.060 kΩ · +25.5 % of 4.7 kΩ");
    check_complaints(&mut browser, |_| false);
}

#[test]
fn a_verdict_of_before_never_stands_beside_a_capacitor_that_may_be_charged() {
    let Some(mut browser) = Browser::start() else {
        return;
    };
    let mut evening = Evening::on(0, "evening");
    browser.open(&evening.show.url.clone());
    evening.judge("TP1", "pass", 4712.0);
    browser.shows("verdict-word", "pass");
    evening.tell(json!({ "what": "to-discharge", "entry": entry("C1") }));
    browser.shows("verdict-word", "not seen discharged");
    for (volts, discharged, words, shape) in [
        (212.5, false, "CHARGED", "fail"),
        (12.0, true, "discharged", "pass"),
    ] {
        evening.tell(json!({ "what": "across-capacitor", "ref": "C1", "step": "value", "volts": volts, "discharged": discharged, "below_volt": 2.0 }));
        browser.until(&format!(
            "document.getElementById('verdict-word').textContent === '{words}'"
        ));
        browser.until(&format!(
            "document.getElementById('verdict').dataset.verdict === '{shape}'"
        ));
    }
    evening.tell(kind("to-soak"));
    evening.tell(kind("soak-begun"));
    evening.tell(kind("soaking"));
    browser.shows("verdict-of", "so far: C2");
    browser.shows("verdict-word", "fail");
    check_complaints(&mut browser, |_| false);
}

#[test]
fn the_program_shows_its_page_follows_its_buttons_and_is_found_again_when_it_was_killed() {
    let Some(mut browser) = Browser::start() else {
        return;
    };
    let bench = Bench::new(Way::Socket);
    let sit = |port: &str| {
        let mut arguments = bench.arguments();
        arguments.extend(["--page", port].map(OsString::from));
        bench.sit_as(Program::new(arguments))
    };
    let mut sitting = sit("0");
    let url = sitting.program.remarks("page ");
    browser.open(&url);
    browser.shows("designator", "R1");
    browser.shows("meter", "Probewright,Simulated Meter");
    sitting.hold(ohm(4712.0), &["R1 ", " PASS "]);
    browser.shows("verdict-of", "R1");
    browser.shows("verdict-word", "pass");
    browser.until("document.getElementById('verdict').dataset.current === 'yes'");
    bench.probes.lift();
    browser.shows("designator", "R2");
    browser.press("[data-command=\"skip\"]");
    sitting.program.sees(&["R2 ", "skipped"]);
    browser.shows("designator", "C1");
    browser.press("[data-command=\"redo\"]");
    browser.shows("designator", "R1");
    let mine = browser.evaluate("state.last_id").as_u64().unwrap();
    assert!(mine > 10, "{mine}");
    sitting.program.signal(Signal::KILL);
    browser.shows("connection", "no connection to the sitting since ");
    drop(sitting);
    let port = url.trim_end_matches('/').rsplit(':').next().unwrap();
    let mut sitting = sit(port);
    browser.shows("connection", "live");
    browser.shows("designator", "R1");
    browser.until("document.getElementById('last').children.length === 0");
    browser.press("[data-ask=\"end\"]");
    browser.press("#ask-yes");
    sitting.program.sees(&["0 of 5 parts judged"]);
    browser.shows("designator", "over");
    sitting.program.end().with_status(0).out();
    let second = bench.job.recordings().remove(1);
    assert!(
        std::fs::read_to_string(second)
            .unwrap()
            .contains("\tcommand\tend\t")
    );
    check_complaints(&mut browser, |source| source == "network");
}

#[test]
fn a_page_beyond_this_machine_is_announced_with_its_key_and_with_what_that_means() {
    let bench = Bench::new(Way::Socket);
    let mut arguments = bench.arguments();
    arguments.extend(["--page", "0", "--listen", "0.0.0.0"].map(OsString::from));
    let sitting = bench.sit_as(Program::new(arguments));
    let url = sitting.program.remarks("page ");
    let (_, key) = url.split_once("/#key=").unwrap();
    assert_eq!(key.len(), 32, "{url}");
    sitting
        .program
        .complains("anyone on this network can read along");
    sitting.end().complaining(&[]).out();
    // A port that is taken leaves the job alone.
    let taken = std::net::TcpListener::bind("127.0.0.1:0").unwrap();
    let port = taken.local_addr().unwrap().port().to_string();
    let mut arguments = bench.arguments();
    arguments.extend(["--page", &port].map(OsString::from));
    Program::new(arguments)
        .run()
        .with_status(1)
        .complaining(&["cannot show the page at `127.0.0.1:", "--page 0"])
        .out();
    assert_eq!(bench.job.recordings().len(), 1);
}

#[test]
fn a_page_beyond_loopback_keeps_its_key_in_a_cookie_that_no_script_sees() {
    let Some(mut browser) = Browser::start() else {
        return;
    };
    let mut show = Show::at("0.0.0.0:0", "evening", Patience::default());
    let (_, key) = show.url.split_once("#key=").unwrap();
    let (key, here) = (key.to_owned(), format!("http://{}/", show.address));
    browser.open(&here);
    browser.shows("ask-words", "#key=");
    browser.shows("connection", "no key");
    check_complaints(&mut browser, |source| source == "network");
    browser.write(&key);
    browser.press("#ask-yes");
    browser.shows("connection", "live");
    assert_eq!(browser.evaluate("document.cookie"), json!(""));
    browser.open(&here);
    browser.shows("connection", "live");
    browser.call("Network.clearBrowserCookies", &json!({}));
    browser.open("about:blank");
    browser.open(&format!("{here}#key={key}"));
    browser.shows("connection", "live");
    assert_eq!(browser.evaluate("location.href"), json!(here));
    browser.press("[data-command=\"on\"]");
    assert_eq!(
        show.heard.recv_timeout(crate::program::PATIENCE),
        Ok(Command::On)
    );
    show.heard = std::sync::mpsc::channel().1;
    check_complaints(&mut browser, |_| false);
}

/// A name, and how it comes about.
type Scene = (&'static str, fn(&mut Evening));

const SIZES: [(u32, u32); 10] = [
    (360, 640),
    (390, 844),
    (844, 390),
    (640, 360),
    (768, 1024),
    (1024, 768),
    (800, 1280),
    (1280, 800),
    (1920, 1080),
    (1080, 1920),
];

#[test]
fn at_every_size_everything_is_within_reach() {
    let Some(mut browser) = Browser::start() else {
        return;
    };
    let pictures = std::env::var_os("PROBEWRIGHT_PICTURES").map(PathBuf::from);
    let mut evening = Evening::on(0, "evening");
    browser.open(&evening.show.url.clone());
    browser.shows("connection", "live");
    let scenes: [Scene; 12] = [
        ("1-waits", |evening| evening.in_hand("R1")),
        ("2-touch", |evening| {
            every_verdict(evening);
            evening.in_hand("R12");
            evening.touch("resistance", 4712.0);
        }),
        ("3-fail", |evening| evening.judge("R12", "fail", 5900.0)),
        ("4-conditional", |evening| {
            evening.judge("R12", "conditional pass", 5140.0);
        }),
        ("5-next", |evening| {
            evening.in_hand("T12.sec-a");
            evening.reading("resistance", None, false);
        }),
        ("6-discharge", |evening| {
            let mut entry = entry("C1");
            entry["band"] =
                json!({ "lower": -60.0, "nominal": null, "upper": 60.0, "words": "below 60 V" });
            entry["quantity"] = json!("voltage");
            entry["what"] = json!("capacitor 32 µF -20/+50 %, electrolytic, 450 V");
            evening.tell(json!({ "what": "to-discharge", "entry": entry }));
            evening.reading("voltage", Some(212.5), true);
            evening.tell(json!({ "what": "across-capacitor", "ref": "C1", "step": "value", "volts": 212.5, "discharged": false, "below_volt": 2.0 }));
        }),
        ("6-heed", |evening| {
            evening.tell(kind("to-soak"));
            evening.tell(kind("soak-caution"));
        }),
        ("7-soak", |evening| {
            evening.tell(kind("to-soak"));
            evening.tell(kind("soak-begun"));
            evening.touch("current", 1.2e-4);
            evening.tell(kind("soaking"));
        }),
        ("8-lost", |evening| {
            evening.say(
                json!({ "what": "link", "way": "lost", "reason": "the device is gone" }),
                Some("the link is lost"),
                "bad",
            );
        }),
        ("9-circuit", |evening| {
            evening.tell(json!({ "what": "link", "way": "up" }));
            evening.tell(kind("loops"));
            let mut pair = entry("V1 grid to chassis");
            pair["step"] = json!("between");
            pair["what"] = json!("R21 R22");
            evening.tell(json!({ "what": "in-hand", "entry": pair, "next": [] }));
            evening.touch("resistance", 84.2e3);
        }),
        ("9-circuit-fail", |evening| {
            evening.judge("R23", "fail", 4.7e6);
        }),
        ("9-circuit-all-read", |evening| {
            let mut progress = progress(13);
            progress["in_circuit"] = json!(true);
            evening.tell(progress);
            evening.tell(json!({ "what": "nothing-left" }));
        }),
    ];
    let mut wrong = Vec::new();
    for (name, scene) in scenes {
        scene(&mut evening);
        check_state(&mut browser, &evening);
        for (width, height) in SIZES {
            // A picture in each light; for the layout alone one look is enough.
            for dark in [true, false]
                .into_iter()
                .skip(usize::from(pictures.is_none()))
            {
                browser.look(Look {
                    width,
                    height,
                    dark,
                });
                if let Some(folder) = &pictures {
                    let light = if dark { "dark" } else { "light" };
                    browser.picture(&folder.join(format!("{name}-{width}x{height}-{light}.png")));
                }
            }
            let found = browser.evaluate(REACH);
            let found = found.as_array().unwrap().iter();
            wrong.extend(found.map(|what| format!("{name} at {width}x{height}: {what}")));
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
    check_complaints(&mut browser, |_| false);
}

/// Faults of the layout: things that lie outside of the screen or of its place, buttons too small for a thumb (44 px:
/// WCAG 2.2, success criterion 2.5.5, from memory).
const REACH: &str = r"(() => {
  const wrong = [];
  const [width, height] = [innerWidth, innerHeight];
  const root = document.scrollingElement;
  if (root.scrollWidth > width || root.scrollHeight > height) wrong.push(`the page is ${root.scrollWidth} x ${root.scrollHeight}`);
  const inside = (node) => {
    const box = node.getBoundingClientRect();
    if (box.left < -0.5 || box.top < -0.5 || box.right > width + 0.5 || box.bottom > height + 0.5) {
      wrong.push(`${node.id || node.textContent} lies at ${box.left.toFixed(0)} ${box.top.toFixed(0)} to ${box.right.toFixed(0)} ${box.bottom.toFixed(0)}`);
    }
  };
  // One of the two is there at a time, and the third where power comes on.
  const absent = [document.body.dataset.caution === 'true' ? 'soak' : 'heed'];
  if (document.body.dataset.stage !== 'power') absent.push('live');
  for (const button of document.querySelectorAll('nav button')) {
    if (absent.includes(button.dataset.command)) {
      if (button.offsetParent) wrong.push(`${button.dataset.command} is shown`);
      continue;
    }
    const box = button.getBoundingClientRect();
    if (box.width < 44 || box.height < 44) wrong.push(`${button.textContent} is ${box.width.toFixed(0)} x ${box.height.toFixed(0)}`);
    if (button.scrollWidth > button.clientWidth) wrong.push(`${button.textContent} is wider than its button`);
    inside(button);
  }
  for (const id of ['designator', 'place', 'what', 'value', 'verdict-word', 'verdict-value', 'verdict-why', 'limits', 'connection', 'progress-words', 'counts']) {
    const node = document.getElementById(id);
    if (node.textContent !== '') inside(node);
    if (node.scrollWidth > node.clientWidth + 1) wrong.push(`${id} is ${node.scrollWidth} in ${node.clientWidth}`);
  }
  const end = document.querySelector('main').getBoundingClientRect().bottom;
  if (document.getElementById('verdict').getBoundingClientRect().bottom > end + 0.5) wrong.push('the verdict is not in sight');
  const boxes = ['hand', 'live', 'verdict', 'touch', 'circuit', 'later', 'before'].map((id) => document.getElementById(id)).filter((node) => node.offsetParent !== null);
  for (const [place, one] of boxes.entries()) for (const other of boxes.slice(place + 1)) {
    const [a, b] = [one.getBoundingClientRect(), other.getBoundingClientRect()];
    if (Math.min(a.right, b.right) - Math.max(a.left, b.left) > 1 && Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top) > 1) wrong.push(`${one.id} and ${other.id} overlap`);
  }
  for (const node of boxes) if (['hand', 'live', 'verdict'].includes(node.id) && node.scrollHeight > node.clientHeight + 1) wrong.push(`${node.id} is cut off`);
  const loops = document.getElementById('loops');
  if (state.loops_id > 0 && !(loops.complete && loops.naturalWidth > 0)) wrong.push('the loops are not drawn');
  const place = document.getElementById('place');
  if (state.in_hand && state.in_hand.from && place.getClientRects().length === 0) wrong.push('where the part sits is not shown');
  const letters = (id) => parseFloat(getComputedStyle(document.getElementById(id)).fontSize);
  if (document.getElementById('verdict').dataset.current === 'yes' && letters('verdict-word') + 0.1 < letters('designator')) {
    wrong.push(`the verdict has letters of ${letters('verdict-word')}, the designator of ${letters('designator')}`);
  }
  if (document.body.dataset.charged === 'yes') {
    const area = (node) => { const box = node.getBoundingClientRect(); return box.width * box.height; };
    const verdict = document.getElementById('verdict');
    for (const node of boxes) if (node !== verdict && 1.5 * area(node) > area(verdict)) wrong.push(`${node.id} is nearly as large as CHARGED`);
    for (const id of ['designator', 'place', 'value']) if (letters(id) >= letters('verdict-word')) wrong.push(`${id} has larger letters than CHARGED`);
    if (letters('verdict-value') !== letters('verdict-word')) wrong.push('the volts are smaller than CHARGED');
  }
  return wrong;
})()";
