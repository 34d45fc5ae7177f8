//! [`Chunk`]: the bytes of one read, in a buffer that is used again.

use std::fmt;
use std::ops::Deref;
use std::sync::{Arc, Mutex, PoisonError};

/// Bytes of one buffer; more than a serial driver hands over at once.
const CAPACITY: usize = 4096;

/// Buffers kept for another use; more are given back to the allocator.
const KEPT: usize = 64;

/// The bytes of one read, never empty. Reads as a slice.
///
/// Dropping it puts its buffer back on the link's shelf, so that a driver that drops chunks after use causes no allocation
/// in the long run.
pub struct Chunk {
    buffer: Box<[u8]>,
    len: usize,
    shelf: Shelf,
}

impl Deref for Chunk {
    type Target = [u8];

    fn deref(&self) -> &[u8] {
        &self.buffer[..self.len]
    }
}

impl fmt::Debug for Chunk {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Chunk(\"{}\")", self.escape_ascii())
    }
}

impl Drop for Chunk {
    fn drop(&mut self) {
        self.shelf.put_back(std::mem::take(&mut self.buffer));
    }
}

/// Where empty buffers wait.
#[derive(Clone, Default)]
pub(super) struct Shelf(Arc<Mutex<Vec<Box<[u8]>>>>);

impl Shelf {
    /// A full-length buffer to read into.
    pub(super) fn take(&self) -> Box<[u8]> {
        let kept = self.0.lock().unwrap_or_else(PoisonError::into_inner).pop();
        kept.unwrap_or_else(|| vec![0; CAPACITY].into_boxed_slice())
    }

    /// The first `len` bytes of `buffer` as a chunk.
    pub(super) fn chunk(&self, buffer: Box<[u8]>, len: usize) -> Chunk {
        Chunk {
            buffer,
            len,
            shelf: self.clone(),
        }
    }

    /// Keeps `buffer` for the next read.
    fn put_back(&self, buffer: Box<[u8]>) {
        let mut kept = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if kept.len() < KEPT {
            kept.push(buffer);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_dropped_chunk_gives_its_buffer_back() {
        let shelf = Shelf::default();
        let buffer = shelf.take();
        let place = buffer.as_ptr();
        drop(shelf.chunk(buffer, 3));
        let again = shelf.take();
        assert_eq!(again.as_ptr(), place);
    }

    #[test]
    fn a_chunk_reads_as_the_bytes_that_came() {
        let shelf = Shelf::default();
        let mut buffer = shelf.take();
        buffer[..3].copy_from_slice(b"1\r\n");
        let chunk = shelf.chunk(buffer, 3);
        assert_eq!(*chunk, *b"1\r\n");
        assert_eq!(format!("{chunk:?}"), r#"Chunk("1\r\n")"#);
    }
}
