//! Keys and lines that are commands: [`KEYS`] and [`listen`].

use std::sync::mpsc::SyncSender;
use std::{io, thread};

use super::display::Keys;
use super::own_keys::{KeyBytes, OwnKeys};
use super::remark::{remark, typing};
use super::said_lines::{LONGEST, NoLine, SaidLines, text_of};
use crate::bench::live::Message;
use crate::engine::parts::Choice;
use crate::engine::sitting::Command;
use crate::platform::SingleKeys;

/// The keys of a sitting, what each commands, and what it does. Those of [`ASKING`] ask for a line.
pub(crate) const KEYS: [(char, &str, &str); 22] = [
    ('n', "next", "take the following part in hand"),
    ('b', "back", "take the preceding part in hand"),
    ('s', "skip", "skip this part and go on"),
    ('r', "redo", "measure the part judged last again"),
    (
        'm',
        "was",
        "the value just judged belongs to the part it reads like; the part that was in hand is measured again",
    ),
    (
        'g',
        "goto",
        "take a part in hand by its designator, or by a place such as V2",
    ),
    (
        'p',
        "at",
        "take all parts at a place in hand at once, to be touched in any order",
    ),
    (
        '1',
        "answer 1",
        "it is the first part that the question names",
    ),
    ('2', "answer 2", "it is the second"),
    ('3', "answer 3", "it is the third"),
    (
        '=',
        "one of",
        "it is one of them: write it down for the set",
    ),
    (
        'w',
        "note",
        "write a remark on the part just judged until the probes touch the next; `R7 cracked` names one",
    ),
    (
        'o',
        "on",
        "the probes are on it: no reading from now on means open",
    ),
    (
        'z',
        "zero",
        "hold the probes on each other, then apart if asked: what the leads add is taken off from now on",
    ),
    (
        'h',
        "heed",
        "agree to the caution that is shown before a voltage",
    ),
    ('a', "soak", "voltage is on this capacitor from now"),
    (
        'v',
        "override",
        "go on without having seen a capacitor discharged: which one, or all, and why",
    ),
    (
        'l',
        "live",
        "the power is on: from now on test points are read",
    ),
    (
        'u',
        "lifted",
        "a lead of this part is lifted: it is measured out of circuit from now on",
    ),
    ('j', "rejoined", "the lead is joined again"),
    (
        'd',
        "decide",
        "say what becomes of the part judged last: k keep, r replace, o order, f fitted, a accept, and why",
    ),
    ('e', "end", "end the sitting (Ctrl-C does the same)"),
];

/// The commands that ask for a line, and what they ask.
const ASKING: [(&str, &str); 7] = [
    ("at", "at"),
    ("goto", "goto"),
    ("note", "note"),
    ("override", "override which, or all, and why"),
    ("lifted", "lead lifted of"),
    ("rejoined", "lead joined again of"),
    ("decide", "decide k r o f a"),
];

/// The key with which somebody who watches from aside leaves.
const LEAVE: char = 'q';

/// A wish of somebody who watches a sitting from aside.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Wish {
    /// A command to the sitting.
    Command(Command),
    /// To watch no longer; the sitting goes on.
    Leave,
}

/// A terminal that hands over keys at once and shows none; as it was before when dropped.
pub(crate) struct Keyboard(Option<SingleKeys>);

impl Keyboard {
    /// Takes the terminal on standard input over, if it is one.
    pub(crate) fn take_over() -> Self {
        Self(SingleKeys::take_over())
    }

    /// Whether single keys are commands.
    pub(crate) fn single_keys(&self) -> bool {
        self.0.is_some()
    }
}

/// Reads standard input on a thread of its own: single keys from a terminal, lines from anything else.
pub(crate) fn listen(keyboard: &Keyboard, own: OwnKeys, sender: SyncSender<Message>) {
    let mut wishes = Wishes {
        aside: false,
        own,
        grant: move |wish| match wish {
            Wish::Command(command) => sender.send(Message::Command(command)).is_ok(),
            Wish::Leave => false,
        },
    };
    let single_keys = keyboard.single_keys();
    // The thread ends with the program: a read of standard input cannot be called off.
    thread::spawn(move || wishes.read(single_keys));
}

/// Hears the keys of somebody who watches from aside: `q` leaves, and `e` asks again. `grant` says whether more is wanted.
pub(crate) fn listen_aside(keyboard: &Keyboard, grant: impl FnMut(Wish) -> bool + Send + 'static) {
    let mut wishes = Wishes {
        aside: true,
        own: OwnKeys::default(),
        grant,
    };
    let single_keys = keyboard.single_keys();
    thread::spawn(move || wishes.read(single_keys));
}

/// A reader of keys and lines, and the use made of what they mean.
struct Wishes<F> {
    aside: bool,
    own: OwnKeys,
    grant: F,
}

impl<F: FnMut(Wish) -> bool> Wishes<F> {
    fn read(&mut self, single_keys: bool) {
        if single_keys {
            // Where keys cannot be read, a signal still ends it.
            if let Ok(bytes) = KeyBytes::of_stdin() {
                self.read_keys(bytes);
            }
        } else {
            self.read_lines(SaidLines::of(io::stdin().lock()));
        }
    }

    fn read_lines(&mut self, lines: impl Iterator<Item = Result<String, NoLine>>) {
        for line in lines {
            let more_wanted = match line {
                Ok(line) => line.trim().is_empty() || self.command(&line),
                Err(error) => {
                    remark(&error.to_string());
                    true
                }
            };
            if !more_wanted {
                return;
            }
        }
    }

    fn read_keys(&mut self, mut bytes: impl Iterator<Item = u8>) {
        while let Some(byte) = bytes.next() {
            let key = char::from(byte.to_ascii_lowercase());
            if self.aside && key == LEAVE {
                (self.grant)(Wish::Leave);
                return;
            }
            if let Some(command) = self.own.command(byte) {
                if (self.grant)(Wish::Command(command.clone())) {
                    continue;
                }
                return;
            }
            let Some((_, word, _)) = KEYS.iter().find(|(known, ..)| *known == key) else {
                remark(&self.help());
                continue;
            };
            let text = match ASKING.iter().find(|(asking, _)| asking == word) {
                Some((_, question)) => ask(question, &mut bytes).map(|line| with_line(word, &line)),
                None if *word == "end" && self.aside && !confirm(&mut bytes) => None,
                None => Some((*word).to_owned()),
            };
            let Some(text) = text else { continue };
            if !self.command(&text) {
                return;
            }
        }
    }

    /// Hands a command on; `false` when nobody listens any more.
    fn command(&mut self, text: &str) -> bool {
        match text.parse::<Command>() {
            Ok(command) => (self.grant)(Wish::Command(command)),
            Err(error) => {
                remark(&error.to_string());
                true
            }
        }
    }

    fn help(&self) -> String {
        if self.aside { help_aside() } else { help() }
    }
}

/// A command and the line that was asked for.
fn with_line(word: &str, line: &str) -> String {
    match word {
        "decide" => format!("{word} {}", spelled_out(line)),
        _ => format!("{word} {line}"),
    }
}

/// A decision with the letter of its choice, `r leaky` or `R12 a`, as the command wants it.
fn spelled_out(line: &str) -> String {
    let mut words: Vec<&str> = line.split_whitespace().collect();
    let is_choice = |word: &&str| word.parse::<Choice>().is_ok();
    // Words behind a choice are the reason; the letter is the first word, or the one behind a designator.
    let place = match words.as_slice() {
        [first, ..] if is_choice(first) => return line.to_owned(),
        [first, ..] if of_letter(first).is_some() => 0,
        [_, _, ..] => 1,
        _ => return line.to_owned(),
    };
    if let Some(choice) = of_letter(words[place]) {
        words[place] = choice.name();
    }
    words.join(" ")
}

/// The choice that begins with that small letter; a large one is the beginning of a designator.
fn of_letter(word: &str) -> Option<Choice> {
    let begins = |choice: &Choice| word.len() == 1 && choice.name().starts_with(word);
    Choice::ALL.into_iter().find(begins)
}

/// Asks whether to end the sitting of somebody else.
fn confirm(bytes: &mut impl Iterator<Item = u8>) -> bool {
    const QUESTION: &str = "end the sitting for everybody? y or n";
    typing(QUESTION, Some(""));
    let yes = matches!(bytes.next(), Some(b'y' | b'Y'));
    typing(QUESTION, None);
    yes
}

/// Reads a line key by key, showing it; `None` if it is empty, given up with Escape, or no line of text.
fn ask(word: &str, bytes: &mut impl Iterator<Item = u8>) -> Option<String> {
    const ESCAPE: u8 = 0x1b;
    const DELETE: u8 = 0x7f;
    let mut line = Vec::new();
    typing(word, Some(""));
    for byte in bytes {
        match byte {
            b'\n' | b'\r' => break,
            ESCAPE => {
                line.clear();
                break;
            }
            DELETE | 8 => {
                // A letter of several bytes goes whole.
                while line.pop().is_some_and(|byte| byte & 0xc0 == 0x80) {}
            }
            byte if line.len() < LONGEST => line.push(byte),
            _ => {}
        }
        typing(word, Some(&String::from_utf8_lossy(&line)));
    }
    typing(word, None);
    let line = text_of(line).inspect_err(|error| remark(&error.to_string()));
    let line = line.ok()?.trim().to_owned();
    (!line.is_empty()).then_some(line)
}

/// One line that names the keys.
pub(crate) fn help() -> String {
    let keys: Vec<String> = KEYS
        .iter()
        .map(|(key, word, _)| format!("{key} {word}"))
        .collect();
    format!("keys: {}", keys.join(", "))
}

/// Keys in words for somebody who watches from aside.
pub(crate) fn help_aside() -> String {
    format!("{}, {LEAVE} leave", help())
}

/// Keys and words for a screen; none where lines are read.
pub(crate) fn keys(keyboard: &Keyboard, aside: bool) -> Keys {
    if !keyboard.single_keys() {
        return Vec::new();
    }
    // First, so that it is there however narrow the terminal is.
    let leave = aside.then_some((LEAVE, "leave"));
    let others = KEYS.iter().map(|(key, word, _)| (*key, *word));
    leave.into_iter().chain(others).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_key_commands_something_and_none_twice() {
        for (i, (key, word, _)) in KEYS.iter().enumerate() {
            let argument = match *word {
                "goto" | "at" | "note" | "override" | "lifted" | "rejoined" => " R1",
                "decide" => " replace",
                _ => "",
            };
            assert!(
                format!("{word}{argument}").parse::<Command>().is_ok(),
                "{word}"
            );
            assert!(KEYS[..i].iter().all(|(other, ..)| other != key), "{key}");
        }
    }

    fn wishes(aside: bool, keys: &str) -> Vec<Wish> {
        let mut heard = Vec::new();
        let grant = |wish| {
            heard.push(wish);
            true
        };
        let own = OwnKeys::default();
        Wishes { aside, own, grant }.read_keys(keys.bytes());
        heard
    }

    #[test]
    fn from_aside_one_can_leave_and_ends_a_sitting_only_on_asking() {
        let command = |text: &str| Wish::Command(text.parse().unwrap());
        assert!(KEYS.iter().all(|(key, ..)| *key != LEAVE));
        assert_eq!(wishes(true, "nenqs"), [command("next"), Wish::Leave]);
        assert_eq!(wishes(true, "eys"), [command("end"), command("skip")]);
        assert_eq!(wishes(false, "qe"), [command("end")]);
    }

    #[test]
    fn a_letter_is_enough_for_a_decision() {
        for (line, expected) in [
            ("r", "replace"),
            ("k", "keep"),
            ("o", "order"),
            ("f", "fitted"),
            (
                "a a hum that nobody hears",
                "accept a hum that nobody hears",
            ),
            ("R12 r", "R12 replace"),
            ("r12 a  k", "r12 accept k"),
            ("F f", "F fitted"),
            ("replace r", "replace r"),
            ("R12", "R12"),
            ("R12 keep it", "R12 keep it"),
        ] {
            assert_eq!(spelled_out(line), expected, "{line}");
        }
        let said = |keys| wishes(false, keys);
        let command = |text: &str| Wish::Command(text.parse().unwrap());
        assert_eq!(said("dr\rs"), [command("decide replace"), command("skip")]);
        assert_eq!(said("d\x1bs"), [command("skip")]);
    }

    #[test]
    fn a_line_is_read_key_by_key() {
        assert_eq!(
            ask("goto", &mut b"R13\x7f2\nx".iter().copied()),
            Some("R12".to_owned())
        );
        assert_eq!(ask("goto", &mut b"R1\x1b".iter().copied()), None);
        // A terminal that types another encoding.
        assert_eq!(ask("note", &mut b"br\xfcchig\r".iter().copied()), None);
    }
}
