//! [`Intake`]: the way of a meter's messages into the loop of a sitting. What waits there is bounded.
//!
//! A meter that sends faster than the loop takes loses whole lines: what follows a gap begins behind an end of line, so that two
//! halves never join into a number.

use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::mpsc::SyncSender;

use memchr::memchr2;

use super::link::{LinkEvent, LinkMessage};
use super::live::Message;

/// The most messages that wait for the loop. Those of links are fewer by [`MOST`], so that only commands ever wait for room.
pub(crate) const MESSAGES: usize = 8192;

/// The most that waits of one meter, bytes with [`EACH`] for each portion.
const MOST: usize = 64 * 1024;

/// Room of a portion beside its bytes.
const EACH: usize = 64;

/// The room that a portion takes while it waits, and until it is worked off.
#[derive(Debug)]
pub(crate) struct Room {
    taken: Arc<AtomicUsize>,
    size: usize,
}

impl Drop for Room {
    fn drop(&mut self) {
        self.taken.fetch_sub(self.size, Ordering::AcqRel);
    }
}

/// Room for everything that a link tells, on its way to the loop.
#[derive(Debug)]
pub(crate) struct Intake {
    meter: u16,
    sender: SyncSender<Message>,
    taken: Arc<AtomicUsize>,
    /// Bytes are passed over up to an end of line; so many are not told yet.
    gap: Option<u64>,
}

impl Intake {
    /// Of the meter of that number.
    pub(crate) fn of(meter: u16, sender: SyncSender<Message>) -> Self {
        Self {
            meter,
            sender,
            taken: Arc::default(),
            gap: None,
        }
    }

    /// Hands a message on, or passes over its bytes. Never waits.
    pub(crate) fn hear(&mut self, message: LinkMessage) {
        match (&message.event, self.gap) {
            (LinkEvent::Bytes(bytes), None) => self.bytes(bytes.len(), message),
            (LinkEvent::Bytes(bytes), Some(missed)) => self.bytes_behind(bytes, missed),
            _ => {
                // Bytes after the overflow are a new beginning anyhow.
                self.close_gap(0);
                self.send(Message::Link(self.meter, message, None));
            }
        }
    }

    fn bytes(&mut self, count: usize, message: LinkMessage) {
        if let Some(room) = self.room(count, MOST) {
            self.send(Message::Link(self.meter, message, Some(room)));
        } else {
            // Said at once, since nobody knows when something follows.
            self.send(Message::Missed(self.meter, count as u64));
            self.gap = Some(0);
        }
    }

    /// Bytes in a gap: it ends with a line, once half of the room is free again.
    fn bytes_behind(&mut self, bytes: &[u8], missed: u64) {
        let end = memchr2(b'\n', b'\r', bytes);
        let rest = end.map(|end| &bytes[end + 1..]);
        let room = rest.and_then(|rest| Some((rest, self.room(rest.len(), MOST / 2)?)));
        match room {
            None => self.gap = Some(missed + bytes.len() as u64),
            Some((rest, room)) => {
                self.close_gap((bytes.len() - rest.len()) as u64);
                let event = LinkEvent::Bytes(rest.into());
                let at = std::time::Instant::now();
                if !rest.is_empty() {
                    let message = LinkMessage { at, event };
                    self.send(Message::Link(self.meter, message, Some(room)));
                }
            }
        }
    }

    /// Ends a gap, if there is one, after so many more bytes.
    fn close_gap(&mut self, further: u64) {
        let missed = self.gap.take().map_or(0, |missed| missed + further);
        if missed > 0 {
            self.send(Message::Missed(self.meter, missed));
        }
    }

    fn room(&self, bytes: usize, most: usize) -> Option<Room> {
        let size = bytes + EACH;
        let taken = Arc::clone(&self.taken);
        // Only this thread takes room, so there is no less of it than was seen.
        let fits = taken.load(Ordering::Acquire) + size <= most;
        fits.then(|| {
            taken.fetch_add(size, Ordering::AcqRel);
            Room { taken, size }
        })
    }

    /// The loop may have ended already; then nobody is interested.
    fn send(&self, message: Message) {
        let _ = self.sender.send(message);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::mpsc::sync_channel;
    use std::time::Instant;

    /// Bytes as they came; of a gap its length in brackets.
    fn said(message: Message) -> String {
        match message {
            Message::Link(_, message, _) => match message.event {
                LinkEvent::Bytes(bytes) => String::from_utf8(bytes.into()).unwrap(),
                other => format!("{other:?}"),
            },
            Message::Missed(_, bytes) => format!("[{bytes}]"),
            Message::Command(command) => command.to_string(),
        }
    }

    #[test]
    fn what_waits_is_bounded_and_what_follows_a_gap_begins_a_line() {
        let (sender, messages) = sync_channel(MESSAGES);
        let mut intake = Intake::of(0, sender);
        let mut send = |bytes: &[u8]| {
            intake.hear(LinkMessage {
                at: Instant::now(),
                event: LinkEvent::Bytes(bytes.into()),
            });
        };
        let portion = [b"+4.71".as_slice(), &[b'2'; 4000]].concat();
        for _ in 0..1000 {
            send(&portion);
        }
        let waiting: Vec<String> = messages.try_iter().map(said).collect();
        assert_eq!(waiting.len(), MOST / (portion.len() + EACH) + 1);
        assert_eq!(waiting.last().unwrap(), "[4005]");
        // There is room now, and the end of the line is not here yet.
        send(b"3E+03");
        send(b"1E+03\r\n+1.000E+03\n");
        send(b"+2.");
        let later: Vec<String> = messages.try_iter().map(said).collect();
        let missed = (1000 - waiting.len()) * portion.len() + 5 + 6;
        assert_eq!(
            later,
            [
                format!("[{missed}]"),
                "\n+1.000E+03\n".to_owned(),
                "+2.".to_owned()
            ]
        );
    }
}
