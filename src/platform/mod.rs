//! What the operating system does differently, behind functions that name what is wanted: files, processes and signals,
//! terminals, pseudo-terminals, the local socket, waiting.
//!
//! Unix alone so far. Every wing but the engine may use it, and it uses none of them.

mod files;
mod processes;
mod terminal;

pub(crate) use files::{
    LocalListener, LocalStream, Removed, beside, can_list_serial_ports, connect, is_locked,
    is_program, listen_at, lock, owning_group, put_in_place, sync_name, try_lock, write_whole,
};
pub(crate) use processes::{
    AsWaited, Waited, Waker, Woken, end_with_all, in_own_group, is_running, keep_alive,
    on_request_to_end,
};
pub(crate) use terminal::{PersonsTerminal, PseudoTerminal, SingleKeys, in_background, keys};
