//! [`Display`]: the board on the terminal, drawn by a thread of its own.
//!
//! The loop of a sitting only puts the newest state down ([`Board`]); the thread takes it up at most 20 times a second. A
//! terminal that takes nothing holds up the thread and nobody else.

use std::io::{self, BufWriter, Write};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};
use std::{panic, thread};

use ratatui::Terminal;
use ratatui::backend::CrosstermBackend;
use ratatui::crossterm::cursor::{Hide, Show};
use ratatui::crossterm::execute;
use ratatui::crossterm::terminal::{EnterAlternateScreen, LeaveAlternateScreen};

use super::listener::Paint;
use super::remark;
use crate::engine::sitting::Event;
use crate::platform::PersonsTerminal;
use crate::views::screen::{Aside, Look, Typing, draw};
use crate::views::state::{Item, State};

/// The least time between two frames.
const FRAME: Duration = Duration::from_millis(50);

/// Interval at which it is looked whether the terminal has another size.
const LOOK: Duration = Duration::from_millis(250);

/// Time that a terminal may take nothing before it counts as stuck.
const LAST: Duration = Duration::from_millis(700);

/// Keys and the words of their commands.
pub(crate) type Keys = Vec<(char, &'static str)>;

/// Newest state to be shown.
#[derive(Debug, Clone, Default)]
struct Shown {
    state: State,
    /// The command and what is typed for it.
    typing: Option<(String, String)>,
    remark: Option<String>,
}

/// Newest state, and how far it is shown.
#[derive(Debug, Default)]
struct Sight {
    shown: Shown,
    /// Something changed since the last frame.
    changed: bool,
    /// No further frame is wanted.
    over: bool,
    /// The thread has ended.
    done: bool,
}

#[derive(Debug, Default)]
struct Shared {
    sight: Mutex<Sight>,
    news: Condvar,
    /// The terminal is as it was before.
    left: AtomicBool,
}

/// Where what is to be shown is put down. It never waits for the terminal.
#[derive(Debug, Clone, Default)]
pub(crate) struct Board(Arc<Shared>);

impl Board {
    fn sight(&self) -> MutexGuard<'_, Sight> {
        self.0.sight.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn change(&self, change: impl FnOnce(&mut Sight)) {
        let mut sight = self.sight();
        change(&mut sight);
        sight.changed = true;
        drop(sight);
        self.0.news.notify_all();
    }

    /// Takes in the next event.
    pub(crate) fn hear(&self, event: &Event) {
        let item = self.sight().shown.state.next_item(event);
        self.apply(&item);
    }

    /// Takes in an item. One that says something goes before whatever was remarked.
    pub(crate) fn apply(&self, item: &Item) {
        self.change(|sight| {
            sight.shown.state.apply(item);
            if item.line.is_some() {
                sight.shown.remark = None;
            }
        });
    }

    /// Shows that state from now on, whatever was before.
    pub(crate) fn show(&self, state: &State) {
        self.change(|sight| sight.shown.state.clone_from(state));
    }

    /// Shows a line that is no part of the sitting.
    pub(super) fn remark(&self, text: &str) {
        self.change(|sight| sight.shown.remark = Some(text.to_owned()));
    }

    /// Shows what is being typed.
    pub(super) fn typing(&self, word: &str, line: Option<&str>) {
        self.change(|sight| {
            sight.shown.typing = line.map(|line| (word.to_owned(), line.to_owned()));
        });
    }

    /// Waits for the next thing to be drawn, at most [`LOOK`]; `None` when no further frame is wanted.
    fn wait(&self) -> Option<Shown> {
        let sight = self.sight();
        let (mut sight, _) = self
            .0
            .news
            .wait_timeout_while(sight, LOOK, |sight| !sight.changed && !sight.over)
            .unwrap_or_else(PoisonError::into_inner);
        if sight.over {
            return None;
        }
        sight.changed = false;
        Some(sight.shown.clone())
    }

    /// Waits until the thread has ended; whether it did.
    fn wait_for_end(&self) -> bool {
        let sight = self.sight();
        let (sight, _) = self
            .0
            .news
            .wait_timeout_while(sight, LAST, |sight| !sight.done)
            .unwrap_or_else(PoisonError::into_inner);
        sight.done
    }
}

/// The board on the terminal. The terminal is as it was before once this is closed or dropped, or the program panics.
#[derive(Debug)]
pub(crate) struct Display {
    board: Board,
    out: PersonsTerminal,
    closed: bool,
}

impl Display {
    /// Whether standard output is a terminal on which a board can be drawn.
    pub(crate) fn is_possible() -> bool {
        PersonsTerminal::can_be_drawn_on()
    }

    /// Takes the terminal over.
    ///
    /// # Errors
    /// If it cannot be written to.
    pub(crate) fn open(keys: Keys) -> io::Result<Self> {
        let mut out = PersonsTerminal::on_stdout()?;
        let board = Board::default();
        let thread_board = board.clone();
        let screen = BufWriter::with_capacity(1 << 16, out.again()?);
        let mut terminal = Terminal::new(CrosstermBackend::new(screen))?;
        let look = Look {
            colour: Paint::for_stdout() == Paint::Colour,
        };
        leave_on_panic(&board, out.again()?);
        execute!(out, EnterAlternateScreen, Hide)?;
        remark::divert(Some(board.clone()));
        // It may be stuck in a write when the program ends, so nobody joins it.
        thread::spawn(move || {
            // A terminal that is gone shows nothing any more; the sitting goes on.
            let _ = show(&thread_board, &mut terminal, &keys, look);
            thread_board.sight().done = true;
            thread_board.0.news.notify_all();
        });
        Ok(Self {
            board,
            out,
            closed: false,
        })
    }

    /// Where what is to be shown is put down.
    pub(crate) fn board(&self) -> Board {
        self.board.clone()
    }

    /// Gives the terminal back; whether it takes what is written to it.
    pub(crate) fn close(mut self) -> bool {
        self.end()
    }

    fn end(&mut self) -> bool {
        self.closed = true;
        remark::divert(None);
        self.board.change(|sight| sight.over = true);
        if !self.out.takes(LAST) {
            // It was stopped with Ctrl-S, perhaps.
            self.out.start_again();
        }
        // A machine that is busy is waited for, a terminal that takes nothing is not.
        while !self.board.wait_for_end() {
            if !self.out.takes(LAST) {
                return false;
            }
        }
        if !self.out.takes(LAST) {
            return false;
        }
        leave(&self.board, &mut self.out);
        true
    }
}

impl Drop for Display {
    fn drop(&mut self) {
        if !self.closed {
            self.end();
        }
    }
}

/// Draws until no further frame is wanted.
fn show(
    board: &Board,
    terminal: &mut Terminal<CrosstermBackend<BufWriter<PersonsTerminal>>>,
    keys: &[(char, &'static str)],
    look: Look,
) -> io::Result<()> {
    while let Some(shown) = board.wait() {
        let began = Instant::now();
        if board.0.left.load(Ordering::SeqCst) {
            break;
        }
        let aside = Aside {
            keys,
            typing: shown
                .typing
                .as_ref()
                .map(|(word, text)| Typing { word, text }),
            remark: shown.remark.as_deref(),
        };
        // A terminal of another size is noticed here.
        terminal.draw(|frame| draw(frame, &shown.state, &aside, look))?;
        thread::sleep(FRAME.saturating_sub(began.elapsed()));
    }
    Ok(())
}

/// Gives the terminal back, once.
fn leave(board: &Board, out: &mut impl Write) {
    if !board.0.left.swap(true, Ordering::SeqCst) {
        // There is no other terminal to say it on.
        let _ = execute!(out, Show, LeaveAlternateScreen);
        let _ = out.flush();
    }
}

/// A panic is told on the terminal as it was before, where it can be read.
fn leave_on_panic(board: &Board, out: impl Write + Send + 'static) {
    let board = board.clone();
    let before = panic::take_hook();
    let out = Mutex::new(out);
    panic::set_hook(Box::new(move |panic| {
        if let Ok(mut out) = out.try_lock() {
            leave(&board, &mut *out);
        }
        before(panic);
    }));
}

#[cfg(test)]
mod tests {
    use std::io::{Read as _, Seek as _};

    use super::*;

    #[test]
    fn a_panic_gives_the_terminal_back_before_it_is_told_and_once() {
        let mut file = tempfile::tempfile().unwrap();
        let board = Board::default();
        leave_on_panic(&board, file.try_clone().unwrap());
        for _ in 0..2 {
            assert!(panic::catch_unwind(|| panic!("on purpose")).is_err());
        }
        let _ = panic::take_hook();
        let mut written = String::new();
        file.rewind().unwrap();
        file.read_to_string(&mut written).unwrap();
        assert_eq!(written, "\x1b[?25h\x1b[?1049l");
        assert!(board.0.left.load(Ordering::SeqCst));
    }

    #[test]
    fn only_the_newest_of_what_was_put_down_is_drawn() {
        let board = Board::default();
        for text in ["one", "two", "three"] {
            board.remark(text);
        }
        let shown = board.wait().unwrap();
        assert_eq!(shown.remark.as_deref(), Some("three"));
        assert!(!board.sight().changed);
        board.change(|sight| sight.over = true);
        assert!(board.wait().is_none());
    }
}
