//! [`parse_body_end_dot`]: the colours of resistors before there were bands.

use super::colour_bands::named;
use super::colour_code::{colour_code, figure};
use super::{Colour, ColourCode, ColourError, Remark};

/// Reads body, end, dot and, if it is coloured, the other end: `red green orange gold`.
///
/// The body is the first figure, one end the second, the dot (or a band around the middle) the number of noughts; the
/// other end gives the tolerance, gold 5 %, silver 10 %, plain 20 % (the code of the Radio Manufacturers Association, as
/// public texts on old sets quote it). An end or a dot that cannot be seen has the body's colour (common practice, no
/// source): write `-` for it, or the body alone if neither can be seen.
///
/// # Errors
/// [`ColourError`] names the place that is wrong.
pub fn parse_body_end_dot(text: &str) -> Result<ColourCode, ColourError> {
    let words: Vec<&str> = text
        .split(|c: char| c.is_whitespace() || matches!(c, ',' | '/'))
        .filter(|word| !word.is_empty())
        .collect();
    let (body, end, dot, other_end) = match words[..] {
        [body] => (body, "-", "-", None),
        [body, end, dot] => (body, end, dot, None),
        [body, end, dot, other_end] => (body, end, dot, Some(other_end)),
        _ => {
            return Err(ColourError::WrongCount {
                found: words.len(),
                expected: "body, end and dot (`-` for one not seen), with the other end if it is gold or silver",
            });
        }
    };
    let body = named(body, "body")?;
    let seen = |word, place| {
        if word == "-" {
            Ok(body)
        } else {
            named(word, place)
        }
    };
    let (end, dot) = (seen(end, "end")?, seen(dot, "dot")?);
    let tolerance = tolerance(other_end)?;
    let figures = [figure(body, "body", true)?, figure(end, "end", false)?];
    let noughts = figure(dot, "dot", false)?;
    let mut code = colour_code(&figures, i32::from(noughts), tolerance);
    code.remarks
        .extend((words.len() == 1 || words.contains(&"-")).then_some(Remark::HiddenMark));
    Ok(code)
}

fn tolerance(other_end: Option<&str>) -> Result<f64, ColourError> {
    let place = "other end";
    match other_end {
        None | Some("-" | "plain" | "none") => Ok(20.0),
        Some(word) => match named(word, place)? {
            Colour::Gold => Ok(5.0),
            Colour::Silver => Ok(10.0),
            colour => Err(ColourError::Impossible {
                place,
                colour,
                meaning: "tolerance",
                expected: "gold, silver or nothing",
            }),
        },
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn marks_not_seen_have_the_colour_of_the_body() {
        let ohm = |text| parse_body_end_dot(text).map(|code| code.amount.value());
        assert_eq!(ohm("red"), Ok(2200.0));
        assert_eq!(ohm("red green -"), Ok(2500.0));
        assert_eq!(ohm("red - orange silver"), Ok(22_000.0));
        assert_eq!(
            parse_body_end_dot("red").unwrap().remarks,
            [Remark::HiddenMark]
        );
        assert_eq!(parse_body_end_dot("red red red").unwrap().remarks, []);
    }

    #[test]
    fn the_wrong_place_is_named() {
        let fault = |text| parse_body_end_dot(text).unwrap_err().to_string();
        assert!(fault("black green red").starts_with("found black as body"));
        assert!(fault("red gold red").starts_with("found gold as end"));
        assert!(fault("red green silver").starts_with("found silver as dot"));
        assert!(fault("red green red blue").starts_with("found blue as other end"));
        assert!(fault("red green").starts_with("found 2 colours"));
    }

    proptest! {
        #[test]
        fn no_words_make_the_parser_panic(text in "\\PC*") {
            let _ = parse_body_end_dot(&text);
        }
    }
}
