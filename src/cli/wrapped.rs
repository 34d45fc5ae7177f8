//! [`wrapped`]: a text in lines that a terminal of 80 columns shows whole.

use std::io::{self, Write};

/// How many columns a line may take.
pub(crate) const WIDTH: usize = 80;

/// A text in lines of [`WIDTH`] columns, broken at blanks: the first one behind `first`, the others behind `later`.
pub(crate) fn wrapped(text: &str, first: &str, later: &str, out: &mut dyn Write) -> io::Result<()> {
    let (mut line, mut before) = (String::new(), first);
    for word in text.split(' ') {
        let used = before.chars().count() + line.chars().count() + 1 + word.chars().count();
        if !line.is_empty() && used > WIDTH {
            writeln!(out, "{before}{line}")?;
            line.clear();
            before = later;
        }
        if !line.is_empty() {
            line.push(' ');
        }
        line.push_str(word);
    }
    writeln!(out, "{before}{line}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_is_broken_at_a_blank_and_goes_on_under_its_beginning() {
        let mut out = Vec::new();
        wrapped(&"word ".repeat(20), "- ", "  ", &mut out).unwrap();
        let text = String::from_utf8(out).unwrap();
        assert_eq!(text.lines().count(), 2);
        assert!(
            text.starts_with("- word") && text.contains("\n  word"),
            "{text}"
        );
        assert!(text.lines().all(|line| line.chars().count() <= WIDTH));
    }
}
