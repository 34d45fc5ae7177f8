//! [`Stream`]: an open serial port or TCP connection.

use std::io::{self, Read, Write};
use std::net::TcpStream;
use std::time::Duration;

use serialport::{ClearBuffer, SerialPort};

use super::keeper::Loss;

/// The longest that one read or one write waits: how soon a link notices that it is being closed.
pub(super) const PATIENCE: Duration = Duration::from_millis(50);

/// An open byte stream whose reads and writes wait at most [`PATIENCE`].
pub(super) enum Stream {
    Serial(Box<dyn SerialPort>),
    /// A TCP connection.
    Tcp(TcpStream),
}

/// Outcome of a read or a write that did not fail.
pub(super) enum Step {
    /// Moved this many bytes, at least one.
    Moved(usize),
    /// Nothing could be moved within [`PATIENCE`].
    Idle,
}

impl Stream {
    /// A second handle on the same stream, for the writer.
    pub(super) fn second_handle(&self) -> io::Result<Self> {
        match self {
            Self::Serial(port) => Ok(Self::Serial(port.try_clone()?)),
            Self::Tcp(stream) => Ok(Self::Tcp(stream.try_clone()?)),
        }
    }

    /// Reads what is there into `buffer`, which is not empty.
    pub(super) fn read(&mut self, buffer: &mut [u8]) -> Result<Step, Loss> {
        let outcome = match self {
            Self::Serial(port) => port.read(buffer),
            Self::Tcp(stream) => stream.read(buffer),
        };
        self.judge(outcome)
    }

    /// Writes as much of `bytes`, which are not empty, as the stream takes at once.
    pub(super) fn write(&mut self, bytes: &[u8]) -> Result<Step, Loss> {
        let outcome = match self {
            Self::Serial(port) => port.write(bytes),
            Self::Tcp(stream) => stream.write(bytes),
        };
        self.judge(outcome)
    }

    /// Throws away bytes that the operating system has not sent yet, so that closing does not wait for them.
    pub(super) fn discard_unsent(&self) {
        if let Self::Serial(port) = self {
            // A port that cannot do it is about to be closed anyhow.
            let _ = port.clear(ClearBuffer::Output);
        }
    }

    /// A stream that moves nothing without waiting is at its end.
    fn judge(&self, outcome: io::Result<usize>) -> Result<Step, Loss> {
        match outcome {
            Ok(0) => Err(self.hung_up()),
            Ok(count) => Ok(Step::Moved(count)),
            Err(error) if is_idle(error.kind()) => Ok(Step::Idle),
            Err(error) if self.is_hang_up(&error) => Err(self.hung_up()),
            Err(error) => Err(Loss::Failed {
                detail: error.to_string(),
            }),
        }
    }

    /// Whether `error` is one of the ways in which a pulled cable shows.
    fn is_hang_up(&self, error: &io::Error) -> bool {
        match self {
            // A device that is gone answers "broken pipe" while waiting; when touched it answers EIO or ENXIO, which the
            // serial library folds into "other".
            Self::Serial(_) => matches!(
                error.kind(),
                io::ErrorKind::BrokenPipe | io::ErrorKind::Other
            ),
            Self::Tcp(_) => matches!(
                error.kind(),
                io::ErrorKind::BrokenPipe
                    | io::ErrorKind::ConnectionReset
                    | io::ErrorKind::ConnectionAborted
            ),
        }
    }

    fn hung_up(&self) -> Loss {
        match self {
            Self::Serial(_) => Loss::PortGone,
            Self::Tcp(_) => Loss::Closed,
        }
    }
}

/// Whether a failed read or write only means "nothing yet".
fn is_idle(kind: io::ErrorKind) -> bool {
    matches!(
        kind,
        io::ErrorKind::TimedOut | io::ErrorKind::WouldBlock | io::ErrorKind::Interrupted
    )
}
