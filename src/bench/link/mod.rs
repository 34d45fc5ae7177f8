//! Byte streams to meters: a serial port or a raw TCP connection, kept alive for as long as the [`Link`] lives.
//!
//! Nothing else in the crate touches a port. This room knows nothing of meters, lines or readings: bytes come in with the
//! time of their arrival and go out as they are. Of the engine it imports nothing but the settings of a line, and it uses plain threads, no
//! async runtime.
//!
//! # How a link lives
//! 1. [`open`] opens the port once, at once: a wrong name is an error there and then.
//! 2. A keeper thread reads; every chunk becomes a [`LinkEvent::Bytes`] the moment the read returns. A writer thread sends what
//!    [`Link::send`] queued.
//! 3. When the cable is pulled, the keeper says [`LinkEvent::Lost`] and tries again, 0.25 s later at first, then twice as long
//!    each time up to 5 s. While down it says [`LinkEvent::StillDown`] only when the reason changes. On success: [`LinkEvent::Up`].
//! 4. Dropping the [`Link`] sends what is still queued if the line takes it, ends both threads and waits for them.

mod address;
mod dial;
mod keeper;
mod outgoing;
mod stream;

pub use address::{Address, AddressError, ports};
pub use dial::OpenError;
pub use keeper::{Link, LinkEvent, LinkMessage, Loss, open};
pub use outgoing::SendError;
