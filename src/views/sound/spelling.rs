//! [`spelled`]: a designator as it is spoken.

const ONES: &str = "zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen \
    sixteen seventeen eighteen nineteen";
/// From twenty on.
const TENS: &str = "twenty thirty forty fifty sixty seventy eighty ninety";

/// The longest run of capitals that is spelled letter by letter: `TP`, `VR`. Longer ones are words.
const LETTERS: usize = 2;

/// A designator as it is spoken: `R12` becomes `R twelve`, `C4` `C four`, `T1.pri` `T one pri`.
///
/// Numbers up to 999 are words, longer ones and those that begin with a zero go digit by digit. One or two capitals are
/// spelled, longer words are kept in small letters. Everything else is a pause between words. The result holds letters,
/// and single blanks only, so it is safe as an argument of any program; it is empty if the designator has neither letter nor digit.
pub fn spelled(designator: &str) -> String {
    let mut words = Vec::new();
    let mut rest = designator;
    while let Some(first) = rest.chars().next() {
        let (run, after) = rest.split_at(end_of_run(rest, first));
        rest = after;
        if first.is_ascii_digit() {
            words.push(number(run));
        } else if first.is_alphabetic() {
            words.push(letters(run));
        }
    }
    words.join(" ")
}

/// Where the run of digits, of letters or of anything else ends.
fn end_of_run(text: &str, first: char) -> usize {
    let class = |c: char| (c.is_ascii_digit(), c.is_alphabetic());
    text.find(|c| class(c) != class(first))
        .unwrap_or(text.len())
}

fn letters(run: &str) -> String {
    let capitals = run.chars().all(char::is_uppercase);
    if capitals && run.chars().count() <= LETTERS {
        let letters: Vec<String> = run.chars().map(String::from).collect();
        letters.join(" ")
    } else if run.chars().count() == 1 {
        run.to_uppercase()
    } else {
        run.to_lowercase()
    }
}

fn number(digits: &str) -> String {
    let plain = !digits.starts_with('0') || digits == "0";
    match digits.parse::<usize>() {
        Ok(number @ 0..=999) if plain => spoken(number),
        _ => {
            let digits: Vec<&str> = digits
                .bytes()
                .map(|digit| one(usize::from(digit - b'0')))
                .collect();
            digits.join(" ")
        }
    }
}

/// A number below a thousand.
fn spoken(number: usize) -> String {
    match number {
        0..20 => one(number).to_owned(),
        20..100 if number.is_multiple_of(10) => ten(number / 10).to_owned(),
        20..100 => format!("{} {}", ten(number / 10), one(number % 10)),
        _ if number.is_multiple_of(100) => format!("{} hundred", one(number / 100)),
        _ => format!("{} hundred {}", one(number / 100), spoken(number % 100)),
    }
}

fn one(number: usize) -> &'static str {
    ONES.split(' ').nth(number).unwrap_or_default()
}

fn ten(tens: usize) -> &'static str {
    TENS.split(' ').nth(tens - 2).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn designators_are_spoken_as_people_say_them() {
        for (designator, said) in [
            ("R12", "R twelve"),
            ("C4", "C four"),
            ("R30", "R thirty"),
            ("R21", "R twenty one"),
            ("R100", "R one hundred"),
            ("r219", "R two hundred nineteen"),
            ("R905", "R nine hundred five"),
            ("T1.pri", "T one pri"),
            ("TP7", "T P seven"),
            ("VR2a", "V R two A"),
            ("SPARE 3", "spare three"),
            ("R007", "R zero zero seven"),
            ("R1204", "R one two zero four"),
            ("C0", "C zero"),
            ("-/-", ""),
            ("--help", "help"),
            ("", ""),
        ] {
            assert_eq!(spelled(designator), said, "{designator}");
        }
    }

    #[test]
    fn any_designator_becomes_letters_and_blanks() {
        for designator in [
            "R1;reboot",
            "$(x)",
            "C4\n\x07",
            "Ω12",
            "٣",
            "R99999999999999999999999",
        ] {
            let said = spelled(designator);
            assert!(
                said.chars().all(|c| c.is_alphabetic() || c == ' '),
                "{said:?}"
            );
        }
    }
}
