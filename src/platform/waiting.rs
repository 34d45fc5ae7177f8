//! Waiting for what can be read, and for hosts that vanish.

use std::io::{self, Read as _, Write as _};
use std::net::TcpStream;
use std::os::unix::net::UnixStream;
use std::time::Duration;

use rustix::event::{PollFd, PollFlags, Timespec, poll};
use rustix::net::sockopt;

pub(crate) use std::os::fd::{AsFd as AsWaited, BorrowedFd as Waited};

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
