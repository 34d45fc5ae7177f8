//! The answers to the questions, and finding the place in the exchange again: identification, or a quiet line.

use std::sync::Arc;
use std::time::Duration;

use super::{Alarm, Ear, Heard, Mismatch, Query, Queue, State, Timer, late_error};
use crate::engine::meter::conversation::shown_by;
use crate::engine::meter::{DeviceError, Number, NumberError, Reading, Reply, Unit};
use crate::engine::quantity::{Quantity, Stamp};

/// An error queue that is not empty after so many answers is left alone until the next time.
const MOST_ERRORS: u8 = 20;

impl Query {
    pub(super) fn answer(
        &mut self,
        line: &str,
        quantity: Quantity,
        wanted_still: bool,
        now: Stamp,
        heard: Ear<'_>,
    ) {
        if DeviceError::recognise(line).is_some() {
            late_error(line, heard);
            return;
        }
        let Some(function) = self.profile.function(quantity) else {
            return;
        };
        let reply = Reply::parse(line.as_bytes(), &function.fields, &self.profile.sentinels);
        match reply.and_then(|reply| shown_by(function, reply)) {
            Ok(reply) => self.reply(&reply, quantity, wanted_still, now, heard),
            Err(why) => {
                heard(Heard::NotUnderstood { line, why });
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
        self.say_answering(heard);
        if wanted_still {
            self.reading(reply, quantity, now, heard);
        }
        let pause = self.profile.timing.pause;
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
            Unit::Degree | Unit::Radian | Unit::Foreign => None,
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
                wanted: quantity,
                arriving,
            });
        }
    }

    pub(super) fn error_answer(&mut self, line: &str, read: u8, now: Stamp, heard: Ear<'_>) {
        let Ok(error) = DeviceError::parse(line) else {
            self.spoilt(now);
            return;
        };
        self.nothing_owed();
        if error.is_none() || read >= MOST_ERRORS {
            self.errors_read(now, heard);
        } else {
            self.doubt.errors_came = true;
            if !self.doubt.repeated {
                heard(Heard::DeviceError {
                    code: error.code,
                    text: &error.text,
                });
            }
            self.ask_errors(read + 1, now);
        }
    }

    /// The error queue is empty. Errors may be older than the set-up, so it is repeated once; if they come again, it was refused.
    fn errors_read(&mut self, now: Stamp, heard: Ear<'_>) {
        let had_setup = self
            .set_up
            .and_then(|quantity| self.profile.function(quantity))
            .is_some_and(|function| !function.setup.is_empty());
        let doubt = std::mem::take(&mut self.doubt);
        match self.set_up.filter(|_| doubt.errors_came && had_setup) {
            Some(quantity) if doubt.repeated && self.wanted == Some(quantity) => {
                self.wanted = None;
                self.set_up = None;
                self.state = State::Idle;
                self.alarm = None;
                heard(Heard::Refused { quantity });
                return;
            }
            Some(_) => {
                self.set_up = None;
                self.doubt.repeated = true;
            }
            None => {}
        }
        self.go_on(now);
    }
}

/// The growing patience with a meter that does not identify itself ends here.
const MOST_PATIENCE: Duration = Duration::from_secs(5);

impl Query {
    /// Believes nothing until everything older has certainly come.
    pub(super) fn resynchronise(&mut self, now: Stamp) {
        let patience = self.profile.timing.answer_within;
        if self.profile.identify.as_ref().is_some() {
            self.state = State::Identifying {
                missing: self.stale.saturating_add(1),
                patience,
            };
            self.ask_identification(patience, now);
        } else {
            self.state = State::Quieting;
            self.wake(Timer::Quiet, patience, now);
        }
    }

    fn ask_identification(&mut self, patience: Duration, now: Stamp) {
        let profile = Arc::clone(&self.profile);
        if let Some(identify) = profile.identify.as_ref() {
            self.stranger.clear();
            self.outgoing.clear();
            self.outgoing.push(&identify.query);
            self.owed = self.owed.saturating_add(1);
            self.wake(Timer::Identification, patience, now);
        }
    }

    pub(super) fn identify_again(&mut self, now: Stamp, heard: Ear<'_>) {
        if self.stranger.is_empty() {
            self.say_silent(heard);
        } else {
            self.say_wrong_meter(heard);
        }
        self.distrust_setup();
        if let State::Identifying { patience, .. } = &mut self.state {
            *patience = (*patience * 2).min(MOST_PATIENCE.max(*patience));
            let patience = *patience;
            self.ask_identification(patience, now);
        }
    }

    pub(super) fn identified(&mut self, line: &str, now: Stamp, heard: Ear<'_>) {
        self.owed = self.owed.saturating_sub(1);
        match &mut self.state {
            State::Identifying { missing, patience } => {
                *missing -= 1;
                if *missing == 0 {
                    self.remember_identity(line, heard);
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

    fn remember_identity(&mut self, line: &str, heard: Ear<'_>) {
        self.wrong_meter = false;
        if self.identity != line {
            line.clone_into(&mut self.identity);
            heard(Heard::Identified { text: line });
        }
    }

    /// An old answer is dropped; what is neither an error text nor begins like a reading may be the identification of another
    /// meter. Two answers that lost the line end between them begin like one, although their number cannot be read.
    pub(super) fn before_identification(&mut self, line: &str, heard: Ear<'_>) {
        let sentinels = &self.profile.sentinels;
        let begins_like_a_reading =
            !matches!(Number::scan(line.as_bytes()), Err(NumberError::NoDigits));
        if begins_like_a_reading || sentinels.word(line.as_bytes()).is_some() {
            late_error(line, heard);
        } else {
            line.clone_into(&mut self.stranger);
        }
    }

    /// The right identification did not come in time; another one did.
    fn say_wrong_meter(&mut self, heard: Ear<'_>) {
        if !std::mem::replace(&mut self.wrong_meter, true) {
            let expected = self
                .profile
                .identify
                .as_ref()
                .and_then(|identify| identify.expect.as_deref());
            heard(Heard::WrongMeter {
                answer: &self.stranger,
                expected,
            });
        }
    }

    /// Everything that was asked before has come or never will.
    pub(super) fn in_step(&mut self, now: Stamp, heard: Ear<'_>) {
        self.stale = 0;
        if self.wanted.is_none() && self.profile.identify.as_ref().is_some() {
            self.say_answering(heard);
        }
        self.go_on(now);
    }

    /// The line that was waited for may have been this one: find the place again.
    pub(in crate::engine::meter::conversation) fn spoilt(&mut self, now: Stamp) {
        if self.awaits_answer() {
            self.resynchronise(now);
        }
    }

    /// A question for a reading, or to the error queue, was not answered in time.
    pub(super) fn timed_out(&mut self, now: Stamp, heard: Ear<'_>) {
        self.say_silent(heard);
        if matches!(self.state, State::ReadingErrors { .. }) {
            self.queue = Queue::Mute;
        }
        self.distrust_setup();
        self.resynchronise(now);
    }

    /// Passes over whole rounds of a silence, of which each leaves everything as it was, but later and with one more
    /// identification owed.
    pub(in crate::engine::meter::conversation) fn pass_silence(&mut self, now: Stamp) {
        let Some(alarm) = self.alarm.filter(|alarm| self.silent && alarm.at < now) else {
            return;
        };
        let waited = self.profile.timing.answer_within;
        // Whether the error queue is asked between two questions for a reading.
        let errors = self.profile.errors.as_ref();
        let asks_errors = self.queue != Queue::Mute
            && errors.is_some_and(|errors| errors.after_setup || errors.after_timeout);
        let round = match (self.state, alarm.timer) {
            (State::Identifying { patience, .. }, Timer::Identification)
                if self.stranger.is_empty() && patience >= MOST_PATIENCE.max(waited) =>
            {
                patience
            }
            (
                State::Asked {
                    quantity,
                    wanted_still: true,
                },
                Timer::Answer,
            ) if self.profile.identify.is_none()
                && !asks_errors
                && self.wanted == Some(quantity) =>
            {
                waited * 2
            }
            _ => return,
        };
        let round_micros = u64::try_from(round.as_micros()).unwrap_or(u64::MAX).max(1);
        let rounds = (now.micros() - alarm.at.micros()) / round_micros;
        let passed = rounds * round_micros;
        let later = |stamp: Stamp| Stamp::from_micros(stamp.micros() + passed);
        self.alarm = Some(Alarm {
            at: later(alarm.at),
            ..alarm
        });
        if alarm.timer == Timer::Identification {
            self.owed = self
                .owed
                .saturating_add(u32::try_from(rounds).unwrap_or(u32::MAX));
        }
    }

    /// After a time-out: the meter may have been switched off and on, so it is set up anew.
    fn distrust_setup(&mut self) {
        self.set_up = None;
        let wanted = self
            .profile
            .errors
            .as_ref()
            .is_some_and(|errors| errors.after_timeout);
        self.read_errors_next(wanted);
    }
}
