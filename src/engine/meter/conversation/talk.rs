//! [`Talk`]: listening to a meter that sends by itself.

use std::sync::Arc;

use super::Mismatch;
use super::{Alarm, Timer};
use super::{Ear, Heard, shown_by};
use crate::engine::meter::{Line, Profile, Reading, Reply, ReplyError, Shown, Unit};
use crate::engine::quantity::{Quantity, Stamp};

#[derive(Debug, Clone)]
pub(super) struct Talk {
    profile: Arc<Profile>,
    wanted: Option<Quantity>,
    alarm: Option<Alarm>,
    silent: bool,
    mismatch: Mismatch,
    /// Of what the latest line was a reading, since the link is up.
    latest: Option<Quantity>,
}

impl Talk {
    pub(super) const fn new(profile: Arc<Profile>) -> Self {
        Self {
            profile,
            wanted: None,
            alarm: None,
            silent: false,
            mismatch: Mismatch::None,
            latest: None,
        }
    }

    pub(super) fn deadline(&self) -> Option<Stamp> {
        self.alarm.map(|alarm| alarm.at)
    }

    pub(super) fn link_up(&mut self, now: Stamp) {
        self.silent = false;
        self.mismatch = Mismatch::None;
        self.latest = None;
        self.alive(now);
    }

    pub(super) const fn link_lost(&mut self) {
        self.alarm = None;
    }

    pub(super) fn measure(&mut self, quantity: Quantity) {
        if self.wanted != Some(quantity) {
            self.wanted = Some(quantity);
            self.mismatch = Mismatch::None;
        }
    }

    pub(super) fn tick(&mut self, now: Stamp, heard: Ear<'_>) {
        if Alarm::take_due(&mut self.alarm, now).is_some() {
            self.silent = true;
            heard(Heard::Silent);
        }
    }

    pub(super) fn line(&mut self, line: Line<'_>, now: Stamp, heard: Ear<'_>) {
        self.alive(now);
        if std::mem::take(&mut self.silent) {
            heard(Heard::Answering);
        }
        match line {
            Line::Garbled(bytes) => heard(Heard::Garbled { bytes }),
            Line::TooLong => heard(Heard::TooLong),
            Line::Text(text) => match self.reply(text) {
                Ok((reply, arriving)) => {
                    self.latest = arriving;
                    self.reading(&reply, arriving, now, heard);
                }
                Err(why) => heard(Heard::NotUnderstood { line: text, why }),
            },
        }
    }

    /// A line arrived, or the link came up.
    fn alive(&mut self, now: Stamp) {
        self.alarm = Some(Alarm {
            timer: Timer::Silence,
            at: now.after(self.profile.timing.silent_after),
        });
    }

    /// The reply, and what it is a reply about: `None` for something that the program does not measure.
    fn reply(&self, line: &str) -> Result<(Reply, Option<Quantity>), ReplyError> {
        let wanted = self
            .wanted
            .and_then(|quantity| self.profile.function(quantity));
        let Some(function) = wanted.or_else(|| {
            self.profile
                .functions()
                .next()
                .map(|(_, function)| function)
        }) else {
            return Err(ReplyError::WhichQuantity);
        };
        let reply = Reply::parse(line.as_bytes(), &function.fields, &self.profile.sentinels)?;
        let arriving = match reply.unit {
            Unit::Of { quantity, .. } => Some(quantity),
            Unit::Degree | Unit::Radian | Unit::Foreign => None,
            // Many meters say no unit beside an overload: it is of the function that was read last.
            Unit::Unsaid => Some(
                self.profile
                    .only_quantity()
                    .or_else(|| self.latest.filter(|_| reply.shown == Shown::Overload))
                    .ok_or(ReplyError::WhichQuantity)?,
            ),
        };
        let function = arriving.and_then(|quantity| self.profile.function(quantity));
        let reply = function.map_or(Ok(reply), |function| shown_by(function, reply))?;
        Ok((reply, arriving))
    }

    fn reading(&mut self, reply: &Reply, arriving: Option<Quantity>, now: Stamp, heard: Ear<'_>) {
        let Some(wanted) = self.wanted else { return };
        if arriving == Some(wanted) {
            self.mismatch = Mismatch::None;
            heard(Heard::Reading(Reading {
                at: now,
                quantity: wanted,
                shown: reply.shown,
                second: reply.second,
            }));
        } else if self.mismatch.is_news(arriving) {
            heard(Heard::WrongQuantity { wanted, arriving });
        }
    }
}
