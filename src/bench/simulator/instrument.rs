//! [`Instrument`]: the digital half of a simulated meter: commands in, lines out, each in its time.

use std::collections::VecDeque;
use std::time::Duration;

use crate::engine::quantity::Quantity;

use super::dialect::{Command, parse};
use super::front_end::{FrontEnd, Sample};
use super::options::{Manner, Options};
use super::outbox::{ErrorQueue, ScpiError};
use super::probes::Probes;

/// A command line longer than this is thrown away.
const LONGEST_LINE: usize = 256;

/// A talking meter that is behind by more than this skips lines instead of hurrying.
const FARTHEST_BEHIND: Duration = Duration::from_secs(1);

/// A meter without its line. It reads no clock: every call carries the simulated time.
#[derive(Debug)]
pub(super) struct Instrument {
    options: Options,
    front_end: FrontEnd,
    errors: ErrorQueue,
    heard: Vec<u8>,
    overrun: bool,
    lines: VecDeque<String>,
    current: Option<Line>,
    free_run: Option<(u128, Sample)>,
    next_talk: Duration,
}

/// A command line that is being carried out.
#[derive(Debug, Default)]
struct Line {
    units: VecDeque<String>,
    path: String,
    answers: Vec<String>,
    measuring_until: Option<Duration>,
}

impl Instrument {
    /// A meter that was switched on at the time `now`.
    pub(super) fn new(options: Options, probes: Probes, now: Duration) -> Self {
        Self {
            front_end: FrontEnd::new(&options, probes),
            next_talk: now + options.period(),
            options,
            errors: ErrorQueue::default(),
            heard: Vec::new(),
            overrun: false,
            lines: VecDeque::new(),
            current: None,
            free_run: None,
        }
    }

    /// Takes bytes from the line.
    pub(super) fn hear(&mut self, bytes: &[u8]) {
        if self.options.manner == Manner::TalksOnly {
            return;
        }
        for &byte in bytes {
            match byte {
                b'\r' | b'\n' => self.end_line(),
                _ if self.heard.len() < LONGEST_LINE => self.heard.push(byte),
                _ => self.overrun = true,
            }
        }
    }

    /// Forgets what was being said: the cable was pulled.
    pub(super) fn hang_up(&mut self) {
        self.heard.clear();
        self.overrun = false;
        self.lines.clear();
        self.current = None;
    }

    /// The next line to send at the time `now`, without its ending; call again until `None`.
    pub(super) fn next_line(&mut self, now: Duration) -> Option<String> {
        match self.options.manner {
            Manner::TalksOnly => self.talk(now),
            Manner::Answers => self.answer(now),
        }
    }

    /// When [`next_line`](Self::next_line) may have something without hearing anything new.
    pub(super) fn due(&self) -> Option<Duration> {
        match self.options.manner {
            Manner::TalksOnly => Some(self.next_talk),
            Manner::Answers => self.current.as_ref().and_then(|line| line.measuring_until),
        }
    }

    fn end_line(&mut self) {
        let heard = std::mem::take(&mut self.heard);
        if std::mem::take(&mut self.overrun) {
            self.errors.push(ScpiError::InputBufferOverrun);
        } else if !heard.is_empty() {
            self.lines
                .push_back(String::from_utf8_lossy(&heard).into_owned());
        }
    }

    fn talk(&mut self, now: Duration) -> Option<String> {
        if now < self.next_talk {
            return None;
        }
        if now > self.next_talk + FARTHEST_BEHIND {
            self.next_talk = now;
        }
        let delay = self.front_end.delay(self.next_talk);
        if !delay.is_zero() {
            self.next_talk += delay;
            return self.talk(now);
        }
        let sample = self.front_end.sample(self.next_talk);
        self.next_talk += self.options.period();
        Some(self.word(&sample))
    }

    fn answer(&mut self, now: Duration) -> Option<String> {
        loop {
            let mut line = match self.current.take() {
                Some(line) => line,
                None => Line::of(&self.lines.pop_front()?),
            };
            if !self.carry_on(&mut line, now) {
                self.current = Some(line);
                return None;
            }
            if !line.answers.is_empty() {
                return Some(line.answers.join(";"));
            }
        }
    }

    /// Carries `line` on; whether it is done.
    fn carry_on(&mut self, line: &mut Line, now: Duration) -> bool {
        loop {
            if let Some(until) = line.measuring_until {
                if now < until {
                    return false;
                }
                let delay = self.front_end.delay(until);
                if !delay.is_zero() {
                    line.measuring_until = Some(until + delay);
                    continue;
                }
                let sample = self.front_end.sample(until);
                line.answers.push(self.word(&sample));
                line.measuring_until = None;
            }
            let Some(unit) = line.units.pop_front() else {
                return true;
            };
            match parse(unit.trim(), &mut line.path) {
                Ok(command) => self.obey(command, line, now),
                Err(error) => self.errors.push(error),
            }
        }
    }

    fn obey(&mut self, command: Command, line: &mut Line, now: Duration) {
        match command {
            Command::Identify => line.answers.push(self.options.identity.clone()),
            Command::Reset => self.front_end.configure(self.options.function, None),
            Command::ClearStatus => self.errors.clear(),
            Command::OperationComplete => line.answers.push("1".to_owned()),
            Command::NextError => line.answers.push(self.errors.answer()),
            Command::Version => line.answers.push("1999.0".to_owned()),
            Command::Function => line.answers.push(self.function_name().to_owned()),
            Command::SetFunction(quantity) => self.configure(quantity, None),
            Command::Configure { quantity, expected } => self.configure(quantity, expected),
            Command::Measure { quantity, expected } => {
                self.configure(quantity, expected);
                line.measuring_until = Some(now + self.options.period());
            }
            Command::Read => line.measuring_until = Some(now + self.options.period()),
            Command::Fetch => {
                let sample = self.latest(now);
                line.answers.push(self.word(&sample));
            }
            // It converts all the time, so there is nothing to start or to stop.
            Command::Trigger => {}
        }
    }

    fn configure(&mut self, quantity: Quantity, expected: Option<f64>) {
        self.front_end.configure(quantity, expected);
        self.free_run = None;
    }

    /// The last conversion of the free run that was complete at the time `now`.
    fn latest(&mut self, now: Duration) -> Sample {
        let period = self.options.period();
        let number = now.as_nanos() / period.as_nanos().max(1);
        match self.free_run {
            Some((known, sample)) if known == number => sample,
            _ => {
                let end = Duration::from_nanos(
                    u64::try_from(number * period.as_nanos()).unwrap_or(u64::MAX),
                );
                let sample = self.front_end.sample(end);
                self.free_run = Some((number, sample));
                sample
            }
        }
    }

    const fn function_name(&self) -> &'static str {
        match self.front_end.function() {
            Quantity::Resistance => "\"RES\"",
            Quantity::Capacitance => "\"CAP\"",
            Quantity::Inductance => "\"IND\"",
            Quantity::Voltage => "\"VOLT\"",
            Quantity::Current => "\"CURR\"",
            Quantity::AcVoltage | Quantity::Ratio => "\"VOLT:AC\"",
        }
    }

    fn word(&self, sample: &Sample) -> String {
        let Options {
            with_loss,
            with_status,
            ..
        } = self.options;
        self.options.wording.line(sample, with_loss, with_status)
    }
}

impl Line {
    fn of(text: &str) -> Self {
        Self {
            units: text.split(';').map(str::to_owned).collect(),
            ..Self::default()
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::simulator::{BenchClock, Component, RangeChange};

    fn instrument(options: Options) -> Instrument {
        let probes = Probes::new(BenchClock::real_time(), 1);
        probes.place(Component::resistor(4700.0), Duration::ZERO);
        Instrument::new(options, probes, Duration::ZERO)
    }

    const LATER: Duration = Duration::from_secs(10);

    #[test]
    fn several_commands_in_a_line_give_one_answer() {
        let mut meter = instrument(Options::default());
        meter.hear(b"*OPC?;SYST:ERR?;VERS?\r\n");
        assert_eq!(
            meter.next_line(LATER).as_deref(),
            Some(r#"1;0,"No error";1999.0"#)
        );
        assert_eq!(meter.next_line(LATER), None);
    }

    #[test]
    fn a_reading_takes_the_time_of_a_conversion() {
        let mut meter = instrument(Options {
            noise_counts: 0.0,
            ..Options::default()
        });
        meter.hear(b"CONF:RES 5e3;READ?\n");
        assert_eq!(meter.next_line(LATER), None);
        assert_eq!(meter.due(), Some(LATER + Duration::from_millis(100)));
        assert_eq!(meter.next_line(LATER + Duration::from_millis(99)), None);
        assert_eq!(
            meter
                .next_line(LATER + Duration::from_millis(100))
                .as_deref(),
            Some("+4.70000000E+03")
        );
    }

    #[test]
    fn fetching_twice_within_a_conversion_gives_the_same_reading() {
        let mut meter = instrument(Options {
            noise_counts: 50.0,
            ..Options::default()
        });
        meter.hear(b"CONF:RES 5e3\nFETC?\nFETC?\n");
        let first = meter.next_line(LATER).unwrap();
        assert_eq!(
            meter.next_line(LATER + Duration::from_millis(99)).as_ref(),
            Some(&first)
        );
        meter.hear(b"FETC?\n");
        assert_ne!(
            meter.next_line(LATER + Duration::from_millis(100)).unwrap(),
            first
        );
    }

    #[test]
    fn a_change_of_range_may_delay_a_reading_once() {
        let delayed = RangeChange::Delayed(Duration::from_millis(300));
        let mut meter = instrument(Options {
            noise_counts: 0.0,
            range_change: delayed,
            ..Options::default()
        });
        meter.hear(b"READ?\nREAD?\n");
        assert_eq!(meter.next_line(LATER), None);
        assert_eq!(meter.next_line(LATER + Duration::from_millis(399)), None);
        let second = LATER + Duration::from_millis(400);
        assert_eq!(meter.next_line(second).as_deref(), Some("+4.70000000E+03"));
        assert_eq!(meter.next_line(second), None);
        assert_eq!(meter.due(), Some(second + Duration::from_millis(100)));
    }

    #[test]
    fn a_line_too_long_is_thrown_away_and_reported() {
        let mut meter = instrument(Options::default());
        meter.hear(&[b'A'; 400]);
        meter.hear(b"\nSYST:ERR?\n");
        assert_eq!(
            meter.next_line(LATER).as_deref(),
            Some(r#"-363,"Input buffer overrun""#)
        );
    }

    #[test]
    fn a_talking_meter_keeps_its_pace_and_listens_to_nothing() {
        let options = Options {
            manner: Manner::TalksOnly,
            readings_per_second: 4.0,
            ..Options::default()
        };
        let mut meter = instrument(options);
        meter.hear(b"*IDN?\n");
        let mut lines = 0;
        for ms in 0..=1000 {
            lines += u32::from(meter.next_line(Duration::from_millis(ms)).is_some());
        }
        assert_eq!(lines, 4);
    }
}
