//! [`Bench`]: a meter on a pseudo-terminal, the program, and its viewers.

use std::fs::File;
use std::io::{BufRead as _, BufReader, Write as _};
use std::os::unix::net::UnixStream;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::sync::mpsc::{Receiver, Sender, channel};
use std::thread::{self, JoinHandle};
use std::time::{Duration, Instant};

use probewright::face::books::job::Folder;
use probewright::face::views::serve::socket_path;
use rustix::fs::OFlags;
use rustix::pty::{OpenptFlags, grantpt, openpt, ptsname, unlockpt};
use rustix::termios::{OptionalActions, tcgetattr, tcsetattr};
use tempfile::TempDir;

/// How many watch.
pub(crate) const VIEWERS: usize = 4;

/// Lines of a touch, and between two touches.
const TOUCHED: u32 = 60;
const IDLE: u32 = 20;

/// Longer than anything takes.
const PATIENCE: Duration = Duration::from_secs(20);

pub(crate) struct Bench {
    meter: File,
    // Held open, so that the terminal stays when the program closes its end.
    _terminal: File,
    _folder: TempDir,
    program: Child,
    viewers: Vec<JoinHandle<()>>,
    seen: Receiver<Instant>,
    speaker: UnixStream,
    lines: u32,
}

impl Bench {
    /// Begins a sitting that has its meter and its viewers.
    pub(crate) fn begin() -> Self {
        let folder = TempDir::new().unwrap();
        let job = folder.path().join("job");
        let parts: Vec<_> = (1..=200)
            .map(|i| format!("R{i},resistor,4K7,10%\n"))
            .collect();
        let parts = parts.concat();
        Folder::create(
            &job,
            "",
            format!("ref,kind,value,tolerance\n{parts}").as_bytes(),
        )
        .unwrap();
        let (meter, terminal, port) = terminal();
        let mut program = Command::new(env!("CARGO_BIN_EXE_probewright"));
        program.arg("sit").arg(&job).args(["--serve", "--quiet"]);
        program.args(["--meter", &format!("talk-only-line-meter@{port}")]);
        let mut program = program
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        // Its first line is there when the socket is.
        let mut out = BufReader::new(program.stdout.take().unwrap());
        out.read_line(&mut String::new()).unwrap();
        thread::spawn(move || for _ in out.lines() {});
        let (tell, seen) = channel();
        let viewers = (0..VIEWERS).map(|_| watch(&job, tell.clone())).collect();
        let mut bench = Self {
            meter,
            _terminal: terminal,
            speaker: UnixStream::connect(socket_path(&job)).unwrap(),
            _folder: folder,
            program,
            viewers,
            seen,
            lines: 0,
        };
        bench.warm_up();
        bench
    }

    /// Sends lines until every viewer sees them: the first line of a stream is not taken, and viewers join in their own time.
    fn warm_up(&mut self) {
        loop {
            self.write();
            thread::sleep(Duration::from_millis(50));
            if self.seen.try_iter().count() == VIEWERS {
                return;
            }
        }
    }

    /// Sends a line; how long each viewer waited for the event.
    pub(crate) fn send_a_line(&mut self) -> [Duration; VIEWERS] {
        let written = self.write();
        [(); VIEWERS].map(|()| self.seen.recv_timeout(PATIENCE).unwrap() - written)
    }

    fn write(&mut self) -> Instant {
        let touched = self.lines % (IDLE + TOUCHED) >= IDLE;
        self.lines += 1;
        let line: &[u8] = if touched {
            b"4.700 KOHM\r\n"
        } else {
            b"OL MOHM\r\n"
        };
        let now = Instant::now();
        self.meter.write_all(line).unwrap();
        now
    }

    /// Ends the sitting.
    pub(crate) fn end(mut self) {
        self.speaker.write_all(b"{\"command\":\"end\"}\n").unwrap();
        assert!(self.program.wait().unwrap().success());
        for viewer in self.viewers.drain(..) {
            viewer.join().unwrap();
        }
    }
}

/// A viewer that tells when it has a reading in its hands.
fn watch(job: &Path, tell: Sender<Instant>) -> JoinHandle<()> {
    let stream = UnixStream::connect(socket_path(job)).unwrap();
    thread::spawn(move || {
        let mut reader = BufReader::new(stream);
        let mut line = String::new();
        while matches!(reader.read_line(&mut line), Ok(1..)) {
            let now = Instant::now();
            if line.contains(r#""news":{"what":"reading""#) {
                // At the end nobody is interested any more.
                let _ = tell.send(now);
            }
            line.clear();
        }
    })
}

/// A pseudo-terminal in raw mode: the meter's side, the program's side, and its path.
fn terminal() -> (File, File, String) {
    let meter = openpt(OpenptFlags::RDWR | OpenptFlags::NOCTTY).unwrap();
    grantpt(&meter).unwrap();
    unlockpt(&meter).unwrap();
    let path = ptsname(&meter, Vec::new()).unwrap().into_string().unwrap();
    let terminal = File::from(
        rustix::fs::open(
            &path,
            OFlags::RDWR | OFlags::NOCTTY,
            rustix::fs::Mode::empty(),
        )
        .unwrap(),
    );
    let mut modes = tcgetattr(&terminal).unwrap();
    modes.make_raw();
    tcsetattr(&terminal, OptionalActions::Now, &modes).unwrap();
    (File::from(meter), terminal, path)
}
