//! `meter`: ports, profiles, and what arrives from a meter.

mod attempt;
mod check;

use std::io::Write;
use std::path::PathBuf;

use anyhow::Result;

use super::status::Status;
use crate::bench::link::ports;
use crate::engine::meter::{Profile, shipped_profiles};

/// Ports, profiles, and what arrives from a meter.
#[derive(Debug, clap::Subcommand)]
pub(crate) enum Arguments {
    /// List the ports of this machine and the profiles that come with the program.
    List,
    /// Show what arrives from a meter, byte for byte, and how it is understood.
    Try(attempt::Arguments),
    /// Check a profile and show what was understood.
    Check { file: PathBuf },
}

/// Runs the command.
pub(crate) fn run(arguments: &Arguments, out: &mut dyn Write) -> Result<Status> {
    match arguments {
        Arguments::List => list(out),
        Arguments::Try(arguments) => attempt::run(arguments, out),
        Arguments::Check { file } => {
            check::run(file, out)?;
            Ok(Status::Done)
        }
    }
}

/// Lists ports and profiles.
fn list(out: &mut dyn Write) -> Result<Status> {
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
        writeln!(out, "  {:<24} {}", shipped.name, profile.title)?;
    }
    Ok(Status::Done)
}
