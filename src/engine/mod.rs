//! The engine: from the readings of a meter to verdicts.
//!
//! It opens nothing, sleeps never, reads no clock or environment, and prints nothing: every input carries its time.
//! It uses no other wing.
//!
//! # How to drive it
//! Live work, replay, demonstration and tests all drive the same [`sitting::Sitting`] and get the same events for the same inputs:
//! ```
//! use std::collections::VecDeque;
//! use std::time::Duration;
//!
//! use probewright::face::engine::judge::Verdict;
//! use probewright::face::engine::meter::shipped_profile;
//! use probewright::face::engine::quantity::Stamp;
//! use probewright::face::engine::sitting::{Command, Event, Input, Plan, Setup, Sitting, What};
//!
//! let list = "ref,kind,value,tolerance\nR1,resistor,4k7,10%\n";
//! let profile = shipped_profile("scpi-multimeter").ok_or("no such profile")?;
//! let mut sitting = Sitting::begin(Plan::of(&Setup::of(list, profile.name, profile.text))?);
//!
//! let mut verdicts = Vec::new();
//! let mut say = |event: Event| {
//!     if let What::Judged(record) = event.what {
//!         verdicts.push(record.row.verdict);
//!     }
//! };
//! // Here the world is a meter that answers after 20 ms, and a person who holds the probes on R1 from the second second to the
//! // sixth and says `end` after the eighth. Live work waits for ports and keys instead, a replay reads its recording.
//! let end = Stamp::from_micros(8_000_000);
//! let mut answers: VecDeque<(Stamp, &str)> = VecDeque::new();
//! let mut now = Stamp::ZERO;
//! sitting.handle_from(0, now, Input::LinkUp, &mut say);
//! while !sitting.ended() {
//!     // Send what it has for the meters, until it has nothing.
//!     while let Some((_, commands)) = sitting.transmit_to() {
//!         let touches = (2.0..6.0).contains(&now.seconds());
//!         let answer = match commands {
//!             _ if commands.ends_with(b"*IDN?\n") => "Invented,Meter,0,1\n",
//!             _ if commands.ends_with(b"SYST:ERR?\n") => "0,\"No error\"\n",
//!             _ if touches => "+4.712E3\n",
//!             _ => "+9.9E37\n",
//!         };
//!         answers.push_back((now.after(Duration::from_millis(20)), answer));
//!     }
//!     // Wait for what comes in, but no longer than to the deadline, and hand it in with its time, which never runs backwards.
//!     // A timer that ran out is dealt with at the time it was due, however late the caller woke up: this is why a recording
//!     // needs no entries for timers and still replays the same.
//!     let first = answers.front().map_or(end, |(at, _)| *at).min(end);
//!     match sitting.deadline() {
//!         Some(due) if due < first => {
//!             now = due;
//!             sitting.handle(now, Input::Tick, &mut say);
//!         }
//!         _ if first == end => sitting.handle(end, Input::Command(&Command::End), &mut say),
//!         _ => if let Some((at, answer)) = answers.pop_front() {
//!             now = at;
//!             sitting.handle_from(0, now, Input::Bytes(answer.as_bytes()), &mut say);
//!         },
//!     }
//! }
//! // After `What::Ended` nothing more happens.
//! assert_eq!(verdicts, [Verdict::Pass]);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

pub mod impedance;
pub mod judge;
pub mod meter;
pub mod network;
pub mod parts;
pub mod probing;
pub mod quantity;
pub mod settings;
pub mod sitting;
pub mod source;
pub mod statistics;
