//! Processes: programs that are started and ended, the signals that ask for an end, and waiting for what can be read.

use std::io::{self, Read as _, Write as _};
use std::net::TcpStream;
use std::process::Command;
use std::thread;
use std::time::Duration;

use process_wrap::std::{ChildWrapper, CommandWrap};
use rustix::event::{PollFd, PollFlags, Timespec, poll};
use socket2::{SockRef, TcpKeepalive};

use super::{Nudge, Requests};

pub(crate) use rustix::fd::{AsFd as AsWaited, BorrowedFd as Waited};

/// Calls `end` at Ctrl-C, a request to terminate and a closed terminal, until it gives `false`.
///
/// # Errors
/// If the system does not let them be watched.
pub(crate) fn on_request_to_end(mut end: impl FnMut() -> bool + Send + 'static) -> io::Result<()> {
    let runtime = tokio::runtime::Builder::new_current_thread()
        .enable_io()
        .build()?;
    let mut requests = {
        let _within = runtime.enter();
        Requests::watch()?
    };
    thread::spawn(move || {
        runtime.block_on(async {
            while requests.next().await {
                if !end() {
                    return;
                }
            }
        });
    });
    Ok(())
}

/// A program that was started, with all that it starts.
pub(crate) type Started = Box<dyn ChildWrapper>;

/// Starts a program apart from this one: a Ctrl-C at the terminal does not reach it, and whatever it starts can be ended with it.
pub(crate) fn start_apart(command: Command) -> io::Result<Started> {
    let mut command = CommandWrap::from(command);
    #[cfg(unix)]
    command.wrap(process_wrap::std::ProcessGroup::leader());
    #[cfg(windows)]
    command.wrap(process_wrap::std::JobObject);
    command.spawn()
}

/// Ends a program with all that it started, and reaps it.
pub(crate) fn end_with_all(started: &mut Started) {
    // A process that has ended by itself meanwhile cannot be ended; it is reaped all the same.
    let _ = started.start_kill();
    let _ = started.wait();
}

/// Whether a process of that number is there.
#[cfg(unix)]
pub(crate) fn is_running(process: u32) -> bool {
    use rustix::process::{Pid, test_kill_process};
    let process = i32::try_from(process).ok().and_then(Pid::from_raw);
    // One of somebody else may not be asked, but it is there.
    process
        .is_some_and(|process| !matches!(test_kill_process(process), Err(rustix::io::Errno::SRCH)))
}

/// Never known here; a file that a running process has open cannot be removed by others.
#[cfg(windows)]
pub(crate) fn is_running(_process: u32) -> bool {
    false
}

/// Wakes whoever waits at the other end.
#[derive(Debug)]
pub(crate) struct Waker(Nudge);

/// The end that is waited at.
#[derive(Debug)]
pub(crate) struct Woken(Nudge);

impl Waker {
    /// Both ends.
    pub(crate) fn pair() -> io::Result<(Self, Woken)> {
        let (waker, woken) = super::nudges()?;
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
        // One that is longer than the system can count is for ever.
        let patience = patience.and_then(|patience| Timespec::try_from(patience).ok());
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
    let socket = SockRef::from(stream);
    let keep_alive = TcpKeepalive::new().with_time(every).with_interval(every);
    socket.set_tcp_keepalive(&keep_alive)?;
    // Windows lets the number be set since 2017; an older one probes as often as it thinks right.
    let counted = socket.set_tcp_keepalive(&keep_alive.with_retries(probes));
    if cfg!(windows) { Ok(()) } else { counted }
}
