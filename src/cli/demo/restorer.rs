//! [`Restorer`]: a simulated person with two probes.
//!
//! Sees and hears what a person would (the events), and does what a person does: places the probes with some bounce, holds
//! until the verdict is given, lifts, goes on. Now and then touches the wrong part and corrects that with `redo`.

use std::collections::HashSet;
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender};
use std::thread;
use std::time::Duration;

use super::chassis::{Chassis, Handling, Real};
use crate::cli::live::Message;
use crate::parts::Part;
use crate::simulator::{BenchClock, Component, Probes};
use crate::sitting::{Command, Event, What};

/// A simulated person with two probes.
pub(super) struct Restorer {
    pub(super) parts: Vec<Part>,
    pub(super) chassis: Chassis,
    pub(super) probes: Probes,
    pub(super) clock: BenchClock,
    pub(super) events: Receiver<Event>,
    pub(super) sender: Sender<Message>,
    pub(super) rng: fastrand::Rng,
}

/// How a wait for the verdict ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Seen {
    Verdict,
    StillMoving,
    Nothing,
    Over,
}

/// How long a person waits for anything to happen before thinking that the part is open.
const PATIENCE: Duration = Duration::from_millis(2500);

impl Restorer {
    /// Works through the chassis until nothing is left, then ends the sitting.
    pub(super) fn work(mut self) {
        let mut blundered = HashSet::new();
        while let Some(part) = self.next_in_hand() {
            let designator = self.parts[part].designator.clone();
            let Ok(real) = self.chassis.part(&designator).cloned() else {
                break;
            };
            self.pause(700, 500);
            let wrong = match &real.handling {
                Handling::WrongFirst(other) if blundered.insert(part) => {
                    self.chassis.part(other).ok().cloned()
                }
                _ => None,
            };
            let goes_on = match wrong {
                Some(other) => self.touch_wrong(&other),
                None => self.touch(&real),
            };
            if !goes_on {
                return;
            }
        }
        self.command(Command::End);
    }

    /// Waits until a part is in hand; `None` when nothing is left or the sitting is over.
    fn next_in_hand(&mut self) -> Option<usize> {
        let mut part = None;
        loop {
            // The last word counts: after a lift the engine may say more than one thing at once.
            let event = if part.is_none() {
                self.events.recv().ok()
            } else {
                self.events.try_recv().ok()
            };
            match event.map(|event| event.what) {
                Some(What::InHand(index)) => part = Some(index),
                Some(What::NothingLeft | What::Ended(_)) => return None,
                Some(_) => {}
                None => return part,
            }
        }
    }

    fn touch(&mut self, real: &Real) -> bool {
        self.place(real.component);
        if real.handling == Handling::Slips {
            self.pause(250, 0);
            self.probes.slip_for(Duration::from_millis(90));
        }
        match self.watch(PATIENCE) {
            Seen::Verdict => self.pause(250, 250),
            Seen::Nothing => {
                self.command(Command::On);
                if self.watch(PATIENCE) != Seen::Verdict {
                    // Nothing at all, not even an open part: something else is wrong.
                    self.command(Command::Skip);
                }
                self.pause(250, 250);
            }
            Seen::StillMoving => {
                self.pause(1200, 400);
                self.probes.lift();
                self.pause(600, 0);
                self.command(Command::Note("reading never rests, leaky".to_owned()));
                self.command(Command::Skip);
                return true;
            }
            Seen::Over => return false,
        }
        self.probes.lift();
        true
    }

    /// Touches another part than the one in hand, is surprised by the verdict, and says so.
    fn touch_wrong(&mut self, other: &Real) -> bool {
        self.place(other.component);
        if self.watch(PATIENCE) == Seen::Over {
            return false;
        }
        self.pause(600, 400);
        self.probes.lift();
        self.pause(500, 200);
        self.drain();
        self.command(Command::Redo);
        true
    }

    fn place(&mut self, component: Component) {
        let bounce = Duration::from_millis(self.rng.u64(20..80));
        self.probes.place(component, bounce);
    }

    /// Watches until something is said about the part, at most `patience` without any contact.
    fn watch(&mut self, patience: Duration) -> Seen {
        let mut contact = false;
        loop {
            let event = if contact {
                self.events
                    .recv()
                    .map_err(|_| RecvTimeoutError::Disconnected)
            } else {
                self.events.recv_timeout(self.clock.real(patience))
            };
            match event.map(|event| event.what) {
                Ok(What::Contact) => contact = true,
                Ok(What::Judged(_)) => return Seen::Verdict,
                Ok(What::Restless { .. }) => return Seen::StillMoving,
                Ok(What::Ended(_)) | Err(RecvTimeoutError::Disconnected) => return Seen::Over,
                Err(RecvTimeoutError::Timeout) => return Seen::Nothing,
                Ok(_) => {}
            }
        }
    }

    /// Forgets what was said so far.
    fn drain(&mut self) {
        while self.events.try_recv().is_ok() {}
    }

    /// A person's pause: `least` and up to `more` milliseconds of bench time.
    fn pause(&mut self, least: u64, more: u64) {
        let pause = Duration::from_millis(least + self.rng.u64(0..=more));
        thread::sleep(self.clock.real(pause));
    }

    fn command(&self, command: Command) {
        // A sitting that is over takes no commands.
        let _ = self.sender.send(Message::Command(command));
    }
}
