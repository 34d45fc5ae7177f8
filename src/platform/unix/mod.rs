//! Unix: Linux and macOS.

mod local;
mod pseudo_terminal;
mod requests;
mod terminal;

pub(crate) use local::{
    Admission, Bound, LocalListener, LocalPeer, LocalStream, Removed, connect, listen_at,
};
pub(crate) use pseudo_terminal::PseudoTerminal;
pub(super) use requests::Requests;
pub(super) use std::os::unix::net::UnixStream as Nudge;
pub(crate) use terminal::{Keys, PersonsTerminal, SingleKeys, in_background, keys};

/// A connected pair of sockets.
pub(super) fn nudges() -> std::io::Result<(Nudge, Nudge)> {
    Nudge::pair()
}
