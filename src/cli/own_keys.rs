//! [`OwnKeys`]: what a foot switch, or a key of the person's own choice, commands.
//!
//! [`KeyBytes`]: the bytes of the keys that are letters; what arrows and function keys send is passed over.

use std::collections::BTreeMap;
use std::io::{self, BufReader, Read};

use anyhow::Result;

use super::status::BadInput;
use crate::engine::sitting::Command;
use crate::platform::{Keys, keys};

/// Keys that have no sign of their own.
const NAMED: [(&str, u8); 3] = [("space", b' '), ("enter", b'\n'), ("tab", b'\t')];

/// Keys from `[keys]` in `job.toml`. They go before the usual ones.
#[derive(Debug, Clone, Default)]
pub(crate) struct OwnKeys(Vec<(u8, Command)>);

impl OwnKeys {
    /// From the table: the key, and the text of the command that it says.
    ///
    /// # Errors
    /// If something is no key, or says no command.
    pub(crate) fn of(table: &BTreeMap<String, String>) -> Result<Self> {
        let read = |(key, text): (&String, &String)| {
            let byte = byte(key).ok_or_else(|| {
                BadInput(format!(
                    "job.toml: [keys]: found the key `{key}`, expected a single sign such as `x`, or space, enter or tab"
                ))
            })?;
            let command = text
                .parse()
                .map_err(|error| BadInput(format!("job.toml: [keys] {key}: {error}")))?;
            Ok((byte, command))
        };
        table.iter().map(read).collect::<Result<_>>().map(Self)
    }

    /// Command of the key, if it is one of these.
    pub(crate) fn command(&self, byte: u8) -> Option<&Command> {
        let byte = if byte == b'\r' { b'\n' } else { byte };
        let of_key = |(key, _): &&(u8, Command)| key.eq_ignore_ascii_case(&byte);
        self.0.iter().find(of_key).map(|(_, command)| command)
    }
}

fn byte(key: &str) -> Option<u8> {
    let named = NAMED.iter().find(|(name, _)| *name == key);
    named.map(|(_, byte)| *byte).or(match key.as_bytes() {
        [byte @ b'!'..=b'~'] => Some(*byte),
        _ => None,
    })
}

const ESCAPE: u8 = 0x1b;

/// The bytes of keys. A key that sends a sequence (ISO 6429: Escape, `[` or `O`, and on to a final byte) sends it at once,
/// so what stands behind an Escape in the same portion belongs to it; a bare Escape comes through.
pub(super) struct KeyBytes<R>(BufReader<R>);

impl KeyBytes<Keys> {
    /// Keys from standard input, unlocked.
    pub(super) fn of_stdin() -> io::Result<Self> {
        keys().map(|keys| Self(BufReader::new(keys)))
    }
}

impl<R: Read> KeyBytes<R> {
    fn byte(&mut self) -> Option<u8> {
        let mut byte = [0];
        self.0.read_exact(&mut byte).ok()?;
        Some(byte[0])
    }
}

impl<R: Read> Iterator for KeyBytes<R> {
    type Item = u8;

    fn next(&mut self) -> Option<u8> {
        loop {
            let byte = self.byte()?;
            if byte != ESCAPE || !matches!(self.0.buffer(), [b'[' | b'O', ..]) {
                return Some(byte);
            }
            self.byte()?;
            while !(0x40..=0x7e).contains(&self.byte()?) {}
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn keys(pairs: &[(&str, &str)]) -> Result<OwnKeys> {
        let owned = |(key, text): &(&str, &str)| ((*key).to_owned(), (*text).to_owned());
        OwnKeys::of(&pairs.iter().map(owned).collect())
    }

    #[test]
    fn a_foot_switch_says_what_the_job_wants() {
        let keys = keys(&[("space", "redo"), ("x", "goto R12"), ("enter", "skip")]).unwrap();
        assert_eq!(keys.command(b' '), Some(&Command::Redo));
        assert_eq!(keys.command(b'X'), Some(&Command::Goto("R12".to_owned())));
        assert_eq!(keys.command(b'\r'), Some(&Command::Skip));
        assert_eq!(keys.command(b'n'), None);
    }

    #[test]
    fn what_is_no_key_or_no_command_is_named() {
        for (key, text, said) in [
            ("F13", "redo", "found the key `F13`"),
            ("ü", "redo", "found the key `ü`"),
            ("x", "again", "[keys] x: unknown command `again`"),
        ] {
            let error = keys(&[(key, text)]).unwrap_err().to_string();
            assert!(error.contains(said), "{error}");
        }
    }

    #[test]
    fn arrows_and_function_keys_are_no_commands() {
        let keys = KeyBytes(BufReader::new(&b"n\x1b[As\x1b[1;5Bo\x1bOPe\x1b[15~w"[..]));
        assert_eq!(keys.collect::<Vec<u8>>(), b"nsoew");
    }

    #[test]
    fn a_bare_escape_comes_through() {
        let keys = KeyBytes(BufReader::new(&b"R1\x1b"[..]));
        assert_eq!(keys.collect::<Vec<u8>>(), b"R1\x1b");
    }
}
