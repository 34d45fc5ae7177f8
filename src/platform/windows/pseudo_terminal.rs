//! There are no pseudo-terminals here that a serial library could open: a simulated meter is reached by TCP.

use std::io;
use std::path::Path;

use crate::platform::Waited;

/// Cannot be opened.
#[derive(Debug)]
pub(crate) enum PseudoTerminal {}

impl PseudoTerminal {
    /// Always refused.
    pub(crate) fn open(_link: &Path) -> io::Result<Self> {
        Err(io::ErrorKind::Unsupported.into())
    }

    pub(crate) fn path(&self) -> &Path {
        match *self {}
    }

    pub(crate) fn readable(&self) -> Waited<'_> {
        match *self {}
    }

    pub(crate) fn read(&self, _buffer: &mut [u8]) -> usize {
        match *self {}
    }

    pub(crate) fn write(&self, _bytes: &[u8]) {
        match *self {}
    }
}
