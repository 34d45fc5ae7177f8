//! The foot of the board: what is typed, else what was said, else the keys.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

use super::look::Look;
use super::zone::put;
use crate::views::state::State;

/// What the board shows beside the sitting.
#[derive(Debug, Clone, Copy, Default)]
pub struct Aside<'a> {
    /// The keys and the words of their commands.
    pub keys: &'a [(char, &'a str)],
    /// The line that is being typed.
    pub typing: Option<Typing<'a>>,
    /// Something that was said beside the sitting.
    pub remark: Option<&'a str>,
}

/// A line that is being typed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Typing<'a> {
    /// The command that it is for.
    pub word: &'a str,
    /// What there is of it.
    pub text: &'a str,
}

/// Draws the last row.
pub(super) fn draw(buffer: &mut Buffer, row: Rect, state: &State, aside: &Aside<'_>, look: Look) {
    if let Some(Typing { word, text }) = aside.typing {
        let line = format!("{word}: {text}_");
        // The end of a long line is what is being typed.
        let letters = line.chars().count();
        let shown: String = line
            .chars()
            .skip(letters.saturating_sub(row.width.into()))
            .collect();
        put(buffer, row, 0, &shown, Look::strong());
    } else if let Some(remark) = aside.remark {
        put(buffer, row, 0, remark, Look::strong());
    } else if let Some(said) = &state.said {
        put(buffer, row, 0, &said.line.text, look.of(said.line.mood));
    } else {
        put(buffer, row, 0, &keys(aside.keys, row.width), look.quiet());
    }
}

/// As many keys as there is room for.
fn keys(keys: &[(char, &str)], width: u16) -> String {
    let mut line = String::new();
    for (key, word) in keys {
        let more = format!("{key} {word}");
        let blanks = if line.is_empty() { 0 } else { 2 };
        if line.chars().count() + blanks + more.chars().count() > width.into() {
            break;
        }
        line.push_str(&"  "[..blanks]);
        line.push_str(&more);
    }
    line
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_key_is_named_whole_or_not_at_all() {
        let all = [('n', "next"), ('b', "back"), ('s', "skip")];
        assert_eq!(keys(&all, 22), "n next  b back  s skip");
        assert_eq!(keys(&all, 21), "n next  b back");
        assert_eq!(keys(&all, 3), "");
    }
}
