//! [`Query`]: asking a meter for each reading.
//!
//! # An answer is never taken for the answer to a later question
//! A meter answers in order, but an answer may come after its time-out, or never. So after a time-out, after a line that was not
//! understood and when the link comes up, nothing is believed until the meter has identified itself in answer to a
//! question that was certainly asked later: an identification cannot be mistaken for a reading.
//!
//! Identifications may be late or lost as well. `owed` is the most of them that may still come; `stale` is what
//! `owed` was when the last other question was asked. Once `stale + 1` identifications have come since, at least one of them was asked for
//! after that question, and so everything up to it has come or never will. Lost ones only make it ask once more.
//!
//! A meter without identification is given a quiet time instead, which is weaker: an answer later than that is taken for the next one.

mod answers;

use std::sync::Arc;
use std::time::Duration;

use super::{Alarm, Ear, Heard, Mismatch, Outgoing, Timer};
use crate::engine::meter::{DeviceError, Function, Line, Profile, ReplyError};
use crate::engine::quantity::{Quantity, Stamp};

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum State {
    /// The link is down.
    Down,
    /// Waiting for so many more identifications.
    Identifying { missing: u32, patience: Duration },
    /// Waiting for a quiet line.
    Quieting,
    /// The error queue was asked; so many of its entries were read.
    ReadingErrors { read: u8 },
    /// A reading was asked for. Its answer is dropped if something else was wanted meanwhile.
    Asked {
        quantity: Quantity,
        wanted_still: bool,
    },
    /// Between an answer and the next question.
    Pausing,
    /// Nothing is wanted.
    Idle,
}

/// Need to read the meter's error queue before the next question.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Queue {
    /// Need not be read.
    Done,
    /// Has to be read.
    Due,
    /// Did not answer, and is not asked again before the link was down.
    Mute,
}

/// Outcome of the meter's set-up.
#[derive(Debug, Clone, Copy, Default)]
struct Doubt {
    /// The error queue that is being read had entries.
    errors_came: bool,
    /// The set-up is being repeated, because errors came behind it: they may have been old ones.
    repeated: bool,
}

#[derive(Debug, Clone)]
pub(super) struct Query {
    profile: Arc<Profile>,
    state: State,
    alarm: Option<Alarm>,
    outgoing: Outgoing,
    wanted: Option<Quantity>,
    /// Quantity the meter was set up for; `None` if that is not known.
    set_up: Option<Quantity>,
    /// The most identifications that may still come.
    owed: u32,
    /// The most identifications that may still come before the answer to the last other question.
    stale: u32,
    silent: bool,
    identity: String,
    /// The last line that could be the identification of another meter.
    stranger: String,
    /// It was said that the meter is another one.
    wrong_meter: bool,
    /// A question was asked since the last portion of bytes came in: what follows in this portion cannot be its answer.
    asked_just_now: bool,
    queue: Queue,
    doubt: Doubt,
    mismatch: Mismatch,
}

impl Query {
    pub(super) fn new(profile: Arc<Profile>) -> Self {
        Self {
            state: State::Down,
            alarm: None,
            outgoing: Outgoing::new(profile.line.ending),
            wanted: None,
            set_up: None,
            owed: 0,
            stale: 0,
            silent: false,
            identity: String::new(),
            stranger: String::new(),
            wrong_meter: false,
            asked_just_now: false,
            queue: Queue::Done,
            doubt: Doubt::default(),
            mismatch: Mismatch::None,
            profile,
        }
    }

    pub(super) fn deadline(&self) -> Option<Stamp> {
        self.alarm.map(|alarm| alarm.at)
    }

    pub(super) fn transmit(&mut self) -> Option<&[u8]> {
        self.outgoing.take()
    }

    pub(super) fn link_up(&mut self, now: Stamp) {
        self.silent = false;
        self.identity.clear();
        self.wrong_meter = false;
        self.queue = Queue::Done;
        self.doubt = Doubt::default();
        self.mismatch = Mismatch::None;
        self.set_up = None;
        self.resynchronise(now);
    }

    pub(super) fn link_lost(&mut self) {
        self.state = State::Down;
        self.alarm = None;
        self.outgoing.clear();
    }

    pub(super) fn measure(&mut self, quantity: Quantity, now: Stamp) {
        if self.wanted.replace(quantity) == Some(quantity) {
            return;
        }
        self.mismatch = Mismatch::None;
        match &mut self.state {
            State::Asked { wanted_still, .. } => *wanted_still = false,
            State::Pausing | State::Idle => self.go_on(now),
            State::Down
            | State::Identifying { .. }
            | State::Quieting
            | State::ReadingErrors { .. } => {}
        }
    }

    /// A portion of bytes arrived, whatever they are.
    pub(super) fn portion(&mut self, now: Stamp) {
        self.asked_just_now = false;
        if self.state == State::Quieting {
            self.wake(Timer::Quiet, self.profile.timing.answer_within, now);
        }
    }

    pub(super) fn tick(&mut self, now: Stamp, heard: Ear<'_>) {
        while let Some(Alarm { timer, at }) = Alarm::take_due(&mut self.alarm, now) {
            match timer {
                Timer::Answer => self.timed_out(at, heard),
                Timer::Identification => self.identify_again(at, heard),
                Timer::Quiet => self.in_step(at, heard),
                Timer::Pause => self.go_on(at),
                Timer::Silence => {}
            }
        }
    }

    pub(super) fn line(&mut self, line: Line<'_>, now: Stamp, heard: Ear<'_>) {
        match line {
            Line::Text(text) => self.text(text, now, heard),
            Line::Garbled(bytes) => {
                heard(Heard::Garbled { bytes });
                self.spoilt(now);
            }
            Line::TooLong => {
                heard(Heard::TooLong);
                self.spoilt(now);
            }
        }
    }

    fn text(&mut self, line: &str, now: Stamp, heard: Ear<'_>) {
        if self.is_echo(line) {
            return;
        }
        if self
            .profile
            .identify
            .as_ref()
            .is_some_and(|identify| identify.answers(line))
        {
            self.identified(line, now, heard);
            return;
        }
        if self.asked_just_now && self.awaits_answer() {
            heard(Heard::NotUnderstood {
                line,
                why: ReplyError::Unasked,
            });
            self.spoilt(now);
            return;
        }
        match self.state {
            State::ReadingErrors { read } => self.error_answer(line, read, now, heard),
            State::Asked {
                quantity,
                wanted_still,
            } => self.answer(line, quantity, wanted_still, now, heard),
            State::Identifying { .. } => self.before_identification(line, heard),
            State::Quieting | State::Pausing | State::Idle => late_error(line, heard),
            State::Down => {}
        }
    }

    /// Whether a question other than the identification is open.
    const fn awaits_answer(&self) -> bool {
        matches!(
            self.state,
            State::Asked { .. } | State::ReadingErrors { .. }
        )
    }

    /// Some meters send every command back.
    fn is_echo(&self, line: &str) -> bool {
        let profile = &self.profile;
        profile
            .identify
            .as_ref()
            .is_some_and(|identify| identify.query == line)
            || profile
                .errors
                .as_ref()
                .is_some_and(|errors| errors.query == line)
            || profile.functions().any(|(_, function)| {
                function.query == line || function.setup.iter().any(|c| c == line)
            })
    }

    fn say_silent(&mut self, heard: Ear<'_>) {
        if !std::mem::replace(&mut self.silent, true) {
            heard(Heard::Silent);
        }
    }

    fn say_answering(&mut self, heard: Ear<'_>) {
        if std::mem::take(&mut self.silent) {
            heard(Heard::Answering);
        }
    }

    fn wake(&mut self, timer: Timer, after: Duration, now: Stamp) {
        self.alarm = Some(Alarm {
            timer,
            at: now.after(after),
        });
    }
}

/// An answer of the error queue that comes late is still an entry that nobody else will read.
fn late_error(line: &str, heard: Ear<'_>) {
    if let Some(error) = DeviceError::recognise(line).filter(|error| !error.is_none()) {
        heard(Heard::DeviceError {
            code: error.code,
            text: &error.text,
        });
    }
}

impl Query {
    /// Sends whatever is next: set-up, the error queue's question, or the question for a reading.
    fn go_on(&mut self, now: Stamp) {
        let profile = Arc::clone(&self.profile);
        self.alarm = None;
        let Some((quantity, function)) = self.wanted.and_then(|q| Some((q, profile.function(q)?)))
        else {
            self.state = State::Idle;
            return;
        };
        if self.set_up != Some(quantity) {
            self.send_setup(quantity, function);
        }
        if self.queue == Queue::Due {
            self.queue = Queue::Done;
            self.ask_errors(0, now);
        } else {
            self.ask(quantity, function, now);
        }
    }

    fn send_setup(&mut self, quantity: Quantity, function: &Function) {
        for command in &function.setup {
            self.outgoing.push(command);
        }
        self.set_up = Some(quantity);
        let wanted = self
            .profile
            .errors
            .as_ref()
            .is_some_and(|errors| errors.after_setup);
        self.read_errors_next(wanted && !function.setup.is_empty());
    }

    fn read_errors_next(&mut self, wanted: bool) {
        if wanted && self.queue != Queue::Mute {
            self.queue = Queue::Due;
        }
    }

    fn ask_errors(&mut self, read: u8, now: Stamp) {
        let profile = Arc::clone(&self.profile);
        if let Some(errors) = profile.errors.as_ref() {
            self.outgoing.push(&errors.query);
            self.state = State::ReadingErrors { read };
            self.await_answer(now);
        }
    }

    fn ask(&mut self, quantity: Quantity, function: &Function, now: Stamp) {
        self.outgoing.push(&function.query);
        self.state = State::Asked {
            quantity,
            wanted_still: true,
        };
        self.await_answer(now);
    }

    fn await_answer(&mut self, now: Stamp) {
        self.stale = self.owed;
        self.asked_just_now = true;
        self.wake(Timer::Answer, self.profile.timing.answer_within, now);
    }
}
