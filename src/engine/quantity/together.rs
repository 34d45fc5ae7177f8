//! [`kept_together`]: numbers that stay in one line with their units.

/// The blank at which no line breaks.
pub const UNBROKEN: char = '\u{a0}';

/// A text whose numbers stay in one line with the unit behind them, and with the ± before them.
pub fn kept_together(text: &str) -> String {
    let mut kept = String::with_capacity(text.len());
    let mut words = text.split(' ').peekable();
    while let Some(word) = words.next() {
        kept.push_str(word);
        if let Some(next) = words.peek() {
            let number = word.ends_with(|sign: char| sign.is_ascii_digit());
            kept.push(if word == "±" || number && is_unit(next) {
                UNBROKEN
            } else {
                ' '
            });
        }
    }
    kept
}

/// Whether a word is a unit, with or without a prefix and a sign behind it: `kΩ`, `nF,`, `%`.
fn is_unit(word: &str) -> bool {
    let word = word.trim_end_matches(['.', ',', ';', ':', ')', '”']);
    let bare = word.trim_start_matches(['p', 'n', 'µ', 'u', 'm', 'k', 'M', 'G']);
    ["Ω", "F", "H", "V", "A", "W", "Hz", "s", "h", "%", "°C"].contains(&bare)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_stays_with_its_unit() {
        assert_eq!(
            kept_together("330 kΩ ± 2 kΩ, limit 5 % of 12 parts"),
            "330\u{a0}kΩ ±\u{a0}2\u{a0}kΩ, limit 5\u{a0}% of 12 parts"
        );
    }
}
