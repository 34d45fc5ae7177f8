//! [`Feed`]: the engine's events as items.

use chrono::{DateTime, FixedOffset, SecondsFormat};

use super::charge::Charge;
use super::entry::{Entry, Next};
use super::item::{Item, VERSION};
use super::judged::Judged;
use super::news::{Expected, Live, MeterWord, News, Soaking, Way};
use super::progress::Progress;
use crate::engine::judge::capacitor::{Direction, SoakReport};
use crate::engine::judge::discharge::CAUTION;
use crate::engine::meter::Shown;
use crate::engine::parts::{Choice, Part};
use crate::engine::quantity::{Quantity, Stamp};
use crate::engine::sitting::{Event, LinkNews, MeterNews, Plan, Summary, Tally, What};
use crate::views::screen::{Line, Mood, line, with_meter};

/// How much of what comes is told.
const NEXT: usize = 3;

/// Translates the events of one sitting, in order. A reading becomes an item without any text.
#[derive(Debug, Clone)]
pub struct Feed {
    id: u64,
    tally: Tally,
    first_in_hand: Option<Stamp>,
    last_verdict: Option<Stamp>,
}

impl Feed {
    /// The feed of a sitting by that plan for the job of that title, begun at that time by the wall clock; and its first item.
    pub fn begin(plan: &Plan, title: &str, began: DateTime<FixedOffset>) -> (Self, Item) {
        let mut feed = Self {
            id: 0,
            tally: Tally::of(plan),
            first_in_hand: None,
            last_verdict: None,
        };
        let news = News::Begun {
            title: title.to_owned(),
            began: began.to_rfc3339_opts(SecondsFormat::Secs, false),
            profile: plan.profile().name().to_owned(),
            parts: feed.tally.summary().parts,
            entries: plan.parts().len(),
        };
        let item = feed.item(Stamp::ZERO, news, None);
        (feed, item)
    }

    /// Takes in an event; `say` gets its items: one, and a second one where it changes how far the sitting is.
    pub fn hear(&mut self, event: &Event, plan: &Plan, say: &mut impl FnMut(Item)) {
        let counts = self.tally.hear(&event.what);
        match event.what {
            What::InHand(_) | What::ToSoak(_) => {
                self.first_in_hand.get_or_insert(event.at);
            }
            What::Judged(_) => self.last_verdict = Some(event.at),
            _ => {}
        }
        let news = self.news(&event.what, plan, event);
        say(self.item(event.at, news, line(event, plan)));
        if counts {
            let progress = self.progress(&self.tally.summary());
            say(self.item(event.at, News::Progress(progress), None));
        }
    }

    fn item(&mut self, at: Stamp, news: News, line: Option<Line>) -> Item {
        self.id += 1;
        let (line, mood) = match line {
            Some(Line { text, mood }) => (Some(text), mood),
            None => (None, Mood::Plain),
        };
        Item {
            version: VERSION,
            id: self.id,
            at_us: at.micros(),
            news,
            line,
            mood,
        }
    }

    fn progress(&self, summary: &Summary) -> Progress {
        let seconds = self
            .first_in_hand
            .zip(self.last_verdict)
            .map(|(first, last)| last.since(first).as_secs_f64());
        Progress::of(summary, seconds)
    }

    fn next(&self, entry: usize, plan: &Plan) -> Vec<Next> {
        self.tally
            .following(entry)
            .take(NEXT)
            .map(|entry| Next::of(&plan.parts()[entry]))
            .collect()
    }

    fn news(&self, what: &What, plan: &Plan, event: &Event) -> News {
        let title = |entry: usize| plan.parts()[entry].title();
        match what {
            What::MayBeCharged(index) => {
                News::MayBeCharged(Charge::of(&plan.may_hold_charge()[*index]))
            }
            What::ChargeCaution => News::ChargeCaution {
                text: CAUTION.to_owned(),
            },
            What::InHand(index) => News::InHand {
                entry: entry(*index, plan),
                next: self.next(*index, plan),
            },
            What::NothingLeft => News::NothingLeft,
            What::ToDischarge(index) => News::ToDischarge {
                entry: to_discharge(*index, plan),
            },
            What::AcrossCapacitor {
                capacitor,
                volts,
                discharged,
            } => News::AcrossCapacitor {
                title: plan.charged()[*capacitor].title(),
                volts: *volts,
                discharged: *discharged,
            },
            What::ToSoak(index) => self.to_soak(*index, plan),
            What::SoakBegun { part, volts } => News::SoakBegun {
                title: title(*part),
                volts: *volts,
            },
            What::Soaking { part, report } => News::Soaking(soaking(title(*part), report)),
            What::SoakMissed(part) => News::SoakMissed {
                title: title(*part),
            },
            What::Overridden { reason } => News::Overridden {
                reason: reason.clone(),
            },
            What::AwaitingZero
            | What::AwaitingApart
            | What::Zeroed { .. }
            | What::NotZeroed
            | What::ZeroLater
            | What::Fixture { .. }
            | What::NoFixture => leads(what),
            What::Signalled(signal) => News::Signalled {
                signal: signal.name().to_owned(),
            },
            What::Reading {
                quantity,
                shown,
                touching,
            } => News::Reading(live(*quantity, *shown, *touching)),
            What::Contact => News::Contact,
            What::Judged(record) => News::Judged(Box::new(Judged::of(record))),
            What::Restless { part, value } => News::Restless {
                title: title(*part),
                value: *value,
                quantity: plan.parts()[*part].measured(),
            },
            What::Unsettled {
                part,
                seconds,
                readings,
            } => News::Unsettled {
                title: title(*part),
                seconds: *seconds,
                readings: *readings,
            },
            What::Lifted => News::Lifted,
            What::AwaitingOpen(part) => News::AwaitingOpen {
                title: title(*part),
            },
            What::Skipped(part) => News::Skipped {
                title: title(*part),
            },
            What::Noted { part, text } => News::Noted {
                title: part.map(title),
                text: text.clone(),
            },
            What::Decided {
                part,
                choice,
                reason,
            } => decided(&plan.parts()[*part], *choice, reason),
            What::Refused { command, why } => News::Refused {
                command: command.to_string(),
                why: why.words().to_owned(),
            },
            What::Link { meter, news } => link(news, further(*meter, plan)),
            What::Meter {
                meter: number,
                news,
            } => meter(news, further(*number, plan), event, plan),
            What::Ended(summary) => News::Ended(self.progress(summary)),
        }
    }

    fn to_soak(&self, index: usize, plan: &Plan) -> News {
        let test = plan.leakage(index);
        let read_after = test.map(|test| test.limit.read_after.duration());
        News::ToSoak {
            entry: entry(index, plan),
            next: self.next(index, plan),
            test: test
                .map(crate::engine::judge::LeakageTest::words)
                .unwrap_or_default(),
            volts: test.map_or(0.0, |test| test.volts),
            read_after_s: read_after.unwrap_or_default().as_secs_f64(),
        }
    }
}

fn entry(index: usize, plan: &Plan) -> Box<Entry> {
    let parts = plan.parts();
    let entry = Entry::of(&parts[index], index + 1, parts.len());
    naming_meter(entry, plan, parts[index].measured())
}

/// A decision is about the whole part, whichever of its entries was measured.
fn decided(part: &Part, choice: Choice, reason: &str) -> News {
    News::Decided {
        designator: part.designator.clone(),
        choice: choice.name().to_owned(),
        reason: reason.to_owned(),
    }
}

fn to_discharge(index: usize, plan: &Plan) -> Box<Entry> {
    let charged = plan.charged();
    let entry = Entry::to_discharge(&charged[index], index + 1, charged.len());
    naming_meter(entry, plan, Quantity::Voltage)
}

/// The entry with the meter that is to be taken, where there are several.
fn naming_meter(mut entry: Entry, plan: &Plan, quantity: Quantity) -> Box<Entry> {
    entry.what += &with_meter(plan, quantity);
    Box::new(entry)
}

fn live(quantity: Quantity, shown: Shown, touching: bool) -> Live {
    let value = match shown {
        Shown::Value(value) => Some(value),
        Shown::Overload | Shown::NotANumber => None,
    };
    Live {
        quantity,
        value,
        overload: shown == Shown::Overload,
        touching,
    }
}

fn soaking(title: String, report: &SoakReport) -> Soaking {
    let trend = report.trend.map(|trend| match trend.direction {
        Direction::Falling => "falling",
        Direction::Level => "level",
        Direction::Rising => "rising",
    });
    let expected = report.forecast.and_then(Result::ok);
    Soaking {
        title,
        elapsed_s: report.elapsed.as_secs_f64(),
        ampere: report.latest_ampere,
        trend: trend.map(str::to_owned),
        expected: expected.map(|forecast| Expected {
            after_s: forecast.after.as_secs_f64(),
            low: forecast.low_ampere,
            high: forecast.high_ampere,
        }),
        verdict: report.verdict,
        reason: report.reason.words().to_owned(),
    }
}

/// The name of a meter that is not the first.
fn further(meter: usize, plan: &Plan) -> Option<String> {
    (meter > 0).then(|| plan.meters()[meter].name().to_owned())
}

fn link(news: &LinkNews, meter: Option<String>) -> News {
    let (way, reason) = match news {
        LinkNews::Up => (Way::Up, None),
        LinkNews::Lost { reason } => (Way::Lost, Some(reason.clone())),
    };
    News::Link { way, reason, meter }
}

/// News of the leads.
fn leads(what: &What) -> News {
    match *what {
        What::AwaitingZero => News::AwaitingZero,
        What::AwaitingApart => News::AwaitingApart,
        What::ZeroLater => News::ZeroLater,
        What::Zeroed {
            ohms,
            standard_uncertainty,
        } => News::Zeroed {
            ohms,
            uncertainty: 2.0 * standard_uncertainty,
        },
        What::Fixture {
            farads,
            ohms,
            hertz,
        } => News::Fixture {
            farads,
            ohms,
            hertz,
        },
        What::NoFixture => News::NoFixture,
        _ => News::NotZeroed,
    }
}

fn meter(news: &MeterNews, meter: Option<String>, event: &Event, plan: &Plan) -> News {
    let state = match news {
        MeterNews::Identified(name) => {
            return News::Meter {
                state: MeterWord::Identified,
                text: name.clone(),
                meter,
            };
        }
        MeterNews::WrongMeter { .. } => MeterWord::WrongMeter,
        MeterNews::Trouble { .. } => MeterWord::Trouble,
        MeterNews::NotUnderstood(_) => MeterWord::NotUnderstood,
        MeterNews::Silent => MeterWord::Silent,
        MeterNews::Answering => MeterWord::Answering,
        MeterNews::WrongQuantity { .. } => MeterWord::WrongQuantity,
        MeterNews::CannotMeasure(_) => MeterWord::CannotMeasure,
    };
    News::Meter {
        state,
        text: line(event, plan).map(|line| line.text).unwrap_or_default(),
        meter,
    }
}
