//! Meters: the device profile, the reply grammar, the accuracy specification and the conversation.
//!
//! Pure: talks to no port. Bytes come in with their time, bytes to send are handed out.

mod reading;

pub use reading::{Reading, Shown};
