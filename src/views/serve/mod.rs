//! A sitting for others to see: the hub that every viewer joins, and the thread that serves them.
//!
//! The sitting's loop publishes and never waits; whoever cannot keep up is told what it missed and gets the whole state anew.
//! Of the engine it knows events, rows and the command that a viewer may give.

mod client;
mod hub;
mod page;
mod protocol;
mod server;
mod unix_socket;

pub use client::{Client, Speaker};
pub use hub::Hub;
pub use page::{Page, Patience};
pub use protocol::{Commands, FromServer, LONGEST_LINE, MOST_CLIENTS, PROTOCOL};
pub use server::{Closing, Listener, Served, Server, Serving};
pub use unix_socket::{UnixSocket, socket_path};
