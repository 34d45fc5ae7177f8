//! [`OwnKeys`]: what a foot switch, or a key of the person's own choice, commands.

use std::collections::BTreeMap;

use anyhow::Result;

use super::status::BadInput;
use crate::engine::sitting::Command;

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

    /// What the key says, if it is one of these.
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
}
