//! From the profile as written to the profile as meant; collects everything that is wrong before it gives up.

mod commands;
mod functions;
mod line;
mod pairs;

use std::ops::Range as Span;

use toml::Spanned;

use super::{Mode, Profile, file};
use crate::engine::source::Mark;

/// The only format of the file that there is so far.
const FORMAT: i64 = 1;

/// The profile, or everything that is wrong with it.
pub(super) fn profile(file: &file::File, name: &str) -> Result<Profile, Vec<Mark>> {
    let mut check = Check {
        mode: *file.mode.get_ref(),
        marks: Vec::new(),
    };
    check.format(&file.format);
    let sentinels = check.sentinels(&file.number);
    let functions = check.functions(file);
    let profile = Profile {
        name: name.to_owned(),
        title: file.title.clone(),
        mode: check.mode,
        line: check.line(&file.line),
        timing: check.timing(&file.timing),
        identify: file
            .identify
            .as_ref()
            .and_then(|identify| check.identify(identify, &sentinels)),
        errors: file.errors.as_ref().map(|errors| check.errors(errors)),
        sentinels,
        functions,
    };
    check.sentinels_outside_ranges(&file.number, &profile);
    check.any_identification(file, &profile);
    if check.marks.is_empty() {
        Ok(profile)
    } else {
        Err(check.marks)
    }
}

struct Check {
    mode: Mode,
    marks: Vec<Mark>,
}

impl Check {
    fn find(&mut self, span: Span<usize>, title: impl Into<String>, label: impl Into<String>) {
        self.marks.push(Mark {
            span,
            title: title.into(),
            label: label.into(),
        });
    }

    fn format(&mut self, format: &Spanned<i64>) {
        if *format.get_ref() != FORMAT {
            self.find(
                format.span(),
                format!("unknown format {} of a device profile", format.get_ref()),
                "this program reads format 1",
            );
        }
    }

    fn positive(&mut self, number: &Spanned<f64>, key: &str) -> f64 {
        if !(number.get_ref().is_finite() && *number.get_ref() > 0.0) {
            self.find(
                number.span(),
                format!("`{key}` is {}", number.get_ref()),
                "expected a number above zero",
            );
        }
        *number.get_ref()
    }

    fn not_negative(&mut self, number: Option<&Spanned<f64>>, key: &str) -> f64 {
        let Some(number) = number else { return 0.0 };
        if !(number.get_ref().is_finite() && *number.get_ref() >= 0.0) {
            self.find(
                number.span(),
                format!("`{key}` is {}", number.get_ref()),
                "expected zero or a number above it",
            );
        }
        *number.get_ref()
    }
}

fn printable(text: &str) -> bool {
    text.bytes().all(|b| b == b' ' || b.is_ascii_graphic())
}
