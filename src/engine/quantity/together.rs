//! [`kept_together`]: numbers that stay in one line with their units. [`with_minus`]: numbers below zero as people write them.

/// The blank at which no line breaks.
pub const UNBROKEN: char = '\u{a0}';

/// The sign of numbers below zero where people read them. Files and what is typed have the hyphen, and so have all formatters.
const MINUS: char = '−';

/// A text whose numbers below zero have the minus sign, but for what stands in backticks since it is to be typed.
pub fn with_minus(text: &str) -> String {
    let (mut before, mut quoted) = (' ', false);
    let mut signs = text.chars().peekable();
    let mut written = String::with_capacity(text.len());
    while let Some(sign) = signs.next() {
        quoted ^= sign == '`';
        let begins = before.is_whitespace() || matches!(before, '(' | '[' | '“');
        let number = signs.peek().is_some_and(char::is_ascii_digit);
        let is_minus = sign == '-' && begins && number && !quoted;
        written.push(if is_minus { MINUS } else { sign });
        before = sign;
    }
    written
}

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
    fn a_number_below_zero_has_a_minus_and_nothing_else_has() {
        for (text, written) in [
            ("-12 V", "−12 V"),
            ("off (-3.2 %) by -0.5 Ω", "off (−3.2 %) by −0.5 Ω"),
            ("32 µF -20/+80 %", "32 µF −20/+80 %"),
            (
                "R1-R6, IEC 60127-7, 2056-11-03, 1e-3, B-, - 5",
                "R1-R6, IEC 60127-7, 2056-11-03, 1e-3, B-, - 5",
            ),
            ("`value -- -12 V` says -12 V", "`value -- -12 V` says −12 V"),
        ] {
            assert_eq!(with_minus(text), written);
        }
    }

    #[test]
    fn a_number_stays_with_its_unit() {
        assert_eq!(
            kept_together("330 kΩ ± 2 kΩ, limit 5 % of 12 parts"),
            "330\u{a0}kΩ ±\u{a0}2\u{a0}kΩ, limit 5\u{a0}% of 12 parts"
        );
    }
}
