//! Links through real pseudo-terminals and real sockets.
#![expect(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use std::io::{Read, Write};
use std::net::{TcpListener, TcpStream};
use std::sync::mpsc::{Receiver, channel};
use std::time::{Duration, Instant};

use probewright::face::bench::link::{
    self, Address, Link, LinkEvent, LinkMessage, Loss, OpenError, SendError,
};
use probewright::face::bench::simulator::{Running, Serve, SimulatedMeter};
use probewright::face::engine::meter::{DataBits, Ending, Flow, LineSettings, Parity, StopBits};

use crate::bench::{self, PATIENCE};

/// With the lines that a pseudo-terminal does not have: a port without them is opened all the same.
const SETTINGS: LineSettings = LineSettings {
    baud: 9600,
    data_bits: DataBits::Eight,
    parity: Parity::None,
    stop_bits: StopBits::One,
    flow: Flow::None,
    ending: Ending::Lf,
    longest_reply: 256,
    dtr: Some(true),
    rts: Some(false),
};

/// A link whose messages can be waited for.
pub(crate) struct Driver {
    pub(crate) link: Link,
    messages: Receiver<LinkMessage>,
    unread: Vec<u8>,
}

impl Driver {
    pub(crate) fn open(address: &str) -> Result<Self, OpenError> {
        let (sender, messages) = channel();
        let address: Address = address.parse().unwrap();
        let link = link::open(&address, SETTINGS, "bench", move |message| {
            let _ = sender.send(message);
        })?;
        Ok(Self {
            link,
            messages,
            unread: Vec::new(),
        })
    }

    /// An open link that has said so.
    pub(crate) fn up(address: &str) -> Self {
        let driver = Self::open(address).unwrap();
        driver.expect_up();
        driver
    }

    pub(crate) fn next(&self) -> LinkMessage {
        self.messages
            .recv_timeout(PATIENCE)
            .expect("the link says something in time")
    }

    pub(crate) fn expect_up(&self) {
        let message = self.next();
        assert!(matches!(message.event, LinkEvent::Up), "{message:?}");
    }

    /// The next thing that is not bytes.
    pub(crate) fn next_change(&self) -> LinkEvent {
        loop {
            match self.next().event {
                LinkEvent::Bytes(_) => {}
                change => return change,
            }
        }
    }

    /// Bytes up to and with the next line feed.
    pub(crate) fn line_bytes(&mut self) -> Vec<u8> {
        loop {
            if let Some(end) = self.unread.iter().position(|&byte| byte == b'\n') {
                return self.unread.drain(..=end).collect();
            }
            match self.next().event {
                LinkEvent::Bytes(chunk) => self.unread.extend_from_slice(&chunk),
                other => panic!("expected bytes, got {other:?}"),
            }
        }
    }

    /// The next line, without its ending.
    pub(crate) fn line(&mut self) -> String {
        String::from_utf8(self.line_bytes())
            .unwrap()
            .trim_end()
            .to_owned()
    }

    pub(crate) fn ask(&mut self, question: &str) -> String {
        self.link.send(format!("{question}\n").as_bytes()).unwrap();
        self.line()
    }

    /// Whether nothing waits that has arrived so far.
    fn is_quiet(&self) -> bool {
        self.messages.try_recv().is_err()
    }
}

fn meter() -> (tempfile::TempDir, Running) {
    let (directory, serve) = bench::terminal();
    (directory, bench::meter(serve).1)
}

#[test]
fn bytes_go_both_ways_through_a_terminal() {
    let (_directory, meter) = meter();
    let mut driver = Driver::up(meter.address());
    let before = Instant::now();
    driver.link.send(b"*OPC?\n").unwrap();
    let message = driver.next();
    assert!(before <= message.at && message.at <= Instant::now());
    let LinkEvent::Bytes(chunk) = message.event else {
        panic!("{message:?}")
    };
    assert!(b"1\n".starts_with(&chunk));
    drop(chunk);
    assert_eq!(driver.ask(";*OPC?").trim_start_matches("1\n"), "1");
}

#[test]
fn a_pulled_cable_is_noticed_retried_and_up_again_at_the_same_path() {
    let (_directory, meter) = meter();
    let path = meter.path().unwrap().to_owned();
    let mut driver = Driver::up(meter.address());
    let cut = Instant::now();
    meter.cut_cable().unwrap();
    assert!(!path.exists());
    let lost = driver.next();
    assert!(
        matches!(
            lost.event,
            LinkEvent::Lost {
                reason: Loss::PortGone
            }
        ),
        "{lost:?}"
    );
    assert!(
        lost.at - cut < Duration::from_millis(500),
        "noticed at once, not after {:?}",
        lost.at - cut
    );
    assert_eq!(driver.link.send(b"READ?\n"), Err(SendError::Down));
    let LinkEvent::StillDown {
        reason,
        next_try_in,
    } = driver.next().event
    else {
        panic!("expected to be still down")
    };
    assert_eq!(reason, OpenError::NoSuchPort { path: path.clone() });
    assert_eq!(next_try_in, Duration::from_millis(500));
    meter.plug_in().unwrap();
    driver.expect_up();
    assert_eq!(
        driver.ask("*OPC?"),
        "1",
        "nothing that was sent while down is on the line"
    );
}

#[test]
fn the_same_reason_is_told_once() {
    let (_directory, meter) = meter();
    let driver = Driver::up(meter.address());
    meter.cut_cable().unwrap();
    assert!(matches!(driver.next().event, LinkEvent::Lost { .. }));
    assert!(matches!(driver.next().event, LinkEvent::StillDown { .. }));
    // The next tries are 0.5 s and 1 s after that one and fail alike.
    let silence = driver_silence(&driver, Duration::from_millis(1700));
    assert!(silence.is_none(), "{silence:?}");
    meter.plug_in().unwrap();
    driver.expect_up();
}

/// The first message within `wait`; here the wait itself is what is tested.
fn driver_silence(driver: &Driver, wait: Duration) -> Option<LinkMessage> {
    driver.messages.recv_timeout(wait).ok()
}

#[test]
fn a_port_in_use_says_that_another_program_has_it() {
    let (_directory, meter) = meter();
    let first = Driver::up(meter.address());
    let error = Driver::open(meter.address())
        .err()
        .expect("the second one must fail");
    assert_eq!(
        error,
        OpenError::Busy {
            path: meter.path().unwrap().to_owned()
        }
    );
    assert!(
        error.to_string().contains("in use by another program"),
        "{error}"
    );
    drop(first);
    Driver::up(meter.address());
}

#[test]
fn a_port_taken_while_down_is_told_as_busy_and_taken_back_when_free() {
    let (_directory, meter) = meter();
    let driver = Driver::up(meter.address());
    meter.cut_cable().unwrap();
    assert!(matches!(driver.next().event, LinkEvent::Lost { .. }));
    assert!(matches!(
        driver.next().event,
        LinkEvent::StillDown {
            reason: OpenError::NoSuchPort { .. },
            ..
        }
    ));
    meter.plug_in().unwrap();
    let thief = Driver::up(meter.address());
    let LinkEvent::StillDown { reason, .. } = driver.next().event else {
        panic!("expected to be still down")
    };
    assert!(matches!(reason, OpenError::Busy { .. }), "{reason}");
    drop(thief);
    driver.expect_up();
}

#[test]
fn a_missing_port_says_so_at_once() {
    let error = Driver::open("/dev/no-such-meter")
        .err()
        .expect("it must fail");
    assert_eq!(
        error,
        OpenError::NoSuchPort {
            path: "/dev/no-such-meter".into()
        }
    );
    assert!(
        error
            .to_string()
            .starts_with("there is no port `/dev/no-such-meter`"),
        "{error}"
    );
}

#[test]
fn a_plain_file_is_not_a_port() {
    let file = tempfile::NamedTempFile::new().unwrap();
    let error = Driver::open(file.path().to_str().unwrap())
        .err()
        .expect("it must fail");
    assert_eq!(
        error,
        OpenError::NotAPort {
            path: file.path().to_owned()
        }
    );
}

#[test]
fn dropping_a_link_ends_it_promptly_up_or_down() {
    let (_directory, meter) = meter();
    let up = Driver::up(meter.address());
    let start = Instant::now();
    drop(up);
    assert!(
        start.elapsed() < Duration::from_millis(500),
        "up: {:?}",
        start.elapsed()
    );
    let down = Driver::up(meter.address());
    meter.cut_cable().unwrap();
    assert!(matches!(down.next().event, LinkEvent::Lost { .. }));
    let start = Instant::now();
    drop(down);
    assert!(
        start.elapsed() < Duration::from_millis(500),
        "down: {:?}",
        start.elapsed()
    );
}

#[test]
fn what_was_queued_before_the_drop_is_still_sent() {
    let listener = TcpListener::bind("127.0.0.1:0").unwrap();
    let driver = Driver::up(&format!("tcp:{}", listener.local_addr().unwrap()));
    let (mut peer, _) = listener.accept().unwrap();
    driver.link.send(b"SYST:LOC\n").unwrap();
    drop(driver);
    let mut heard = String::new();
    peer.read_to_string(&mut heard).unwrap();
    assert_eq!(heard, "SYST:LOC\n");
}

#[test]
fn bytes_go_both_ways_through_tcp_and_a_closed_connection_comes_back() {
    let listener = TcpListener::bind("127.0.0.1:0").unwrap();
    let mut driver = Driver::up(&format!("tcp:{}", listener.local_addr().unwrap()));
    let peer = accept(&listener);
    both_ways(&mut driver, peer);
    let LinkEvent::Lost { reason } = driver.next_change() else {
        panic!("expected a loss")
    };
    assert_eq!(reason, Loss::Closed);
    let peer = accept(&listener);
    driver.expect_up();
    both_ways(&mut driver, peer);
}

fn accept(listener: &TcpListener) -> TcpStream {
    let (peer, _) = listener.accept().unwrap();
    peer.set_read_timeout(Some(PATIENCE)).unwrap();
    peer
}

/// Says something each way, then closes.
fn both_ways(driver: &mut Driver, mut peer: TcpStream) {
    driver.link.send(b"ping\n").unwrap();
    let mut heard = [0; 5];
    peer.read_exact(&mut heard).unwrap();
    assert_eq!(&heard, b"ping\n");
    peer.write_all(b"pong\r\n").unwrap();
    assert_eq!(driver.line(), "pong");
}

#[test]
fn a_closed_tcp_port_is_an_error_at_once() {
    let free = TcpListener::bind("127.0.0.1:0")
        .unwrap()
        .local_addr()
        .unwrap();
    let error = Driver::open(&format!("tcp:{free}"))
        .err()
        .expect("it must fail");
    assert!(
        matches!(error, OpenError::NoConnection { port, .. } if port == free.port()),
        "{error}"
    );
}

#[test]
fn a_meter_that_takes_nothing_fills_the_queue_and_is_given_up() {
    let listener = TcpListener::bind("127.0.0.1:0").unwrap();
    let driver = Driver::up(&format!("tcp:{}", listener.local_addr().unwrap()));
    let _peer = accept(&listener);
    // Nobody reads at the other end: the buffers of both kernels fill, then the queue, until the link gives the line up.
    let start = Instant::now();
    let mut was_full = false;
    loop {
        match driver.link.send(&[b'x'; 1024]) {
            Ok(()) => {}
            Err(SendError::Full { .. }) => {
                was_full = true;
                std::thread::yield_now();
            }
            Err(SendError::Down) => break,
        }
        assert!(start.elapsed() < PATIENCE, "it is never given up");
    }
    assert!(was_full);
    let change = driver.next_change();
    assert!(
        matches!(
            change,
            LinkEvent::Lost {
                reason: Loss::Stalled { .. }
            }
        ),
        "{change:?}"
    );
}

#[test]
fn a_megabyte_arrives_complete_and_in_order() {
    let listener = TcpListener::bind("127.0.0.1:0").unwrap();
    let driver = Driver::up(&format!("tcp:{}", listener.local_addr().unwrap()));
    let mut peer = accept(&listener);
    let sent: Vec<u8> = (0..1_000_000_u32).map(|n| (n % 251) as u8).collect();
    let mut heard = Vec::new();
    std::thread::scope(|scope| {
        scope.spawn(|| peer.write_all(&sent).unwrap());
        while heard.len() < sent.len() {
            match driver.next().event {
                LinkEvent::Bytes(chunk) => heard.extend_from_slice(&chunk),
                other => panic!("expected bytes, got {other:?}"),
            }
        }
    });
    assert!(heard == sent, "the bytes differ");
}

#[test]
fn a_port_can_be_opened_again_and_again() {
    let (_directory, meter) = meter();
    for _ in 0..20 {
        let mut driver = Driver::up(meter.address());
        assert_eq!(driver.ask("*OPC?"), "1");
        assert!(driver.is_quiet());
    }
}

#[test]
fn a_meter_served_over_tcp_survives_its_cable() {
    let (_probes, meter) = bench::meter(Serve::Tcp);
    let mut driver = Driver::up(meter.address());
    assert_eq!(driver.ask("*OPC?"), "1");
    meter.cut_cable().unwrap();
    assert!(matches!(
        driver.next_change(),
        LinkEvent::Lost {
            reason: Loss::Closed
        }
    ));
    assert!(matches!(
        driver.next_change(),
        LinkEvent::StillDown {
            reason: OpenError::NoConnection { .. },
            ..
        }
    ));
    meter.plug_in().unwrap();
    driver.expect_up();
    assert_eq!(driver.ask("*OPC?"), "1");
}

#[test]
fn a_simulated_meter_removes_its_path_when_switched_off() {
    let (directory, serve) = bench::terminal();
    let (_probes, meter) = bench::meter(serve);
    assert!(meter.path().unwrap().exists());
    drop(meter);
    assert_eq!(std::fs::read_dir(directory.path()).unwrap().count(), 0);
}

#[test]
fn a_meter_without_its_directory_cannot_be_switched_on() {
    let serve = Serve::Terminal {
        directory: "/no/such/directory".into(),
        name: "meter".to_owned(),
    };
    let (clock, options) = bench::parts(serve);
    assert!(
        SimulatedMeter::start(
            options,
            probewright::face::bench::simulator::Probes::new(clock, 1)
        )
        .is_err()
    );
}
