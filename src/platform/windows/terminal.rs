//! The console that the person has. The crate that draws the screen knows its ways; text goes through the standard streams,
//! which hand it to a console as Unicode whatever its code page is.

use std::io::{self, IsTerminal as _, Read, Write};
use std::time::Duration;

use ratatui::crossterm::event::{Event, KeyCode, KeyEvent, KeyEventKind, KeyModifiers, read};
use ratatui::crossterm::terminal::{disable_raw_mode, enable_raw_mode, size};

use super::requests::TYPED;

/// A console on standard input that hands over keys at once and shows none; as it was before when dropped.
#[derive(Debug)]
pub(crate) struct SingleKeys(());

impl SingleKeys {
    /// Takes the console on standard input over; `None` if there is none.
    pub(crate) fn take_over() -> Option<Self> {
        (io::stdin().is_terminal() && enable_raw_mode().is_ok()).then_some(Self(()))
    }
}

impl Drop for SingleKeys {
    fn drop(&mut self) {
        // There is nobody left to tell.
        let _ = disable_raw_mode();
    }
}

/// There is no background of a console here.
pub(crate) fn in_background() -> bool {
    false
}

/// The keys of the console.
pub(crate) fn keys() -> io::Result<Keys> {
    Ok(Keys)
}

/// Keys, as the bytes that a terminal would send. Those that are no letters are passed over, and Ctrl-C asks for the end.
#[derive(Debug)]
pub(crate) struct Keys;

impl Read for Keys {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        loop {
            let Event::Key(key) = read()? else { continue };
            let mut bytes = [0; 4];
            if let Some(letter) = letter(key) {
                let text = letter.encode_utf8(&mut bytes).as_bytes();
                let count = text.len().min(buffer.len());
                buffer[..count].copy_from_slice(&text[..count]);
                return Ok(count);
            }
        }
    }
}

fn letter(key: KeyEvent) -> Option<char> {
    if key.kind == KeyEventKind::Release {
        return None;
    }
    match key.code {
        KeyCode::Char('c') if key.modifiers.contains(KeyModifiers::CONTROL) => {
            TYPED.notify_one();
            None
        }
        KeyCode::Char(letter) => Some(letter),
        KeyCode::Enter => Some('\n'),
        KeyCode::Tab => Some('\t'),
        KeyCode::Esc => Some('\x1b'),
        KeyCode::Backspace => Some('\x7f'),
        _ => None,
    }
}

/// The console that the person sees.
#[derive(Debug, Clone, Copy)]
pub(crate) enum PersonsTerminal {
    /// On standard output.
    Output,
    /// On standard error.
    Error,
}

impl PersonsTerminal {
    /// The one on standard output.
    #[expect(clippy::unnecessary_wraps, reason = "elsewhere it can fail")]
    pub(crate) fn on_stdout() -> io::Result<Self> {
        Ok(Self::Output)
    }

    /// The one on standard error, or else on standard output; `None` if neither is a console.
    pub(crate) fn seen() -> Option<Self> {
        if io::stderr().is_terminal() {
            Some(Self::Error)
        } else {
            io::stdout().is_terminal().then_some(Self::Output)
        }
    }

    /// Whether standard output is a console on which a screen can be drawn.
    pub(crate) fn can_be_drawn_on() -> bool {
        io::stdout().is_terminal() && size().is_ok_and(|(wide, high)| wide > 0 && high > 0)
    }

    /// Width of standard output in columns; `None` if it is no console.
    pub(crate) fn columns() -> Option<usize> {
        let (wide, _) = io::stdout().is_terminal().then(size)?.ok()?;
        Some(usize::from(wide)).filter(|columns| *columns > 0)
    }

    /// Copy of the handle.
    #[expect(clippy::unnecessary_wraps, reason = "elsewhere it can fail")]
    pub(crate) fn again(&self) -> io::Result<Self> {
        Ok(*self)
    }

    /// A console always takes what is written to it, late perhaps.
    pub(crate) fn takes(&self, _within: Duration) -> bool {
        true
    }

    /// Nothing to be done here.
    pub(crate) fn start_again(&self) {}
}

impl Write for PersonsTerminal {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        match self {
            Self::Output => io::stdout().write(bytes),
            Self::Error => io::stderr().write(bytes),
        }
    }

    fn flush(&mut self) -> io::Result<()> {
        match self {
            Self::Output => io::stdout().flush(),
            Self::Error => io::stderr().flush(),
        }
    }
}
