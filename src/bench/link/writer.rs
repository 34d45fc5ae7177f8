//! The writer: takes bytes from the queue and puts them on the line.

use std::time::{Duration, Instant};

use super::message::Loss;
use super::outgoing::Outgoing;
use super::stream::{Step, Stream};

/// Bytes handed to the operating system at once. A line that reports room for one has room for so many (seen in the Linux
/// terminal drivers: they report room only while it is at least 256 bytes), so that a write does not wait beyond its patience.
const PIECE: usize = 64;

/// A line that takes nothing for so long is given up.
const STALLED_AFTER: Duration = Duration::from_secs(1);

/// Writes until the stream is over; leaves what went wrong with `outgoing`.
pub(super) fn write_until_over(mut stream: Stream, outgoing: &Outgoing) {
    let mut piece = [0; PIECE];
    while let Some(count) = outgoing.take(&mut piece) {
        if let Err(loss) = write_piece(&mut stream, &piece[..count], outgoing) {
            outgoing.fail(loss);
            return;
        }
    }
}

fn write_piece(stream: &mut Stream, mut rest: &[u8], outgoing: &Outgoing) -> Result<(), Loss> {
    let mut moved_at = Instant::now();
    while !rest.is_empty() {
        match stream.write(rest)? {
            Step::Moved(count) => {
                rest = &rest[count..];
                moved_at = Instant::now();
            }
            Step::Idle if outgoing.is_closing() || moved_at.elapsed() >= STALLED_AFTER => {
                stream.discard_unsent();
                return Err(Loss::Stalled {
                    seconds: STALLED_AFTER.as_secs(),
                });
            }
            Step::Idle => {}
        }
    }
    Ok(())
}
