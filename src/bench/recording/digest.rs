//! [`Digest`] and [`Tag`]: SHA-256 (FIPS 180-4) as the recording writes it.

use sha2::{Digest as _, Sha256};
use std::fmt;

const HEX: &[u8; 16] = b"0123456789abcdef";

/// A whole SHA-256; shown as 64 lower-case hexadecimal digits, as `sha256sum` shows it.
#[derive(Clone, Copy, PartialEq, Eq, Hash)]
pub struct Digest([u8; 32]);

impl Digest {
    /// What `hasher` has come to, without ending it.
    pub(super) fn so_far(hasher: &Sha256) -> Self {
        Self(hasher.clone().finalize().into())
    }

    /// Reads 64 lower-case hexadecimal digits.
    pub(super) fn parse(text: &str) -> Option<Self> {
        let mut bytes = [0; 32];
        if text.len() != 64 || !text.bytes().all(|byte| HEX.contains(&byte)) {
            return None;
        }
        for (byte, pair) in bytes.iter_mut().zip(text.as_bytes().chunks_exact(2)) {
            *byte = u8::from_str_radix(std::str::from_utf8(pair).ok()?, 16).ok()?;
        }
        Some(Self(bytes))
    }
}

impl fmt::Display for Digest {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.iter().try_for_each(|byte| write!(f, "{byte:02x}"))
    }
}

impl fmt::Debug for Digest {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Digest({self})")
    }
}

/// The end of every line: the first 8 hexadecimal digits of a SHA-256.
#[derive(Clone, Copy, PartialEq, Eq, Hash)]
pub struct Tag([u8; Self::LENGTH]);

impl Tag {
    /// How many digits a tag has.
    pub const LENGTH: usize = 8;

    /// The tag of a stretch of the file.
    pub(super) fn of(stretch: &[u8]) -> Self {
        Self::ending(Sha256::digest(stretch).as_slice())
    }

    /// The tag that a line with this `body` would have behind a line that ended with `before`.
    pub(super) fn following(before: Self, body: &[u8]) -> Self {
        let hasher = Sha256::new()
            .chain_update(before.0)
            .chain_update(b"\n")
            .chain_update(body);
        Self::ending(hasher.finalize().as_slice())
    }

    fn ending(digest: &[u8]) -> Self {
        let mut digits = [0; Self::LENGTH];
        for (pair, byte) in digits.chunks_exact_mut(2).zip(digest) {
            pair.copy_from_slice(&[HEX[usize::from(byte >> 4)], HEX[usize::from(byte & 15)]]);
        }
        Self(digits)
    }

    /// A tag that stands in the file.
    pub(super) const fn from_digits(digits: [u8; Self::LENGTH]) -> Self {
        Self(digits)
    }

    /// The digits as they stand in the file.
    pub(super) const fn digits(&self) -> &[u8] {
        &self.0
    }
}

impl fmt::Display for Tag {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&String::from_utf8_lossy(&self.0))
    }
}

impl fmt::Debug for Tag {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Tag({self})")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// NIST, "SHA-256 example: one block message `abc`" (FIPS 180-4 example values). From memory.
    const ABC: &str = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";

    #[test]
    fn the_published_example_message_gives_the_published_digest_and_tag() {
        let digest = Digest::so_far(&Sha256::new_with_prefix(b"abc"));
        assert_eq!(digest.to_string(), ABC);
        assert_eq!(Digest::parse(ABC), Some(digest));
        assert_eq!(Tag::of(b"abc").to_string(), "ba7816bf");
    }

    #[test]
    fn a_digest_in_any_other_dress_is_refused() {
        for wrong in [
            "",
            "ba78",
            &ABC.to_uppercase(),
            &format!("{ABC}0"),
            &ABC.replace("ba", "+a"),
        ] {
            assert_eq!(Digest::parse(wrong), None, "{wrong}");
        }
    }

    #[test]
    fn following_a_line_hashes_its_tag_and_newline_first() {
        assert_eq!(
            Tag::following(Tag::of(b"abc"), b"body\t"),
            Tag::of(b"ba7816bf\nbody\t")
        );
    }
}
