//! [`Live`]: a sitting with real links. `sit` and `demo` both run here; there is no other way from a port to a verdict.
//!
//! Everything that comes in is stamped, recorded, and only then handed to the engine.

use std::io;
use std::sync::mpsc::{Receiver, RecvTimeoutError};
use std::time::Instant;

use anyhow::{Context, Result};

use super::clock::Clock;
use crate::bench::link::{Link, LinkEvent, LinkMessage};
use crate::bench::recording::{self, LinkState, Seal, Writer};
use crate::engine::quantity::Stamp;
use crate::engine::sitting::{Command, Event, Input, Sitting, What};

/// What reaches the loop.
#[derive(Debug)]
pub(crate) enum Message {
    /// From the thread of the link to the meter of that number.
    Link(u16, LinkMessage),
    /// From keys, standard input, a signal or a script.
    Command(Command),
}

/// A sitting with everything around it.
pub(crate) struct Live<'a> {
    /// The clock that stamps.
    pub(crate) clock: Clock,
    /// The engine.
    pub(crate) sitting: Sitting,
    /// The recording.
    pub(crate) writer: Writer<std::fs::File>,
    /// The links, each in the place of its meter's number.
    pub(crate) links: Vec<Link>,
    /// Is told every event. A failure ends the sitting; a closed pipe ends it as the command `end` does.
    pub(crate) hear: &'a mut dyn FnMut(&Event) -> Result<()>,
    /// The first failure of `hear`.
    pub(crate) failure: Option<anyhow::Error>,
    /// Tells the person what is no part of the sitting.
    pub(crate) remark: fn(&str),
}

/// Whether it is only that nobody reads what is printed any more.
fn is_closed_pipe(failure: &anyhow::Error) -> bool {
    let kinds = failure
        .chain()
        .filter_map(|cause| Some(cause.downcast_ref::<io::Error>()?.kind()));
    kinds
        .into_iter()
        .any(|kind| kind == io::ErrorKind::BrokenPipe)
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
            Ok(message) => {
                let at = if let Message::Link(_, link) = &message {
                    link.at
                } else {
                    Instant::now()
                };
                Ok((self.clock.stamp(at), Some(message)))
            }
            Err(RecvTimeoutError::Timeout) => Ok((self.clock.stamp(Instant::now()), None)),
            Err(RecvTimeoutError::Disconnected) => {
                anyhow::bail!("the threads of the links have ended")
            }
        }
    }

    fn take(&mut self, at: Stamp, message: Option<&Message>) -> Result<()> {
        match message {
            None => self.handle(0, at, Input::Tick),
            Some(Message::Command(command)) => {
                self.writer.record(
                    at,
                    &recording::Event::Command {
                        text: &command.to_string(),
                    },
                )?;
                self.handle(0, at, Input::Command(command));
            }
            Some(Message::Link(meter, LinkMessage { event, .. })) => {
                self.take_link(*meter, at, event)?;
            }
        }
        Ok(())
    }

    fn take_link(&mut self, meter: u16, at: Stamp, event: &LinkEvent) -> Result<()> {
        let link = |state, reason| recording::Event::Link {
            meter,
            state,
            reason,
        };
        match event {
            LinkEvent::Bytes(bytes) => {
                self.writer
                    .record(at, &recording::Event::In { meter, bytes })?;
                self.handle(meter, at, Input::Bytes(bytes));
            }
            LinkEvent::Up => {
                self.writer.record(at, &link(LinkState::Up, ""))?;
                self.handle(meter, at, Input::LinkUp);
            }
            LinkEvent::Lost { reason } => {
                let reason = reason.to_string();
                self.writer.record(at, &link(LinkState::Lost, &reason))?;
                self.handle(meter, at, Input::LinkLost { reason: &reason });
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
            }
        }
        Ok(())
    }

    fn handle(&mut self, meter: u16, at: Stamp, input: Input<'_>) {
        let Self {
            sitting,
            hear,
            failure,
            writer,
            ..
        } = self;
        sitting.handle_from(meter.into(), at, input, &mut |event| {
            if let Err(failed) = hear(&event) {
                failure.get_or_insert(failed);
            }
            if matches!(event.what, What::Judged(_)) {
                writer.request_sync();
            }
        });
    }

    fn transmit(&mut self, at: Stamp) -> Result<()> {
        while let Some((number, bytes)) = self.sitting.transmit_to() {
            let meter =
                u16::try_from(number).context("a recording has no number for that meter")?;
            self.writer
                .record(at, &recording::Event::Out { meter, bytes })?;
            // What cannot be sent is asked for again when the answer stays out.
            let _ = self.links[number].send(bytes);
        }
        Ok(())
    }
}
