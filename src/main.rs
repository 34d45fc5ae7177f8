//! The program: hands the arguments over and sets the exit status.

use std::process::ExitCode;

fn main() -> ExitCode {
    probewright::run(std::env::args_os())
}
