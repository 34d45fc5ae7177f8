//! What the operating system does differently, behind functions that name what is wanted: files, processes and signals,
//! terminals, pseudo-terminals, the local socket, waiting.
//!
//! Unix alone so far. Every wing but the engine may use it, and it uses none of them.

mod files;
mod local_socket;
mod processes;
mod pseudo_terminal;
mod terminal;
mod waiting;

pub(crate) use files::{
    beside, can_list_serial_ports, is_locked, is_program, lock, owning_group, put_in_place,
    sync_name, try_lock, write_whole,
};
pub(crate) use local_socket::{LocalListener, LocalStream, Removed, connect, listen_at};
pub(crate) use processes::{end_with_all, in_own_group, is_running, on_request_to_end};
pub(crate) use pseudo_terminal::PseudoTerminal;
pub(crate) use terminal::{PersonsTerminal, SingleKeys, in_background, keys};
pub(crate) use waiting::{AsWaited, Waited, Waker, Woken, keep_alive};
