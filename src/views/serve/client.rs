//! [`Client`]: the other end of the socket, for one who watches.

use std::io::{self, BufRead as _, BufReader, Write as _};
use std::net::Shutdown;
use std::path::{Path, PathBuf};

use super::protocol::{FromClient, LONGEST_LINE};
use super::unix_socket::{NAME, socket_path};
use crate::books::job::folder_name;
use crate::engine::sitting::Command;
use crate::platform::{LocalStream, connect};

/// Connected to the sitting of a job.
#[derive(Debug)]
pub struct Client {
    reader: BufReader<LocalStream>,
}

/// The writing half of a connection, of use while somebody reads from it.
#[derive(Debug)]
pub struct Speaker {
    stream: LocalStream,
}

/// There is nothing to connect to.
#[derive(Debug, thiserror::Error)]
pub enum ConnectError {
    #[error(
        "nobody serves a sitting of {}: begin one with `probewright sit {root} --serve`",
        folder_name(root),
        root = root.display()
    )]
    NotServed {
        /// The folder of the job.
        root: PathBuf,
    },
    /// The operating system refuses.
    #[error("cannot connect to `{path}`: {source}", path = path.display())]
    Refused { path: PathBuf, source: io::Error },
}

impl Client {
    /// Connects to the sitting of the job in `root`.
    ///
    /// # Errors
    /// If nobody serves one, or the operating system refuses.
    pub fn connect(root: &Path) -> Result<Self, ConnectError> {
        let stream = connect(root, NAME);
        let stream = stream.map_err(|source| match source.kind() {
            // A socket that nobody listens at is left from a program that was killed.
            io::ErrorKind::NotFound | io::ErrorKind::ConnectionRefused => ConnectError::NotServed {
                root: root.to_owned(),
            },
            _ => ConnectError::Refused {
                path: socket_path(root),
                source,
            },
        })?;
        Ok(Self {
            reader: BufReader::new(stream),
        })
    }

    /// Reads the next line, with its end, into `line`; `false` when the connection is closed.
    ///
    /// # Errors
    /// If the operating system fails, or the line is no text.
    pub fn read(&mut self, line: &mut String) -> io::Result<bool> {
        line.clear();
        match self.reader.read_line(line) {
            // A line without an end was cut off.
            Ok(_) => Ok(line.ends_with('\n')),
            Err(error) if error.kind() == io::ErrorKind::ConnectionReset => Ok(false),
            Err(error) => Err(error),
        }
    }

    /// A second handle, to speak while another thread reads.
    ///
    /// # Errors
    /// If the operating system gives none.
    pub fn speaker(&self) -> io::Result<Speaker> {
        Ok(Speaker {
            stream: self.reader.get_ref().try_clone()?,
        })
    }
}

impl Speaker {
    /// Sends a command.
    ///
    /// # Errors
    /// If the connection is closed; [`io::ErrorKind::InvalidInput`] if the server takes no line of that length, and nothing is sent.
    pub fn say(&mut self, command: &Command) -> io::Result<()> {
        let line = FromClient::Command(command.to_string()).line();
        if line.len() > LONGEST_LINE {
            let found = format!(
                "the command makes a line of {} bytes, expected at most {LONGEST_LINE}",
                line.len()
            );
            return Err(io::Error::new(io::ErrorKind::InvalidInput, found));
        }
        self.stream.write_all(line.as_bytes())
    }

    /// Closes the connection; whoever reads from it is told so.
    pub fn hang_up(&self) {
        // It may be closed already.
        let _ = self.stream.shutdown(Shutdown::Both);
    }
}
