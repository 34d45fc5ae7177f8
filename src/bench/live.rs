//! [`Live`]: a sitting with real links. `sit` and `demo` both run here; there is no other way from a port to a verdict.
//!
//! Everything that comes in is stamped, recorded, and only then handed to the engine.

use std::io;
use std::sync::mpsc::{Receiver, RecvTimeoutError};
use std::time::Instant;

use anyhow::{Context, Result};

use super::clock::Clock;
use super::intake::Room;
use super::link::{Link, LinkEvent, LinkMessage};
use super::recorded::hand_in;
use super::recording::{Event, LinkState, Seal, Writer};
use crate::engine::quantity::Stamp;
use crate::engine::sitting::{self, Command, Input, Sitting, What};
use crate::platform::LastingFile;

/// A message to the loop.
#[derive(Debug)]
pub(crate) enum Message {
    /// From the thread of the link to the meter of that number, with the room that it takes while it waits.
    Link(
        u16,
        LinkMessage,
        #[expect(dead_code, reason = "it is given back when the message is dropped")] Option<Room>,
    ),
    /// Bytes of that meter were passed over, up to an end of line: it sends faster than they are worked off.
    Missed(u16, u64),
    /// From keys, standard input, a signal or a script.
    Command(Command),
}

/// Outcome of a decision: it is written down, or not, for that reason.
pub(crate) type Outcome = std::result::Result<(), String>;

/// A sitting with everything around it.
pub(crate) struct Live<'a> {
    /// The clock that stamps.
    pub(crate) clock: Clock,
    pub(crate) sitting: Sitting,
    pub(crate) writer: Writer<LastingFile>,
    /// The links, each in the place of its meter's number.
    pub(crate) links: Vec<Link>,
    /// Is told every event, and says of a decision whether it is written down. A failure ends the sitting; a closed pipe ends it
    /// as the command `end` does.
    pub(crate) hear: &'a mut dyn FnMut(&sitting::Event) -> Result<Option<Outcome>>,
    /// The first failure of `hear`.
    pub(crate) failure: Option<anyhow::Error>,
    /// Tells the person what is no part of the sitting.
    pub(crate) remark: fn(&str),
}

/// Whether it is only that nobody reads what is printed any more.
fn is_closed_pipe(failure: &anyhow::Error) -> bool {
    let mut errors = failure
        .chain()
        .filter_map(|cause| cause.downcast_ref::<io::Error>());
    errors.any(|error| error.kind() == io::ErrorKind::BrokenPipe)
}

/// The outcome of a decision that nobody has taken on.
fn nobody_writes() -> Outcome {
    Err("nobody here writes decisions down".to_owned())
}

impl Live<'_> {
    /// Runs until the sitting ends, and seals the recording.
    ///
    /// # Errors
    /// If the recording or the results cannot be written. The recording then ends without a seal and reads back up to there.
    pub(crate) fn run(mut self, messages: &Receiver<Message>) -> Result<Seal> {
        let mut last = Stamp::ZERO;
        while !self.sitting.ended() {
            let (at, message) = self.wait(messages)?;
            last = last.max(at);
            self.take(last, message.as_ref())?;
            match self.failure.take() {
                None => {}
                // Nobody reads any more: the sitting ends as it would on command, with its recording sealed.
                Some(failure) if is_closed_pipe(&failure) => {
                    self.take(last, Some(&Message::Command(Command::End)))?;
                }
                Some(failure) => return Err(failure),
            }
            self.transmit(last)?;
        }
        let Self { writer, links, .. } = self;
        drop(links);
        writer
            .seal(last, "ended")
            .context("cannot seal the recording")
    }

    /// The next message and its time, or none when a timer is due.
    fn wait(&self, messages: &Receiver<Message>) -> Result<(Stamp, Option<Message>)> {
        let received = match self.sitting.deadline() {
            Some(due) => messages.recv_timeout(self.clock.until(due)),
            None => messages.recv().map_err(|_| RecvTimeoutError::Disconnected),
        };
        match received {
            // Stamped when it is taken, so that the order of the recording is that of the engine.
            Ok(message) => Ok((self.clock.stamp(Instant::now()), Some(message))),
            Err(RecvTimeoutError::Timeout) => Ok((self.clock.stamp(Instant::now()), None)),
            Err(RecvTimeoutError::Disconnected) => {
                anyhow::bail!("the threads of the links have ended")
            }
        }
    }

    fn take(&mut self, at: Stamp, message: Option<&Message>) -> Result<()> {
        match message {
            None => self.give(at, None),
            Some(Message::Command(command)) => {
                // A command that names no part but means one is recorded as what it means.
                let text = self.sitting.spelled_out(command).to_string();
                self.give(at, Some(&Event::Command { text: &text }))
            }
            Some(Message::Link(meter, LinkMessage { event, .. }, _)) => {
                self.take_link(*meter, at, event)
            }
            Some(&Message::Missed(meter, bytes)) => {
                self.give(at, Some(&Event::Missed { meter, bytes }))
            }
        }
    }

    fn take_link(&mut self, meter: u16, at: Stamp, event: &LinkEvent) -> Result<()> {
        let link = |state, reason| Event::Link {
            meter,
            state,
            reason,
        };
        match event {
            LinkEvent::Bytes(bytes) => self.give(at, Some(&Event::In { meter, bytes })),
            LinkEvent::Up => self.give(at, Some(&link(LinkState::Up, ""))),
            LinkEvent::Lost { reason } => {
                self.give(at, Some(&link(LinkState::Lost, &reason.to_string())))
            }
            LinkEvent::StillDown {
                reason,
                next_try_in,
            } => {
                let meter = self.sitting.plan().meter_prefix(meter.into());
                (self.remark)(&format!(
                    "{meter}still no link: {reason}; next try in {:.1} s",
                    next_try_in.as_secs_f64()
                ));
                Ok(())
            }
        }
    }

    /// Records what came in, and then hands it to the engine; nothing came in when a timer is due.
    fn give(&mut self, at: Stamp, event: Option<&Event<'_>>) -> Result<()> {
        if let Some(event) = event {
            self.writer.record(at, event)?;
        }
        let Self {
            sitting,
            writer,
            hear,
            failure,
            ..
        } = self;
        let mut decided = None;
        let mut say = |said: sitting::Event| {
            let outcome = hear(&said).unwrap_or_else(|failed| {
                failure.get_or_insert(failed);
                None
            });
            match said.what {
                What::Judged(_) => writer.request_sync(),
                What::Deciding(_) => decided = Some(outcome.unwrap_or_else(nobody_writes)),
                _ => {}
            }
        };
        match event {
            Some(event) => hand_in(sitting, at, event, &mut say)?,
            None => sitting.handle(at, Input::Tick, &mut say),
        }
        match decided {
            Some(outcome) => self.give_outcome(at, &outcome),
            None => Ok(()),
        }
    }

    /// Records what became of a decision, and tells the engine.
    fn give_outcome(&mut self, at: Stamp, outcome: &Outcome) -> Result<()> {
        let reason = outcome.as_ref().err().map_or("", String::as_str);
        let written = outcome.is_ok();
        self.give(at, Some(&Event::Decision { written, reason }))
    }

    fn transmit(&mut self, at: Stamp) -> Result<()> {
        while let Some((number, bytes)) = self.sitting.transmit_to() {
            let meter =
                u16::try_from(number).context("a recording has no number for that meter")?;
            self.writer.record(at, &Event::Out { meter, bytes })?;
            // A question that cannot be sent is asked again when the answer stays out.
            let _ = self.links[number].send(bytes);
        }
        Ok(())
    }
}
