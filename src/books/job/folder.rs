//! [`Folder`]: where the files of a job are.

use std::path::{Path, PathBuf};
use std::{fs, io};

use crate::engine::judge::capacitor::ShippedTable;
use crate::engine::sitting::Setup;
use crate::engine::source::{TextError, utf8};
use crate::platform::write_whole;

/// The folder of a job.
#[derive(Debug, Clone)]
pub struct Folder {
    root: PathBuf,
}

/// The folder as a sentence names it: in backticks, but `.` as this folder.
pub fn folder_name(folder: &Path) -> String {
    if folder == Path::new(".") {
        "this folder".to_owned()
    } else {
        format!("`{}`", folder.display())
    }
}

/// A job cannot be opened or made.
#[derive(Debug, thiserror::Error)]
pub enum JobError {
    /// There is no job in that folder.
    #[error(
        "{} is no job: it has no {missing}; make a job with `probewright new {folder}`",
        folder_name(Path::new(folder))
    )]
    NoJob {
        /// The folder as given.
        folder: String,
        /// The file that is not there.
        missing: &'static str,
    },
    /// The path is no folder.
    #[error("`{file}` is no folder, and so no job: a job is a folder with {JOB} and {PARTS} in it")]
    NotAFolder {
        /// The file as given.
        file: String,
    },
    /// A file of a new job exists already.
    #[error("`{file}` exists already; nothing was changed")]
    Exists { file: String },
    /// The text of one of its files cannot be used.
    #[error(transparent)]
    Text(#[from] TextError),
    /// Rows cannot be added to a table.
    #[error("cannot write `{file}`, nothing was added to it: {source}")]
    NotAdded {
        file: String,
        /// The reason of the operating system.
        source: io::Error,
    },
    /// The operating system refuses.
    #[error("`{file}`: {source}")]
    Io { file: String, source: io::Error },
}

const JOB: &str = Setup::JOB;
const PARTS: &str = Setup::PARTS;
const RESULTS: &str = "results.csv";
const DECISIONS: &str = "decisions.csv";
const GOODS: &str = "goods.toml";
const SITTINGS: &str = "sittings";
const INCOMING: &str = "incoming";
const INCOMING_RESULTS: &str = "incoming.csv";

impl Folder {
    /// The job in `root`.
    ///
    /// # Errors
    /// If it has no `job.toml` or no `parts.csv`.
    pub fn open(root: &Path) -> Result<Self, JobError> {
        let folder = Self {
            root: root.to_owned(),
        };
        if fs::metadata(root).is_ok_and(|there| !there.is_dir()) {
            let file = root.display().to_string();
            return Err(JobError::NotAFolder { file });
        }
        match [JOB, PARTS]
            .into_iter()
            .find(|name| !root.join(name).is_file())
        {
            Some(missing) => Err(JobError::NoJob {
                folder: root.display().to_string(),
                missing,
            }),
            None => Ok(folder),
        }
    }

    /// Makes a job in `root` with these files. Existing files are never touched.
    ///
    /// # Errors
    /// If one of the files exists or cannot be written.
    pub fn create(root: &Path, job: &str, parts: &[u8]) -> Result<Self, JobError> {
        for name in [JOB, PARTS] {
            if root.join(name).exists() {
                return Err(JobError::Exists {
                    file: root.join(name).display().to_string(),
                });
            }
        }
        let folder = Self {
            root: root.to_owned(),
        };
        let sittings = folder.sittings();
        let above = sittings
            .ancestors()
            .filter(|one| !one.as_os_str().is_empty());
        let missing: Vec<PathBuf> = above
            .take_while(|one| !one.exists())
            .map(Path::to_owned)
            .collect();
        let made = folder.fill([(JOB, job.as_bytes()), (PARTS, parts)]);
        if made.is_err() {
            // Folders made for it are not left behind; one goes only if it is empty.
            for one in &missing {
                let _ = fs::remove_dir(one);
            }
        }
        made.map(|()| folder)
    }

    /// Writes the files of a new job, all of them or none.
    fn fill(&self, files: [(&'static str, &[u8]); 2]) -> Result<(), JobError> {
        let sittings = self.sittings();
        fs::create_dir_all(&sittings).map_err(|source| io_error(&sittings, source))?;
        for (place, (name, text)) in files.iter().enumerate() {
            let path = self.root.join(name);
            let refused = match write_whole(&path, text, false) {
                Ok(true) => continue,
                Ok(false) => JobError::Exists {
                    file: path.display().to_string(),
                },
                Err(source) => io_error(&path, source),
            };
            for (name, _) in &files[..place] {
                let _ = fs::remove_file(self.root.join(name));
            }
            return Err(refused);
        }
        Ok(())
    }

    /// The folder itself.
    pub fn root(&self) -> &Path {
        &self.root
    }

    /// The name of the folder, however it was typed.
    pub fn name(&self) -> String {
        let whole = fs::canonicalize(&self.root).unwrap_or_else(|_| self.root.clone());
        let name = whole.file_name().unwrap_or(whole.as_os_str());
        name.to_string_lossy().into_owned()
    }

    /// The name of the equipment: its title in `job.toml`, else the name of the folder.
    pub fn heading(&self, title: &str) -> String {
        match title.trim() {
            "" => self.name(),
            title => title.to_owned(),
        }
    }

    /// The parts list.
    pub fn parts(&self) -> PathBuf {
        self.root.join(PARTS)
    }

    /// The results.
    pub fn results(&self) -> PathBuf {
        self.root.join(RESULTS)
    }

    /// The decisions.
    pub fn decisions(&self) -> PathBuf {
        self.root.join(DECISIONS)
    }

    /// Where the recordings lie.
    pub fn sittings(&self) -> PathBuf {
        self.root.join(SITTINGS)
    }

    /// The results of new parts, before they go in.
    pub fn incoming(&self) -> PathBuf {
        self.root.join(INCOMING_RESULTS)
    }

    /// Where the recordings of new parts lie.
    pub fn incoming_recordings(&self) -> PathBuf {
        self.root.join(INCOMING)
    }

    /// The text of `job.toml`.
    ///
    /// # Errors
    /// If it cannot be read.
    pub fn read_job(&self) -> Result<String, JobError> {
        let path = self.root.join(JOB);
        let bytes = fs::read(&path).map_err(|source| io_error(&path, source))?;
        Ok(utf8(JOB, &bytes)?.to_owned())
    }

    /// The text of `policy.toml`; empty if the job has none of its own.
    ///
    /// # Errors
    /// If it is there and cannot be read.
    pub fn read_policy(&self) -> Result<String, JobError> {
        self.read_if_any(Setup::POLICY)
    }

    /// Every file that a sitting starts from and that is there.
    ///
    /// # Errors
    /// If one cannot be read.
    pub fn read_setup(&self) -> Result<Setup, JobError> {
        let mut setup = Setup::default();
        for name in Setup::JOB_FILES {
            let path = self.root.join(name);
            match fs::read(&path) {
                Ok(content) => setup = setup.with_file(name, content),
                Err(source) if source.kind() == io::ErrorKind::NotFound => {}
                Err(source) => return Err(io_error(&path, source)),
            }
        }
        Ok(setup)
    }

    /// The text of `goods.toml`; empty if the job has none of its own.
    ///
    /// # Errors
    /// If it is there and cannot be read.
    pub fn read_goods(&self) -> Result<String, JobError> {
        self.read_if_any(GOODS)
    }

    /// Writes the table that comes with the program as one of the job, and gives its file; `None` if the job has one, which
    /// is never touched.
    ///
    /// # Errors
    /// If it cannot be written.
    pub fn write_table(&self, table: ShippedTable) -> Result<Option<PathBuf>, JobError> {
        self.write_new(table.file_name(), table.shipped_text())
    }

    /// Writes `text` as the job's table of what is on sale, and gives its file; `None` if the job has one, which is never
    /// touched.
    ///
    /// # Errors
    /// If it cannot be written.
    pub fn write_goods(&self, text: &str) -> Result<Option<PathBuf>, JobError> {
        self.write_new(GOODS, text)
    }

    /// A new file as a whole or not at all.
    fn write_new(&self, name: &str, text: &str) -> Result<Option<PathBuf>, JobError> {
        let path = self.root.join(name);
        match write_whole(&path, text.as_bytes(), false) {
            Ok(written) => Ok(written.then_some(path)),
            Err(source) => Err(io_error(&path, source)),
        }
    }

    fn read_if_any(&self, name: &str) -> Result<String, JobError> {
        let bytes = if_any(&self.root.join(name), |path| fs::read(path))?;
        Ok(utf8(name, &bytes)?.to_owned())
    }

    /// The bytes of `results.csv`; none if nothing was measured yet.
    ///
    /// # Errors
    /// If it is there and cannot be read.
    pub fn read_results(&self) -> Result<Vec<u8>, JobError> {
        if_any(&self.results(), |path| fs::read(path))
    }

    /// The bytes of `incoming.csv`; none if no new part was measured yet.
    ///
    /// # Errors
    /// If it is there and cannot be read.
    pub fn read_incoming(&self) -> Result<Vec<u8>, JobError> {
        if_any(&self.incoming(), |path| fs::read(path))
    }

    /// The bytes of `decisions.csv`; none if nothing was decided yet.
    ///
    /// # Errors
    /// If it is there and cannot be read.
    pub fn read_decisions(&self) -> Result<Vec<u8>, JobError> {
        if_any(&self.decisions(), |path| fs::read(path))
    }

    /// The recordings of its sittings, the oldest first.
    ///
    /// # Errors
    /// If the folder is there and cannot be listed.
    pub fn recordings(&self) -> Result<Vec<PathBuf>, JobError> {
        recordings_in(&self.sittings())
    }

    /// The recordings of its batches of new parts, the oldest first.
    ///
    /// # Errors
    /// If the folder is there and cannot be listed.
    pub fn batches(&self) -> Result<Vec<PathBuf>, JobError> {
        recordings_in(&self.incoming_recordings())
    }

    /// The bytes of `parts.csv`.
    ///
    /// # Errors
    /// If it cannot be read.
    pub fn read_parts(&self) -> Result<Vec<u8>, JobError> {
        let path = self.parts();
        fs::read(&path).map_err(|source| io_error(&path, source))
    }
}

/// The recordings in a folder, the oldest first; none if there is no such folder.
///
/// # Errors
/// If the folder is there and cannot be listed.
pub fn recordings_in(folder: &Path) -> Result<Vec<PathBuf>, JobError> {
    let list = |folder: &Path| {
        fs::read_dir(folder)?
            .map(|entry| Ok(entry?.path()))
            .collect::<io::Result<Vec<_>>>()
    };
    let mut files = if_any(folder, list)?;
    // Only a regular file, or a link to one, is a recording: whoever opens a pipe waits for ever. A link to nothing is left in,
    // so that what reads it says so.
    let is_recording = |path: &Path| fs::metadata(path).map_or(true, |there| there.is_file());
    files.retain(|path| {
        path.extension().is_some_and(|ending| ending == "rec") && is_recording(path)
    });
    files.sort_unstable();
    Ok(files)
}

/// Result of `read` on a file or folder; nothing if it is not there.
fn if_any<T: Default>(
    path: &Path,
    read: impl FnOnce(&Path) -> io::Result<T>,
) -> Result<T, JobError> {
    match read(path) {
        Err(source) if source.kind() == io::ErrorKind::NotFound => Ok(T::default()),
        read => read.map_err(|source| io_error(path, source)),
    }
}

fn io_error(path: &Path, source: io::Error) -> JobError {
    JobError::Io {
        file: path.display().to_string(),
        source,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_new_job_opens_and_is_never_overwritten() {
        let dir = tempfile::tempdir().unwrap();
        let root = dir.path().join("amplifier");
        Folder::create(&root, "", b"ref,kind,value\n").unwrap();
        assert!(Folder::open(&root).is_ok());
        assert!(matches!(
            Folder::create(&root, "", b""),
            Err(JobError::Exists { .. })
        ));
        assert_eq!(
            Folder::open(&root).unwrap().read_parts().unwrap(),
            b"ref,kind,value\n"
        );
    }

    #[test]
    fn a_job_that_cannot_be_made_leaves_nothing_behind() {
        let dir = tempfile::tempdir().unwrap();
        let root = dir.path().join("amplifier");
        let folder = Folder { root: root.clone() };
        // The second file has a name that no file can have, as if the disk were full by then.
        let files = [(JOB, &b""[..]), ("nowhere/parts.csv", b"")];
        assert!(folder.fill(files).is_err());
        assert!(!root.join(JOB).exists());
        // A folder in the way of the sittings.
        fs::create_dir_all(&root).unwrap();
        fs::remove_dir(folder.sittings()).unwrap();
        fs::write(folder.sittings(), "").unwrap();
        assert!(Folder::create(&root, "", b"").is_err());
        assert!(!root.join(JOB).exists() && !root.join(PARTS).exists());
    }

    #[test]
    fn only_regular_files_and_links_are_recordings() {
        let dir = tempfile::tempdir().unwrap();
        let at = |name: &str| dir.path().join(name);
        fs::write(at("b.rec"), "").unwrap();
        fs::write(at("notes.txt"), "").unwrap();
        fs::create_dir(at("folder.rec")).unwrap();
        std::os::unix::fs::symlink(at("b.rec"), at("a.rec")).unwrap();
        std::os::unix::fs::symlink(at("none"), at("gone.rec")).unwrap();
        rustix::fs::mkfifoat(rustix::fs::CWD, at("pipe.rec"), rustix::fs::Mode::RWXU).unwrap();
        let expected = ["a.rec", "b.rec", "gone.rec"].map(at);
        assert_eq!(recordings_in(dir.path()).unwrap(), expected);
        assert!(recordings_in(&at("nowhere")).unwrap().is_empty());
    }

    #[test]
    fn a_folder_without_a_job_says_what_to_do() {
        let dir = tempfile::tempdir().unwrap();
        let error = Folder::open(dir.path()).unwrap_err().to_string();
        assert!(
            error.contains("job.toml") && error.contains("probewright new"),
            "{error}"
        );
        let file = dir.path().join("archive.sqlite");
        fs::write(&file, "").unwrap();
        let error = Folder::open(&file).unwrap_err().to_string();
        assert!(
            error.contains("is no folder") && !error.contains("probewright new"),
            "{error}"
        );
    }
}
