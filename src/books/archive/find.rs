//! [`find_jobs`]: the jobs below a folder.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

/// What was found below a folder.
#[derive(Debug, Default)]
pub struct Found {
    /// The folders of jobs, by name.
    pub jobs: Vec<PathBuf>,
    /// Folders that could not be looked into, and why.
    pub closed: Vec<(PathBuf, io::Error)>,
}

/// The folders below `root`, itself included, that hold a `job.toml` and a `parts.csv`. Links and folders whose name begins with a dot are
/// not followed.
///
/// # Errors
/// If `root` itself cannot be looked into.
pub fn find_jobs(root: &Path) -> io::Result<Found> {
    let mut found = Found::default();
    let mut folders = folders_in(root)?;
    if is_job(root) {
        found.jobs.push(root.to_owned());
    }
    while let Some(folder) = folders.pop() {
        if is_job(&folder) {
            found.jobs.push(folder.clone());
        }
        match folders_in(&folder) {
            Ok(inner) => folders.extend(inner),
            Err(error) => found.closed.push((folder, error)),
        }
    }
    found.jobs.sort_unstable();
    found.closed.sort_unstable_by(|a, b| a.0.cmp(&b.0));
    Ok(found)
}

fn is_job(folder: &Path) -> bool {
    folder.join("job.toml").is_file() && folder.join("parts.csv").is_file()
}

fn folders_in(folder: &Path) -> io::Result<Vec<PathBuf>> {
    let mut folders = Vec::new();
    for entry in fs::read_dir(folder)? {
        let entry = entry?;
        let hidden = entry.file_name().as_encoded_bytes().starts_with(b".");
        if entry.file_type()?.is_dir() && !hidden {
            folders.push(entry.path());
        }
    }
    Ok(folders)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn jobs_are_found_at_any_depth_by_both_of_their_files() {
        let root = tempfile::tempdir().unwrap();
        let make = |name: &str, files: &[&str]| {
            let folder = root.path().join(name);
            fs::create_dir_all(&folder).unwrap();
            for file in files {
                fs::write(folder.join(file), "").unwrap();
            }
        };
        make("b/inner", &["job.toml", "parts.csv"]);
        make("a", &["job.toml", "parts.csv"]);
        make("half", &["job.toml"]);
        make(".hidden", &["job.toml", "parts.csv"]);
        std::os::unix::fs::symlink(root.path(), root.path().join("round")).unwrap();
        let found = find_jobs(root.path()).unwrap();
        let expected = ["a", "b/inner"].map(|name| root.path().join(name));
        assert_eq!(found.jobs, expected);
        assert!(found.closed.is_empty());
        assert!(find_jobs(&root.path().join("none")).is_err());
    }
}
