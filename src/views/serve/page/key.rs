//! [`Key`]: what a browser must know to see a sitting over the network.

use std::fmt::{self, Write as _};

use subtle::ConstantTimeEq as _;

/// A random number of 128 bits, new for each sitting.
pub(super) struct Key(String);

impl Key {
    /// A new one.
    ///
    /// # Errors
    /// If the operating system gives no random numbers.
    pub(super) fn random() -> Result<Self, getrandom::Error> {
        let mut bytes = [0; 16];
        getrandom::fill(&mut bytes)?;
        Ok(Self(bytes.iter().fold(String::new(), |mut text, byte| {
            // Writing into a string cannot fail.
            let _ = write!(text, "{byte:02x}");
            text
        })))
    }

    /// As 32 hexadecimal figures.
    pub(super) fn text(&self) -> &str {
        &self.0
    }

    /// Whether that is the key. How long it takes tells nothing about where they differ.
    pub(super) fn is(&self, text: &str) -> bool {
        self.0.as_bytes().ct_eq(text.as_bytes()).into()
    }
}

impl fmt::Debug for Key {
    /// Without the key itself.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Key")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_key_has_128_bits_and_no_two_are_the_same() {
        let (one, other) = (Key::random().unwrap(), Key::random().unwrap());
        assert_eq!(one.text().len(), 32);
        assert!(one.text().bytes().all(|byte| byte.is_ascii_hexdigit()));
        assert!(one.is(one.text()));
        assert!(!one.is(other.text()));
        assert!(!one.is(&one.text()[..31]));
        assert!(!one.is(""));
        assert_eq!(format!("{one:?}"), "Key");
    }
}
