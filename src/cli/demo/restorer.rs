//! [`Restorer`]: a simulated person with two probes.
//!
//! Sees and hears what a person would (the events), and does what a person does: places the probes with some bounce, holds
//! until the verdict is given, lifts, goes on. Now and then touches the wrong part and corrects that with `redo`.
//!
//! [`opinions`]: what the simulated restorer decides about what was found.

use std::collections::HashSet;
use std::sync::mpsc::{Receiver, RecvTimeoutError, SyncSender};
use std::thread;
use std::time::Duration;

use super::chassis::{Chassis, Handling, Real, residue};
use crate::bench::live::Message;
use crate::bench::simulator::{Behaviour, BenchClock, Component, Probes};
use crate::books::ledger::{Account, Choice, Glance, Row, Standing};
use crate::engine::judge::{Found, Policy, Verdict};
use crate::engine::parts::Kind;
use crate::engine::quantity::Quantity;
use crate::engine::sitting::{Command, Event, MeterNews, What};

/// A simulated person with two probes.
pub(super) struct Restorer {
    pub(super) chassis: Chassis,
    pub(super) probes: Probes,
    pub(super) clock: BenchClock,
    pub(super) events: Receiver<Event>,
    pub(super) sender: SyncSender<Message>,
    pub(super) rng: fastrand::Rng,
}

/// End of a wait for the verdict.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Seen {
    Verdict,
    Charged,
    NoVoltmeter,
    Open,
    StillMoving,
    Nothing,
    Over,
}

/// Next step.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Next {
    /// The part of that designator.
    Part(String),
    /// The capacitor of that designator.
    Discharge(String),
    GoWithout,
}

/// Time that a person waits for anything to happen before thinking that the part is open, in bench time.
const PATIENCE: Duration = Duration::from_millis(2500);

/// Time that a person holds on to a part of which it was said that its value still moves, in bench time.
const HELD_ON: Duration = Duration::from_secs(2);

/// In real time: a touch that was seen is seen to end, however busy the machine is.
const SEEN_FOR_CERTAIN: Duration = Duration::from_secs(20);

/// The least patience, in real time: bench time that runs faster does not make the machine faster.
const LEAST_PATIENCE: Duration = Duration::from_millis(300);

impl Restorer {
    /// Works through the chassis until nothing is left, then ends the sitting.
    pub(super) fn work(mut self) {
        let mut blundered = HashSet::new();
        while let Some(next) = self.next_in_hand() {
            self.pause(600, 400);
            let goes_on = match next {
                Next::Part(part) => self.measure(&part, blundered.insert(part.clone())),
                Next::Discharge(capacitor) => self.see_discharged(&capacitor),
                Next::GoWithout => self.go_without(),
            };
            if !goes_on {
                return;
            }
        }
        self.command(Command::End);
    }

    /// Measures a part, or first another one by mistake. `false` when the sitting is over.
    fn measure(&mut self, part: &str, first_time: bool) -> bool {
        let Ok(real) = self.chassis.part(part).cloned() else {
            return false;
        };
        let wrong = match &real.handling {
            Handling::WrongFirst(other) if first_time => self.chassis.part(other).ok().cloned(),
            _ => None,
        };
        match wrong {
            Some(other) => self.touch_wrong(&other),
            None => self.touch(&real),
        }
    }

    /// Holds a voltmeter across a capacitor, discharges it where there is charge, and looks again. `false` when the sitting is over.
    fn see_discharged(&mut self, capacitor: &str) -> bool {
        let Ok(real) = self.chassis.part(capacitor).cloned() else {
            return false;
        };
        let mut volts = real.volts;
        loop {
            self.place(
                real.component
                    .with(Quantity::Voltage, Behaviour::Steady(volts)),
            );
            match self.watch() {
                Seen::Over => return false,
                Seen::NoVoltmeter => {
                    self.probes.lift();
                    return self.go_without();
                }
                Seen::Charged => {
                    self.lift(SEEN_FOR_CERTAIN);
                    // Through a resistor, for a few time constants.
                    self.pause(3000, 500);
                    volts = residue(capacitor);
                }
                Seen::Verdict | Seen::Open => {
                    self.lift(SEEN_FOR_CERTAIN);
                    return true;
                }
                Seen::StillMoving | Seen::Nothing => {
                    self.lift(LEAST_PATIENCE);
                }
            }
        }
    }

    /// The meter measures no voltage: says that another one did. The sitting goes on.
    fn go_without(&self) -> bool {
        self.command(Command::Override(
            "all each was measured with another voltmeter and is below 2 V".to_owned(),
        ));
        true
    }

    /// Waits until something is in hand; `None` when nothing is left or the sitting is over.
    fn next_in_hand(&mut self) -> Option<Next> {
        let mut part = None;
        loop {
            // The last word counts: after a lift the engine may say more than one thing at once.
            let event = if part.is_none() {
                self.events.recv().ok()
            } else {
                self.events.try_recv().ok()
            };
            match event.map(|event| event.what) {
                Some(What::InHand { entry, .. }) => part = Some(Next::Part(entry.designator)),
                Some(What::ToDischarge { entry }) => part = Some(Next::Discharge(entry.designator)),
                Some(What::Meter {
                    news: MeterNews::CannotMeasure { .. },
                    ..
                }) if matches!(part, Some(Next::Discharge(_))) => {
                    part = Some(Next::GoWithout);
                }
                Some(What::NothingLeft | What::Ended(_)) => return None,
                Some(_) => {}
                None => return part,
            }
        }
    }

    /// Holds the probes on the part until something is said about it; another try where nothing is. `false` when the sitting is over.
    fn touch(&mut self, real: &Real) -> bool {
        loop {
            self.place(real.component);
            if real.handling == Handling::Slips {
                self.pause(250, 0);
                self.probes.slip_for(Duration::from_millis(90));
            }
            match self.watch() {
                Seen::Verdict => {
                    self.pause(250, 250);
                    self.lift(SEEN_FOR_CERTAIN);
                    return true;
                }
                Seen::Open => {
                    self.pause(250, 250);
                    // The list has gone on already, and a lift from an open part cannot be seen.
                    self.probes.lift();
                    return true;
                }
                Seen::StillMoving => {
                    self.give_up();
                    return true;
                }
                Seen::Nothing | Seen::Charged | Seen::NoVoltmeter => {
                    // The touch may have gone unseen as well.
                    self.lift(LEAST_PATIENCE);
                }
                Seen::Over => return false,
            }
            self.pause(700, 0);
        }
    }

    /// Holds on a little longer to a part whose reading does not rest, and leaves it out if that does not help.
    fn give_up(&mut self) {
        let held = self.patience(HELD_ON);
        while let Ok(event) = self.events.recv_timeout(held) {
            if matches!(event.what, What::Judged(_)) {
                break;
            }
        }
        // A verdict at the last moment counts as well.
        if !self.lift(SEEN_FOR_CERTAIN) {
            return;
        }
        self.pause(600, 0);
        self.command(Command::Note("reading never rests, leaky".to_owned()));
        self.command(Command::Skip);
    }

    /// Touches another part than the one in hand, is surprised by the verdict, and says so. `false` when the sitting is over.
    fn touch_wrong(&mut self, other: &Real) -> bool {
        loop {
            self.place(other.component);
            match self.watch() {
                Seen::Over => return false,
                Seen::Verdict | Seen::Open => break,
                Seen::StillMoving | Seen::Nothing | Seen::Charged | Seen::NoVoltmeter => {
                    // The touch may have gone unseen as well.
                    self.lift(LEAST_PATIENCE);
                }
            }
            self.pause(700, 0);
        }
        self.pause(600, 400);
        self.probes.lift();
        // The lift brings the next part into hand; only then is it too late for anything but `redo`.
        self.next_in_hand();
        self.pause(500, 200);
        self.command(Command::Redo);
        true
    }

    /// Lifts the probes, and waits until the lift is seen, at most for `patience`. Whether the touch ended without a settled value.
    fn lift(&mut self, patience: Duration) -> bool {
        self.probes.lift();
        while let Ok(event) = self.events.recv_timeout(patience) {
            match event.what {
                What::Lifted => return false,
                What::Unsettled { .. } => return true,
                _ => {}
            }
        }
        false
    }

    fn place(&mut self, component: Component) {
        let bounce = Duration::from_millis(self.rng.u64(20..80));
        self.probes.place(component, bounce);
    }

    /// Watches until something is said about the part. Without any contact says after a while that the probes are on it.
    fn watch(&mut self) -> Seen {
        // Longer than the program takes to say that a value still moves.
        const HELD: Duration = Duration::from_secs(15);
        // A meter that falls silent makes the program forget the word, so it is said again.
        const MOST_WORDS: u32 = 8;
        let (mut patience, mut words) = (PATIENCE, 0);
        loop {
            let event = self.events.recv_timeout(self.patience(patience));
            match event.map(|event| event.what) {
                Ok(What::Contact) => patience = HELD,
                Ok(What::Judged(record)) if record.row.found == Found::Open => {
                    return Seen::Open;
                }
                Ok(
                    What::Judged(_)
                    | What::AcrossCapacitor {
                        discharged: true, ..
                    },
                ) => return Seen::Verdict,
                Ok(What::AcrossCapacitor { .. }) => return Seen::Charged,
                Ok(What::Meter {
                    news: MeterNews::CannotMeasure { .. },
                    ..
                }) => return Seen::NoVoltmeter,
                // These hands are quick, and on the next part.
                Ok(What::GrippedAgain { .. }) => self.command(Command::Next),
                Ok(What::Restless { .. }) => return Seen::StillMoving,
                Ok(What::Ended(_)) | Err(RecvTimeoutError::Disconnected) => return Seen::Over,
                Err(RecvTimeoutError::Timeout) if words < MOST_WORDS => {
                    words += 1;
                    self.command(Command::On);
                }
                Err(RecvTimeoutError::Timeout) => return Seen::Nothing,
                Ok(_) => {}
            }
        }
    }

    fn patience(&self, bench: Duration) -> Duration {
        self.clock.real(bench).max(LEAST_PATIENCE)
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

/// Decision on some parts, and its reason.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Opinion {
    pub(super) choice: Choice,
    pub(super) reason: String,
    pub(super) designators: Vec<String>,
}

/// Two parts that share the signal between the output valves, so that they must be alike: a bad one takes the other with it.
pub(super) const PAIR: [&str; 2] = ["R12", "R13"];

/// A part that is measured in circuit and stays, and why: 512 Ω with R6 (1563 Ω) and the secondary (1.3 Ω) across it make 761 Ω of it.
const LEFT: (&str, &str) = (
    "R21",
    "R6 lies across it, so it has about 760 ohms: a little less feedback, which does no harm",
);

/// The opinions on everything that is to be decided, or to be replaced whatever it reads; parts with the same one together, in the
/// order of the list.
pub(super) fn opinions(glance: &Glance<'_>, policy: &Policy) -> Vec<Opinion> {
    let pair_is_bad = glance
        .of(Standing::Undecided)
        .any(|account| PAIR.contains(&account.part.designator.as_str()) && is_bad(account));
    let mut opinions: Vec<Opinion> = Vec::new();
    for (standing, account) in &glance.parts {
        let of_pair = pair_is_bad && PAIR.contains(&account.part.designator.as_str());
        let Some((choice, reason)) = opinion(*standing, account, of_pair, policy) else {
            continue;
        };
        let designator = account.part.designator.clone();
        let same = |one: &&mut Opinion| one.choice == choice && one.reason == reason;
        match opinions.iter_mut().find(same) {
            Some(same) => same.designators.push(designator),
            None => opinions.push(Opinion {
                choice,
                reason,
                designators: vec![designator],
            }),
        }
    }
    opinions
}

fn opinion(
    standing: Standing,
    account: &Account<'_>,
    of_pair: bool,
    policy: &Policy,
) -> Option<(Choice, String)> {
    let replace = |why: &str| Some((Choice::Replace, why.to_owned()));
    match (standing, account.verdict()) {
        (Standing::NotMeasured, _) => replace("its reading never rests, so it leaks"),
        (_, Some(Verdict::Inconclusive)) if account.part.designator == LEFT.0 => {
            Some((Choice::Accept, LEFT.1.to_owned()))
        }
        _ if is_bad(account) => replace(fault(account)),
        _ if of_pair => replace("one of a pair, and the other one is bad"),
        _ if policy.replaces(account.part).is_some() => replace("of an age at which none stays in"),
        (Standing::Good, Some(Verdict::ConditionalPass)) => Some((
            Choice::Keep,
            "inside its band; what is in doubt is the meter".to_owned(),
        )),
        _ => None,
    }
}

fn is_bad(account: &Account<'_>) -> bool {
    let bad = [Verdict::Fail, Verdict::ConditionalFail];
    account
        .verdict()
        .is_some_and(|verdict| bad.contains(&verdict))
}

/// Fault of a bad part.
fn fault(account: &Account<'_>) -> &'static str {
    let off = account.worst().and_then(Row::percent_off);
    match (account.part.kind, off) {
        (_, None) => "open",
        (Kind::Capacitor, Some(off)) if off > 0.0 => "reads too much, so it leaks",
        (Kind::Capacitor, _) => "dried out",
        (_, Some(off)) if off > 0.0 => "drifted up",
        _ => "too low",
    }
}
