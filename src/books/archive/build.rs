//! [`Build`]: an archive that is being made.
//!
//! Recognition of an archive of this program, by the header of the SQLite file format.

use std::fs::{self, File};
use std::io::{ErrorKind, Read as _};
use std::path::{Path, PathBuf};

use chrono::SecondsFormat;
use rusqlite::types::Value;
use rusqlite::{Connection, ToSql, params};
use tempfile::NamedTempFile;

use super::schema::{DECISION, JOB, MEASUREMENT, METER, PART, SITTING};
use super::{APPLICATION_ID, ArchiveError, JobEntry, SCHEMA_VERSION, TABLES, VIEWS};
use crate::books::ledger::{Account, Decision, Row};
use crate::books::results::{COLUMNS, Holds, cells};
use crate::engine::judge::Verdict;
use crate::engine::judge::safety::Mains;
use crate::engine::judge::winding::Temperature;
use crate::engine::parts::{Material, Part};
use crate::engine::source::from_cell;
use crate::platform::{beside, is_running, put_in_place};

/// Beginning of the name of a temporary file; the number of the process follows.
const PREFIX: &str = ".archive-";

/// An archive that is being made, in a temporary file that is gone when this is dropped.
#[derive(Debug)]
pub struct Build {
    to: PathBuf,
    force: bool,
    file: NamedTempFile,
    connection: Connection,
    jobs: i64,
}

impl Build {
    /// Begins an archive that will be `to`. What has that name is replaced if it is an archive of ours, or if `force` says so.
    ///
    /// # Errors
    /// If the name belongs to something else, or nothing can be written there.
    pub fn begin(to: &Path, force: bool) -> Result<Self, ArchiveError> {
        may_take(to, force)?;
        let folder = match to.parent() {
            Some(parent) if parent.as_os_str() != "" => parent,
            _ => Path::new("."),
        };
        remove_orphans(folder);
        let io = |reason| ArchiveError::Io {
            file: to.to_owned(),
            reason,
        };
        let file = beside(to, &format!("{PREFIX}{}-", std::process::id())).map_err(io)?;
        let write = |reason| ArchiveError::Write {
            file: to.to_owned(),
            reason,
        };
        let connection = Connection::open(file.path()).map_err(write)?;
        prepare(&connection).map_err(write)?;
        Ok(Self {
            to: to.to_owned(),
            force,
            file,
            connection,
            jobs: 0,
        })
    }

    /// Adds a job.
    ///
    /// # Errors
    /// If it cannot be written, such as on a full disk.
    pub fn add(&mut self, job: &JobEntry) -> Result<(), ArchiveError> {
        self.jobs += 1;
        let added = Rows {
            connection: &self.connection,
            job: self.jobs,
        }
        .add(job);
        added.map_err(|reason| self.write_error(reason))
    }

    /// Brings the archive to the disk and gives it its name.
    ///
    /// # Errors
    /// If that cannot be done, or the name has gone to something else meanwhile.
    pub fn finish(self) -> Result<(), ArchiveError> {
        let ended = self.connection.execute_batch("commit");
        ended.map_err(|reason| self.write_error(reason))?;
        let Self {
            to,
            force,
            file,
            connection,
            ..
        } = self;
        let closed = connection.close();
        closed.map_err(|(_, reason)| ArchiveError::Write {
            file: to.clone(),
            reason,
        })?;
        may_take(&to, force)?;
        let io = |reason| ArchiveError::Io {
            file: to.clone(),
            reason,
        };
        put_in_place(file, &to, true).map(|_| ()).map_err(io)
    }

    fn write_error(&self, reason: rusqlite::Error) -> ArchiveError {
        ArchiveError::Write {
            file: self.to.clone(),
            reason,
        }
    }
}

/// Makes the tables and views, and begins. The file is nobody's but ours until it is whole, so there is no journal.
fn prepare(connection: &Connection) -> rusqlite::Result<()> {
    connection.pragma_update(None, "journal_mode", "off")?;
    connection.pragma_update(None, "synchronous", "off")?;
    connection.pragma_update(None, "application_id", APPLICATION_ID)?;
    connection.pragma_update(None, "user_version", SCHEMA_VERSION)?;
    connection.execute_batch("begin")?;
    for table in TABLES {
        connection.execute_batch(&table.sql())?;
    }
    for view in VIEWS {
        connection.execute_batch(&view.sql())?;
    }
    connection.execute_batch("create index measurement_of_part on measurement (job, \"ref\")")
}

/// Removes what builds have left that were killed. Nobody minds if it cannot be done.
fn remove_orphans(folder: &Path) {
    let Ok(entries) = fs::read_dir(folder) else {
        return;
    };
    for entry in entries.flatten() {
        let name = entry.file_name();
        let rest = name.to_str().and_then(|name| name.strip_prefix(PREFIX));
        let process = rest.and_then(|rest| rest.split_once('-')?.0.parse::<u32>().ok());
        if process.is_some_and(|process| !is_running(process)) {
            let _ = fs::remove_file(entry.path());
        }
    }
}

/// The word for the file that rows stand in.
const fn source(of_new_parts: bool) -> &'static str {
    if of_new_parts { "incoming" } else { "results" }
}

/// Content of a cell of the results.
fn value(holds: Holds, cell: &str) -> Value {
    match holds {
        Holds::Text => from_cell(cell).to_owned().into(),
        Holds::Number => cell.parse::<f64>().ok().into(),
        Holds::Whole => cell.parse::<i64>().ok().into(),
        Holds::Flag => (cell == "yes").into(),
    }
}

/// The rows of a job.
struct Rows<'a> {
    connection: &'a Connection,
    job: i64,
}

impl Rows<'_> {
    fn insert(&self, table: super::ArchiveTable, values: &[&dyn ToSql]) -> rusqlite::Result<()> {
        let mut statement = self.connection.prepare_cached(&table.insert())?;
        statement.execute(values).map(|_| ())
    }

    fn add(&self, entry: &JobEntry) -> rusqlite::Result<()> {
        let settings = &entry.book.settings;
        let mains = settings.mains;
        self.insert(
            JOB,
            params![
                self.job,
                entry.folder,
                settings.title,
                settings.made,
                settings.rule.name(),
                mains.map(Mains::volts),
                mains.map(Mains::hertz),
                settings.temperature.map(Temperature::celsius),
            ],
        )?;
        let accounts = entry.book.accounts();
        for (place, account) in (1..).zip(&accounts) {
            self.part(place, account)?;
        }
        self.measurements(entry, &accounts)?;
        for (place, decision) in (1..).zip(&entry.book.decisions) {
            self.decision(place, decision)?;
        }
        self.sittings(entry)
    }

    fn part(&self, place: i64, account: &Account<'_>) -> rusqlite::Result<()> {
        let part: &Part = account.part;
        let standing = account.standing();
        self.insert(
            PART,
            params![
                self.job,
                part.designator,
                place,
                part.kind.name(),
                part.value_text,
                part.nominal.quantity().unit_name(),
                part.nominal.value(),
                part.tolerance.to_string(),
                part.rating.to_string(),
                part.material.map(Material::name),
                part.role,
                part.from,
                part.to,
                part.in_circuit,
                part.note,
                standing.words(),
                standing.is_to_do(),
                account.verdict().map(Verdict::name),
            ],
        )
    }

    fn measurements(&self, entry: &JobEntry, accounts: &[Account<'_>]) -> rusqlite::Result<()> {
        let first: Vec<&Row> = accounts.iter().flat_map(Account::first).collect();
        let latest: Vec<&Row> = accounts.iter().flat_map(Account::latest).collect();
        let among = |members: &[*const Row], one: &Row| {
            members.binary_search(&std::ptr::from_ref(one)).is_ok()
        };
        let [first, latest] = [first, latest].map(|members| {
            let mut places: Vec<*const Row> = members.into_iter().map(std::ptr::from_ref).collect();
            places.sort_unstable();
            places
        });
        for (place, one) in (1..).zip(&entry.book.measurements) {
            let marks = (among(&first, one), among(&latest, one));
            self.measurement(source(false), place, one, marks)?;
        }
        for (place, one) in (1..).zip(&entry.incoming) {
            self.measurement(source(true), place, one, (false, false))?;
        }
        Ok(())
    }

    fn measurement(
        &self,
        source: &str,
        place: i64,
        one: &Row,
        (as_found, counts): (bool, bool),
    ) -> rusqlite::Result<()> {
        let mut values: Vec<Value> = vec![self.job.into(), source.to_owned().into(), place.into()];
        let row = COLUMNS.iter().zip(cells(one));
        values.extend(row.map(|((.., holds), cell)| value(*holds, &cell)));
        values.extend([as_found.into(), counts.into()]);
        let values: Vec<&dyn ToSql> = values.iter().map(|value| value as _).collect();
        self.insert(MEASUREMENT, &values)
    }

    fn decision(&self, place: i64, decision: &Decision) -> rusqlite::Result<()> {
        self.insert(
            DECISION,
            params![
                self.job,
                place,
                decision.time.to_rfc3339_opts(SecondsFormat::Millis, false),
                decision.designator,
                decision.choice.name(),
                decision.reason,
                decision.article,
                decision.bag,
            ],
        )
    }

    fn sittings(&self, entry: &JobEntry) -> rusqlite::Result<()> {
        for sitting in &entry.sittings {
            let began = sitting.began;
            let source = source(sitting.of_new_parts);
            self.insert(
                SITTING,
                params![
                    self.job,
                    source,
                    sitting.name,
                    began.map(|began| began.to_rfc3339_opts(SecondsFormat::Micros, false)),
                    sitting.lasted_s,
                    sitting.program,
                    sitting.state.name(),
                    i64::try_from(sitting.lines).unwrap_or(i64::MAX),
                    sitting.digest,
                ],
            )?;
            for (number, name, profile) in &sitting.meters {
                let row = params![self.job, source, sitting.name, number, name, profile];
                self.insert(METER, row)?;
            }
        }
        Ok(())
    }
}

/// Beginning of a file of SQLite, and the places where its header has the two numbers (SQLite, Database File Format, 1.3).
const MAGIC: &[u8; 16] = b"SQLite format 3\0";
const USER_VERSION: usize = 60;
const APPLICATION: usize = 68;
const HEADER: usize = 100;

/// The version of the tables of the archive in `path`; `None` if that is no archive of ours.
pub(super) fn version(path: &Path) -> Option<i32> {
    let mut header = [0; HEADER];
    File::open(path).ok()?.read_exact(&mut header).ok()?;
    let number = |at: usize| {
        let bytes = header[at..at + 4].first_chunk::<4>();
        bytes.map(|bytes| i32::from_be_bytes(*bytes))
    };
    let ours = header.starts_with(MAGIC) && number(APPLICATION) == Some(APPLICATION_ID);
    number(USER_VERSION).filter(|_| ours)
}

/// Checks that a new archive may take that name.
pub(super) fn may_take(path: &Path, force: bool) -> Result<(), ArchiveError> {
    let file = path.to_owned();
    match fs::metadata(path) {
        Err(reason) if reason.kind() == ErrorKind::NotFound => return Ok(()),
        Err(reason) => return Err(ArchiveError::Io { file, reason }),
        Ok(found) if !found.is_file() => return Err(ArchiveError::NoFile { file }),
        Ok(_) => {}
    }
    if !force && version(path).is_none() {
        return Err(ArchiveError::NotOurs { file });
    }
    // A journal that another program left would be taken for one of the new file.
    let journals = ["-wal", "-journal"].map(|ending| {
        let mut name = path.as_os_str().to_owned();
        name.push(ending);
        PathBuf::from(name)
    });
    let holds_work = |journal: &PathBuf| fs::metadata(journal).is_ok_and(|found| found.len() > 0);
    match journals.into_iter().find(holds_work) {
        Some(file) => Err(ArchiveError::InUse { file }),
        None => Ok(()),
    }
}
