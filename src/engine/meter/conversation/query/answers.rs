//! What the answers to the questions say.

use super::{Ear, Heard, Mismatch, Query, State, Timer, late_error};
use crate::engine::meter::{DeviceError, Reading, Reply, Unit};
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
                at: now,
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
                    at: now,
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
            .is_some_and(|function| !function.setup().is_empty());
        let doubt = std::mem::take(&mut self.doubt);
        match self.set_up.filter(|_| doubt.errors_came && had_setup) {
            Some(quantity) if doubt.repeated && self.wanted == Some(quantity) => {
                self.wanted = None;
                self.set_up = None;
                self.state = State::Idle;
                self.alarm = None;
                heard(Heard::Refused { at: now, quantity });
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
