//! `meter list`.

use std::io::Write;

use anyhow::Result;

use crate::bench::link::ports;
use crate::cli::status::Status;
use crate::engine::meter::{Profile, shipped_profiles};

pub(super) fn run(out: &mut dyn Write) -> Result<Status> {
    writeln!(out, "ports")?;
    match ports() {
        Ok(ports) if ports.is_empty() => writeln!(out, "  none found")?,
        Ok(ports) => {
            for port in ports {
                writeln!(out, "  {:<24} {}", port.path, port.hardware)?;
                if let Some(lasting) = port.lasting_path {
                    writeln!(
                        out,
                        "  {:<24} the same port under a name that stays",
                        lasting.display()
                    )?;
                }
            }
        }
        Err(error) => writeln!(out, "  {error}")?,
    }
    writeln!(
        out,
        "  {:<24} a meter on the network (raw socket)",
        "tcp:HOST:PORT"
    )?;
    writeln!(out, "profiles")?;
    for shipped in shipped_profiles() {
        let profile = Profile::parse(shipped.text, shipped.name)?;
        writeln!(out, "  {:<24} {}", shipped.name, profile.title())?;
    }
    Ok(Status::Done)
}
