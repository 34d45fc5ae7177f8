//! Queues of an instrument: answers to be sent ([`Outbox`]) and errors to be asked for ([`ErrorQueue`]); and the [`Wire`].

use std::collections::VecDeque;
use std::io::{self, Read, Write};
use std::net::{Ipv4Addr, SocketAddr, TcpListener, TcpStream};
use std::time::Duration;

use super::options::{Fault, Serve};
use crate::platform::{AsWaited, PseudoTerminal, Waited};

/// Bytes with the simulated time at which they leave, in order.
#[derive(Debug, Default)]
pub(super) struct Outbox(VecDeque<(Duration, Vec<u8>)>);

impl Outbox {
    /// Queues `line` (with its ending) for the time `now`, as `fault` has it.
    pub(super) fn put(&mut self, line: &str, ending: &str, now: Duration, fault: Option<Fault>) {
        let whole = format!("{line}{ending}").into_bytes();
        match fault {
            None => self.at(now, whole),
            Some(Fault::DropAnswer) => {}
            Some(Fault::DelayAnswer(delay)) => self.at(now + delay, whole),
            Some(Fault::GarbageFirst(garbage)) => {
                self.at(now, garbage);
                self.at(now, whole);
            }
            Some(Fault::OverlongLine(digits)) => {
                self.at(now, format!("{}{ending}", "7".repeat(digits)).into_bytes());
            }
            Some(Fault::HalfLine(pause)) => {
                let (first, rest) = whole.split_at(line.len() / 2);
                self.at(now, first.to_vec());
                self.at(now + pause, rest.to_vec());
            }
        }
    }

    /// The next bytes that leave at the time `now`.
    pub(super) fn take(&mut self, now: Duration) -> Option<Vec<u8>> {
        if self.due()? > now {
            return None;
        }
        self.0.pop_front().map(|(_, bytes)| bytes)
    }

    /// When the next bytes leave.
    pub(super) fn due(&self) -> Option<Duration> {
        self.0.front().map(|&(due, _)| due)
    }

    /// Forgets all.
    pub(super) fn clear(&mut self) {
        self.0.clear();
    }

    /// Nothing overtakes what was queued before it.
    fn at(&mut self, due: Duration, bytes: Vec<u8>) {
        let due = self.0.back().map_or(due, |&(last, _)| last.max(due));
        self.0.push_back((due, bytes));
    }
}

/// An error of the SCPI-1999 list.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum ScpiError {
    SyntaxError,
    DataTypeError,
    ParameterNotAllowed,
    MissingParameter,
    UndefinedHeader,
    IllegalParameterValue,
    QueueOverflow,
    InputBufferOverrun,
}

impl ScpiError {
    /// Number and text of the standard's list, as the public C library `scpi-parser` quotes it.
    const fn entry(self) -> (i16, &'static str) {
        match self {
            Self::SyntaxError => (-102, "Syntax error"),
            Self::DataTypeError => (-104, "Data type error"),
            Self::ParameterNotAllowed => (-108, "Parameter not allowed"),
            Self::MissingParameter => (-109, "Missing parameter"),
            Self::UndefinedHeader => (-113, "Undefined header"),
            Self::IllegalParameterValue => (-224, "Illegal parameter value"),
            Self::QueueOverflow => (-350, "Queue overflow"),
            Self::InputBufferOverrun => (-363, "Input buffer overrun"),
        }
    }
}

/// Entries that are kept; the last becomes "queue overflow" when more come.
const LIMIT: usize = 16;

/// Errors not yet asked for.
#[derive(Debug, Default)]
pub(super) struct ErrorQueue(VecDeque<ScpiError>);

impl ErrorQueue {
    /// Adds `error` at the end.
    pub(super) fn push(&mut self, error: ScpiError) {
        if self.0.len() < LIMIT {
            self.0.push_back(error);
        } else if let Some(last) = self.0.back_mut() {
            *last = ScpiError::QueueOverflow;
        }
    }

    /// The answer to `SYSTem:ERRor?`: takes the oldest entry.
    pub(super) fn answer(&mut self) -> String {
        let (number, text) = self.0.pop_front().map_or((0, "No error"), ScpiError::entry);
        format!("{number},\"{text}\"")
    }

    /// Forgets all.
    pub(super) fn clear(&mut self) {
        self.0.clear();
    }
}

/// The meter's end of the line. It never waits.
#[derive(Debug)]
pub(super) enum Wire {
    Terminal(PseudoTerminal),
    Tcp(Tcp),
}

/// A listening socket and at most one client.
#[derive(Debug)]
pub(super) struct Tcp {
    listener: TcpListener,
    client: Option<TcpStream>,
}

impl Wire {
    /// Opens the meter's end; `bound` is where a TCP meter was before its cable was cut.
    pub(super) fn open(serve: &Serve, bound: Option<SocketAddr>) -> io::Result<Self> {
        match serve {
            Serve::Terminal { directory, name } => {
                PseudoTerminal::open(&directory.join(name)).map(Self::Terminal)
            }
            Serve::Tcp => {
                Tcp::open(bound.unwrap_or((Ipv4Addr::LOCALHOST, 0).into())).map(Self::Tcp)
            }
        }
    }

    /// The address to give to a program.
    pub(super) fn address(&self) -> io::Result<String> {
        match self {
            Self::Terminal(terminal) => Ok(terminal.path().display().to_string()),
            Self::Tcp(tcp) => Ok(format!("tcp:{}", tcp.listener.local_addr()?)),
        }
    }

    /// Where a TCP meter listens.
    pub(super) fn bound(&self) -> Option<SocketAddr> {
        match self {
            Self::Terminal(_) => None,
            Self::Tcp(tcp) => tcp.listener.local_addr().ok(),
        }
    }

    /// Event to wait for until something can be read.
    pub(super) fn readable(&self) -> Waited<'_> {
        match self {
            Self::Terminal(terminal) => terminal.readable(),
            Self::Tcp(tcp) => tcp
                .client
                .as_ref()
                .map_or(tcp.listener.as_fd(), AsWaited::as_fd),
        }
    }

    /// Reads what is there into `buffer`; zero if nothing is.
    pub(super) fn read(&mut self, buffer: &mut [u8]) -> usize {
        match self {
            Self::Terminal(terminal) => terminal.read(buffer),
            Self::Tcp(tcp) => tcp.read(buffer),
        }
    }

    /// Writes `bytes`; what the line does not take at once is lost, as in a meter without flow control.
    pub(super) fn write(&mut self, bytes: &[u8]) {
        match self {
            Self::Terminal(terminal) => terminal.write(bytes),
            Self::Tcp(tcp) => tcp.write(bytes),
        }
    }
}

impl Tcp {
    fn open(address: SocketAddr) -> io::Result<Self> {
        let listener = TcpListener::bind(address)?;
        listener.set_nonblocking(true)?;
        Ok(Self {
            listener,
            client: None,
        })
    }

    fn read(&mut self, buffer: &mut [u8]) -> usize {
        if self.client.is_none() {
            self.client = self.accept();
        }
        match self.client.as_mut().map(|client| client.read(buffer)) {
            Some(Ok(count)) if count > 0 => return count,
            Some(Err(error)) if error.kind() == io::ErrorKind::WouldBlock => {}
            // The client left; the next one may come.
            _ => self.client = None,
        }
        0
    }

    fn accept(&self) -> Option<TcpStream> {
        let (client, _) = self.listener.accept().ok()?;
        client.set_nonblocking(true).ok()?;
        client.set_nodelay(true).ok()?;
        Some(client)
    }

    fn write(&mut self, bytes: &[u8]) {
        if let Some(client) = &mut self.client {
            // A client that left is noticed by the next read.
            let _ = client.write(bytes);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    const NOW: Duration = Duration::from_secs(1);
    const LATER: Duration = Duration::from_secs(3);

    fn sent(outbox: &mut Outbox, now: Duration) -> String {
        std::iter::from_fn(|| outbox.take(now))
            .map(|bytes| String::from_utf8(bytes).unwrap())
            .collect()
    }

    #[test]
    fn half_a_line_waits_for_its_pause() {
        let mut outbox = Outbox::default();
        outbox.put(
            "abcd",
            "\n",
            NOW,
            Some(Fault::HalfLine(Duration::from_secs(2))),
        );
        assert_eq!(sent(&mut outbox, NOW), "ab");
        assert_eq!(outbox.due(), Some(LATER));
        assert_eq!(sent(&mut outbox, LATER), "cd\n");
    }

    #[test]
    fn a_delayed_answer_holds_back_those_behind_it() {
        let mut outbox = Outbox::default();
        outbox.put(
            "a",
            "\n",
            NOW,
            Some(Fault::DelayAnswer(Duration::from_secs(2))),
        );
        outbox.put("b", "\n", NOW, None);
        assert_eq!(sent(&mut outbox, NOW), "");
        assert_eq!(sent(&mut outbox, LATER), "a\nb\n");
    }

    #[test]
    fn dropped_garbled_and_overlong_answers_are_as_ordered() {
        let mut outbox = Outbox::default();
        outbox.put("a", "\n", NOW, Some(Fault::DropAnswer));
        outbox.put(
            "b",
            "\n",
            NOW,
            Some(Fault::GarbageFirst(b"\0\x7f".to_vec())),
        );
        outbox.put("c", "\n", NOW, Some(Fault::OverlongLine(5)));
        assert_eq!(sent(&mut outbox, NOW), "\0\x7fb\n77777\n");
    }

    #[test]
    fn errors_come_out_in_the_order_they_came_in() {
        let mut queue = ErrorQueue::default();
        queue.push(ScpiError::UndefinedHeader);
        queue.push(ScpiError::SyntaxError);
        assert_eq!(queue.answer(), r#"-113,"Undefined header""#);
        assert_eq!(queue.answer(), r#"-102,"Syntax error""#);
        assert_eq!(queue.answer(), r#"0,"No error""#);
    }

    #[test]
    fn the_last_entry_tells_of_an_overflow() {
        let mut queue = ErrorQueue::default();
        (0..LIMIT + 3).for_each(|_| queue.push(ScpiError::UndefinedHeader));
        let answers: Vec<_> = (0..LIMIT).map(|_| queue.answer()).collect();
        assert_eq!(answers[LIMIT - 1], r#"-350,"Queue overflow""#);
        assert_eq!(answers[LIMIT - 2], r#"-113,"Undefined header""#);
        assert_eq!(queue.answer(), r#"0,"No error""#);
    }
}
