//! The page over plain HTTP: what is refused and in which words, the stream of events, and limits.

use std::fmt::Write as _;
use std::io::{BufRead as _, BufReader, Read as _, Write as _};
use std::net::{SocketAddr, TcpStream};
use std::sync::mpsc::{Receiver, channel};
use std::time::{Duration, Instant};

use probewright::face::engine::quantity::Stamp;
use probewright::face::engine::sitting::{Command, Event, What};
use probewright::face::views::serve::{Commands, Hub, Page, Patience, Served, Server};
use probewright::face::views::state::{Item, Stage, State};

use crate::evening::{Evening, kind};
use crate::program::PATIENCE;

/// A sitting that is shown, without a meter.
pub(crate) struct Show {
    pub(crate) hub: Hub,
    pub(crate) address: SocketAddr,
    pub(crate) url: String,
    pub(crate) heard: Receiver<Command>,
    _server: Server,
}

impl Show {
    pub(crate) fn at(address: &str, sitting: &str, patience: Patience) -> Self {
        Self::of(State::default(), address, sitting, patience)
    }

    /// Of a sitting in that state.
    pub(crate) fn of(state: State, address: &str, sitting: &str, patience: Patience) -> Self {
        let page = Page::bind(address.parse().unwrap()).unwrap();
        let url = page.url();
        let (_, rest) = url.split_once("http://").unwrap();
        let (host, _) = rest.split_once('/').unwrap();
        let port = host.rsplit_once(':').unwrap().1;
        let address = format!("127.0.0.1:{port}").parse().unwrap();
        let (sender, heard) = channel();
        let served = Served {
            hub: Hub::new(state),
            commands: Commands::new(move |command| sender.send(command).is_ok()),
            sitting: sitting.into(),
        };
        let page = Box::new(page.with_patience(patience));
        Self {
            hub: served.hub.clone(),
            address,
            url,
            heard,
            _server: Server::start(&served, vec![page]).unwrap(),
        }
    }

    /// On loopback.
    fn new() -> Self {
        Self::at("127.0.0.1:0", "evening", Patience::default())
    }

    fn publish(&self, ids: std::ops::RangeInclusive<u64>) {
        ids.for_each(|id| self.hub.publish(item(id)));
    }

    /// The answer to a request with those lines of head, a right `Host` and that body.
    fn ask(&self, method: &str, path: &str, head: &[&str], body: &str) -> Reply {
        let host = format!("Host: {}", self.address);
        let lines: Vec<&str> = [host.as_str()].iter().chain(head).copied().collect();
        self.ask_bare(method, path, &lines, body)
    }

    fn ask_bare(&self, method: &str, path: &str, head: &[&str], body: &str) -> Reply {
        let mut text = format!("{method} {path} HTTP/1.1\r\nConnection: close\r\n");
        for line in head {
            text.push_str(line);
            text.push_str("\r\n");
        }
        if method == "POST" {
            write!(text, "Content-Length: {}\r\n", body.len()).unwrap();
        }
        text.push_str("\r\n");
        text.push_str(body);
        self.exchange(&text)
    }

    fn exchange(&self, text: &str) -> Reply {
        let mut stream = self.connect();
        // A server that refuses early may have closed before it got everything.
        let _ = stream.write_all(text.as_bytes());
        Reply::read(&mut stream)
    }

    fn connect(&self) -> TcpStream {
        let stream = TcpStream::connect(self.address).unwrap();
        stream.set_read_timeout(Some(PATIENCE)).unwrap();
        stream
    }

    fn origin(&self) -> String {
        format!("Origin: http://{}", self.address)
    }

    fn command(&self, text: &str) -> Reply {
        self.ask("POST", "/command", &[&self.origin()], text)
    }

    /// A stream of events.
    fn events(&self) -> Events {
        let mut stream = self.connect();
        // A client of HTTP/1.0 gets the events as they are, without chunks.
        let head = format!("GET /events HTTP/1.0\r\nHost: {}\r\n\r\n", self.address);
        stream.write_all(head.as_bytes()).unwrap();
        let mut lines = BufReader::new(stream);
        let mut line = String::new();
        lines.read_line(&mut line).unwrap();
        assert!(line.contains(" 200 "), "{line}");
        while line != "\r\n" {
            line.clear();
            lines.read_line(&mut line).unwrap();
        }
        Events { lines }
    }
}

/// What lies at `path` of the page at that address.
pub(crate) fn fetch(url: &str, path: &str) -> String {
    let (_, rest) = url.split_once("http://").unwrap();
    let (host, _) = rest.split_once('/').unwrap();
    let mut stream = TcpStream::connect(host).unwrap();
    stream.set_read_timeout(Some(PATIENCE)).unwrap();
    let head = format!("GET {path} HTTP/1.1\r\nConnection: close\r\nHost: {host}\r\n\r\n");
    stream.write_all(head.as_bytes()).unwrap();
    let reply = Reply::read(&mut stream);
    assert_eq!(reply.status, 200, "{reply:?}");
    reply.body
}

/// The answer.
#[derive(Debug)]
struct Reply {
    status: u16,
    head: String,
    body: String,
}

impl Reply {
    fn read(stream: &mut TcpStream) -> Self {
        let mut bytes = Vec::new();
        // A connection that is reset behind the answer has still given it.
        let _ = stream.read_to_end(&mut bytes);
        let text = String::from_utf8(bytes).unwrap();
        let (head, body) = text.split_once("\r\n\r\n").unwrap_or((text.as_str(), ""));
        let status = head.split(' ').nth(1).and_then(|word| word.parse().ok());
        Self {
            status: status.unwrap_or(0),
            head: head.to_ascii_lowercase(),
            body: body.to_owned(),
        }
    }

    fn is(&self, status: u16, words: &str) {
        assert_eq!(self.status, status, "{self:?}");
        assert!(self.body.contains(words), "no `{words}` in {self:?}");
    }

    fn has(&self, line: &str) {
        let lines = self.head.lines().any(|found| found == line);
        assert!(lines, "no `{line}` in {}", self.head);
    }
}

/// Events as they come.
struct Events {
    lines: BufReader<TcpStream>,
}

#[derive(Debug, Default, PartialEq)]
struct Heard {
    kind: String,
    data: String,
}

impl Events {
    /// The next event but beats.
    fn next(&mut self) -> Heard {
        loop {
            let heard = self.any();
            if heard.kind != "beat" && heard != Heard::default() {
                return heard;
            }
        }
    }

    fn any(&mut self) -> Heard {
        let mut heard = Heard::default();
        loop {
            let mut line = String::new();
            assert!(
                self.lines.read_line(&mut line).unwrap() > 0,
                "the stream ended"
            );
            match line.trim_end().split_once(": ") {
                None => return heard,
                Some(("event", kind)) => kind.clone_into(&mut heard.kind),
                Some(("data", data)) => data.clone_into(&mut heard.data),
                Some(_) => {}
            }
        }
    }

    /// The next state.
    fn state(&mut self) -> State {
        let heard = self.next();
        assert_eq!(heard.kind, "state", "{heard:?}");
        serde_json::from_str(&heard.data).unwrap()
    }

    /// The state that holds that item, and how many states it took.
    fn state_at(&mut self, id: u64) -> (State, u64) {
        let mut last = None;
        for count in 1.. {
            let state = self.state();
            assert!(
                last.is_none_or(|last| last < state.last_id),
                "{last:?} {}",
                state.last_id
            );
            last = Some(state.last_id);
            if state.last_id >= id {
                return (state, count);
            }
        }
        unreachable!()
    }
}

fn item(id: u64) -> Item {
    let at = Stamp::from_micros(1000 * id);
    let what = What::Lifted;
    Item::of(id, &Event { at, what })
}

#[test]
fn the_page_comes_with_headers_that_let_nothing_else_in() {
    let show = Show::new();
    for (path, kind) in [
        ("/", "text/html"),
        ("/page.css", "text/css"),
        ("/page.js", "text/javascript"),
        ("/icon.svg", "image/svg+xml"),
    ] {
        let reply = show.ask("GET", path, &[], "");
        reply.is(200, "");
        assert!(
            reply.head.contains(&format!("content-type: {kind}")),
            "{}",
            reply.head
        );
        assert!(!reply.body.is_empty());
        reply.has("x-content-type-options: nosniff");
        reply.has("referrer-policy: no-referrer");
        reply.has("cache-control: no-store");
        reply.has("cross-origin-resource-policy: same-origin");
        let policy = reply
            .head
            .lines()
            .find(|line| line.starts_with("content-security-policy: "));
        let policy = policy.unwrap();
        assert!(policy.contains("default-src 'none'") && policy.contains("frame-ancestors 'none'"));
        assert!(!policy.contains("unsafe"), "{policy}");
        let head = show.ask("HEAD", path, &[], "");
        assert_eq!((head.status, head.body.as_str()), (200, ""));
    }
}

#[test]
fn the_loops_are_a_drawing_of_what_was_read_last() {
    let mut evening = Evening::on(0, "evening");
    evening.show.ask("GET", "/loops.svg", &[], "").is(404, "");
    evening.tell(kind("loops"));
    let drawn = evening.show.ask("GET", "/loops.svg", &[], "");
    drawn.is(200, ">R22<");
    drawn.is(200, ">suspect: lift a lead<");
    drawn.has("content-type: image/svg+xml");
    // The state tells that there is a new one, and leaves the fetching to the page.
    let state: State =
        serde_json::from_str(&evening.show.ask("GET", "/state", &[], "").body).unwrap();
    assert_eq!(state.loops_id, evening.next - 1);
    assert_eq!(state.loops, None);
}

#[test]
fn the_state_is_what_the_hub_knows() {
    let show = Show::new();
    show.publish(1..=3);
    let reply = show.ask("GET", "/state", &[], "");
    reply.is(200, "");
    reply.has("content-type: application/json");
    let state: State = serde_json::from_str(&reply.body).unwrap();
    assert_eq!(state, show.hub.state());
    assert_eq!(state.last_id, 3);
}

#[test]
fn another_host_or_none_is_refused() {
    let show = Show::new();
    let port = show.address.port();
    let host = |host: &str| show.ask_bare("GET", "/state", &[&format!("Host: {host}")], "");
    host(&format!("localhost:{port}")).is(200, "last_id");
    host(&format!("LocalHost:{port}")).is(200, "last_id");
    host("bench.example").is(421, "found host `bench.example`, expected `127.0.0.1:");
    host(&format!("bench.example:{port}")).is(421, "open the page by its address");
    host(&format!("192.0.2.1:{port}")).is(421, "found host `192.0.2.1");
    host("127.0.0.1").is(421, "found host `127.0.0.1`");
    show.ask_bare("GET", "/state", &[], "")
        .is(400, "expected one header Host");
}

#[test]
fn another_origin_or_none_gives_no_command() {
    let show = Show::new();
    let from = |origin: &str| show.ask("POST", "/command", &[&format!("Origin: {origin}")], "skip");
    from("http://bench.example").is(403, "found origin `http://bench.example`");
    from("null").is(403, "found origin `null`");
    from(&format!("https://{}", show.address)).is(403, "only this page may ask");
    show.ask("POST", "/command", &[], "skip")
        .is(403, "no header Origin");
    let elsewhere = ["Origin: http://bench.example"];
    show.ask("GET", "/state", &elsewhere, "")
        .is(403, "found origin");
    assert!(show.heard.try_recv().is_err(), "nothing was heard");
    assert_eq!(show.command("skip").status, 204);
    assert_eq!(show.heard.try_recv(), Ok(Command::Skip));
}

#[test]
fn a_command_is_heard_or_refused_in_words() {
    let show = Show::new();
    for text in [
        "goto R12",
        "note cracked at one end",
        "override all the part lies on the bench",
        "soak 250",
    ] {
        let reply = show.command(text);
        assert_eq!((reply.status, reply.body.as_str()), (204, ""), "{text}");
        assert_eq!(show.heard.try_recv().unwrap().to_string(), text);
    }
    show.command("measure harder")
        .is(400, "unknown command `measure harder`, expected next");
    show.command("").is(400, "unknown command ``");
    show.command("note a\u{1b}[2Jb")
        .is(400, "control character");
    let longest = format!("note {}", "x".repeat(1024 - 5));
    assert_eq!(show.command(&longest).status, 204);
    show.command(&format!("{longest}x"))
        .is(413, "at most 1024 bytes");
    let origin = show.origin();
    let head = format!(
        "POST /command HTTP/1.1\r\nHost: {}\r\n{origin}\r\nConnection: close\r\n",
        show.address
    );
    let bytes = b"\xff\xfe";
    let mut stream = show.connect();
    stream
        .write_all(format!("{head}Content-Length: 2\r\n\r\n").as_bytes())
        .unwrap();
    stream.write_all(bytes).unwrap();
    Reply::read(&mut stream).is(400, "no text");
    // Without a length, in chunks that never end: no more is taken in than the limit.
    let chunk = format!("400\r\n{}\r\n", "x".repeat(1024));
    show.exchange(&format!(
        "{head}Transfer-Encoding: chunked\r\n\r\n{}",
        chunk.repeat(8)
    ))
    .is(413, "at most 1024 bytes");
    drop(show.heard.try_iter().collect::<Vec<_>>());
    let Show { heard, .. } = &show;
    assert!(heard.try_recv().is_err());
}

#[test]
fn a_sitting_that_is_over_takes_no_command() {
    let mut show = Show::new();
    show.heard = channel().1;
    show.command("skip").is(409, "the sitting is over");
}

#[test]
fn what_is_not_there_and_what_is_not_done_is_said() {
    let show = Show::new();
    for path in [
        "/nothing",
        "/page/index.html",
        "//",
        "/../Cargo.toml",
        "/key",
        "/State",
    ] {
        show.ask("GET", path, &[], "")
            .is(404, "there is nothing here");
    }
    for method in ["PUT", "DELETE", "OPTIONS", "TRACE", "PATCH", "POST"] {
        let reply = show.ask(method, "/state", &[&show.origin()], "");
        reply.is(405, "expected GET, HEAD");
        reply.has("allow: get, head");
    }
    let reply = show.ask("GET", "/command", &[], "");
    reply.is(405, "expected POST");
    reply.has("allow: post");
    assert_eq!(show.exchange("nonsense\r\n\r\n").status, 400);
}

#[test]
fn a_head_that_is_too_large_is_refused() {
    let show = Show::new();
    let host = format!("Host: {}", show.address);
    let long = format!("X-Long: {}", "x".repeat(16 * 1024));
    assert_eq!(show.ask_bare("GET", "/", &[&host, &long], "").status, 431);
    let many: Vec<String> = (0..100).map(|i| format!("X-{i}: y")).collect();
    let lines: Vec<&str> = [host.as_str()]
        .into_iter()
        .chain(many.iter().map(String::as_str))
        .collect();
    assert_eq!(show.ask_bare("GET", "/", &lines, "").status, 431);
    let target = format!("/{}", "x".repeat(16 * 1024));
    let status = show.ask_bare("GET", &target, &[&host], "").status;
    assert!([414, 431].contains(&status), "{status}");
}

#[test]
fn beyond_loopback_every_request_for_data_wants_the_key() {
    let show = Show::at("0.0.0.0:0", "evening", Patience::default());
    let (_, key) = show
        .url
        .split_once("/#key=")
        .expect("the address tells the key");
    assert_eq!(key.len(), 32);
    let origin = show.origin();
    // The page itself holds no data: it is what brings the key here.
    show.ask("GET", "/", &[], "").is(200, "<!doctype html>");
    let name = format!("probewright-{}", show.address.port());
    let wrong = format!("Cookie: {name}={}", "0".repeat(32));
    for (method, path) in [
        ("GET", "/state"),
        ("GET", "/loops.svg"),
        ("HEAD", "/events"),
        ("GET", "/events"),
        ("POST", "/command"),
    ] {
        let none = show.ask(method, path, &[&origin], "skip");
        let other = show.ask(method, path, &[&origin, &wrong], "skip");
        assert_eq!((none.status, other.status), (401, 401), "{path}");
        none.has("www-authenticate: key");
        if method != "HEAD" {
            none.is(401, "no key: open the page with the whole address printed");
            other.is(401, "this is not the key of this sitting");
        }
    }
    assert!(show.heard.try_recv().is_err());
    show.ask("POST", "/key", &[&origin], &"0".repeat(32))
        .is(401, "this is not the key");
    show.ask("POST", "/key", &[], key)
        .is(403, "no header Origin");
    show.ask("GET", "/key", &[], "").is(405, "expected POST");
    let admitted = show.ask("POST", "/key", &[&origin], key);
    admitted.is(204, "");
    admitted.has(&format!(
        "set-cookie: {name}={key}; path=/; httponly; samesite=strict"
    ));
    let cookie = format!("Cookie: {name}={key}");
    show.ask("GET", "/state", &[&cookie], "").is(200, "last_id");
    assert_eq!(
        show.ask("POST", "/command", &[&origin, &cookie], "skip")
            .status,
        204
    );
    assert_eq!(show.heard.try_recv(), Ok(Command::Skip));
    // The key does not make another host or origin right.
    let foreign = ["Host: bench.example", cookie.as_str()];
    show.ask_bare("GET", "/state", &foreign, "")
        .is(421, "found host");
    let from = ["Origin: http://bench.example", cookie.as_str()];
    show.ask("POST", "/command", &from, "skip")
        .is(403, "found origin");
}

/// A remark of the person, which a state holds.
fn noted(id: u64, text: &str) -> Item {
    let at = Stamp::from_micros(1000 * id);
    let what = What::Noted {
        title: None,
        text: text.to_owned(),
    };
    Item::of(id, &Event { at, what })
}

#[test]
fn the_stream_gives_the_state_and_after_a_break_the_state_of_then() {
    let show = Show::new();
    show.publish(1..=5);
    let mut events = show.events();
    assert_eq!(events.state(), show.hub.state());
    show.publish(6..=8);
    assert_eq!(events.state_at(8).0, show.hub.state());
    drop(events);
    show.publish(9..=12);
    let mut events = show.events();
    assert_eq!(events.state().last_id, 12);
    show.publish(13..=13);
    assert_eq!(events.state(), show.hub.state());
}

#[test]
fn a_page_gets_at_most_twenty_states_a_second_and_the_last_one_of_them() {
    let show = Show::new();
    let mut events = show.events();
    assert_eq!(events.state().last_id, 0);
    let began = Instant::now();
    let hub = show.hub.clone();
    let publishing = std::thread::spawn(move || {
        (1..=1000).for_each(|id| {
            hub.publish(noted(id, "a remark"));
            std::thread::sleep(Duration::from_micros(500));
        });
    });
    let (state, count) = events.state_at(1000);
    publishing.join().unwrap();
    assert_eq!(state, show.hub.state());
    let most = began.elapsed().as_millis() / 50 + 2;
    assert!(u128::from(count) <= most, "{count} states, {most} at most");
    assert!(count > 3, "{count}");
}

#[test]
fn a_viewer_that_loses_the_connection_again_and_again_never_goes_back() {
    const ITEMS: u64 = 1500;
    let show = Show::new();
    let hub = show.hub.clone();
    let mut last = 0;
    let mut breaks = 0;
    std::thread::scope(|scope| {
        scope.spawn(move || {
            (1..=ITEMS).for_each(|id| {
                hub.publish(item(id));
                std::thread::sleep(Duration::from_micros(200));
            });
        });
        while last < ITEMS {
            let mut events = show.events();
            for _ in 0..=(breaks % 3) {
                let state = events.state();
                assert!(last <= state.last_id, "{last} {}", state.last_id);
                last = state.last_id;
                if last == ITEMS {
                    break;
                }
            }
            breaks += 1;
        }
    });
    assert!(breaks > 3, "{breaks}");
}

#[test]
fn a_viewer_that_is_too_slow_gets_the_newest_state_and_none_of_those_it_missed() {
    let show = Show::new();
    let mut events = show.events();
    assert_eq!(events.state().last_id, 0);
    // More than the sockets hold, in many times the time between two states; the viewer reads nothing of it.
    let text = "x".repeat(512 * 1024);
    for id in 1..=60 {
        show.hub.publish(noted(id, &text));
        std::thread::sleep(Duration::from_millis(60));
    }
    let (state, count) = events.state_at(60);
    assert_eq!(state, show.hub.state());
    assert!(count < 50, "{count} states were kept for it");
    show.hub.publish(noted(61, "short"));
    assert_eq!(events.state().last_id, 61);
}

#[test]
fn a_stream_shows_that_it_is_alive_and_lasts_beyond_the_end_of_the_sitting() {
    let patience = Patience {
        beat: Duration::from_millis(20),
        ..Patience::default()
    };
    let show = Show::at("127.0.0.1:0", "evening", patience);
    let mut events = show.events();
    assert_eq!(events.state().last_id, 0);
    assert_eq!(events.any().kind, "beat");
    let mut end = item(1);
    end.event.what = What::Ended(Box::default());
    show.hub.publish(end);
    assert_eq!(events.state().stage, Stage::Ended);
    assert_eq!(events.any().kind, "beat");
    // The server closes: what is told is told, and the stream ends.
    show.publish(2..=2);
    drop(show);
    let mut rest = String::new();
    events.lines.read_to_string(&mut rest).unwrap();
    assert!(rest.contains(r#""last_id":2"#), "{rest}");
}

#[test]
fn a_hundred_idle_connections_leave_room_and_more_than_are_allowed_are_told_so() {
    let show = Show::new();
    let mut idle: Vec<TcpStream> = (0..100).map(|_| show.connect()).collect();
    show.ask("GET", "/state", &[], "").is(200, "last_id");
    let mut events = show.events();
    assert_eq!(events.state().last_id, 0);
    // Until there is no place left; how many there are is a limit, not a promise.
    let full = loop {
        assert!(idle.len() < 1000, "there is no limit");
        let mut stream = show.connect();
        stream
            .set_read_timeout(Some(Duration::from_millis(20)))
            .unwrap();
        let mut first = [0; 1];
        if stream.peek(&mut first).is_ok_and(|count| count > 0) {
            break Reply::read(&mut stream);
        }
        idle.push(stream);
    };
    full.is(503, "too many connections");
    show.publish(1..=1);
    assert_eq!(events.state().last_id, 1, "whoever is in stays in");
    drop(idle);
    let start = Instant::now();
    while show.ask("GET", "/state", &[], "").status != 200 {
        assert!(start.elapsed() < PATIENCE, "places do not come free");
    }
}

#[test]
fn too_many_pages_are_told_so_and_their_places_come_free_again() {
    let show = Show::new();
    let mut viewers = Vec::new();
    let full = loop {
        assert!(viewers.len() < 100, "there is no limit");
        let mut stream = show.connect();
        let head = format!("GET /events HTTP/1.0\r\nHost: {}\r\n\r\n", show.address);
        stream.write_all(head.as_bytes()).unwrap();
        let mut status = [0; 12];
        stream.read_exact(&mut status).unwrap();
        if status.ends_with(b"503") {
            break Reply::read(&mut stream);
        }
        viewers.push(stream);
    };
    assert!(
        full.body.contains("pages are looking on already"),
        "{full:?}"
    );
    assert!(full.head.contains("retry-after: 5"), "{full:?}");
    show.ask("GET", "/state", &[], "").is(200, "last_id");
    drop(viewers.pop());
    let start = Instant::now();
    loop {
        let reply = show.ask("HEAD", "/events", &[], "");
        assert_eq!(reply.status, 200);
        let mut stream = show.connect();
        let head = format!("GET /events HTTP/1.0\r\nHost: {}\r\n\r\n", show.address);
        stream.write_all(head.as_bytes()).unwrap();
        let mut status = [0; 12];
        stream.read_exact(&mut status).unwrap();
        if status.ends_with(b"200") {
            break;
        }
        assert!(start.elapsed() < PATIENCE, "the place does not come free");
    }
}

#[test]
fn whoever_dawdles_is_cut_off() {
    let short = Duration::from_millis(100);
    let patience = Patience {
        head: short,
        body: short,
        unread: short,
        beat: short,
    };
    let show = Show::at("127.0.0.1:0", "evening", patience);
    // An idle connection, half a head, and a head without its body.
    let mut idle = show.connect();
    let mut half = show.connect();
    half.write_all(b"GET / HTTP/1.1\r\nHo").unwrap();
    let mut bodiless = show.connect();
    let head = format!(
        "POST /command HTTP/1.1\r\nHost: {}\r\n{}\r\nContent-Length: 4\r\n\r\nsk",
        show.address,
        show.origin()
    );
    bodiless.write_all(head.as_bytes()).unwrap();
    for stream in [&mut idle, &mut half] {
        let reply = Reply::read(stream);
        assert!([0, 408].contains(&reply.status), "{reply:?}");
    }
    Reply::read(&mut bodiless).is(408, "did not come in time");
    // A stream that nobody reads gives its place back: all of them are taken, and then one is free again.
    let unread: Vec<TcpStream> = (0..16)
        .map(|_| {
            let mut stream = show.connect();
            let head = format!("GET /events HTTP/1.0\r\nHost: {}\r\n\r\n", show.address);
            stream.write_all(head.as_bytes()).unwrap();
            stream.peek(&mut [0; 1]).unwrap();
            stream
        })
        .collect();
    show.ask("GET", "/events", &[], "")
        .is(503, "pages are looking on already");
    let text = "x".repeat(512 * 1024);
    let mut id = 0;
    let start = Instant::now();
    loop {
        id += 1;
        show.hub.publish(noted(id, &text));
        let mut stream = show.connect();
        let head = format!("GET /events HTTP/1.0\r\nHost: {}\r\n\r\n", show.address);
        stream.write_all(head.as_bytes()).unwrap();
        let mut status = [0; 12];
        stream.read_exact(&mut status).unwrap();
        if status.ends_with(b"200") {
            break;
        }
        assert!(
            start.elapsed() < PATIENCE,
            "an unread stream keeps its place"
        );
    }
    drop(unread);
}

#[test]
fn what_the_head_announces_as_too_large_is_refused_before_it_comes() {
    let show = Show::new();
    let origin = show.origin();
    let head = format!(
        "POST /command HTTP/1.1\r\nHost: {}\r\n{origin}\r\nConnection: close\r\nContent-Length: 10000000\r\n\r\n",
        show.address
    );
    show.exchange(&head)
        .is(413, "the text is too long: at most 1024 bytes\n");
}

#[test]
fn pages_command_at_the_pace_of_the_socket() {
    let show = Show::new();
    let begun = Instant::now();
    (0..30).for_each(|_| show.command("next").is(204, ""));
    // The first is taken at once, and then one each 20 ms.
    assert!(begun.elapsed() >= Duration::from_millis(29 * 20));
    assert_eq!(show.heard.try_iter().count(), 30);
}
