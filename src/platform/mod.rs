//! Differences between operating systems, behind functions that name what is wanted: files, processes and signals,
//! terminals, pseudo-terminals, the local socket, waiting.
//!
//! Every wing but the engine may use it, and it uses none of them.

mod files;
mod processes;
#[cfg(unix)]
mod unix;
#[cfg(windows)]
mod windows;

#[cfg(unix)]
use unix as system;
#[cfg(windows)]
use windows as system;

pub(crate) use files::{
    A_SERIAL_PORT, HAS_PSEUDO_TERMINALS, Held, LastingFile, beside, can_list_serial_ports,
    has_a_name, hold, is_held, is_program, is_serial_port, owning_group, put_in_place, sync_name,
    try_hold, write_whole,
};
pub(crate) use processes::{
    AsWaited, Started, Waited, Waker, Woken, end_with_all, is_running, keep_alive,
    on_request_to_end, start_apart,
};
pub(crate) use system::{
    Admission, Bound, Keys, LocalListener, LocalPeer, LocalStream, PersonsTerminal, PseudoTerminal,
    Removed, SingleKeys, connect, in_background, keys, listen_at,
};
use system::{Nudge, Requests, nudges};
