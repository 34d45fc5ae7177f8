//! [`Program`]: the real program as a person starts it, and [`Started`]: the program at work, to be watched and spoken to.
//!
//! Nothing here waits for time to pass: every wait is for output, a file or the end of the program, and gives up after [`PATIENCE`].

use std::ffi::{OsStr, OsString};
use std::fs::{self, File};
use std::io::{Read, Write};
use std::os::unix::fs::OpenOptionsExt as _;
use std::path::{Path, PathBuf};
use std::process::{Child, ChildStdin, Command, ExitStatus, Stdio};
use std::sync::{Arc, Condvar, Mutex};
use std::thread;
use std::time::{Duration, Instant};

use probewright::face::books::results::COLUMNS;
use probewright::face::engine::quantity::Quantity;
use rustix::process::{Pid, Signal, kill_process};
use rustix::pty::{OpenptFlags, grantpt, openpt, ptsname, unlockpt};
use tempfile::TempDir;

/// Longer than anything takes that is going to happen at all, on a machine that is busy with other things.
pub(crate) const PATIENCE: Duration = Duration::from_secs(90);

/// The variable that names the audio program.
const PLAYER: &str = "PROBEWRIGHT_PLAYER";

/// The program, its arguments and what it is connected to.
#[must_use = "a program that is only described does nothing"]
pub(crate) struct Program {
    command: Command,
}

impl Program {
    /// The program with these arguments.
    pub(crate) fn new<A: AsRef<OsStr>>(arguments: impl IntoIterator<Item = A>) -> Self {
        Self::by(env!("CARGO_BIN_EXE_probewright"), arguments)
    }

    /// The program started by a script of the shell, which finds it and its arguments in `"$@"`.
    pub(crate) fn by_shell<A: AsRef<OsStr>>(
        script: &str,
        arguments: impl IntoIterator<Item = A>,
    ) -> Self {
        let mut program = Self::by("sh", ["-c", script, "sh"]);
        program.command.arg(env!("CARGO_BIN_EXE_probewright"));
        program.command.args(arguments);
        program
    }

    /// The program with these arguments.
    pub(crate) fn by<A: AsRef<OsStr>>(what: &str, arguments: impl IntoIterator<Item = A>) -> Self {
        let mut command = Command::new(what);
        command.args(arguments).env(PLAYER, "");
        Self { command }
    }

    /// With that variable in its environment.
    pub(crate) fn with(mut self, variable: &str, value: impl AsRef<OsStr>) -> Self {
        self.command.env(variable, value);
        self
    }

    /// With whatever player it finds by itself. Programs under test are silent otherwise, on every machine.
    pub(crate) fn audible(mut self) -> Self {
        self.command.env_remove(PLAYER);
        self
    }

    /// Runs it to its end, without anything on its standard input.
    pub(crate) fn run(self) -> Finished {
        let mut started = self.start();
        started.close_stdin();
        started.end()
    }

    /// Starts it.
    pub(crate) fn start(mut self) -> Started {
        self.command
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped());
        let mut child = self.command.spawn().unwrap();
        let out = Heard::of(child.stdout.take().unwrap());
        let err = Heard::of(child.stderr.take().unwrap());
        Started {
            stdin: child.stdin.take(),
            child,
            out,
            err,
            read: 0,
        }
    }

    /// Starts it as the leader of a session whose terminal this is.
    pub(crate) fn start_on_terminal(arguments: &[&OsStr], end: &File, screen: File) -> Started {
        Self::start_at(&[], arguments, end, screen)
    }

    /// Starts it as a shell with job control does with `&` behind the command: the terminal belongs to the shell.
    pub(crate) fn start_in_background(arguments: &[&OsStr], end: &File, screen: File) -> Started {
        let shell = ["sh", "-mc", "\"$@\" & wait $!", "sh"];
        Self::start_at(&shell, arguments, end, screen)
    }

    /// Starts it as [`Program::start_on_terminal`] does, with that as `$PAGER`, or with none.
    pub(crate) fn start_paged(
        pager: Option<&str>,
        arguments: &[&OsStr],
        terminal: &Terminal,
    ) -> Started {
        let set = pager.map(|pager| format!("PAGER={pager}"));
        let words = ["env", "-u", "LESS", "-u", "PAGER"];
        let words: Vec<&str> = words.into_iter().chain(set.as_deref()).collect();
        let screen = terminal.far.try_clone().unwrap();
        Self::start_at(&words, arguments, &terminal.end, screen)
    }

    fn start_at(by: &[&str], arguments: &[&OsStr], end: &File, screen: File) -> Started {
        let mut command = Command::new("setsid");
        command
            .arg("--ctty")
            .args(by)
            .arg(env!("CARGO_BIN_EXE_probewright"))
            .args(arguments)
            .env(PLAYER, "")
            .env("TERM", "xterm")
            .env_remove("NO_COLOR")
            .stdin(end.try_clone().unwrap())
            .stdout(end.try_clone().unwrap())
            .stderr(end.try_clone().unwrap());
        Started {
            child: command.spawn().unwrap(),
            stdin: None,
            out: Heard::of(screen),
            err: Heard::default(),
            read: 0,
        }
    }
}

/// Output of a stream so far.
#[derive(Clone, Default)]
struct Heard(Arc<(Mutex<Heap>, Condvar)>);

#[derive(Default)]
struct Heap {
    bytes: Vec<u8>,
    over: bool,
    unwanted: bool,
}

impl Heard {
    fn of(mut stream: impl Read + Send + 'static) -> Self {
        let heard = Self::default();
        let to = heard.clone();
        thread::spawn(move || {
            let mut portion = [0; 4096];
            // A terminal whose other end is closed gives an error instead of an end.
            while let Ok(count @ 1..) = stream.read(&mut portion) {
                if !to.add(&portion[..count]) {
                    break;
                }
            }
            drop(stream);
            to.0.0.lock().unwrap().over = true;
            to.0.1.notify_all();
        });
        heard
    }

    /// Adds what came; whether more is wanted.
    fn add(&self, bytes: &[u8]) -> bool {
        let mut heap = self.0.0.lock().unwrap();
        heap.bytes.extend_from_slice(bytes);
        self.0.1.notify_all();
        !heap.unwanted
    }

    /// Waits until `found` finds something; `None` if the stream ends or patience does.
    fn wait<T>(&self, mut found: impl FnMut(&Heap) -> Option<T>) -> Option<T> {
        let start = Instant::now();
        let mut heap = self.0.0.lock().unwrap();
        loop {
            if let Some(value) = found(&heap) {
                return Some(value);
            }
            let left = PATIENCE.checked_sub(start.elapsed())?;
            if heap.over {
                return None;
            }
            heap = self.0.1.wait_timeout(heap, left).unwrap().0;
        }
    }

    fn text(&self) -> String {
        String::from_utf8_lossy(&self.0.0.lock().unwrap().bytes).into_owned()
    }

    /// Everything, once the stream has ended.
    fn whole(&self) -> Vec<u8> {
        self.wait(|heap| heap.over.then(|| heap.bytes.clone()))
            .expect("the stream ends with the program")
    }
}

/// The program at work. Killed when dropped.
#[must_use = "a program that is dropped is killed"]
pub(crate) struct Started {
    child: Child,
    stdin: Option<ChildStdin>,
    out: Heard,
    err: Heard,
    /// How far standard output was read by [`Started::sees`].
    read: usize,
}

impl Started {
    /// Waits for a line of standard output that holds all of `words`, and passes over it and all lines before; the line.
    pub(crate) fn sees(&mut self, words: &[&str]) -> String {
        let from = self.read;
        let found = self.out.wait(|heap| line_with(&heap.bytes[from..], words));
        let Some((line, end)) = found else {
            panic!("no line with {words:?}\n{}", self.all())
        };
        self.read += end;
        line
    }

    /// Waits for a line that holds all of the one or all of the other; the first of them.
    pub(crate) fn sees_either(&mut self, one: &[&str], other: &[&str]) -> String {
        let from = self.read;
        let found = self.out.wait(|heap| {
            let lines = [one, other].map(|words| line_with(&heap.bytes[from..], words));
            lines.into_iter().flatten().min_by_key(|(_, end)| *end)
        });
        let Some((line, end)) = found else {
            panic!("no line with {one:?} or {other:?}\n{}", self.all())
        };
        self.read += end;
        line
    }

    /// How much it has written so far.
    pub(crate) fn written(&self) -> usize {
        self.out.0.0.lock().unwrap().bytes.len()
    }

    /// Waits until a terminal of that size, of which all that was written since `from` is shown, shows all of `words`; the terminal.
    pub(crate) fn shows(&self, size: Size, from: usize, words: &[&str]) -> vt100::Parser {
        let found = self.out.wait(|heap| {
            let terminal = size.showing(&heap.bytes[from..]);
            let text = terminal.screen().contents();
            words
                .iter()
                .all(|word| text.contains(word))
                .then_some(terminal)
        });
        let Some(terminal) = found else {
            let shown = size.showing(&self.out.0.0.lock().unwrap().bytes[from..]);
            panic!("no {words:?} in\n{}", shown.screen().contents());
        };
        terminal
    }

    /// Waits until standard error holds `text`.
    pub(crate) fn complains(&self, text: &str) {
        let found = self.err.wait(|heap| {
            String::from_utf8_lossy(&heap.bytes)
                .contains(text)
                .then_some(())
        });
        assert!(found.is_some(), "no `{text}`\n{}", self.all());
    }

    /// Waits for a whole line of standard error that begins so; the rest of it.
    pub(crate) fn remarks(&self, beginning: &str) -> String {
        let found = self.err.wait(|heap| {
            let text = String::from_utf8_lossy(&heap.bytes);
            let mut lines = text.split_inclusive('\n');
            let line = lines.find(|line| line.starts_with(beginning) && line.ends_with('\n'))?;
            Some(line[beginning.len()..].trim().to_owned())
        });
        found.unwrap_or_else(|| panic!("no `{beginning}`\n{}", self.all()))
    }

    /// Waits until `done` is so, or fails saying `what` did not come.
    pub(crate) fn until(&self, what: &str, mut done: impl FnMut() -> bool) {
        let start = Instant::now();
        while !done() {
            assert!(start.elapsed() < PATIENCE, "{what}\n{}", self.all());
            thread::park_timeout(Duration::from_millis(5));
        }
    }

    /// Writes a line to its standard input.
    pub(crate) fn say(&mut self, line: impl AsRef<[u8]>) {
        let stdin = self.stdin.as_mut().expect("standard input is open");
        stdin.write_all(&[line.as_ref(), b"\n"].concat()).unwrap();
    }

    /// Closes its standard input.
    pub(crate) fn close_stdin(&mut self) {
        self.stdin = None;
    }

    /// The number of its process.
    pub(crate) fn id(&self) -> u32 {
        self.child.id()
    }

    /// Sends a signal.
    pub(crate) fn signal(&self, signal: Signal) {
        kill_process(Pid::from_child(&self.child), signal).unwrap();
    }

    /// Stops reading what it prints: the pipe is closed at this end behind the next thing that comes.
    pub(crate) fn close_stdout(&mut self) {
        self.out.0.0.lock().unwrap().unwanted = true;
    }

    /// Waits until its standard output is closed, at this end or at the other.
    pub(crate) fn until_unread(&self) {
        let _ = self.out.whole();
    }

    /// Waits for its end.
    pub(crate) fn end(mut self) -> Finished {
        let status = self.status();
        Finished {
            status,
            out: self.out.whole(),
            err: String::from_utf8(self.err.whole()).unwrap(),
        }
    }

    /// Waits for its end, and gives the status. What a terminal shows does not end with the program.
    pub(crate) fn status(&mut self) -> ExitStatus {
        let start = Instant::now();
        loop {
            if let Some(status) = self.child.try_wait().unwrap() {
                return status;
            }
            assert!(start.elapsed() < PATIENCE, "no end\n{}", self.all());
            thread::park_timeout(Duration::from_millis(5));
        }
    }

    fn all(&self) -> String {
        format!("stdout:\n{}\nstderr:\n{}", self.out.text(), self.err.text())
    }
}

impl Drop for Started {
    fn drop(&mut self) {
        // It may have ended long ago.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// The first whole line that holds all of `words`, and where the next one begins.
fn line_with(bytes: &[u8], words: &[&str]) -> Option<(String, usize)> {
    let mut end = 0;
    for line in bytes.split_inclusive(|&byte| byte == b'\n') {
        end += line.len();
        let text = String::from_utf8_lossy(line);
        if line.ends_with(b"\n") && words.iter().all(|word| text.contains(word)) {
            return Some((text.trim_end().to_owned(), end));
        }
    }
    None
}

/// A program that has ended.
#[must_use = "how a program ended is to be checked"]
pub(crate) struct Finished {
    pub(crate) status: ExitStatus,
    out: Vec<u8>,
    err: String,
}

impl Finished {
    /// Checks the exit status.
    pub(crate) fn with_status(self, status: i32) -> Self {
        let (out, err) = (String::from_utf8_lossy(&self.out), &self.err);
        assert_eq!(
            self.status.code(),
            Some(status),
            "{:?}\nstdout:\n{out}\nstderr:\n{err}",
            self.status
        );
        self
    }

    /// Checks that standard error holds all of `words`.
    pub(crate) fn complaining(self, words: &[&str]) -> Self {
        for word in words {
            assert!(self.err.contains(word), "no `{word}` in:\n{}", self.err);
        }
        self
    }

    /// Its exit status; `None` if a signal ended it.
    pub(crate) fn code(&self) -> Option<i32> {
        self.status.code()
    }

    /// Its standard output.
    pub(crate) fn out(&self) -> String {
        String::from_utf8(self.out.clone()).unwrap()
    }

    /// Its standard error.
    pub(crate) fn err(&self) -> &str {
        &self.err
    }
}

/// A pseudo-terminal: the side of a person or a meter, and the end that programs see.
pub(crate) struct Terminal {
    pub(crate) far: File,
    pub(crate) end: File,
    pub(crate) path: PathBuf,
}

impl Terminal {
    pub(crate) fn open() -> Self {
        let far = openpt(OpenptFlags::RDWR | OpenptFlags::NOCTTY).unwrap();
        grantpt(&far).unwrap();
        unlockpt(&far).unwrap();
        let path = PathBuf::from(ptsname(&far, Vec::new()).unwrap().into_string().unwrap());
        let end = File::options()
            .read(true)
            .write(true)
            .custom_flags(rustix::fs::OFlags::NOCTTY.bits().cast_signed())
            .open(&path)
            .unwrap();
        Self {
            far: File::from(far),
            end,
            path,
        }
    }
}

/// Size of a terminal.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Size {
    pub(crate) columns: u16,
    pub(crate) rows: u16,
}

impl Size {
    /// Gives a terminal that size.
    pub(crate) fn set(self, terminal: &Terminal) {
        let size = rustix::termios::Winsize {
            ws_col: self.columns,
            ws_row: self.rows,
            ws_xpixel: 0,
            ws_ypixel: 0,
        };
        rustix::termios::tcsetwinsize(&terminal.end, size).unwrap();
    }

    /// A terminal of that size after these bytes.
    pub(crate) fn showing(self, bytes: &[u8]) -> vt100::Parser {
        let mut terminal = vt100::Parser::new(
            self.rows.try_into().unwrap(),
            self.columns.try_into().unwrap(),
            0,
        );
        terminal.process(bytes);
        terminal
    }
}

/// The folder of a job, gone when dropped.
pub(crate) struct Job {
    directory: TempDir,
}

impl Job {
    /// A job with that parts list.
    pub(crate) fn new(parts: &str) -> Self {
        let job = Self {
            directory: tempfile::tempdir().unwrap(),
        };
        fs::create_dir(job.root()).unwrap();
        fs::write(job.root().join("job.toml"), "title = \"a test\"\n").unwrap();
        fs::write(job.root().join("parts.csv"), parts).unwrap();
        job
    }

    /// A place outside of the job that goes with it.
    pub(crate) fn beside(&self, name: &str) -> PathBuf {
        self.directory.path().join(name)
    }

    pub(crate) fn root(&self) -> PathBuf {
        self.beside("job")
    }

    pub(crate) fn results(&self) -> PathBuf {
        self.root().join("results.csv")
    }

    /// The recordings, oldest first.
    pub(crate) fn recordings(&self) -> Vec<PathBuf> {
        files_in(&self.root().join("sittings"), "rec")
    }

    /// The only recording.
    pub(crate) fn recording(&self) -> PathBuf {
        let mut recordings = self.recordings();
        assert_eq!(recordings.len(), 1, "{recordings:?}");
        recordings.remove(0)
    }

    /// The rows of the results.
    pub(crate) fn rows(&self) -> Vec<Row> {
        rows(&fs::read(self.results()).unwrap())
    }
}

/// Files of that ending, by name.
pub(crate) fn files_in(folder: &Path, ending: &str) -> Vec<PathBuf> {
    let mut files: Vec<PathBuf> = fs::read_dir(folder)
        .map(|entries| entries.map(|entry| entry.unwrap().path()).collect())
        .unwrap_or_default();
    files.retain(|file| file.extension().is_some_and(|found| found == ending));
    files.sort();
    files
}

/// The text of a file of results with rows that [`measured`] makes.
pub(crate) fn results(rows: &[String]) -> String {
    COLUMNS.map(|(name, ..)| name).join(",") + "\r\n" + &rows.concat()
}

/// A row of the results; cells that are not named hold those of a resistor of 100 Ω ± 10 % that reads right.
pub(crate) fn measured(cells: &[(&str, &str)]) -> String {
    let own = |name: &str| {
        let mut named = cells.iter().rev();
        named.find(|(cell, _)| *cell == name).map(|(_, text)| *text)
    };
    let quantity = own("quantity").unwrap_or("resistance");
    let of = |name: &str| match name {
        "row" | "attempt" => "1",
        "time" => "2056-11-03T19:25:40.250+01:00",
        "sitting" => "20561103T192530",
        "ref" => "R1",
        "step" | "found" => "value",
        "kind" => "resistor",
        "in_circuit" => "no",
        "quantity" => quantity,
        "unit" => Quantity::named(quantity).unwrap().unit_name(),
        "read" => own("value").unwrap_or("100"),
        "value" | "nominal" => "100",
        "uncertainty" if own("value") == Some("") => "",
        "uncertainty" => "0.3",
        "lower" => "90",
        "upper" => "110",
        "value_verdict" => own("verdict").unwrap_or("pass"),
        "verdict" => "pass",
        "reason" => "inside its band",
        "rule" => "guard-band",
        "readings" => "9",
        _ => "",
    };
    let mut writer = csv::WriterBuilder::new()
        .terminator(csv::Terminator::CRLF)
        .from_writer(Vec::new());
    let row = COLUMNS.map(|(name, ..)| own(name).unwrap_or_else(|| of(name)));
    writer.write_record(row).unwrap();
    String::from_utf8(writer.into_inner().unwrap()).unwrap()
}

/// A row of the results, by column.
#[derive(Debug, Clone)]
pub(crate) struct Row {
    header: csv::StringRecord,
    cells: csv::StringRecord,
}

impl Row {
    pub(crate) fn get(&self, column: &str) -> &str {
        let place = self.header.iter().position(|name| name == column);
        &self.cells[place.unwrap_or_else(|| panic!("no column `{column}`"))]
    }

    pub(crate) fn number(&self, column: &str) -> f64 {
        let text = self.get(column);
        text.parse()
            .unwrap_or_else(|_| panic!("`{column}` is no number: `{text}`"))
    }

    /// Designator, attempt, verdict.
    pub(crate) fn short(&self) -> (&str, &str, &str) {
        (self.get("ref"), self.get("attempt"), self.get("verdict"))
    }
}

/// The rows of a results file. Rows that lack a cell or have one too many are an error of the reader.
pub(crate) fn rows(bytes: &[u8]) -> Vec<Row> {
    let mut reader = csv::Reader::from_reader(bytes);
    let header = reader.headers().unwrap().clone();
    reader
        .records()
        .map(|cells| Row {
            header: header.clone(),
            cells: cells.unwrap(),
        })
        .collect()
}

/// A meter as `--meter` takes it.
pub(crate) fn at(profile: impl AsRef<OsStr>, port: impl AsRef<OsStr>) -> OsString {
    [profile.as_ref(), "@".as_ref(), port.as_ref()]
        .into_iter()
        .collect()
}

/// Output of the command `replay` for a recording: the run itself and the rows it writes.
pub(crate) fn replay(recording: &Path) -> (Finished, Vec<u8>) {
    let folder = tempfile::tempdir().unwrap();
    // The rows carry the name of the recording, so the copy keeps it.
    let csv = folder.path().join("rows.csv");
    let finished = Program::new([
        OsStr::new("replay"),
        recording.as_os_str(),
        OsStr::new("--csv"),
        csv.as_os_str(),
    ])
    .run();
    (finished, fs::read(&csv).unwrap_or_default())
}
