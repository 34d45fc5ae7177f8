//! From the profile as written to the profile as meant; collects everything that is wrong before it gives up.
//!
//! Here too are the checks of `[function.*]`: the questions, the fields of the replies, the accuracy tables.

mod line;
mod pairs;

use std::ops::Range as Span;

use toml::Spanned;

use super::{Mode, Profile, file};
use crate::engine::meter::profile::{Function, SecondLimit};
use crate::engine::meter::{Fields, Idle, Range};
use crate::engine::quantity::Quantity;
use crate::engine::source::Mark;

/// The only format of the file that there is so far.
const FORMAT: i64 = 1;

/// `residual_v` where a profile does not state it, V (common practice, no source).
const RESIDUAL_VOLTS: f64 = 2.0;

/// The largest `residual_v`, V (common practice, no source).
const MOST_RESIDUAL_VOLTS: f64 = 10.0;

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
        residual_volts: check.residual_volts(file.residual_v.as_ref()),
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

    /// A command of a talk-only meter: the key or table that says it is to go.
    fn no_commands(&mut self, span: Span<usize>, key: &str) {
        self.find(
            span,
            "a talk-only meter takes no commands",
            format!("remove `{key}`, or set `mode = \"query\"`"),
        );
    }

    /// The number as it is written; a mark where it does not fit, with what was found and what was expected.
    fn fitting<T: Copy>(
        &mut self,
        written: &Spanned<T>,
        fits: bool,
        found: impl Into<String>,
        expected: impl Into<String>,
    ) -> T {
        if !fits {
            self.find(written.span(), found, expected);
        }
        *written.get_ref()
    }

    fn format(&mut self, format: &Spanned<i64>) {
        let found = *format.get_ref();
        let title = format!("unknown format {found} of a device profile");
        self.fitting(
            format,
            found == FORMAT,
            title,
            "this program reads format 1",
        );
    }

    fn residual_volts(&mut self, written: Option<&Spanned<f64>>) -> f64 {
        let Some(written) = written else {
            return RESIDUAL_VOLTS;
        };
        let found = *written.get_ref();
        let expected = format!(
            "expected at most {MOST_RESIDUAL_VOLTS}: what may be left on a part before ohms, farads or henrys are measured; \
             it is not the input protection that the manual states"
        );
        let fits = found <= MOST_RESIDUAL_VOLTS || found.is_nan();
        self.fitting(written, fits, format!("`residual_v` is {found}"), expected);
        self.positive(written, "residual_v")
    }

    fn positive(&mut self, number: &Spanned<f64>, key: &str) -> f64 {
        let found = *number.get_ref();
        let (fits, title) = (
            found.is_finite() && found > 0.0,
            format!("`{key}` is {found}"),
        );
        self.fitting(number, fits, title, "expected a number above zero")
    }

    fn not_negative(&mut self, number: Option<&Spanned<f64>>, key: &str) -> f64 {
        let Some(number) = number else { return 0.0 };
        let found = *number.get_ref();
        let (fits, title) = (
            found.is_finite() && found >= 0.0,
            format!("`{key}` is {found}"),
        );
        self.fitting(number, fits, title, "expected zero or a number above it")
    }
}

fn printable(text: &str) -> bool {
    text.bytes().all(|b| b == b' ' || b.is_ascii_graphic())
}

impl Check {
    fn functions(&mut self, file: &file::File) -> [Option<Function>; Quantity::ALL.len()] {
        let written = Quantity::ALL.map(|quantity| file.function.of(quantity));
        if written.iter().all(Option::is_none) {
            self.find(
                file.mode.span(),
                "the profile has no function",
                "add `[function.resistance]`, `[function.capacitance]` or another",
            );
        }
        Quantity::ALL.map(|quantity| {
            let function = file.function.of(quantity)?;
            Some(self.function(function, quantity))
        })
    }

    fn function(&mut self, function: &Spanned<file::Function>, quantity: Quantity) -> Function {
        let written = function.get_ref();
        let fields = self.fields(written, quantity);
        let circuit = self.circuit(written, quantity, &fields);
        self.idle_of_derived(written, &fields);
        Function {
            setup: written
                .setup
                .iter()
                .map(|command| self.setup(command))
                .collect(),
            query: self.query(function, quantity),
            fields,
            pair: fields
                .second_is()
                .and_then(|second| circuit.pair(quantity, second)),
            idle: self.idle(&written.idle),
            ranges: self.ranges(&written.range),
            frequency: self.frequency(written.frequency_hz.as_ref(), quantity, &fields),
            second_limit: self.second_limit(written.second_limit.as_ref(), fields),
            input_ohms: self.input_ohms(written.input_megohm.as_ref(), quantity),
        }
    }

    fn input_ohms(&mut self, written: Option<&Spanned<f64>>, quantity: Quantity) -> Option<f64> {
        let written = written?;
        if !matches!(quantity, Quantity::Voltage | Quantity::AcVoltage) {
            self.find(
                written.span(),
                format!("the input resistance of {quantity} is not used"),
                "remove `input_megohm`; it belongs to `[function.voltage]` and `[function.ac_voltage]`",
            );
        }
        Some(self.positive(written, "input_megohm") * 1e6)
    }

    fn second_limit(
        &mut self,
        written: Option<&Spanned<file::SecondLimit>>,
        fields: Fields,
    ) -> Option<SecondLimit> {
        let written = written?;
        let file::SecondLimit {
            percent_of_reading,
            absolute,
        } = written.get_ref();
        if fields.second().is_none() {
            let label = "name it in `fields`, such as `\"loss\"` or `\"quality\"`";
            self.find(written.span(), "the reply has no second value", label);
        }
        let limit = SecondLimit {
            percent_of_reading: self
                .not_negative(percent_of_reading.as_ref(), "percent_of_reading"),
            absolute: self.not_negative(absolute.as_ref(), "absolute"),
        };
        if limit.percent_of_reading + limit.absolute == 0.0 {
            let label = "expected `percent_of_reading` or `absolute` above zero";
            self.find(written.span(), "the second value has no accuracy", label);
        }
        Some(limit)
    }

    fn setup(&mut self, command: &Spanned<String>) -> String {
        if self.mode == Mode::Talk {
            self.no_commands(command.span(), "setup");
        }
        self.command(command)
    }

    fn query(&mut self, function: &Spanned<file::Function>, quantity: Quantity) -> String {
        match (self.mode, function.get_ref().query.as_ref()) {
            (Mode::Query, Some(query)) => self.command(query),
            (Mode::Query, None) => {
                self.find(
                    function.span(),
                    format!("no question for {quantity}"),
                    "add `query = \"READ?\"`, or what the meter's manual says",
                );
                String::new()
            }
            (Mode::Talk, Some(query)) => {
                self.no_commands(query.span(), "query");
                String::new()
            }
            (Mode::Talk, None) => String::new(),
        }
    }

    fn idle(&mut self, idle: &file::Idle) -> Idle {
        match idle {
            file::Idle::Overload => Idle::Overload,
            file::Idle::Below(limit) => Idle::Below(self.positive(limit, "below")),
        }
    }

    fn ranges(&mut self, ranges: &Spanned<Vec<file::Row>>) -> Vec<Range> {
        if ranges.get_ref().is_empty() {
            self.find(
                ranges.span(),
                "the accuracy table is empty",
                "expected at least one range",
            );
        }
        let mut last = 0.0;
        ranges
            .get_ref()
            .iter()
            .map(|range| self.range(range, &mut last))
            .collect()
    }

    fn range(&mut self, range: &file::Row, last: &mut f64) -> Range {
        let checked = Range {
            up_to: self.positive(&range.up_to, "up_to"),
            resolution: self.positive(&range.resolution, "resolution"),
            percent_of_reading: self
                .not_negative(range.percent_of_reading.as_ref(), "percent_of_reading"),
            percent_of_range: self
                .not_negative(range.percent_of_range.as_ref(), "percent_of_range"),
            counts: self.not_negative(range.counts.as_ref(), "counts"),
        };
        if checked.up_to > 0.0 && checked.up_to <= *last {
            self.find(
                range.up_to.span(),
                "ranges must ascend",
                format!("expected more than {last:e}, the range before"),
            );
        }
        if checked.up_to > 0.0 && checked.resolution >= checked.up_to {
            self.find(
                range.resolution.span(),
                "one count is not smaller than the range",
                "expected the smallest step of the last digit",
            );
        }
        if checked.percent_of_reading + checked.percent_of_range + checked.counts == 0.0 {
            let label = "expected `percent_of_reading`, `percent_of_range` or `counts` above zero";
            self.find(range.up_to.span(), "this range has no accuracy", label);
        }
        *last = checked.up_to;
        checked
    }
}
