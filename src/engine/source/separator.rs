//! [`Separator`]: what parts the columns of a table.

use super::table::header_of;
use super::{Fault, Layout, Problem};
use strum::{Display, VariantArray};

/// Separator of the columns of a table.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Display, VariantArray)]
pub enum Separator {
    /// A comma, as RFC 4180 has it.
    #[default]
    #[strum(to_string = "commas")]
    Comma,
    /// A semicolon, as spreadsheets write where the comma is the decimal sign.
    #[strum(to_string = "semicolons")]
    Semicolon,
    /// A tab, as spreadsheets write "Unicode text".
    #[strum(to_string = "tabs")]
    Tab,
}

words!(Separator: ALL);

impl Separator {
    /// The separator that a setting means: `,`, `;`, a tab, or the word `tab`.
    pub fn named(text: &str) -> Option<Self> {
        Some(match text {
            "," => Self::Comma,
            ";" => Self::Semicolon,
            "\t" | "tab" => Self::Tab,
            _ => return None,
        })
    }

    /// The byte.
    pub const fn byte(self) -> u8 {
        match self {
            Self::Comma => b',',
            Self::Semicolon => b';',
            Self::Tab => b'\t',
        }
    }
}

/// Takes a first line `sep=;` off, which spreadsheets write and heed. The text begins with that line's end then, so that lines
/// are counted as in the file.
pub(super) fn first_line(text: &str) -> Result<(&str, Option<Separator>), Fault> {
    let end = text.find(['\r', '\n']).unwrap_or(text.len());
    let (line, rest) = text.split_at(end);
    let line = line.trim_matches('"');
    let begins = line
        .get(..4)
        .is_some_and(|start| start.eq_ignore_ascii_case("sep="));
    if !begins {
        return Ok((text, None));
    }
    let said = &line[4..];
    let mut letters = said.chars();
    let first = letters.next().map(String::from).unwrap_or_default();
    let padded = letters.all(|letter| matches!(letter, ',' | ';' | '\t' | ' '));
    match Separator::named(&first).filter(|_| padded) {
        Some(separator) => Ok((rest, Some(separator))),
        None => Err(Fault::in_line(
            1,
            Problem::cell(
                line,
                "`sep=,`, `sep=;` or `sep=` and a tab; delete the line",
            ),
        )),
    }
}

/// Columns that are parted otherwise than was said.
pub(super) fn contradiction(line: usize, found: Separator, expected: Separator) -> Fault {
    let words = format!(
        "found columns parted by {found}, expected {expected}, as `separator` under [sheet] in job.toml or a first line `sep=` says; change that, or save the file anew"
    );
    Fault::in_line(line, Problem(words))
}

/// Finds what parts the columns: what was `said`, else what makes the most of `names` in the line that names the columns.
///
/// # Errors
/// If two separators do equally well, or another one does better than the one that was said.
pub(super) fn find(
    text: &str,
    said: Option<Separator>,
    layout: &Layout<'_>,
) -> Result<Separator, Fault> {
    let readings = Separator::ALL.map(|separator| (separator, Trial::by(text, separator, layout)));
    let of = |separator: Separator| &readings[separator as usize].1;
    if let Some(said) = said {
        let better = readings
            .iter()
            .find(|(_, reading)| reading.complete && !of(said).complete);
        return match better {
            Some((found, reading)) => Err(contradiction(reading.line, *found, said)),
            None => Ok(said),
        };
    }
    let best = readings.iter().map(|(_, reading)| reading.known).max();
    let mut good = readings.iter().filter(|(_, reading)| {
        reading.complete || (Some(reading.known) == best && reading.known > 0)
    });
    match (good.next(), good.next()) {
        (Some((first, one)), Some((second, two))) => {
            let words = format!(
                "found names of columns that can be read in two ways, parted by {first}: {}; parted by {second}: {}; expected one; say `separator` under [sheet] in job.toml",
                one.columns, two.columns
            );
            Err(Fault::in_line(one.line, Problem(words)))
        }
        (Some((separator, _)), None) => Ok(*separator),
        (None, _) => Ok(Separator::Comma),
    }
}

/// The line that names the columns, as one separator reads it.
struct Trial {
    line: usize,
    complete: bool,
    known: usize,
    columns: String,
}

impl Trial {
    fn by(text: &str, separator: Separator, layout: &Layout<'_>) -> Self {
        let (header, line) = header_of(text, separator);
        let has = |name: &&&'static str| {
            header
                .iter()
                .any(|cell| layout.column(cell) == Some(**name))
        };
        let columns = header.iter().map(|name| format!("`{}`", name.trim()));
        Self {
            line,
            complete: layout.needed.iter().all(|name| has(&name)),
            known: layout.names.iter().filter(has).count(),
            columns: columns.collect::<Vec<_>>().join(" "),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn find(text: &str, said: Option<Separator>) -> Result<Separator, Fault> {
        let needed = ["ref", "kind", "value"];
        let layout = Layout {
            needed: &needed,
            ..Layout::of("", &["ref", "kind", "value", "note"])
        };
        super::find(text, said, &layout)
    }

    #[test]
    fn the_names_of_the_columns_tell_what_parts_them() {
        for (text, expected) in [
            ("ref,kind,value\n", Separator::Comma),
            ("ref;kind;value;note, or not\n", Separator::Semicolon),
            ("REF\tKind\tvalue\n", Separator::Tab),
            ("# ref,kind,value\n\nref;kind;value\n", Separator::Semicolon),
            (
                "\"# a, b\";;\n\"ref\";\"kind\";\"value\"\n",
                Separator::Semicolon,
            ),
            ("ref;note\n", Separator::Semicolon),
            ("nothing of it\n", Separator::Comma),
        ] {
            assert_eq!(find(text, None), Ok(expected), "{text}");
        }
    }

    #[test]
    fn what_two_separators_read_equally_well_is_refused_with_both_readings() {
        let error = find("ref,kind,value,x;ref;kind;value\n", None).unwrap_err();
        let text = error.to_string();
        assert!(text.contains("`kind` `value` `x;ref;kind;value`"), "{text}");
        assert!(text.contains("`ref,kind,value,x` `ref`"), "{text}");
        assert_eq!(
            find(
                "ref,kind,value,x;ref;kind;value\n",
                Some(Separator::Semicolon)
            ),
            Ok(Separator::Semicolon)
        );
    }

    #[test]
    fn a_separator_that_was_said_and_is_another_is_refused() {
        let error = find("ref,kind,value\n", Some(Separator::Tab)).unwrap_err();
        assert!(
            error
                .to_string()
                .contains("found columns parted by commas, expected tabs")
        );
    }

    #[test]
    fn a_first_line_for_spreadsheets_is_taken_off() {
        assert_eq!(
            first_line("sep=;\r\nref"),
            Ok(("\r\nref", Some(Separator::Semicolon)))
        );
        assert_eq!(
            first_line("\"sep=,\"\nref"),
            Ok(("\nref", Some(Separator::Comma)))
        );
        assert_eq!(
            first_line("SEP=\t\nref"),
            Ok(("\nref", Some(Separator::Tab)))
        );
        assert_eq!(first_line("separate"), Ok(("separate", None)));
        assert!(first_line("sep=|\nref").is_err());
    }
}
