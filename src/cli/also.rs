//! [`Also`]: a further meter as the command line names it, `NAME=PROFILE@PORT`.

use std::str::FromStr;

use crate::engine::settings::MeterBeside;

/// A meter beside the first.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Also(pub(crate) MeterBeside);

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
                Ok(Self(MeterBeside {
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

/// The meters of the job beside the first, and those of the command line: one of the same name goes in its place.
pub(crate) fn meters_beside(of_job: Vec<MeterBeside>, also: &[Also]) -> Vec<MeterBeside> {
    let mut meters = of_job;
    let from_job = meters.len();
    for Also(meter) in also {
        // A name that the command line gives twice is a mistake, which the plan then tells.
        match meters[..from_job]
            .iter_mut()
            .find(|known| known.name == meter.name)
        {
            Some(known) => known.clone_from(meter),
            None => meters.push(meter.clone()),
        }
    }
    meters
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

    #[test]
    fn the_command_line_goes_before_the_job() {
        let meter = |text: &str| text.parse::<Also>().unwrap();
        let of_job = vec![meter("a=x@1").0, meter("b=x@2").0];
        let meters = meters_beside(of_job, &[meter("b=y@3"), meter("c=y@4")]);
        let ports: Vec<_> = meters.iter().map(|meter| meter.port.as_str()).collect();
        assert_eq!(ports, ["1", "3", "4"]);
    }
}
