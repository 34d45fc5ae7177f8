//! Checks of `[identify]`, `[errors]` and of everything that is sent.

use toml::Spanned;

use super::{Check, file, printable};
use crate::engine::meter::{ErrorQuery, Fields, Identify, Mode, Profile, Reply, Sentinels, Unit};

impl Check {
    pub(super) fn identify(
        &mut self,
        identify: &Spanned<file::Identify>,
        sentinels: &Sentinels,
    ) -> Option<Identify> {
        if self.mode == Mode::Talk {
            self.find(
                identify.span(),
                "a talk-only meter takes no commands",
                "remove `[identify]`, or set `mode = \"query\"`",
            );
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
                .any(|(_, function)| function.fields().count() >= 4)
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
            self.find(
                errors.span(),
                "a talk-only meter takes no commands",
                "remove `[errors]`, or set `mode = \"query\"`",
            );
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
