//! [`UnixSocket`]: the socket in the folder of a job, for `attach` and for scripts, and its connections.

use std::future::pending;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;

use tokio::io::{
    AsyncBufReadExt as _, AsyncReadExt as _, AsyncWriteExt as _, BufReader, ReadHalf, WriteHalf,
    split,
};
use tokio::sync::Semaphore;
use tokio::sync::mpsc::{Receiver, Sender, channel};
use tokio::task::JoinSet;
use tokio::time::{Interval, MissedTickBehavior, interval, sleep};

use super::hub::Next;
use super::protocol::{Commands, FromClient, FromServer, Hello, LONGEST_LINE, MOST_CLIENTS};
use super::server::{Closing, Listener, Served, Serving};
use crate::platform::{Admission, Bound, LocalListener, LocalPeer, Removed, listen_at};

/// Name of the socket in the folder of a job.
pub(super) const NAME: &str = ".sitting.sock";

/// The path of the socket, as a person would write it.
pub fn socket_path(root: &Path) -> PathBuf {
    root.join(NAME)
}

/// Time for which nobody is let in after the system had no room for one more.
const RESPITE: Duration = Duration::from_millis(100);

/// A socket that is bound in the folder of a job. Gone from there when dropped.
#[derive(Debug)]
pub struct UnixSocket {
    listener: Bound,
    bound: Removed,
}

/// The socket cannot be had.
#[derive(Debug, thiserror::Error)]
pub enum SocketError {
    /// Something else has its name.
    #[error("`{path}` is in the way: expected a socket or nothing; move it elsewhere")]
    InTheWay { path: PathBuf },
    /// The operating system refuses.
    #[error("cannot listen at `{path}`: {source}")]
    Refused { path: PathBuf, source: io::Error },
}

impl UnixSocket {
    /// Binds the socket of the job in `root`, for its owner alone. One that is left from a program that was killed is replaced, so the caller
    /// must hold the lock of the job.
    ///
    /// # Errors
    /// If something that is no socket is in its place, or the operating system refuses.
    pub fn bind(root: &Path) -> Result<Self, SocketError> {
        let path = socket_path(root);
        match listen_at(root, NAME) {
            Ok(Some((listener, bound))) => Ok(Self { listener, bound }),
            Ok(None) => Err(SocketError::InTheWay { path }),
            Err(source) => Err(SocketError::Refused { path, source }),
        }
    }
}

impl Listener for UnixSocket {
    fn serve(self: Box<Self>, served: Served, closing: Closing) -> io::Result<Serving> {
        let Self { listener, bound } = *self;
        let listener = listener.serve()?;
        let admission = bound.admission();
        Ok(Box::pin(async move {
            let mut clients = accept(&listener, &admission, &served, closing).await;
            // Nobody new gets in while the others hear the end.
            drop((listener, bound));
            while clients.join_next().await.is_some() {}
        }))
    }
}

/// Lets clients in until the server closes; those that are still there.
async fn accept(
    listener: &LocalListener,
    admission: &Admission,
    served: &Served,
    mut closing: Closing,
) -> JoinSet<()> {
    let seats = Arc::new(Semaphore::new(MOST_CLIENTS));
    let mut clients = JoinSet::new();
    loop {
        tokio::select! {
            () = closing.wait() => return clients,
            Some(_) = clients.join_next(), if !clients.is_empty() => {}
            stream = listener.accept() => match stream {
                Ok((mut stream, _)) => match Arc::clone(&seats).try_acquire_owned() {
                    Ok(seat) => {
                        let connection = Connection::new(served.clone(), closing.clone());
                        let admission = admission.clone();
                        clients.spawn(async move {
                            if admission.lets_in(&mut stream).await {
                                connection.serve(stream).await;
                            }
                            drop(seat);
                        });
                    }
                    Err(_) => turn_away(&stream),
                },
                Err(_) => sleep(RESPITE).await,
            },
        }
    }
}

fn turn_away(stream: &LocalPeer) {
    let error = format!("there are {MOST_CLIENTS} viewers already; leave one of them");
    // The socket is empty and takes the line at once; if not, the client sees it closed all the same.
    let _ = stream.try_write(FromServer::Error(error).line().as_bytes());
}

/// The least time between two commands of a client; whoever sends faster waits, so that nothing piles up.
const PACE: Duration = Duration::from_millis(20);

/// Most answers that a client may leave unread before it is not listened to any more.
const ANSWERS: usize = 4;

/// A client that was let in.
pub(super) struct Connection {
    served: Served,
    closing: Closing,
}

impl Connection {
    pub(super) fn new(served: Served, closing: Closing) -> Self {
        Self { served, closing }
    }

    /// Serves the client until it leaves, breaks a rule, or the server closes.
    pub(super) async fn serve(self, stream: LocalPeer) {
        let (reading, writing) = split(stream);
        let (answers, to_tell) = channel(ANSWERS);
        let listener = Listening {
            reader: BufReader::with_capacity(LONGEST_LINE, reading),
            commands: self.served.commands.clone(),
            pace: pace(),
            answers,
        };
        tokio::select! {
            () = listener.listen() => {}
            // A client that is gone cannot be told anything.
            _ = self.tell(Lines::new(writing), to_tell) => {}
        }
    }

    async fn tell(mut self, mut lines: Lines, mut answers: Receiver<FromServer>) -> io::Result<()> {
        let hello = FromServer::Hello(Hello::of(&self.served.sitting));
        lines.say(&hello).await?;
        let (state, mut viewer) = self.served.hub.join();
        lines.say(&FromServer::State(Box::new(state))).await?;
        let mut over = false;
        loop {
            tokio::select! {
                biased;
                Some(answer) = answers.recv() => {
                    lines.say(&answer).await?;
                    if matches!(answer, FromServer::Error(_)) {
                        return Ok(());
                    }
                }
                next = viewer.next(), if !over => match next {
                    Next::Item(told) => lines.write(&told.json).await?,
                    Next::Missed(missed, state) => {
                        lines.say(&FromServer::Missed(missed)).await?;
                        lines.say(&FromServer::State(state)).await?;
                    }
                    Next::Over => over = true,
                },
                // Looked at last: what the hub has to tell was told.
                () = self.closing.wait() => return lines.close(over).await,
            }
        }
    }
}

/// The beat at which commands are taken.
pub(super) fn pace() -> Interval {
    let mut pace = interval(PACE);
    pace.set_missed_tick_behavior(MissedTickBehavior::Delay);
    pace
}

/// The half that writes.
struct Lines {
    writing: WriteHalf<LocalPeer>,
    line: Vec<u8>,
}

impl Lines {
    fn new(writing: WriteHalf<LocalPeer>) -> Self {
        Self {
            writing,
            line: Vec::new(),
        }
    }

    async fn say(&mut self, said: &FromServer) -> io::Result<()> {
        self.writing.write_all(said.line().as_bytes()).await
    }

    /// Writes a JSON text as a line, in one go.
    async fn write(&mut self, json: &str) -> io::Result<()> {
        self.line.clear();
        self.line.extend_from_slice(json.as_bytes());
        self.line.push(b'\n');
        self.writing.write_all(&self.line).await
    }

    /// The end of a sitting was told by its last item. Where there was none, it did not come to an end.
    async fn close(mut self, over: bool) -> io::Result<()> {
        if !over {
            let error = "the sitting broke off; its program printed why".to_owned();
            self.say(&FromServer::Error(error)).await?;
        }
        Ok(())
    }
}

/// The half that reads.
struct Listening {
    reader: BufReader<ReadHalf<LocalPeer>>,
    commands: Commands,
    pace: Interval,
    answers: Sender<FromServer>,
}

impl Listening {
    /// Listens until the client leaves.
    async fn listen(mut self) {
        let mut line = Vec::new();
        while self.read(&mut line).await {
            if line.len() > LONGEST_LINE {
                let error =
                    format!("found a line of more than {LONGEST_LINE} bytes, expected a command");
                self.answer(FromServer::Error(error)).await;
                // The connection ends when that is told.
                return pending().await;
            }
            if line.trim_ascii().is_empty() {
                continue;
            }
            self.pace.tick().await;
            if let Err(why) = follow(&line, &self.commands) {
                self.answer(FromServer::Refused(why)).await;
            }
        }
    }

    /// Reads a line, or the beginning of one that is too long; `false` if the client has left.
    async fn read(&mut self, line: &mut Vec<u8>) -> bool {
        line.clear();
        let limit = LONGEST_LINE as u64 + 1;
        let read = (&mut self.reader).take(limit).read_until(b'\n', line).await;
        read.is_ok() && (line.ends_with(b"\n") || line.len() > LONGEST_LINE)
    }

    async fn answer(&self, answer: FromServer) {
        // Whoever tells has only gone if the client has.
        let _ = self.answers.send(answer).await;
    }
}

/// Does what a line says, or tells why not.
fn follow(line: &[u8], commands: &Commands) -> Result<(), String> {
    let found = || String::from_utf8_lossy(line.trim_ascii()).into_owned();
    let FromClient::Command(text) = serde_json::from_slice(line)
        .map_err(|_| format!(r#"found `{}`, expected {{"command":"..."}}"#, found()))?;
    commands.say(&text).map_err(|refusal| refusal.to_string())
}
