//! Windows.

mod local;
mod pseudo_terminal;
mod requests;
mod terminal;

use std::io;
use std::net::{Ipv4Addr, TcpListener};

pub(crate) use local::{
    Admission, Bound, LocalListener, LocalPeer, LocalStream, Removed, connect, listen_at,
};
pub(crate) use pseudo_terminal::PseudoTerminal;
pub(super) use requests::Requests;
pub(super) use std::net::TcpStream as Nudge;
pub(crate) use terminal::{Keys, PersonsTerminal, SingleKeys, in_background, keys};

/// A connected pair of sockets.
pub(super) fn nudges() -> io::Result<(Nudge, Nudge)> {
    let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, 0))?;
    let one = Nudge::connect(listener.local_addr()?)?;
    // Somebody else may have been quicker to connect.
    loop {
        let (other, from) = listener.accept()?;
        if from == one.local_addr()? {
            one.set_nodelay(true)?;
            return Ok((one, other));
        }
    }
}
