//! [`chosen_parts`]: the parts of a list that somebody names on the command line.

use anyhow::Result;

use super::status::BadInput;
use crate::engine::parts::{Part, PartsList, Selection};

/// How many designators are offered instead of one that is not there.
const NEAR: usize = 3;

/// How many letters may differ.
const FAR: usize = 2;

/// The parts that designators or patterns, parted by commas, name; each once, in the order of the list.
///
/// # Errors
/// If one of them fits no part.
pub(crate) fn chosen_parts<'a>(list: &'a PartsList, text: &str) -> Result<Vec<&'a Part>> {
    for piece in text.split(',') {
        let selection = selection(piece)?;
        if !list
            .parts
            .iter()
            .any(|part| selection.matches(&part.designator))
        {
            return Err(BadInput(no_such_part(list, piece.trim())).into());
        }
    }
    let selection = selection(text)?;
    let parts = list.parts.iter();
    Ok(parts
        .filter(|part| selection.matches(&part.designator))
        .collect())
}

fn selection(text: &str) -> Result<Selection> {
    Ok(Selection::parse(text).map_err(|error| BadInput(error.to_string()))?)
}

fn no_such_part(list: &PartsList, wanted: &str) -> String {
    let offered = near(list, wanted);
    let what = if wanted.contains(['*', '?']) {
        format!("no part of parts.csv fits `{wanted}`")
    } else {
        format!("parts.csv has no part `{wanted}`")
    };
    match offered.split_last() {
        None => format!("{what}; `probewright parts check` shows its parts"),
        Some((one, [])) => format!("{what}; did you mean {one}?"),
        Some((one, others)) => format!("{what}; did you mean {} or {one}?", others.join(", ")),
    }
}

/// Designators that are written much like that, the nearest first.
fn near<'a>(list: &'a PartsList, wanted: &str) -> Vec<&'a str> {
    let wanted = wanted.to_lowercase();
    let distance = |part: &&'a Part| {
        let designator = part.designator.to_lowercase();
        let distance = strsim::osa_distance(&designator, &wanted);
        // Two letters of two are all of it.
        let most = FAR.min(designator.chars().count() / 2);
        (distance <= most).then_some((distance, part.designator.as_str()))
    };
    let mut near: Vec<_> = list
        .parts
        .iter()
        .filter_map(|part| distance(&part))
        .collect();
    near.sort_by_key(|(distance, _)| *distance);
    near.truncate(NEAR);
    near.into_iter().map(|(_, designator)| designator).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::parts::ListSettings;

    fn chosen(text: &str) -> Result<Vec<String>> {
        let list =
            "ref,kind,value\nR1,resistor,1k\nR12,resistor,1k\nC1,capacitor,1n\nT1.pri,winding,18\n";
        let list = crate::engine::parts::read(list.as_bytes(), &ListSettings::default()).unwrap();
        let parts = chosen_parts(&list, text)?.into_iter();
        Ok(parts.map(|part| part.designator.clone()).collect())
    }

    #[test]
    fn parts_are_chosen_by_designator_and_by_pattern_each_once() {
        assert_eq!(chosen("r12").unwrap(), ["R12"]);
        assert_eq!(chosen("C1, R*,R1").unwrap(), ["R1", "R12", "C1"]);
    }

    #[test]
    fn a_part_that_is_not_there_is_named_with_near_ones() {
        for (text, said) in [
            (
                "R1,R13",
                "parts.csv has no part `R13`; did you mean R1 or R12?",
            ),
            ("T1.prj", "did you mean T1.pri?"),
            (
                "L*",
                "no part of parts.csv fits `L*`; `probewright parts check`",
            ),
            ("R1,,C1", "found an empty pattern"),
        ] {
            let error = chosen(text).unwrap_err().to_string();
            assert!(error.contains(said), "{error}");
        }
    }
}
