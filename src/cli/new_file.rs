//! [`write_file`]: a file appears whole or not at all.

use std::fs::{self, File, Permissions};
use std::io::{self, Write as _};
use std::os::unix::fs::PermissionsExt as _;
use std::path::Path;

use anyhow::{Context, Result};
use tempfile::Builder;

use super::status::BadInput;

/// Writes the bytes into a new file: into a temporary one beside it, which is brought to the disk and then takes the name. A file that
/// is there is replaced only if `force` says so; what is no file, such as a pipe, is written to as it is.
///
/// # Errors
/// If a file is there, or it cannot be written; then nothing was changed.
pub(crate) fn write_file(path: &Path, bytes: &[u8], force: bool) -> Result<()> {
    let shown = path.display();
    let cannot = || format!("cannot write `{shown}`, nothing was changed");
    match fs::metadata(path) {
        Ok(found) if found.is_dir() => Err(BadInput(format!(
            "`{shown}` is a folder, expected the name of a file"
        ))
        .into()),
        Ok(found) if !found.is_file() => write_into(path, bytes).with_context(cannot),
        Ok(_) if !force => {
            let exists = format!(
                "`{shown}` exists already, nothing was changed; give --force to replace it"
            );
            Err(BadInput(exists).into())
        }
        _ => replace(path, bytes, force).with_context(cannot),
    }
}

fn write_into(path: &Path, bytes: &[u8]) -> io::Result<()> {
    File::options().write(true).open(path)?.write_all(bytes)
}

fn replace(path: &Path, bytes: &[u8], force: bool) -> io::Result<()> {
    let folder = path.parent().filter(|parent| parent.as_os_str() != "");
    let mut file = Builder::new()
        .prefix(".probewright-")
        .permissions(Permissions::from_mode(0o666))
        .tempfile_in(folder.unwrap_or(Path::new(".")))?;
    file.write_all(bytes)?;
    file.as_file().sync_all()?;
    if force {
        file.persist(path)?;
    } else {
        file.persist_noclobber(path)?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_is_never_overwritten_unasked_and_leaves_nothing_beside_it() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("rows.csv");
        write_file(&path, b"one", false).unwrap();
        let error = write_file(&path, b"two", false).unwrap_err().to_string();
        assert!(error.contains("--force"), "{error}");
        assert_eq!(fs::read(&path).unwrap(), b"one");
        write_file(&path, b"two", true).unwrap();
        assert_eq!(fs::read(&path).unwrap(), b"two");
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1);
    }
}
