//! Processes: their groups, their end, the signals that ask for it, and waiting for what can be read.

use std::io::{self, Read as _, Write as _};
use std::net::TcpStream;
use std::os::unix::net::UnixStream;
use std::os::unix::process::CommandExt as _;
use std::path::Path;
use std::process::{Child, Command};
use std::thread;
use std::time::Duration;

use rustix::event::{PollFd, PollFlags, Timespec, poll};
use rustix::net::sockopt;
use rustix::process::{Pid, Signal, kill_process_group};
use signal_hook::consts::{SIGHUP, SIGINT, SIGQUIT, SIGTERM};
use signal_hook::iterator::Signals;

pub(crate) use std::os::fd::{AsFd as AsWaited, BorrowedFd as Waited};

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

/// Wakes whoever waits at the other end.
#[derive(Debug)]
pub(crate) struct Waker(UnixStream);

/// The end that is waited at.
#[derive(Debug)]
pub(crate) struct Woken(UnixStream);

impl Waker {
    /// Both ends.
    pub(crate) fn pair() -> io::Result<(Self, Woken)> {
        let (waker, woken) = UnixStream::pair()?;
        woken.set_nonblocking(true)?;
        Ok((Self(waker), Woken(woken)))
    }

    /// Wakes it.
    pub(crate) fn wake(&self) {
        // Nobody may be there any more; and where it is full it wakes already.
        let _ = (&self.0).write(&[0]);
    }
}

impl Woken {
    /// Waits until it is woken, `other` can be read or the time is over; for ever without one.
    pub(crate) fn wait(&mut self, other: Option<Waited<'_>>, patience: Option<Duration>) {
        let mut ends = vec![PollFd::new(&self.0, PollFlags::IN)];
        ends.extend(other.map(|other| PollFd::from_borrowed_fd(other, PollFlags::IN)));
        let patience = patience.map(|patience| Timespec {
            tv_sec: patience.as_secs().cast_signed(),
            tv_nsec: patience.subsec_nanos().into(),
        });
        // Interrupted by a signal: whoever waits looks at everything again.
        let looked = poll(&mut ends, patience.as_ref()).is_ok();
        let woken = looked && ends[0].revents().contains(PollFlags::IN);
        drop(ends);
        if woken {
            // The bytes mean nothing but "look".
            let _ = self.0.read(&mut [0; 64]);
        }
    }
}

/// Has the kernel probe a silent connection after that time, and that far apart, and give it up after that many probes.
pub(crate) fn keep_alive(stream: &TcpStream, every: Duration, probes: u32) -> io::Result<()> {
    sockopt::set_socket_keepalive(stream, true)?;
    sockopt::set_tcp_keepidle(stream, every)?;
    sockopt::set_tcp_keepintvl(stream, every)?;
    Ok(sockopt::set_tcp_keepcnt(stream, probes)?)
}
