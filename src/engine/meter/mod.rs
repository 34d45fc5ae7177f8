//! Meters: the device profile, the reply grammar, the accuracy specification and the conversation.
//!
//! Pure: talks to no port. Bytes come in with their time, bytes to send are handed out.
//! Never imports a file, a port, a thread or a clock; a profile is read from its text.

mod accuracy;
mod conversation;
mod device_error;
mod line_settings;
mod lines;
mod number;
mod profile;
mod reading;
mod reply;
mod sentinels;
mod unit;

pub use accuracy::{Accuracy, Range};
pub use conversation::{Conversation, Heard};
pub use device_error::DeviceError;
pub use line_settings::{DataBits, Ending, Flow, LineSettings, Parity, StopBits};
pub use lines::{Line, Lines};
pub use number::{Number, NumberError};
pub use profile::{
    Circuit, Derivation, ErrorQuery, Field, Fields, Function, Identify, Idle, Mode, Profile,
    SecondLimit, Timing, shipped_profile, shipped_profiles,
};
pub use reading::{Reading, Shown};
pub use reply::{Reply, ReplyError};
pub use sentinels::Sentinels;
pub use unit::Unit;
