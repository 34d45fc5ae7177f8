//! [`KeyBytes`]: the bytes of the keys that are letters; what arrows and function keys send is passed over.

use std::fs::File;
use std::io::{self, BufReader, Read};

use crate::platform::keys;

const ESCAPE: u8 = 0x1b;

/// The bytes of keys. A key that sends a sequence (ISO 6429: Escape, `[` or `O`, and on to a final byte) sends it at once,
/// so what stands behind an Escape in the same portion belongs to it; a bare Escape comes through.
pub(super) struct KeyBytes<R>(BufReader<R>);

impl KeyBytes<File> {
    /// Those from standard input, unlocked.
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
