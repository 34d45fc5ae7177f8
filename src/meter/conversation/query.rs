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

use std::sync::Arc;
use std::time::Duration;

use super::mismatch::Mismatch;
use super::outgoing::Outgoing;
use super::timer::{Alarm, Timer};
use super::{Ear, Heard};
use crate::meter::{
    DeviceError, Function, Line, Number, Profile, Reading, Reply, ReplyError, Unit,
};
use crate::quantity::{Quantity, Stamp};

/// The growing patience with a meter that does not identify itself ends here.
const MOST_PATIENCE: Duration = Duration::from_secs(5);
/// An error queue that is not empty after so many answers is left alone until the next time.
const MOST_ERRORS: u8 = 20;

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

/// Whether the meter's error queue is read before the next question.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Queue {
    /// It need not be read.
    Done,
    /// It has to be read.
    Due,
    /// It did not answer, and is not asked again before the link was down.
    Mute,
}

#[derive(Debug, Clone)]
pub(super) struct Query {
    profile: Arc<Profile>,
    state: State,
    alarm: Option<Alarm>,
    outgoing: Outgoing,
    wanted: Option<Quantity>,
    /// What the meter was set up for; `None` if that is not known.
    set_up: Option<Quantity>,
    /// The most identifications that may still come.
    owed: u32,
    /// The most identifications that may still come before the answer to the last other question.
    stale: u32,
    /// When the unanswered question was asked.
    asked_at: Stamp,
    silent: bool,
    identity: String,
    /// The last line that could be the identification of another meter.
    stranger: String,
    /// It was said that the meter is another one.
    wrong_meter: bool,
    /// A question was asked since the last portion of bytes came in: what follows in this portion cannot be its answer.
    asked_just_now: bool,
    queue: Queue,
    mismatch: Mismatch,
}

impl Query {
    pub(super) fn new(profile: Arc<Profile>) -> Self {
        Self {
            state: State::Down,
            alarm: None,
            outgoing: Outgoing::new(profile.line().ending),
            wanted: None,
            set_up: None,
            owed: 0,
            stale: 0,
            asked_at: Stamp::ZERO,
            silent: false,
            identity: String::new(),
            stranger: String::new(),
            wrong_meter: false,
            asked_just_now: false,
            queue: Queue::Done,
            mismatch: Mismatch::None,
            profile,
        }
    }

    pub(super) const fn wanted(&self) -> Option<Quantity> {
        self.wanted
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
            self.wake(Timer::Quiet, self.profile.timing().answer_within, now);
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
                heard(Heard::Garbled { at: now, bytes });
                self.spoilt(now);
            }
            Line::TooLong => {
                heard(Heard::TooLong { at: now });
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
            .identify()
            .is_some_and(|identify| identify.answers(line))
        {
            self.identified(line, now, heard);
            return;
        }
        if self.asked_just_now {
            heard(Heard::NotUnderstood {
                at: now,
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
            State::Identifying { .. } => self.before_identification(line, now, heard),
            State::Quieting | State::Pausing | State::Idle => late_error(line, now, heard),
            State::Down => {}
        }
    }

    /// Some meters send every command back.
    fn is_echo(&self, line: &str) -> bool {
        let profile = &self.profile;
        profile
            .identify()
            .is_some_and(|identify| identify.query == line)
            || profile.errors().is_some_and(|errors| errors.query == line)
            || profile.functions().any(|(_, function)| {
                function.query() == line || function.setup().iter().any(|c| c == line)
            })
    }

    // Finding the place again.

    /// Believes nothing until everything older has certainly come.
    fn resynchronise(&mut self, now: Stamp) {
        let patience = self.profile.timing().answer_within;
        if self.profile.identify().is_some() {
            self.state = State::Identifying {
                missing: self.stale.saturating_add(1),
                patience,
            };
            self.asked_at = now;
            self.ask_identification(patience, now);
        } else {
            self.state = State::Quieting;
            self.wake(Timer::Quiet, patience, now);
        }
    }

    fn ask_identification(&mut self, patience: Duration, now: Stamp) {
        let profile = Arc::clone(&self.profile);
        if let Some(identify) = profile.identify() {
            self.stranger.clear();
            self.outgoing.clear();
            self.outgoing.push(&identify.query);
            self.owed = self.owed.saturating_add(1);
            self.wake(Timer::Identification, patience, now);
        }
    }

    fn identify_again(&mut self, now: Stamp, heard: Ear<'_>) {
        if self.stranger.is_empty() {
            self.say_silent(now, heard);
        } else {
            self.say_wrong_meter(now, heard);
        }
        if let State::Identifying { patience, .. } = &mut self.state {
            *patience = (*patience * 2).min(MOST_PATIENCE.max(*patience));
            let patience = *patience;
            self.ask_identification(patience, now);
        }
    }

    fn identified(&mut self, line: &str, now: Stamp, heard: Ear<'_>) {
        self.owed = self.owed.saturating_sub(1);
        match &mut self.state {
            State::Identifying { missing, patience } => {
                *missing -= 1;
                if *missing == 0 {
                    self.remember_identity(line, now, heard);
                    self.in_step(now, heard);
                } else {
                    let patience = *patience;
                    self.ask_identification(patience, now);
                }
            }
            State::Asked { .. } | State::ReadingErrors { .. } => {
                self.stale = self.stale.saturating_sub(1);
            }
            State::Down | State::Quieting | State::Pausing | State::Idle => {}
        }
    }

    fn remember_identity(&mut self, line: &str, now: Stamp, heard: Ear<'_>) {
        self.wrong_meter = false;
        if self.identity != line {
            line.clone_into(&mut self.identity);
            heard(Heard::Identified {
                at: now,
                text: line,
            });
        }
    }

    /// An old answer is dropped; what is neither a number nor an error text may be the identification of another meter.
    fn before_identification(&mut self, line: &str, now: Stamp, heard: Ear<'_>) {
        let sentinels = self.profile.sentinels();
        if Number::scan(line.as_bytes()).is_ok() || sentinels.word(line.as_bytes()).is_some() {
            late_error(line, now, heard);
        } else {
            line.clone_into(&mut self.stranger);
        }
    }

    /// The right identification did not come in time; another one did.
    fn say_wrong_meter(&mut self, now: Stamp, heard: Ear<'_>) {
        if !std::mem::replace(&mut self.wrong_meter, true) {
            let expected = self
                .profile
                .identify()
                .and_then(|identify| identify.expect.as_deref());
            heard(Heard::WrongMeter {
                at: now,
                answer: &self.stranger,
                expected,
            });
        }
    }

    /// Everything that was asked before has come or never will.
    fn in_step(&mut self, now: Stamp, heard: Ear<'_>) {
        self.stale = 0;
        if self.wanted.is_none() && self.profile.identify().is_some() {
            self.say_answering(now, heard);
        }
        self.go_on(now);
    }

    // Asking.

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
        for command in function.setup() {
            self.outgoing.push(command);
        }
        self.set_up = Some(quantity);
        let wanted = self
            .profile
            .errors()
            .is_some_and(|errors| errors.after_setup);
        self.read_errors_next(wanted && !function.setup().is_empty());
    }

    fn read_errors_next(&mut self, wanted: bool) {
        if wanted && self.queue != Queue::Mute {
            self.queue = Queue::Due;
        }
    }

    fn ask_errors(&mut self, read: u8, now: Stamp) {
        let profile = Arc::clone(&self.profile);
        if let Some(errors) = profile.errors() {
            self.outgoing.push(&errors.query);
            self.state = State::ReadingErrors { read };
            self.await_answer(now);
        }
    }

    fn ask(&mut self, quantity: Quantity, function: &Function, now: Stamp) {
        self.outgoing.push(function.query());
        self.state = State::Asked {
            quantity,
            wanted_still: true,
        };
        self.await_answer(now);
    }

    fn await_answer(&mut self, now: Stamp) {
        self.stale = self.owed;
        self.asked_just_now = true;
        self.asked_at = now;
        self.wake(Timer::Answer, self.profile.timing().answer_within, now);
    }

    // Answers.

    fn answer(
        &mut self,
        line: &str,
        quantity: Quantity,
        wanted_still: bool,
        now: Stamp,
        heard: Ear<'_>,
    ) {
        if DeviceError::recognise(line).is_some() {
            late_error(line, now, heard);
            return;
        }
        let Some(function) = self.profile.function(quantity) else {
            return;
        };
        match Reply::parse(line.as_bytes(), function.fields(), self.profile.sentinels()) {
            Ok(reply) => self.reply(&reply, quantity, wanted_still, now, heard),
            Err(why) => {
                heard(Heard::NotUnderstood { at: now, line, why });
                self.spoilt(now);
            }
        }
    }

    fn reply(
        &mut self,
        reply: &Reply,
        quantity: Quantity,
        wanted_still: bool,
        now: Stamp,
        heard: Ear<'_>,
    ) {
        self.nothing_owed();
        self.say_answering(now, heard);
        if wanted_still {
            self.reading(reply, quantity, now, heard);
        }
        let pause = self.profile.timing().pause;
        if pause.is_zero() || !wanted_still {
            self.go_on(now);
        } else {
            self.state = State::Pausing;
            self.wake(Timer::Pause, pause, now);
        }
    }

    /// The expected answer came, and answers come in order: an identification that has not come by now never will.
    fn nothing_owed(&mut self) {
        self.owed = 0;
        self.stale = 0;
    }

    fn reading(&mut self, reply: &Reply, quantity: Quantity, now: Stamp, heard: Ear<'_>) {
        let arriving = match reply.unit {
            Unit::Unsaid => Some(quantity),
            Unit::Of { quantity, .. } => Some(quantity),
            Unit::Foreign => None,
        };
        if arriving == Some(quantity) {
            self.mismatch = Mismatch::None;
            heard(Heard::Reading(Reading {
                at: now,
                quantity,
                shown: reply.shown,
                second: reply.second,
            }));
            return;
        }
        self.set_up = None;
        if self.mismatch.is_news(arriving) {
            heard(Heard::WrongQuantity {
                at: now,
                wanted: quantity,
                arriving,
            });
        }
    }

    fn error_answer(&mut self, line: &str, read: u8, now: Stamp, heard: Ear<'_>) {
        let Ok(error) = DeviceError::parse(line) else {
            self.spoilt(now);
            return;
        };
        self.nothing_owed();
        if error.is_none() || read >= MOST_ERRORS {
            self.go_on(now);
        } else {
            heard(Heard::DeviceError {
                at: now,
                code: error.code,
                text: &error.text,
            });
            self.ask_errors(read + 1, now);
        }
    }

    /// The line that was waited for may have been this one: find the place again.
    fn spoilt(&mut self, now: Stamp) {
        if matches!(
            self.state,
            State::Asked { .. } | State::ReadingErrors { .. }
        ) {
            self.resynchronise(now);
        }
    }

    /// The meter may have been switched off and on: it is set up anew.
    fn timed_out(&mut self, now: Stamp, heard: Ear<'_>) {
        self.say_silent(now, heard);
        if matches!(self.state, State::ReadingErrors { .. }) {
            self.queue = Queue::Mute;
        }
        let wanted = self
            .profile
            .errors()
            .is_some_and(|errors| errors.after_timeout);
        self.read_errors_next(wanted);
        self.set_up = None;
        self.resynchronise(now);
    }

    // Silence.

    fn say_silent(&mut self, now: Stamp, heard: Ear<'_>) {
        if !std::mem::replace(&mut self.silent, true) {
            heard(Heard::Silent {
                at: now,
                since: self.asked_at,
            });
        }
    }

    fn say_answering(&mut self, now: Stamp, heard: Ear<'_>) {
        if std::mem::take(&mut self.silent) {
            heard(Heard::Answering { at: now });
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
fn late_error(line: &str, now: Stamp, heard: Ear<'_>) {
    if let Some(error) = DeviceError::recognise(line).filter(|error| !error.is_none()) {
        heard(Heard::DeviceError {
            at: now,
            code: error.code,
            text: &error.text,
        });
    }
}
