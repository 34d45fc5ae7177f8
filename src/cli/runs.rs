//! [`runs`]: designators that follow each other, written short.

/// `R1-R4`, `R7`, `C1`: three or more of one letter whose numbers follow each other become one word. By letters in the order
/// of their first coming, then by numbers; what has no number at its end stands by itself.
pub(crate) fn runs(designators: &[&str]) -> Vec<String> {
    let mut letters: Vec<&str> = Vec::new();
    let mut numbered: Vec<(usize, u64, &str)> = Vec::new();
    for designator in designators {
        let (letter, number) = parted(designator);
        let place = letters.iter().position(|one| *one == letter);
        let place = place.unwrap_or_else(|| {
            letters.push(letter);
            letters.len() - 1
        });
        numbered.push((place, number, designator));
    }
    numbered.sort_by_key(|(place, number, _)| (*place, *number));
    let follows = |one: &(usize, u64, &str), next: &(usize, u64, &str)| {
        one.0 == next.0 && one.1.checked_add(1) == Some(next.1)
    };
    numbered.chunk_by(follows).flat_map(written).collect()
}

/// The words with commas.
pub(crate) fn listed(words: &[String]) -> String {
    words.join(", ")
}

/// Letters and number of `R12`; a designator of any other form is all letters, and its number follows none.
fn parted(designator: &str) -> (&str, u64) {
    let digits = designator.find(|sign: char| sign.is_ascii_digit());
    let (letters, digits) = designator.split_at(digits.unwrap_or(designator.len()));
    match digits.parse() {
        Ok(number) if !digits.starts_with('0') => (letters, number),
        _ => (designator, 0),
    }
}

fn written(run: &[(usize, u64, &str)]) -> Vec<String> {
    match run {
        [(_, _, first), _, .., (_, _, last)] => vec![format!("{first}-{last}")],
        few => few.iter().map(|(_, _, one)| (*one).to_owned()).collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_follows_is_written_short_and_nothing_else() {
        for (designators, expected) in [
            ("R1 R2 R3 R4", "R1-R4"),
            ("R1 C1 R2 C2 R3 C3 R10", "R1-R3, R10, C1-C3"),
            ("R1 R2 R4", "R1, R2, R4"),
            ("R3 R1 R2", "R1-R3"),
            ("T1.pri T1.sec R7", "T1.pri, T1.sec, R7"),
            ("R01 R02 R03", "R01, R02, R03"),
            ("r1 R2 R3", "r1, R2, R3"),
            ("", ""),
        ] {
            let designators: Vec<&str> = designators.split_whitespace().collect();
            assert_eq!(listed(&runs(&designators)), expected);
        }
    }
}
