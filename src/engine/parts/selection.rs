//! [`Selection`]: which parts of a list are meant, by designator or by place.
//!
//! [`is_at`]: whether a part is at a place.
//!
//! [`by_group`]: parts by the sub-assembly that they belong to.

use thiserror::Error;

use super::Part;

/// A choice of parts: patterns of designators and names of places, of which one has to fit. Upper and lower case alike.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Selection(Vec<Piece>);

#[derive(Debug, Clone, PartialEq, Eq)]
struct Piece {
    pattern: Vec<char>,
    /// Behind `at`: a place, whatever designators there are.
    at: bool,
}

/// Reason why a text is no selection.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum SelectionError {
    /// A pattern without a character.
    #[error("found an empty pattern in `{text}`, expected designators such as `R*,C4`")]
    EmptyPattern {
        /// As it was written.
        text: String,
    },
}

/// Word before the name of a place.
const AT: &str = "at ";

impl Selection {
    /// Reads patterns parted by commas, in which `*` stands for any characters and `?` for one: `R*,C4,T?.pri`; `at V2` is a place.
    ///
    /// # Errors
    /// If a pattern is empty.
    pub fn parse(text: &str) -> Result<Self, SelectionError> {
        let pieces: Vec<Piece> = text.split(',').map(Piece::of).collect();
        if pieces.iter().any(|piece| piece.pattern.is_empty()) {
            return Err(SelectionError::EmptyPattern {
                text: text.to_owned(),
            });
        }
        Ok(Self(pieces))
    }

    /// Whether a designator is chosen.
    pub fn matches(&self, designator: &str) -> bool {
        let designator = folded(designator.trim());
        self.0.iter().any(|piece| piece.names(&designator))
    }

    /// Chosen ones of `parts`, in their order. What fits no designator of the list is the name of a place.
    pub fn among<'a>(&self, parts: &'a [Part]) -> Vec<&'a Part> {
        let designators: Vec<Vec<char>> =
            parts.iter().map(|part| folded(&part.designator)).collect();
        let mut chosen = vec![false; parts.len()];
        for piece in &self.0 {
            let named = designators.iter().any(|one| piece.names(one));
            for (place, part) in parts.iter().enumerate() {
                chosen[place] |= if named {
                    piece.names(&designators[place])
                } else {
                    fits_place(&piece.pattern, part)
                };
            }
        }
        let with = parts.iter().zip(chosen);
        with.filter_map(|(part, chosen)| chosen.then_some(part))
            .collect()
    }
}

impl Piece {
    fn of(text: &str) -> Self {
        let text = folded(text.trim());
        let at =
            text.len() > AT.len() && text.iter().copied().zip(AT.chars()).all(|(c, at)| c == at);
        let place = if at { &text[AT.len()..] } else { &text[..] };
        let place: String = place.iter().collect();
        Self {
            pattern: folded(place.trim()),
            at,
        }
    }

    fn names(&self, designator: &[char]) -> bool {
        !self.at && fits(&self.pattern, designator)
    }
}

/// Whether a part is at that place: a node of the circuit, its group, or words of `from`, `to`, `role`, `note` or `group`. A
/// word that ends in a digit also fits one that goes on with a letter: `V2` fits `V2g1`, and not `V21`.
pub fn is_at(place: &str, part: &Part) -> bool {
    let place = folded(place.trim());
    !place.is_empty() && fits_place(&place, part)
}

/// Groups of one sub-assembly each, in the order of their first coming; before them those that belong to none.
pub fn by_group<T>(all: &[T], group: impl Fn(&T) -> &str) -> Vec<Vec<&T>> {
    let mut groups: Vec<(&str, Vec<&T>)> = vec![("", Vec::new())];
    for one in all {
        let name = group(one);
        match groups.iter_mut().find(|(known, _)| *known == name) {
            Some((_, group)) => group.push(one),
            None => groups.push((name, vec![one])),
        }
    }
    let groups = groups.into_iter().map(|(_, group)| group);
    groups.filter(|group| !group.is_empty()).collect()
}

fn fits_place(place: &[char], part: &Part) -> bool {
    let cells = [&part.from, &part.to, &part.group, &part.role, &part.note];
    let wanted: Vec<&[char]> = words(place);
    cells
        .into_iter()
        .filter(|cell| !cell.is_empty())
        .any(|cell| {
            let cell = folded(cell.trim());
            let held = words(&cell);
            fits(place, &cell)
                || (!wanted.is_empty()
                    && held.windows(wanted.len()).any(|held| {
                        held.iter()
                            .zip(&wanted)
                            .all(|(held, wanted)| is_word(wanted, held))
                    }))
        })
}

/// The words of a text: runs of letters, digits, and signs of a pattern.
fn words(text: &[char]) -> Vec<&[char]> {
    let within = |c: &char| c.is_alphanumeric() || matches!(c, '*' | '?' | '+' | '−');
    let runs = text.split(move |c| !within(c));
    runs.filter(|word| !word.is_empty()).collect()
}

fn is_word(wanted: &[char], held: &[char]) -> bool {
    let numbered = wanted.last().is_some_and(char::is_ascii_digit);
    let goes_on = held.get(wanted.len()).is_some_and(|c| !c.is_ascii_digit());
    fits(wanted, held) || (numbered && goes_on && fits(wanted, &held[..wanted.len()]))
}

fn folded(text: &str) -> Vec<char> {
    text.chars().flat_map(char::to_lowercase).collect()
}

/// Whether `text` fits `pattern`. Goes back to the last `*` only, so the time is bounded by the product of the lengths.
fn fits(pattern: &[char], text: &[char]) -> bool {
    let (mut at, mut read) = (0, 0);
    let mut last_star: Option<(usize, usize)> = None;
    while read < text.len() {
        match pattern.get(at) {
            Some('*') => {
                last_star = Some((at, read));
                at += 1;
            }
            Some(c) if *c == '?' || *c == text[read] => (at, read) = (at + 1, read + 1),
            _ => match &mut last_star {
                Some((star, taken)) => {
                    *taken += 1;
                    (at, read) = (*star + 1, *taken);
                }
                None => return false,
            },
        }
    }
    pattern[at..].iter().all(|c| *c == '*')
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::engine::parts::{ListSettings, read};

    fn chosen(patterns: &str) -> String {
        let list = "ref,kind,value,from,to,role,note,group\n\
            R1,resistor,1k,V2 grid,chassis,grid leak,,\n\
            R2,resistor,1k,V21 grid,HT1,anode load,,tone board\n\
            C2,capacitor,1n,V2g1,HT1,coupling,brown wax,tone board\n\
            V2,lamp,6V 0.3A,heater,chassis,,,\n";
        let list = read(list.as_bytes(), &ListSettings::default()).unwrap();
        let selection = Selection::parse(patterns).unwrap();
        let chosen = selection.among(&list.parts).into_iter();
        let chosen: Vec<&str> = chosen.map(|part| part.designator.as_str()).collect();
        chosen.join(" ")
    }

    #[test]
    fn what_is_no_designator_is_a_place() {
        for (patterns, expected) in [
            ("R*", "R1 R2"),
            ("v2", "V2"),
            ("at V2", "R1 C2"),
            ("AT v2", "R1 C2"),
            ("at V2 grid", "R1"),
            ("V21", "R2"),
            ("HT1", "R2 C2"),
            ("at HT*", "R2 C2"),
            ("tone board", "R2 C2"),
            ("tone", "R2 C2"),
            ("brown wax,R1", "R1 C2"),
            ("grid leak", "R1"),
            ("leak grid", ""),
            ("at R1", ""),
            ("at", ""),
            ("nowhere", ""),
            ("chassis", "R1 V2"),
        ] {
            assert_eq!(chosen(patterns), expected, "{patterns}");
        }
    }

    fn check(patterns: &str, designator: &str, expected: bool) {
        assert_eq!(
            Selection::parse(patterns).unwrap().matches(designator),
            expected,
            "{patterns}, {designator}"
        );
    }

    #[test]
    fn patterns_choose_designators() {
        check("R*", "R12", true);
        check("R*", "r1", true);
        check("r*", "RV1", true);
        check("R*", "C1", false);
        check("R*,C4", "C4", true);
        check("R*, C4", "c4", true);
        check("C4", "C44", false);
        check("R?", "R1", true);
        check("R?", "R12", false);
        check("T?.pri", "T1.pri", true);
        check("*.*i", "T1.pri", true);
        check("*a*b*c", "xxaxbxbxc", true);
        check("*a*b*c", "xxaxbxbx", false);
        check("*", "", true);
    }

    #[test]
    fn an_empty_pattern_is_refused() {
        for text in ["", " ", "R*,", ",C4", "R1,,R2"] {
            assert!(Selection::parse(text).is_err(), "{text:?}");
        }
    }

    proptest! {
        #[test]
        fn a_designator_chooses_itself_and_its_beginning(designator in "[A-Z]{1,3}[0-9]{1,4}", cut in 0_usize..7) {
            prop_assert!(Selection::parse(&designator).unwrap().matches(&designator));
            let beginning = &designator[..cut.min(designator.len())];
            let pattern = format!("{beginning}*");
            prop_assert!(Selection::parse(&pattern).unwrap().matches(&designator));
        }

        #[test]
        fn no_text_makes_the_selection_panic(pattern in "\\PC*", designator in "\\PC*") {
            if let Ok(selection) = Selection::parse(&pattern) {
                selection.matches(&designator);
            }
        }
    }
}
