//! [`Syncer`]: a thread that gets written data onto the disk, so that whoever writes never waits for the disk.
//!
//! Requests that arrive while the disk is busy become one. Data waits at most [`Syncer::LONGEST_WAIT`] before the disk is asked.

use std::io;
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

/// Advance of writing; each number counts writes since the start.
#[derive(Default)]
struct Progress {
    /// Writes that the kernel has taken.
    written: u64,
    /// Writes that somebody wants on the disk now.
    wanted: u64,
    /// Writes that are on the disk.
    synced: u64,
    /// The disk refused, and the thread has ended.
    failed: bool,
    /// Answer of the disk then, until somebody has been told.
    failure: Option<io::Error>,
    /// The thread shall bring the rest to the disk and end.
    ending: bool,
}

impl Progress {
    /// Answer of the disk, in full the first time.
    fn outcome(&mut self) -> io::Result<()> {
        if !self.failed {
            return Ok(());
        }
        Err(self
            .failure
            .take()
            .unwrap_or_else(|| io::Error::other("the disk refused before")))
    }
}

/// The progress that both threads look at, and the bell for a change of it.
#[derive(Default)]
struct Shared {
    progress: Mutex<Progress>,
    changed: Condvar,
}

impl Shared {
    fn lock(&self) -> MutexGuard<'_, Progress> {
        self.progress.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn wait<'a>(&self, guard: MutexGuard<'a, Progress>) -> MutexGuard<'a, Progress> {
        self.changed
            .wait(guard)
            .unwrap_or_else(PoisonError::into_inner)
    }
}

/// The hand that holds the thread. Dropping it waits until everything written is on the disk.
pub(super) struct Syncer {
    shared: Arc<Shared>,
    thread: Option<JoinHandle<()>>,
}

impl Syncer {
    /// Time that data may wait before the disk is asked.
    pub(super) const LONGEST_WAIT: Duration = Duration::from_secs(1);

    /// Starts the thread; `sync` brings everything written so far to the disk.
    pub(super) fn start(sync: impl FnMut() -> io::Result<()> + Send + 'static) -> io::Result<Self> {
        let shared = Arc::new(Shared::default());
        let theirs = Arc::clone(&shared);
        let thread = std::thread::Builder::new()
            .name("recording to disk".into())
            .spawn(move || serve(&theirs, sync))?;
        Ok(Self {
            shared,
            thread: Some(thread),
        })
    }

    /// Notes that something was written. An earlier refusal of the disk comes out here.
    pub(super) fn wrote(&self) -> io::Result<()> {
        let mut progress = self.shared.lock();
        if progress.written == progress.synced {
            self.shared.changed.notify_all();
        }
        progress.written += 1;
        progress.outcome()
    }

    /// Asks for everything written so far to be brought to the disk now; does not wait.
    pub(super) fn request(&self) {
        let mut progress = self.shared.lock();
        progress.wanted = progress.written;
        self.shared.changed.notify_all();
    }

    /// Asks, and waits until it is done.
    pub(super) fn settle(&self) -> io::Result<()> {
        self.request();
        let mut progress = self.shared.lock();
        while progress.synced < progress.wanted && !progress.failed {
            progress = self.shared.wait(progress);
        }
        progress.outcome()
    }
}

impl Drop for Syncer {
    fn drop(&mut self) {
        self.shared.lock().ending = true;
        self.shared.changed.notify_all();
        if let Some(thread) = self.thread.take() {
            // A panic over there has been printed already, and there is nothing left to be saved.
            let _ = thread.join();
        }
    }
}

fn serve(shared: &Shared, mut sync: impl FnMut() -> io::Result<()>) {
    while let Some(target) = next_target(shared) {
        let outcome = sync();
        let mut progress = shared.lock();
        match outcome {
            Ok(()) => progress.synced = target,
            Err(failure) => {
                progress.failed = true;
                progress.failure = Some(failure);
            }
        }
        shared.changed.notify_all();
        if progress.failed {
            return;
        }
    }
}

/// Waits until something is to be brought to the disk, and says up to which write; `None` at the end.
fn next_target(shared: &Shared) -> Option<u64> {
    let mut progress = shared.lock();
    while progress.written == progress.synced {
        if progress.ending {
            return None;
        }
        progress = shared.wait(progress);
    }
    let due = Instant::now() + Syncer::LONGEST_WAIT;
    while progress.wanted <= progress.synced && !progress.ending {
        let Some(left) = due.checked_duration_since(Instant::now()) else {
            break;
        };
        progress = shared
            .changed
            .wait_timeout(progress, left)
            .unwrap_or_else(PoisonError::into_inner)
            .0;
    }
    Some(progress.written)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::mpsc::{Sender, channel};

    fn telling(told: Sender<()>) -> impl FnMut() -> io::Result<()> + Send + 'static {
        move || told.send(()).map_err(io::Error::other)
    }

    #[test]
    fn a_request_is_served_at_once_and_settling_waits_for_it() {
        let (told, heard) = channel();
        let syncer = Syncer::start(telling(told)).unwrap();
        syncer.wrote().unwrap();
        syncer.settle().unwrap();
        assert!(heard.try_recv().is_ok());
    }

    #[test]
    fn data_that_nobody_asks_about_reaches_the_disk_after_the_longest_wait() {
        let (told, heard) = channel();
        let syncer = Syncer::start(telling(told)).unwrap();
        let begun = Instant::now();
        syncer.wrote().unwrap();
        heard.recv_timeout(Duration::from_secs(20)).unwrap();
        assert!(begun.elapsed() >= Syncer::LONGEST_WAIT);
    }

    #[test]
    fn requests_made_while_the_disk_is_busy_become_one() {
        let (told, heard) = channel();
        let (go, gate) = channel();
        let syncer = Syncer::start(move || {
            told.send(()).map_err(io::Error::other)?;
            gate.recv().map_err(io::Error::other)
        })
        .unwrap();
        syncer.wrote().unwrap();
        syncer.request();
        heard.recv().unwrap();
        for _ in 0..100 {
            syncer.wrote().unwrap();
            syncer.request();
        }
        go.send(()).unwrap();
        go.send(()).unwrap();
        drop(syncer);
        assert_eq!(heard.iter().count(), 1);
    }

    #[test]
    fn a_refusal_comes_out_at_the_next_write() {
        let (told, heard) = channel();
        let syncer = Syncer::start(move || {
            told.send(()).map_err(io::Error::other)?;
            Err(io::ErrorKind::StorageFull.into())
        })
        .unwrap();
        syncer.wrote().unwrap();
        syncer.request();
        // The sender is dropped when the thread has ended, which is after it noted the refusal.
        assert_eq!(heard.iter().count(), 1);
        assert_eq!(
            syncer.wrote().unwrap_err().kind(),
            io::ErrorKind::StorageFull
        );
        assert!(syncer.settle().is_err());
    }

    #[test]
    fn dropping_brings_the_rest_to_the_disk() {
        let (told, heard) = channel();
        let syncer = Syncer::start(telling(told)).unwrap();
        syncer.wrote().unwrap();
        drop(syncer);
        assert_eq!(heard.iter().count(), 1);
    }
}
