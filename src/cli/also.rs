//! [`Also`]: a further meter as the command line names it, `NAME=PROFILE@PORT`.

use std::str::FromStr;

use crate::engine::settings::BenchMeter;

/// A meter beside the first.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Also(pub(crate) BenchMeter);

impl FromStr for Also {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let fields = text.split_once('=').and_then(|(name, rest)| {
            let (profile, port) = rest.rsplit_once('@')?;
            Some([name, profile, port])
        });
        match fields {
            Some(fields @ [name, profile, port])
                if fields.iter().all(|field| !field.is_empty()) =>
            {
                Ok(Self(BenchMeter {
                    name: name.to_owned(),
                    profile: profile.to_owned(),
                    port: port.to_owned(),
                }))
            }
            _ => Err(
                "expected NAME=PROFILE@PORT, as in bridge=scpi-lcr-meter@/dev/ttyUSB1".to_owned(),
            ),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_meter_is_name_profile_and_port() {
        let Also(meter) = "bridge=own/lcr.toml@tcp:localhost:5025".parse().unwrap();
        assert_eq!(meter.name, "bridge");
        assert_eq!(meter.profile, "own/lcr.toml");
        assert_eq!(meter.port, "tcp:localhost:5025");
    }

    #[test]
    fn what_lacks_something_is_told_what_is_expected() {
        for text in ["", "bridge", "bridge=x", "=x@y", "bridge=@y", "bridge=x@"] {
            let error = text.parse::<Also>().unwrap_err();
            assert!(error.contains("NAME=PROFILE@PORT"), "{text}: {error}");
        }
    }
}
