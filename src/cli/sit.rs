//! `sit`: a sitting at the bench with a real meter.

use std::io::Write;
use std::path::PathBuf;
use std::sync::mpsc::SyncSender;

use anyhow::{Context, Result};
use chrono::Datelike as _;

use super::books::{Books, remark_missing};
use super::chosen_parts::WhichParts;
use super::display::{Display, Keys};
use super::job_word::job_word;
use super::keys::{Keyboard, help, keys, listen};
use super::listener::Listener as Lines;
use super::listener::Paint;
use super::new_parts::NewParts;
use super::own_keys::OwnKeys;
use super::page::PageArguments;
use super::publisher::Publisher;
use super::remark::remark;
use super::sounds::{Audible, Wanted};
use super::status::{BadInput, Status};
use crate::bench::clock::Clock;
use crate::bench::live::{Message, Outcome};
use crate::books::job::{Folder, JobError, SittingLock};
use crate::books::ledger::Book;
use crate::books::session::{Bookkeeping, Session, places, setup_of, with_earlier, with_fitted};
use crate::engine::settings::{BenchMeter, MeterWords};
use crate::engine::sitting::{Command, Event, FIRST_METER, Setup, What};
use crate::platform::{in_background, on_request_to_end};
use crate::views::serve::{Listener, UnixSocket};
use crate::views::state::State;
use crate::views::told::told;

/// Measure the parts of a job, one after the other, hands free.
#[derive(Debug, clap::Args)]
#[expect(
    clippy::struct_excessive_bools,
    reason = "each is a switch of the command line by itself"
)]
pub(crate) struct Arguments {
    /// The folder of the job.
    dir: PathBuf,
    /// The meter: its profile (one that comes with the program, or the path of a file) and its port (a device path, or
    /// `tcp:HOST:PORT`); without a profile, or without this option, as job.toml has it. Give it once more for each further meter,
    /// with a name: `bridge=scpi-lcr-meter@/dev/ttyUSB1`.
    #[arg(long, value_name = "PROFILE@PORT")]
    meter: Vec<MeterWords>,
    #[command(flatten)]
    which: WhichParts,
    #[command(flatten)]
    new_parts: NewParts,
    /// Decision rule: guard-band or simple. Without it, the one in job.toml.
    #[arg(long)]
    rule: Option<String>,
    /// Temperature at the bench, °C, for windings. Without it, the one in job.toml.
    #[arg(long, value_name = "CELSIUS", allow_negative_numbers = true)]
    temperature: Option<f64>,
    /// Leave everything soldered: read between pairs of places, in the order of `network JOB plan`, and judge each part by its own value
    #[arg(long)]
    in_circuit: bool,
    /// Begin with the leads: probes on each other, then apart where the meter tells an impedance.
    #[arg(long)]
    zero: bool,
    /// Let others watch: `probewright attach` in other terminals, and scripts at the socket in the folder of the job.
    /// Needs no terminal of its own.
    #[arg(long)]
    serve: bool,
    #[command(flatten)]
    page: PageArguments,
    #[command(flatten)]
    hearing: Hearing,
    /// Lines instead of the screen, as where standard output is no terminal.
    #[arg(long)]
    plain: bool,
}

/// Sounds that the person wants.
#[derive(Debug, clap::Args)]
struct Hearing {
    /// No sound at all.
    #[arg(long)]
    quiet: bool,
    /// Speak designators and verdicts, if the machine has a speech program.
    #[arg(long, conflicts_with = "quiet")]
    speak: bool,
}

/// Said before every sitting.
const CAUTIONS: &str = "\
Before you touch anything:
  - Unplug the equipment. Valve equipment holds lethal voltages, and its capacitors hold them for long after.
  - Discharge every reservoir and smoothing capacitor through a resistor, and verify with a voltmeter that it stays discharged.
  - Measure parts only without power. Follow your local codes; leave licensed work to licensed people.";

/// A sitting that is about to begin: the job is locked for it, and no port is open yet.
pub(super) struct Prepared<'a> {
    arguments: &'a Arguments,
    folder: Folder,
    setup: Setup,
    book: Result<Book, JobError>,
    lock: SittingLock,
    own_keys: OwnKeys,
    clock: Clock,
}

impl<'a> Prepared<'a> {
    /// For a sitting that begins now by that clock; `None` if only what is to do is to be measured, and nothing is.
    ///
    /// # Errors
    /// If a file of the job, the profile or an argument cannot be used, or another sitting has the job.
    pub(super) fn of(arguments: &'a Arguments, clock: Clock) -> Result<Option<Self>> {
        let folder = Folder::open(&arguments.dir)?;
        let setup = setup(arguments, &folder)?;
        let settings = setup.job()?;
        settings.check_made(clock.begun().year())?;
        let own_keys = OwnKeys::of(&settings.keys)?;
        let lock = SittingLock::take(&folder, clock.begun())?;
        // Read once, and under the lock. A sitting over what is to do cannot go on without it.
        let book = match Book::open(&folder) {
            Err(error) if arguments.which.need_the_ledger() => return Err(error.into()),
            read => read,
        };
        remark_missing(&folder);
        let Some(only) = arguments.which.selection(book.as_ref().ok())? else {
            return Ok(None);
        };
        let setup = with_fitted(setup, book.as_ref(), &folder).with_setting(Setup::ONLY, &only);
        let new_parts = &arguments.new_parts;
        let setup = new_parts.take_the_place_of_the_list(setup, &folder)?;
        if arguments.in_circuit && (new_parts.are_wanted() || !only.is_empty()) {
            let words = "--in-circuit is for the whole list, not for some of it or for new parts";
            return Err(BadInput(words.to_owned()).into());
        }
        let setup = with_earlier(setup, book.as_ref().ok());
        Ok(Some(Self {
            arguments,
            folder,
            setup,
            book,
            lock,
            own_keys,
            clock,
        }))
    }

    /// Opens everything, and says what it is about: the sitting, its books, and the person's own keys.
    ///
    /// # Errors
    /// If port, recording or results cannot be opened, or it cannot be printed.
    pub(super) fn begin(self, out: &mut dyn Write) -> Result<(Session, Books<'a>, OwnKeys)> {
        let new_parts = &self.arguments.new_parts;
        new_parts.caution();
        let session = Session::open(self.setup, &self.folder, self.clock, remark)?;
        for found in session.plan().list_remarks() {
            remark(&format!("parts.csv: {found}"));
        }
        for found in session.plan().left_out() {
            remark(&format!("parts.csv: {found}"));
        }
        for words in session.plan().before_reading() {
            remark(&format!("before you read: {words}"));
        }
        let sort = if self.arguments.in_circuit {
            "readings"
        } else {
            "parts"
        };
        writeln!(
            out,
            "{} {sort}, {}",
            session.plan().rows(),
            meters(session.setup())
        )?;
        let (results, _) = places(session.plan(), &self.folder);
        let bookkeeping = (!new_parts.are_wanted()).then(|| {
            let book = self.book.as_ref();
            Bookkeeping::open(&self.folder, book, session.begun(), remark)
        });
        let recording = session.recording.clone();
        let books = Books {
            folder: self.folder,
            new_parts,
            bookkeeping,
            results,
            recording,
            _lock: self.lock,
        };
        Ok((session, books, self.own_keys))
    }
}

/// Runs the command.
pub(crate) fn run(arguments: &Arguments, out: &mut dyn Write) -> Result<Status> {
    let Some(prepared) = Prepared::of(arguments, Clock::start(1.0))? else {
        remark("nothing is left to be measured");
        return Ok(Status::Done);
    };
    let listeners = listeners(arguments, &prepared.folder)?;
    remark(CAUTIONS);
    let (session, mut books, own_keys) = prepared.begin(out)?;
    let publisher = publisher(listeners, &session)?;
    if arguments.zero {
        // The loop takes it first; it cannot have ended yet.
        let _ = session.sender.send(Message::Command(Command::Zero));
    }
    let keyboard = keyboard(arguments, own_keys, &session.sender);
    end_on_signal(session.sender.clone())?;
    let wanted = Wanted {
        quiet: arguments.hearing.quiet,
        words: arguments.hearing.speak,
        no_bell: false,
    };
    let mut audible = Audible::start(wanted);
    let mut watcher = |event: &Event| {
        audible.hear(event);
        let outcome = books.hear(event);
        if let Some(publisher) = &publisher {
            publisher.hear(event);
        }
        outcome
    };
    let at_terminal = keyboard.as_ref().filter(|_| !arguments.plain);
    let (ended, seen) = match at_terminal {
        Some(keyboard) if Display::is_possible() => {
            on_screen(session, keys(keyboard, false), &mut watcher, out)
        }
        _ => (in_lines(session, &mut watcher, out), true),
    };
    // Viewers hear the end once the recording is sealed.
    drop(publisher);
    drop(keyboard);
    let closed = if seen {
        books.close(ended.is_ok(), out)
    } else {
        Ok(Status::Done)
    };
    // Sounds still to be heard are waited for when everything is written.
    drop(audible);
    ended.and(closed)
}

/// Runs a sitting to its end, and prints its lines.
pub(super) fn in_lines(
    session: Session,
    watcher: &mut dyn FnMut(&Event) -> Option<Outcome>,
    out: &mut dyn Write,
) -> Result<()> {
    let mut lines = Lines::new(out, Paint::for_stdout());
    session.run(&mut |event| {
        let printed = lines.hear(event);
        let outcome = watcher(event);
        printed.map(|()| outcome)
    })
}

/// Runs a sitting to its end with the board on the terminal, and prints its last line when the terminal is given back. Also
/// whether that terminal takes what is written to it.
pub(super) fn on_screen(
    session: Session,
    keys: Keys,
    watcher: &mut dyn FnMut(&Event) -> Option<Outcome>,
    out: &mut dyn Write,
) -> (Result<()>, bool) {
    let display = match Display::open(keys) {
        Ok(display) => display,
        Err(error) => return (Err(error.into()), true),
    };
    let board = display.board();
    board.show(&State::begin(session.plan()));
    let mut last = None;
    let mut show = |event: &Event| {
        board.hear(event);
        if matches!(event.what, What::Ended(_)) {
            last = told(&event.what).line;
        }
        Ok(watcher(event))
    };
    let ended = session.run(&mut show);
    let seen = display.close();
    if let Some(line) = last.filter(|_| seen) {
        // A terminal that is gone misses it; the results are written.
        let _ = Paint::for_stdout().write(out, &line);
    }
    (ended, seen)
}

/// The ways in for viewers, bound before anything of the sitting is there; none if nobody is to watch.
fn listeners(arguments: &Arguments, folder: &Folder) -> Result<Vec<Box<dyn Listener>>> {
    let mut listeners: Vec<Box<dyn Listener>> = Vec::new();
    if arguments.serve {
        let socket = UnixSocket::bind(folder.root())?;
        remark(&format!(
            "others watch with `probewright attach {}`",
            job_word(folder.root())
        ));
        listeners.push(Box::new(socket));
    }
    if let Some(page) = arguments.page.open()? {
        listeners.push(Box::new(page));
    }
    Ok(listeners)
}

fn publisher(listeners: Vec<Box<dyn Listener>>, session: &Session) -> Result<Option<Publisher>> {
    if listeners.is_empty() {
        return Ok(None);
    }
    Publisher::start(session, listeners).map(Some)
}

/// Begins to listen to the keyboard; `None` in the background, where the terminal belongs to somebody else.
fn keyboard(arguments: &Arguments, own: OwnKeys, sender: &SyncSender<Message>) -> Option<Keyboard> {
    if (arguments.serve || arguments.page.wanted()) && in_background() {
        return None;
    }
    let keyboard = Keyboard::take_over();
    if keyboard.single_keys() {
        remark(&help());
    }
    listen(&keyboard, own, sender.clone());
    Some(keyboard)
}

/// Every meter for people: its profile and its port, and the names of those beside the first.
pub(super) fn meters(setup: &Setup) -> String {
    let meter = |(_, meter): (u16, &BenchMeter)| {
        let BenchMeter {
            name,
            profile,
            port,
        } = meter;
        let name = Some(name).filter(|name| *name != FIRST_METER);
        let name = name.map(|name| format!("{name}: ")).unwrap_or_default();
        format!("{name}{profile} on {port}")
    };
    setup.meters().map(meter).collect::<Vec<_>>().join("; ")
}

fn setup(arguments: &Arguments, folder: &Folder) -> Result<Setup> {
    let mut setup = setup_of(folder, &arguments.meter)?;
    if let Some(rule) = &arguments.rule {
        setup = setup.with_setting(Setup::RULE, rule);
    }
    if arguments.in_circuit {
        setup = setup.with_setting(Setup::IN_CIRCUIT, "yes");
    }
    if let Some(celsius) = arguments.temperature {
        setup = setup.with_setting(Setup::TEMPERATURE, &celsius.to_string());
    }
    Ok(setup)
}

/// A signal that asks for the end ends the sitting as the command `end` does.
pub(super) fn end_on_signal(sender: SyncSender<Message>) -> Result<()> {
    on_request_to_end(move || sender.send(Message::Command(Command::End)).is_ok())
        .context("cannot watch for signals")
}
