//! [`hand_in`]: the one way in. Live work records an event and then hands it in here; a replay hands in what was recorded.

use super::recording::{Event, LinkState};
use crate::engine::quantity::Stamp;
use crate::engine::sitting::{self, Command, Input, Sitting, UnknownCommand};

/// Hands to the engine what a recording tells; what belongs to its head and what was sent are nothing to it.
///
/// # Errors
/// If it is a command that this version does not know; the engine then gets nothing.
pub(crate) fn hand_in(
    sitting: &mut Sitting,
    at: Stamp,
    event: &Event<'_>,
    say: &mut impl FnMut(sitting::Event),
) -> Result<(), UnknownCommand> {
    let command: Command;
    let (meter, input) = match *event {
        Event::In { meter, bytes } => (meter, Input::Bytes(bytes)),
        Event::Link {
            meter,
            state: LinkState::Up,
            ..
        } => (meter, Input::LinkUp),
        Event::Link {
            meter,
            state: LinkState::Lost,
            reason,
        } => (meter, Input::LinkLost { reason }),
        Event::Command { text } => {
            command = text.parse()?;
            (0, Input::Command(&command))
        }
        Event::Out { .. }
        | Event::Program { .. }
        | Event::Begun { .. }
        | Event::File { .. }
        | Event::Setting { .. }
        | Event::Meter { .. } => return Ok(()),
    };
    sitting.handle_from(meter.into(), at, input, say);
    Ok(())
}
