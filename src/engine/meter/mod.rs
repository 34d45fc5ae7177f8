//! Meters: the device profile, the reply grammar, the accuracy specification and the conversation.
//!
//! Pure: talks to no port. Bytes come in with their time, bytes to send are handed out.
//! Never imports a file, a port, a thread or a clock; a profile is read from its text.

mod conversation;
mod lines;
mod number;
mod profile;
mod reading;
mod reply;
mod sentinels;

pub use conversation::{Conversation, Heard, UnsupportedQuantity};
pub use lines::{DataBits, Ending, Flow, Line, LineSettings, Lines, Parity, StopBits};
pub use number::{Number, NumberError, Unit};
pub use profile::{
    Derivation, EquivalentCircuit, ErrorQuery, Field, Fields, Function, Identify, Idle, Mode,
    Profile, SecondLimit, Timing, shipped_profile, shipped_profiles,
};
pub use reading::{Accuracy, Range, Reading, Shown};
pub use reply::{Reply, ReplyError};
pub use sentinels::{DeviceError, Sentinels};
