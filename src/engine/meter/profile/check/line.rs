//! Checks of `[line]`, `[timing]`, `[number]`, `[identify]`, `[errors]` and of everything that is sent.

use std::time::Duration;

use toml::Spanned;

use super::{Check, file, printable};
use crate::engine::meter::{
    DataBits, ErrorQuery, Fields, Flow, Identify, LineSettings, Mode, Profile, Reply, Sentinels,
    StopBits, Timing, Unit,
};

const LONGEST_REPLY: usize = 256;

impl Check {
    pub(super) fn line(&mut self, line: &file::Line) -> LineSettings {
        let data_bits = match self.bits(line.data_bits.as_ref(), [8, 7], "data bits", "7 or 8") {
            7 => DataBits::Seven,
            _ => DataBits::Eight,
        };
        let stop_bits = match self.bits(line.stop_bits.as_ref(), [1, 2], "stop bits", "1 or 2") {
            2 => StopBits::Two,
            _ => StopBits::One,
        };
        let baud = *line.baud.get_ref();
        let (fits, title) = (
            (50..=4_000_000).contains(&baud),
            format!("a line speed of {baud} baud"),
        );
        self.fitting(&line.baud, fits, title, "expected 50 to 4000000");
        if let (Flow::Hardware, Some(rts)) = (line.flow, &line.rts) {
            self.find(
                rts.span(),
                "`rts` beside `flow = \"hardware\"`",
                "expected one of the two: flow control moves RTS by itself",
            );
        }
        let (parity, flow, ending) = (line.parity, line.flow, line.ending);
        let longest_reply = self.longest_reply(line.longest_reply.as_ref());
        LineSettings {
            baud,
            data_bits,
            parity,
            stop_bits,
            flow,
            ending,
            longest_reply,
            dtr: line.dtr,
            rts: line.rts.as_ref().map(|rts| *rts.get_ref()),
        }
    }

    /// A number of bits out of `allowed`, the first of which is understood where nothing is said.
    fn bits(
        &mut self,
        written: Option<&Spanned<u8>>,
        allowed: [u8; 2],
        what: &str,
        expected: &str,
    ) -> u8 {
        let Some(bits) = written else {
            return allowed[0];
        };
        let found = *bits.get_ref();
        let (fits, title) = (allowed.contains(&found), format!("{found} {what}"));
        self.fitting(bits, fits, title, format!("expected {expected}"))
    }

    fn longest_reply(&mut self, longest: Option<&Spanned<usize>>) -> usize {
        let Some(longest) = longest else {
            return LONGEST_REPLY;
        };
        let found = *longest.get_ref();
        let (fits, title) = (
            (16..=65_536).contains(&found),
            format!("a longest reply of {found} bytes"),
        );
        self.fitting(longest, fits, title, "expected 16 to 65536")
    }

    pub(super) fn timing(&mut self, timing: &Spanned<file::Timing>) -> Timing {
        let written = timing.get_ref();
        let (needed, key) = match self.mode {
            Mode::Query => (written.answer_within_s.is_some(), "answer_within_s"),
            Mode::Talk => (written.silent_after_s.is_some(), "silent_after_s"),
        };
        if !needed {
            self.find(
                timing.span(),
                format!("no `{key}` for this mode"),
                format!("add `{key} = ...`, in seconds"),
            );
        }
        if let Some(rate) = written.readings_per_second.as_ref() {
            self.positive(rate, "readings_per_second");
        }
        Timing {
            answer_within: self.seconds(written.answer_within_s.as_ref(), 0.01, 60.0, 2.0),
            silent_after: self.seconds(written.silent_after_s.as_ref(), 0.01, 600.0, 5.0),
            pause: self.seconds(written.pause_s.as_ref(), 0.0, 60.0, 0.0),
            readings_per_second: written
                .readings_per_second
                .as_ref()
                .map(|rate| *rate.get_ref()),
        }
    }

    fn seconds(
        &mut self,
        written: Option<&Spanned<f64>>,
        least: f64,
        most: f64,
        default: f64,
    ) -> Duration {
        let Some(seconds) = written else {
            return Duration::from_secs_f64(default);
        };
        let found = *seconds.get_ref();
        let fits = (least..=most).contains(&found);
        let expected = format!("expected {least} to {most} seconds");
        self.fitting(seconds, fits, format!("a time of {found} s"), expected);
        Duration::from_secs_f64(if fits { found } else { default })
    }
}

impl Check {
    pub(super) fn sentinels(&mut self, number: &file::Numbers) -> Sentinels {
        let default = Sentinels::default();
        for nan in number.not_a_number.iter().flatten() {
            if number
                .overload
                .iter()
                .flatten()
                .any(|over| Sentinels::confusable(*over.get_ref(), *nan.get_ref()))
            {
                self.find(
                    nan.span(),
                    "overload and not-a-number cannot be told apart",
                    "must differ by more than 0.08 % from every overload number",
                );
            }
        }
        let numbers = |list: Option<&Vec<Spanned<f64>>>, default: Vec<f64>| {
            list.map_or(default, |list| list.iter().map(|n| *n.get_ref()).collect())
        };
        let states = |list: Option<&Vec<i32>>, default: Vec<f64>| {
            list.map_or(default, |list| {
                list.iter().copied().map(f64::from).collect()
            })
        };
        Sentinels {
            overload: numbers(number.overload.as_ref(), default.overload),
            not_a_number: numbers(number.not_a_number.as_ref(), default.not_a_number),
            overload_words: self.words(&number.overload_words),
            not_a_number_words: self.words(&number.not_a_number_words),
            status_good: states(number.status_good.as_ref(), default.status_good),
            status_overload: states(number.status_overload.as_ref(), default.status_overload),
        }
    }

    fn words(&mut self, words: &[Spanned<String>]) -> Vec<String> {
        for word in words {
            let text = word.get_ref();
            let starts_well = text.bytes().next().is_some_and(|b| {
                b.is_ascii_graphic() && !b.is_ascii_digit() && b != b'+' && b != b'-'
            });
            if !starts_well || !printable(text) || text.contains([',', ';']) {
                self.find(
                    word.span(),
                    "not a word that stands for a number",
                    "expected printable ASCII without comma, not starting with a digit or sign",
                );
            }
        }
        words.iter().map(|word| word.get_ref().clone()).collect()
    }

    /// A sentinel inside a range would swallow true readings.
    pub(super) fn sentinels_outside_ranges(&mut self, number: &file::Numbers, profile: &Profile) {
        let largest = profile
            .functions()
            .flat_map(|(_, function)| &function.ranges)
            .fold(0.0, |most: f64, range| most.max(range.up_to));
        for sentinel in number.overload.iter().chain(&number.not_a_number).flatten() {
            if !sentinel.get_ref().is_finite() || sentinel.get_ref().abs() <= largest {
                self.find(
                    sentinel.span(),
                    "this number lies inside a range of the meter",
                    format!(
                        "expected a number larger in size than {largest:e}, the largest `up_to`"
                    ),
                );
            }
        }
    }
}

impl Check {
    pub(super) fn identify(
        &mut self,
        identify: &Spanned<file::Identify>,
        sentinels: &Sentinels,
    ) -> Option<Identify> {
        if self.mode == Mode::Talk {
            self.no_commands(identify.span(), "[identify]");
            return None;
        }
        let written = identify.get_ref();
        let expect = written
            .expect
            .as_ref()
            .map(|text| self.expectation(text, sentinels));
        Some(Identify {
            query: self.command(&written.query),
            expect,
        })
    }

    /// Any answer of four fields is an identification: then no reading may look like one.
    pub(super) fn any_identification(&mut self, file: &file::File, profile: &Profile) {
        let Some(written) = file
            .identify
            .as_ref()
            .filter(|identify| identify.get_ref().expect.is_none())
        else {
            return;
        };
        let words =
            !file.number.overload_words.is_empty() || !file.number.not_a_number_words.is_empty();
        if words
            && profile
                .functions()
                .any(|(_, function)| function.fields.count >= 4)
        {
            self.find(
                written.span(),
                "a reply of four fields with a word in it looks like an identification",
                "add `expect = ...`, a text that only the identification contains",
            );
        }
    }

    fn expectation(&mut self, expect: &Spanned<String>, sentinels: &Sentinels) -> String {
        let text = expect.get_ref();
        let words = sentinels
            .overload_words
            .iter()
            .chain(&sentinels.not_a_number_words);
        let in_a_reading = Unit::parse(text.as_bytes()).is_some()
            || Reply::parse(text.as_bytes(), &Fields::one(), sentinels).is_ok()
            || words.into_iter().any(|word| word.contains(text.as_str()));
        let letters = text.bytes().filter(u8::is_ascii_alphabetic).count();
        if in_a_reading || letters < 2 || !printable(text) {
            let label = "expected a part of the answer, in ASCII, with two letters or more, that no reading could contain";
            self.find(
                expect.span(),
                format!("`{text}` does not tell an identification from a reading"),
                label,
            );
        }
        text.clone()
    }

    pub(super) fn errors(&mut self, errors: &Spanned<file::Errors>) -> ErrorQuery {
        if self.mode == Mode::Talk {
            self.no_commands(errors.span(), "[errors]");
        }
        let written = errors.get_ref();
        ErrorQuery {
            query: self.command(&written.query),
            after_setup: written.after_setup,
            after_timeout: written.after_timeout,
        }
    }

    /// A command: one line of printable ASCII that is not empty.
    pub(super) fn command(&mut self, command: &Spanned<String>) -> String {
        let text = command.get_ref();
        if text.trim().is_empty() || !printable(text) {
            self.find(
                command.span(),
                "not a command that can be sent",
                "expected one line of printable ASCII, without line ending",
            );
        }
        text.clone()
    }
}
