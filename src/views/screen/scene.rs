//! [`Scene`]: what the three zones of the board say, in words.

use super::{sign, speech};
use crate::engine::judge::Verdict;
use crate::engine::parts::Step;
use crate::engine::quantity::{Quantity, format_steady, format_value};
use crate::engine::sitting::{Entry, Limits, LinkNews, MeterNews, Row};
use crate::views::state::{Stage, State};
use crate::views::told::{Mood, POWER, mood_of};

/// Something in large letters with lines of ordinary ones.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Word {
    /// The large word.
    pub(super) text: String,
    /// A shorter one that says the same, where the large one would get small.
    pub(super) short: Option<String>,
    /// The shape before it, where that leaves the letters as large.
    pub(super) shape: Option<char>,
    /// Where the part sits, in capitals: `HT2 - V1 ANODE`.
    pub(super) place: Option<String>,
    /// The second of two places that are read between, in letters like those of the first, which is the large word.
    pub(super) to: Option<String>,
    /// Whether it is cut out of a block: what must not be overlooked without colour either.
    pub(super) cut_out: bool,
    pub(super) mood: Mood,
    /// The lines, the most important one first.
    pub(super) lines: Vec<(String, Mood)>,
}

/// A live value.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Shown {
    /// Number and unit.
    pub(super) text: String,
    /// Whether it is cut out of a block.
    pub(super) cut_out: bool,
    pub(super) mood: Mood,
}

/// A value against its limits.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Against {
    pub(super) limits: Limits,
    /// Quantity that is measured.
    pub(super) quantity: Quantity,
    /// The value; `None` where there is none.
    pub(super) value: Option<f64>,
    /// Its expanded uncertainty, where it is known.
    pub(super) uncertainty: Option<f64>,
}

/// Words and marks of the board.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Scene {
    /// The part in hand.
    pub(super) hand: Word,
    /// State of the probes, or the trouble.
    pub(super) doing: (String, Mood),
    /// The live value.
    pub(super) shown: Shown,
    /// The value against its limits; `None` where there are none.
    pub(super) against: Option<Against>,
    /// Outcome; `None` while it is being measured.
    pub(super) outcome: Option<Word>,
}

impl Word {
    pub(super) fn new(text: impl Into<String>, mood: Mood, lines: Vec<(String, Mood)>) -> Self {
        Self {
            text: text.into(),
            short: None,
            shape: None,
            place: None,
            to: None,
            cut_out: false,
            mood,
            lines,
        }
    }

    pub(super) fn cut_out(self) -> Self {
        Self {
            cut_out: true,
            ..self
        }
    }
}

impl Scene {
    /// The scene of that state. `alone`: nothing beside the zones tells what comes next.
    pub(super) fn of(state: &State, alone: bool) -> Self {
        Self {
            hand: hand(state, alone),
            doing: doing(state),
            shown: shown(state),
            against: against(state),
            outcome: outcome(state),
        }
    }
}

fn quiet(text: impl Into<String>) -> (String, Mood) {
    (text.into(), Mood::Quiet)
}

fn plain(text: impl Into<String>) -> (String, Mood) {
    (text.into(), Mood::Plain)
}

fn hand(state: &State, alone: bool) -> Word {
    let Some(entry) = &state.in_hand else {
        return nothing_in_hand(state);
    };
    let mut lines = vec![plain(&entry.what)];
    match state.stage {
        Stage::Discharge => lines.insert(
            0,
            ("discharged? voltmeter across it".to_owned(), Mood::Doubtful),
        ),
        Stage::Power => lines.insert(0, (POWER[0].to_lowercase(), Mood::Bad)),
        Stage::Soak => {
            let test = state.soak.as_ref().map(|soak| soak.test.as_str());
            let words = format!("{}: {}", entry.step, test.unwrap_or_default());
            lines.insert(0, (words, Mood::Doubtful));
        }
        _ if !matches!(entry.step.as_str(), "value" | "between") => {
            lines.insert(0, (entry.step.clone(), Mood::Doubtful));
        }
        _ => {}
    }
    lines.extend(role(entry).map(plain));
    if alone && !state.next.is_empty() {
        let next: Vec<&str> = state.next.iter().map(|next| &*next.title).collect();
        lines.push(quiet(format!("then {}", next.join(", "))));
    }
    if !entry.note.is_empty() {
        lines.push(quiet(format!("note: {}", entry.note)));
    }
    lines.push(quiet(format!("{} of {}", entry.index, entry.of)));
    if entry.step == "between" {
        let mut word = Word::new(entry.from.to_uppercase(), Mood::Plain, lines);
        word.to = Some(entry.to.to_uppercase());
        return word;
    }
    let mut word = Word::new(entry.designator.to_uppercase(), Mood::Plain, lines);
    word.place = place(entry);
    word
}

fn nothing_in_hand(state: &State) -> Word {
    match state.stage {
        Stage::Zero => Word::new(
            "ZERO",
            Mood::Plain,
            vec![
                plain("hold the probes on each other, lift when told"),
                quiet("the resistance of the leads is then taken off every resistance"),
            ],
        ),
        Stage::Apart => Word::new(
            "APART",
            Mood::Plain,
            vec![
                plain("hold the probes apart, near each other and touching nothing"),
                quiet("what the open leads add is then taken off"),
            ],
        ),
        Stage::NothingLeft => Word::new(
            "LIST DONE",
            Mood::Good,
            vec![
                plain("every part of the list was taken in hand"),
                quiet("back, goto and redo still work; end ends the sitting"),
            ],
        ),
        Stage::Ended => Word::new("END", Mood::Plain, vec![plain("the sitting is over")]),
        _ => Word::new("- - -", Mood::Quiet, vec![quiet("nothing is in hand yet")]),
    }
}

/// From where to where it goes, or at least on which sub-assembly it is.
fn place(entry: &Entry) -> Option<String> {
    let place = match (entry.from.as_str(), entry.to.as_str()) {
        ("", "") => entry.group.clone(),
        (from, "") => from.to_owned(),
        ("", to) => to.to_owned(),
        (from, to) => format!("{from} - {to}"),
    };
    (!place.is_empty()).then(|| place.to_uppercase())
}

/// Role, and whether neighbours can disturb the reading.
fn role(entry: &Entry) -> Option<String> {
    match (entry.role.as_str(), entry.in_circuit) {
        ("", false) => None,
        ("", true) => Some("in circuit".to_owned()),
        (role, false) => Some(role.to_owned()),
        (role, true) => Some(format!("{role}, in circuit")),
    }
}

fn doing(state: &State) -> (String, Mood) {
    if state.stage == Stage::Ended {
        return quiet("");
    }
    if let Some(LinkNews::Lost { reason }) = &state.link {
        return (format!("{reason}; trying again"), Mood::Bad);
    }
    if let Some(trouble) = &state.meter.trouble {
        return (trouble.words.clone(), Mood::Bad);
    }
    if state.stage == Stage::Power {
        return (POWER[2].to_owned(), Mood::Bad);
    }
    let seconds = state.at_us.saturating_sub(state.trace.since_us) as f64 * 1e-6;
    let settled = state.verdict.is_some() || state.across.is_some();
    let reading = state.reading;
    match reading.map(|reading| reading.touching) {
        _ if state.stage == Stage::Soak => soak_doing(state),
        _ if state.said_on => plain("probes on it: no reading from now on means open"),
        Some(true) if settled => plain("settled: lift the probes"),
        Some(true) if state.restless => (
            format!("still moving after {seconds:.0} s: hold to wait, lift to give up"),
            Mood::Doubtful,
        ),
        Some(true) => plain(format!("on it for {seconds:.1} s: hold")),
        Some(false) => quiet("probes in the air"),
        None => quiet("waiting for a reading"),
    }
}

fn soak_doing(state: &State) -> (String, Mood) {
    let Some(soak) = &state.soak else {
        return quiet("");
    };
    let volts = format_value(Quantity::Voltage, soak.volts, 4);
    match soak.applied_us {
        None if soak.caution.is_some() => {
            plain("`heed` agrees to the caution; before that no voltage")
        }
        None => plain("time runs from the first current, or from `soak`"),
        Some(_) => (format!("{volts} IS ON IT"), Mood::Bad),
    }
}

fn shown(state: &State) -> Shown {
    let of = |text: &str, cut_out, mood| Shown {
        text: text.to_owned(),
        cut_out,
        mood,
    };
    if state.stage == Stage::Ended {
        return of("", false, Mood::Quiet);
    }
    if matches!(state.link, Some(LinkNews::Lost { .. })) {
        return of("NO LINK", true, Mood::Bad);
    }
    let trouble = state.meter.trouble.as_ref();
    if trouble.is_some_and(|trouble| trouble.news == MeterNews::Silent) {
        return of("SILENT", true, Mood::Bad);
    }
    let mood = if state.touching() || state.verdict.is_some() {
        Mood::Plain
    } else {
        Mood::Quiet
    };
    match state.shown() {
        Some((quantity, value)) => of(&format_steady(quantity, value, 4), false, mood),
        None if state.touching() => of("BEYOND", false, Mood::Doubtful),
        None => of("- - -", false, Mood::Quiet),
    }
}

fn against(state: &State) -> Option<Against> {
    if let Some(record) = &state.verdict {
        let row = &record.row;
        return Some(Against {
            limits: Limits::of_row(row),
            quantity: row.quantity,
            value: row.value.map(|judged| judged.value),
            uncertainty: row.value.map(|judged| 2.0 * judged.u),
        });
    }
    let entry = state.in_hand.as_ref()?;
    let live = state.reading.filter(|reading| {
        let under_voltage = state
            .soak
            .as_ref()
            .is_some_and(|soak| soak.applied_us.is_some());
        reading.quantity == entry.quantity && (reading.touching || under_voltage)
    });
    Some(Against {
        limits: entry.band.clone(),
        quantity: entry.quantity,
        value: live.and_then(|reading| reading.value),
        uncertainty: None,
    })
}

fn outcome(state: &State) -> Option<Word> {
    if state.stage == Stage::Ended {
        return Some(ended(state));
    }
    if let Some(record) = &state.verdict {
        // What a reading between two places tells is of a part that is not in hand.
        let of = Some(&*record.row.designator).filter(|_| record.row.step == Step::Own);
        return Some(verdict(&record.row, of));
    }
    if let Some(across) = &state.across {
        let volts = format_value(Quantity::Voltage, across.volts, 3);
        let lines = vec![
            plain(volts),
            plain("leave the discharge resistor on until it is measured"),
            quiet("lift, and the next one is named"),
        ];
        return Some(Word::new("DISCHARGED", Mood::Good, lines));
    }
    if let Some(soak) = &state.soak {
        return Some(speech::soak(state, soak));
    }
    if state.stage == Stage::Power {
        let lines = vec![(POWER[1].to_owned(), Mood::Bad)];
        return Some(Word::new("POWER ON", Mood::Bad, lines).cut_out());
    }
    if state.touching() || state.said_on {
        return None;
    }
    Some(before(state))
}

/// A capacitor found charged, before which everything else steps back.
pub(super) struct Charged {
    /// The capacitor and its place: `C1  HT1 - CHASSIS`.
    pub(super) hand: String,
    /// The voltage across it.
    pub(super) volts: String,
    /// Reading of the voltmeter now, and the task.
    pub(super) lines: Vec<(String, Mood)>,
}

impl Charged {
    /// The charge of the state; `None` if what is in hand was not found charged.
    pub(super) fn of(state: &State) -> Option<Self> {
        let across = state.across.filter(|across| !across.discharged)?;
        let entry = state.in_hand.as_ref()?;
        let live = state
            .shown()
            .map_or("- - -".to_owned(), |(quantity, value)| {
                format_steady(quantity, value, 4)
            });
        let hand = [
            entry.designator.to_uppercase(),
            place(entry).unwrap_or_default(),
        ];
        let limit = &entry.band.words;
        Some(Self {
            hand: hand.join("  ").trim_end().to_owned(),
            volts: format_value(Quantity::Voltage, across.volts, 3),
            lines: vec![
                plain(format!(
                    "now {live}, to be {limit}; never with a screwdriver"
                )),
                (
                    "discharge through a resistor, left on until it is measured".to_owned(),
                    Mood::Bad,
                ),
            ],
        })
    }
}

/// Between two parts: what became of the last one, with its designator in the word itself so that it is not taken for the
/// one in hand.
fn before(state: &State) -> Word {
    let what_to_do = match state.stage {
        Stage::Discharge => {
            "hold the voltmeter across it; to go on without: `override`, its designator and why"
        }
        Stage::Part => "put the probes on it and hold until the verdict is there",
        _ => "",
    };
    match state.last.first() {
        Some(record) if state.stage != Stage::Discharge => {
            let mut word = verdict(&record.row, Some(&record.row.designator));
            let title = record.row.title();
            word.lines.insert(0, quiet(format!("before: {title}")));
            word
        }
        _ => Word::new("", Mood::Quiet, vec![plain(what_to_do)]),
    }
}

fn verdict(judged: &Row, of: Option<&str>) -> Word {
    let (long, short) = match judged.verdict {
        _ if judged.is_reading() => ("READ", None),
        Verdict::Pass => ("PASS", None),
        Verdict::ConditionalPass => ("CONDITIONAL PASS", Some("PASS?")),
        Verdict::ConditionalFail => ("CONDITIONAL FAIL", Some("FAIL?")),
        Verdict::Fail => ("FAIL", None),
        Verdict::Inconclusive => ("INCONCLUSIVE", Some("???")),
    };
    let with = |word: &str| match of {
        Some(designator) => format!("{}:{word}", designator.to_uppercase()),
        None => word.to_owned(),
    };
    let mut word = Word::new(with(long), mood_of(judged), speech::verdict(judged));
    word.short = short.map(with);
    // The block of a fail is its shape.
    word.shape = sign(judged.verdict).chars().next();
    if judged.verdict == Verdict::Fail {
        word.cut_out()
    } else {
        word
    }
}

fn ended(state: &State) -> Word {
    let progress = &state.progress;
    let done = format!("{} OF {}", progress.done, progress.parts);
    let mut lines: Vec<(String, Mood)> = speech::counts(&progress.counts)
        .into_iter()
        .map(|(count, word, mood)| (format!("{count} {word}"), mood))
        .collect();
    lines.insert(0, plain("parts are done"));
    Word::new(done, Mood::Plain, lines)
}
