//! [`write_whole`]: a file appears whole or not at all.

use std::fs::Permissions;
use std::io::{self, Write};
use std::os::unix::fs::PermissionsExt;
use std::path::Path;

use super::JobError;

/// Writes `bytes` to a file that is there at once and whole: they go to a file beside it first, are brought to the disk, and
/// then get its name. One that exists is only replaced if `replace` says so.
///
/// # Errors
/// [`JobError::Exists`] if the file is there and may not be replaced, [`JobError::Io`] if it cannot be written; whatever was
/// there is as it was.
pub fn write_whole(path: &Path, bytes: &[u8], replace: bool) -> Result<(), JobError> {
    let refused = |source| JobError::Io {
        file: path.display().to_string(),
        source,
    };
    let exists = || JobError::Exists {
        file: path.display().to_string(),
    };
    if !replace && path.exists() {
        return Err(exists());
    }
    let folder = match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    };
    let beside = || {
        let mut file = tempfile::Builder::new()
            .prefix(".probewright-")
            // As any new file: what the umask leaves.
            .permissions(Permissions::from_mode(0o666))
            .tempfile_in(folder)?;
        file.write_all(bytes)?;
        file.as_file().sync_all()?;
        Ok(file)
    };
    let file = beside().map_err(refused)?;
    let named = if replace {
        file.persist(path)
    } else {
        file.persist_noclobber(path)
    };
    match named {
        Ok(_) => Ok(()),
        Err(error) if error.error.kind() == io::ErrorKind::AlreadyExists => Err(exists()),
        Err(error) => Err(refused(error.error)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_is_only_replaced_if_that_is_wanted() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("list.csv");
        write_whole(&path, b"one", false).unwrap();
        let refused = write_whole(&path, b"two", false);
        assert!(matches!(refused, Err(JobError::Exists { .. })));
        assert_eq!(std::fs::read(&path).unwrap(), b"one");
        write_whole(&path, b"two", true).unwrap();
        assert_eq!(std::fs::read(&path).unwrap(), b"two");
        assert_eq!(std::fs::read_dir(dir.path()).unwrap().count(), 1);
    }

    #[test]
    fn where_nothing_can_be_written_the_file_is_named() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("no folder").join("list.csv");
        let error = write_whole(&path, b"one", false).unwrap_err().to_string();
        assert!(error.contains("list.csv"), "{error}");
    }
}
