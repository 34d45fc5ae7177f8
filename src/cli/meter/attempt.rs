//! `meter try`: what arrives, byte for byte, and how it is understood.

use std::io::Write;
use std::sync::Arc;
use std::sync::mpsc::{Receiver, RecvTimeoutError, channel};
use std::time::{Duration, Instant};

use anyhow::{Result, anyhow};

use crate::bench::clock::Clock;
use crate::bench::link::{self, Address, Link, LinkEvent, LinkMessage};
use crate::bench::profile;
use crate::cli::status::{BadInput, Status};
use crate::engine::meter::{Conversation, Heard, Profile, Shown};
use crate::engine::quantity::{Quantity, Stamp, format_value};
use crate::engine::settings::MeterWords;

/// Arguments of `meter try`.
#[derive(Debug, clap::Args)]
pub(crate) struct Arguments {
    /// The profile (one that comes with the program, or the path of a file) and the port (a device path, or `tcp:HOST:PORT`).
    #[arg(value_name = "PROFILE@PORT")]
    meter: MeterWords,
    /// What to measure: resistance, capacitance, inductance, voltage or current. Without it, the first that the profile has.
    #[arg(long)]
    function: Option<String>,
    /// Time to listen, s.
    #[arg(long, default_value_t = 10.0)]
    seconds: f64,
}

pub(super) fn run(arguments: &Arguments, out: &mut dyn Write) -> Result<Status> {
    let MeterWords {
        profile: name,
        port,
        ..
    } = &arguments.meter;
    let name = name.as_deref().ok_or_else(|| {
        BadInput(format!(
            "no profile: found `{port}`, expected PROFILE@PORT as in scpi-multimeter@{port}"
        ))
    })?;
    let profile = Arc::new(Profile::parse(&profile::text(name)?, name)?);
    let quantity = quantity(arguments, &profile)?;
    let address: Address = port.parse()?;
    let (sender, messages) = channel();
    let settings = profile.line;
    let link = link::open(&address, settings, "meter", move |message| {
        // The loop may have ended already; then nobody is interested.
        let _ = sender.send(message);
    })?;
    let mut conversation = Conversation::new(profile);
    conversation.measure(quantity, Stamp::ZERO)?;
    let clock = Clock::start(1.0);
    let until = Duration::from_secs_f64(arguments.seconds.clamp(0.0, 1e6));
    Attempt {
        clock,
        link,
        conversation,
        out,
        readings: 0,
    }
    .run(&messages, until)
}

fn quantity(arguments: &Arguments, profile: &Profile) -> Result<Quantity> {
    match &arguments.function {
        Some(name) => Quantity::named(name).ok_or_else(|| {
            let names = Quantity::names();
            BadInput(format!("unknown function `{name}`, expected {names}")).into()
        }),
        None => profile
            .functions()
            .next()
            .map(|(quantity, _)| quantity)
            .ok_or_else(|| anyhow!("the profile has no function")),
    }
}

struct Attempt<'a> {
    clock: Clock,
    link: Link,
    conversation: Conversation,
    out: &'a mut dyn Write,
    readings: u64,
}

impl Attempt<'_> {
    fn run(mut self, messages: &Receiver<LinkMessage>, until: Duration) -> Result<Status> {
        let end = Stamp::ZERO.after(until);
        loop {
            let now = self.clock.stamp(Instant::now());
            if now >= end {
                break;
            }
            let due = self.conversation.deadline().map_or(end, |due| due.min(end));
            match messages.recv_timeout(self.clock.until(due)) {
                Ok(message) => self.take(&message)?,
                Err(RecvTimeoutError::Timeout) => {}
                Err(RecvTimeoutError::Disconnected) => break,
            }
            let now = self.clock.stamp(Instant::now());
            let mut lines = Vec::new();
            self.conversation
                .tick(now, &mut |heard| lines.push(understood(&heard)));
            self.print(now, &lines)?;
            self.transmit(now)?;
        }
        writeln!(
            self.out,
            "{} readings in {:.1} s",
            self.readings,
            until.as_secs_f64()
        )?;
        Ok(if self.readings > 0 {
            Status::Done
        } else {
            Status::CheckFailed
        })
    }

    fn take(&mut self, message: &LinkMessage) -> Result<()> {
        let at = self.clock.stamp(message.at);
        let seconds = at.seconds();
        match &message.event {
            LinkEvent::Up => {
                writeln!(self.out, "{seconds:9.3}  link up")?;
                self.conversation.link_up(at);
            }
            LinkEvent::Lost { reason } => {
                writeln!(self.out, "{seconds:9.3}  link lost: {reason}")?;
                self.conversation.link_lost(at);
            }
            LinkEvent::StillDown { reason, .. } => {
                writeln!(self.out, "{seconds:9.3}  still no link: {reason}")?;
            }
            LinkEvent::Bytes(bytes) => {
                writeln!(self.out, "{seconds:9.3}  <- {}", bytes.escape_ascii())?;
                let mut lines = Vec::new();
                let readings = &mut self.readings;
                self.conversation.receive(bytes, at, &mut |heard| {
                    *readings += u64::from(matches!(heard, Heard::Reading(_)));
                    lines.push(understood(&heard));
                });
                self.print(at, &lines)?;
            }
        }
        Ok(())
    }

    fn print(&mut self, at: Stamp, lines: &[String]) -> Result<()> {
        for line in lines {
            writeln!(self.out, "{:9.3}     {line}", at.seconds())?;
        }
        Ok(())
    }

    fn transmit(&mut self, at: Stamp) -> Result<()> {
        while let Some(bytes) = self.conversation.transmit() {
            writeln!(
                self.out,
                "{:9.3}  -> {}",
                at.seconds(),
                bytes.escape_ascii()
            )?;
            // A question that cannot be sent is asked again when the answer stays out.
            let _ = self.link.send(bytes);
        }
        Ok(())
    }
}

/// Meaning of something that was heard, in words.
fn understood(heard: &Heard<'_>) -> String {
    match heard {
        Heard::Reading(reading) => {
            let shown = match reading.shown {
                Shown::Value(value) => format_value(reading.quantity, value, 9),
                Shown::Overload => "overload".to_owned(),
                Shown::NotANumber => "not a number".to_owned(),
            };
            let second = reading
                .second
                .map(|second| format!(", second value {second}"))
                .unwrap_or_default();
            format!("{} {shown}{second}", reading.quantity)
        }
        Heard::Identified { text } => format!("the meter is `{text}`"),
        Heard::WrongMeter { answer, .. } => {
            format!("not the meter that the profile is for: `{answer}`")
        }
        Heard::DeviceError { code, text } => format!("error of the meter: {code} {text}"),
        Heard::Refused { quantity } => {
            format!("refuses to measure {quantity}: are its set-up commands right?")
        }
        Heard::Garbled { .. } => "garbled: wrong baud rate, parity or number of bits?".to_owned(),
        Heard::TooLong => "a line longer than the profile allows; skipped".to_owned(),
        Heard::Missed { bytes } => format!("{bytes} bytes were passed over"),
        Heard::NotUnderstood { why, .. } => format!("not understood: {why}"),
        Heard::Silent => {
            "silent: is it on, is the cable right, are the line settings those of the meter?"
                .to_owned()
        }
        Heard::Answering => "answers again".to_owned(),
        Heard::WrongQuantity { wanted, arriving } => {
            format!(
                "sends {}, not {wanted}",
                arriving.map_or("something else", |quantity| quantity.name())
            )
        }
    }
}
