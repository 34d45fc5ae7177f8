//! [`CellMatch`]: what the text of a cell says beside what it should say.
//!
//! Counts the rows that stand elsewhere than they should.

use chrono::DateTime;

use crate::engine::source::from_cell;

/// A cell as it is, beside its expected text.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum CellMatch {
    /// Equal byte for byte.
    Same,
    /// Equal as a number, time or text, written in another way.
    OtherWriting,
    /// Equal as a number with fewer figures.
    Rounded,
    /// Something else.
    Differs,
}

impl CellMatch {
    /// Compares a cell of the file with the one that the program writes.
    pub(super) fn of(found: &str, expected: &str) -> Self {
        if found == expected {
            return Self::Same;
        }
        let found = found.trim();
        if from_cell(found) == from_cell(expected) || same_time(found, expected) {
            return Self::OtherWriting;
        }
        match (number(found), number(expected)) {
            (Some(one), Some(other)) if one == other => Self::OtherWriting,
            (Some(one), Some(other)) if is_rounded(found, one, other) => Self::Rounded,
            _ => Self::Differs,
        }
    }
}

/// A number, with a point or a comma before its decimals.
fn number(text: &str) -> Option<f64> {
    let number: f64 = text.replacen(',', ".", 1).parse().ok()?;
    number.is_finite().then_some(number)
}

/// Fewest figures that a rounded number must have left to be taken for one.
const FEWEST_FIGURES: usize = 2;

/// Whether `exact`, with no more figures than `text` has, is the number in `text`.
fn is_rounded(text: &str, rounded: f64, exact: f64) -> bool {
    let mantissa = text.split(['e', 'E']).next().unwrap_or_default();
    let digits = mantissa.chars().filter(char::is_ascii_digit);
    let figures = digits.skip_while(|digit| *digit == '0').count();
    if !(FEWEST_FIGURES..=15).contains(&figures) {
        return false;
    }
    let again: Option<f64> = format!("{exact:.*e}", figures - 1).parse().ok();
    again == Some(rounded)
}

fn same_time(found: &str, expected: &str) -> bool {
    let time = |text| DateTime::parse_from_rfc3339(text).ok();
    matches!((time(found), time(expected)), (Some(one), Some(other)) if one == other)
}

/// Counts those of `places` that would have to be moved so that all ascend: all but the longest run that does already.
pub(super) fn moved(places: &[usize]) -> usize {
    // The smallest end of an ascending run of each length so far (patience sorting).
    let mut ends: Vec<usize> = Vec::new();
    for &place in places {
        let length = ends.partition_point(|end| *end < place);
        match ends.get_mut(length) {
            Some(end) => *end = place,
            None => ends.push(place),
        }
    }
    places.len() - ends.len()
}

/// The first that stands before the one it should follow.
pub(super) fn first_moved(places: &[usize]) -> Option<usize> {
    let at = places.windows(2).position(|pair| pair[1] < pair[0])?;
    Some(places[at + 1])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_same_number_in_another_way_is_told_from_another_number() {
        use CellMatch::{Differs, OtherWriting, Rounded, Same};
        for (found, expected, says) in [
            ("4712.3", "4712.3", Same),
            ("4712,3", "4712.3", OtherWriting),
            ("4.7E-08", "4.7e-8", OtherWriting),
            ("4712.30", "4712.3", OtherWriting),
            ("131.37", "131.365298", Rounded),
            ("131.36", "131.365298", Differs),
            ("1", "1.4", Differs),
            ("4713", "4712.3", Differs),
            ("", "4712.3", Differs),
            ("pass", "fail", Differs),
            ("-10/+50", "'-10/+50", OtherWriting),
            (
                "2056-11-03T18:25:30Z",
                "2056-11-03T19:25:30.000+01:00",
                OtherWriting,
            ),
            (
                "2056-11-03T18:25:31Z",
                "2056-11-03T19:25:30.000+01:00",
                Differs,
            ),
        ] {
            assert_eq!(CellMatch::of(found, expected), says, "{found} {expected}");
        }
    }

    #[test]
    fn only_what_was_moved_counts() {
        assert_eq!(moved(&[]), 0);
        assert_eq!(moved(&[3, 4, 9]), 0);
        assert_eq!(
            (moved(&[0, 5, 1, 2, 3]), first_moved(&[0, 5, 1, 2, 3])),
            (1, Some(1))
        );
        assert_eq!((moved(&[2, 1, 0]), first_moved(&[2, 1, 0])), (2, Some(1)));
    }
}
