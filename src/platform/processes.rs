//! Processes: their groups, their end, and the signals that ask for it.

use std::io;
use std::os::unix::process::CommandExt as _;
use std::path::Path;
use std::process::{Child, Command};
use std::thread;

use rustix::process::{Pid, Signal, kill_process_group};
use signal_hook::consts::{SIGHUP, SIGINT, SIGQUIT, SIGTERM};
use signal_hook::iterator::Signals;

/// Calls `end` at Ctrl-C, Ctrl-\, a request to terminate and a closed terminal, until it gives `false`.
///
/// # Errors
/// If the system does not let signals be watched.
pub(crate) fn on_request_to_end(mut end: impl FnMut() -> bool + Send + 'static) -> io::Result<()> {
    let mut signals = Signals::new([SIGINT, SIGTERM, SIGHUP, SIGQUIT])?;
    thread::spawn(move || {
        for _ in signals.forever() {
            if !end() {
                return;
            }
        }
    });
    Ok(())
}

/// In a process group of its own: a Ctrl-C at the terminal does not reach it, and whatever it starts can be ended with it.
pub(crate) fn in_own_group(command: &mut Command) -> &mut Command {
    command.process_group(0)
}

/// Ends a program that has a process group of its own with all that it started, and reaps it.
pub(crate) fn end_with_all(child: &mut Child) {
    // What has ended by itself meanwhile cannot be ended; it is reaped all the same.
    let _ = kill_process_group(Pid::from_child(child), Signal::KILL);
    let _ = child.wait();
}

/// Whether a process of that number is there.
pub(crate) fn is_running(process: u32) -> bool {
    Path::new(&format!("/proc/{process}")).exists()
}
