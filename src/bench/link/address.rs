//! [`Address`]: where a meter is, as the user writes it.

use std::fmt;
use std::path::PathBuf;
use std::str::FromStr;

/// Where a meter is reached. Text form: a device path (`/dev/ttyUSB0`, `COM3`) or `tcp:HOST:PORT`.
///
/// An IPv6 host stands in brackets: `tcp:[::1]:5025`. Parsing and printing are inverses.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum Address {
    /// A serial port by its device path or name.
    Device(PathBuf),
    /// A raw TCP connection.
    Tcp {
        /// Name or address of the host, without brackets.
        host: String,
        /// TCP port, 1 to 65535.
        port: u16,
    },
}

/// Why a text is not an [`Address`].
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum AddressError {
    /// Nothing was written.
    #[error("the port is empty; give a device such as `/dev/ttyUSB0`, or `tcp:HOST:PORT`")]
    Empty,
    /// `tcp:` without host or without port.
    #[error(
        "`{text}` lacks a host or a port; write `tcp:HOST:PORT`, for example `tcp:192.0.2.7:5025`"
    )]
    Incomplete {
        /// What was written.
        text: String,
    },
    /// The TCP port is not a number from 1 to 65535.
    #[error("`{found}` in `{text}` is not a TCP port; expected a number from 1 to 65535")]
    BadPort {
        /// What was written.
        text: String,
        /// The part that should be the port.
        found: String,
    },
    /// Colons inside the host, but no brackets.
    #[error(
        "the host in `{text}` has colons; write an IPv6 address in brackets, for example `tcp:[::1]:5025`"
    )]
    BareIpv6 {
        /// What was written.
        text: String,
    },
}

impl FromStr for Address {
    type Err = AddressError;

    fn from_str(text: &str) -> Result<Self, AddressError> {
        let text = text.trim();
        if text.is_empty() {
            return Err(AddressError::Empty);
        }
        match text.strip_prefix("tcp:") {
            Some(rest) => tcp(text, rest),
            None => Ok(Self::Device(PathBuf::from(text))),
        }
    }
}

/// Parses what follows `tcp:`.
fn tcp(text: &str, rest: &str) -> Result<Address, AddressError> {
    let incomplete = || AddressError::Incomplete {
        text: text.to_owned(),
    };
    let (host, port) = rest.rsplit_once(':').ok_or_else(incomplete)?;
    let bracketed = host
        .strip_prefix('[')
        .and_then(|host| host.strip_suffix(']'));
    if bracketed.is_none() && host.contains(':') {
        return Err(AddressError::BareIpv6 {
            text: text.to_owned(),
        });
    }
    let host = bracketed.unwrap_or(host);
    if host.is_empty() || port.is_empty() {
        return Err(incomplete());
    }
    match port.parse() {
        Ok(number) if number > 0 => Ok(Address::Tcp {
            host: host.to_owned(),
            port: number,
        }),
        _ => Err(AddressError::BadPort {
            text: text.to_owned(),
            found: port.to_owned(),
        }),
    }
}

impl fmt::Display for Address {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Device(path) => write!(f, "{}", path.display()),
            Self::Tcp { host, port } if host.contains(':') => write!(f, "tcp:[{host}]:{port}"),
            Self::Tcp { host, port } => write!(f, "tcp:{host}:{port}"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_printed_parses_back() {
        for text in [
            "/dev/ttyUSB0",
            "COM3",
            "tcp:bench.example:5025",
            "tcp:192.0.2.7:1",
            "tcp:[2001:db8::7]:65535",
        ] {
            assert_eq!(text.parse::<Address>().unwrap().to_string(), text);
        }
    }

    #[test]
    fn brackets_are_not_part_of_the_host() {
        assert_eq!(
            "tcp:[::1]:5025".parse(),
            Ok(Address::Tcp {
                host: "::1".to_owned(),
                port: 5025
            })
        );
    }

    #[test]
    fn a_wrong_address_says_what_to_write() {
        let error = |text: &str| text.parse::<Address>().unwrap_err();
        assert_eq!(error("  "), AddressError::Empty);
        assert_eq!(
            error("tcp:host"),
            AddressError::Incomplete {
                text: "tcp:host".to_owned()
            }
        );
        assert_eq!(
            error("tcp:host:"),
            AddressError::Incomplete {
                text: "tcp:host:".to_owned()
            }
        );
        assert_eq!(
            error("tcp::5025"),
            AddressError::Incomplete {
                text: "tcp::5025".to_owned()
            }
        );
        assert_eq!(
            error("tcp:::1:5025"),
            AddressError::BareIpv6 {
                text: "tcp:::1:5025".to_owned()
            }
        );
        for port in ["0", "65536", "scpi", "-1"] {
            let text = format!("tcp:host:{port}");
            assert_eq!(
                error(&text),
                AddressError::BadPort {
                    text: text.clone(),
                    found: port.to_owned()
                }
            );
        }
    }
}
