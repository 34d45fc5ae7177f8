//! [`open_results`]: `results.csv` of a job, to be added to.

use std::fs::{File, OpenOptions};
use std::io::{self, Read, Seek, SeekFrom};
use std::path::Path;

use super::results::COLUMNS;

/// `results.csv`, open at its end.
#[derive(Debug)]
pub struct Opened {
    /// The file.
    pub file: File,
    /// Whether it is empty and still needs its header.
    pub needs_header: bool,
    /// Bytes of a torn last row that were cut off: a sitting was killed while it wrote. Its recording has the value.
    pub cut: u64,
}

/// Opens the results of a job at their end, or makes the file.
///
/// # Errors
/// If it cannot be opened, or if its header is not ours (then nothing is touched).
pub fn open_results(path: &Path) -> io::Result<Opened> {
    let mut file = OpenOptions::new()
        .read(true)
        .append(true)
        .create(true)
        .open(path)?;
    let length = file.metadata()?.len();
    let whole = end_of_last_row(&mut file, length)?;
    if whole > 0 {
        check_header(&mut file)?;
    }
    if whole < length {
        file.set_len(whole)?;
    }
    file.seek(SeekFrom::End(0))?;
    Ok(Opened {
        file,
        needs_header: whole == 0,
        cut: length - whole,
    })
}

/// The offset behind the last line end. Rows hold no line end inside, as long as no designator does.
fn end_of_last_row(file: &mut File, length: u64) -> io::Result<u64> {
    const TAIL: u64 = 64 * 1024;
    let from = length.saturating_sub(TAIL);
    file.seek(SeekFrom::Start(from))?;
    let mut tail = Vec::new();
    file.read_to_end(&mut tail)?;
    match memchr::memrchr(b'\n', &tail) {
        Some(at) => Ok(from + at as u64 + 1),
        None if from == 0 => Ok(0),
        None => Err(io::Error::new(
            io::ErrorKind::InvalidData,
            "its last row is longer than 64 KiB; move the file away",
        )),
    }
}

fn check_header(file: &mut File) -> io::Result<()> {
    file.seek(SeekFrom::Start(0))?;
    let mut reader = csv::Reader::from_reader(file);
    let ours = reader
        .headers()
        .is_ok_and(|found| found.iter().eq(COLUMNS.iter().map(|(name, _)| *name)));
    if ours {
        return Ok(());
    }
    let expected = "its columns are not those of this version of the program; move the file away and go on, the recordings keep everything";
    Err(io::Error::new(io::ErrorKind::InvalidData, expected))
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::Write;

    fn header() -> String {
        COLUMNS.map(|(name, _)| name).join(",") + "\r\n"
    }

    #[test]
    fn a_torn_last_row_is_cut_off_and_the_rest_kept() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("results.csv");
        std::fs::write(&path, header() + "one\r\n2056-11-0").unwrap();
        let mut opened = open_results(&path).unwrap();
        assert_eq!((opened.needs_header, opened.cut), (false, 9));
        opened.file.write_all(b"two\r\n").unwrap();
        assert_eq!(
            std::fs::read_to_string(&path).unwrap(),
            header() + "one\r\ntwo\r\n"
        );
    }

    #[test]
    fn a_foreign_file_is_left_alone() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("results.csv");
        std::fs::write(&path, "a,b\n1,2\n3").unwrap();
        assert!(open_results(&path).is_err());
        assert_eq!(std::fs::read_to_string(&path).unwrap(), "a,b\n1,2\n3");
    }

    #[test]
    fn a_file_of_fewer_quantities_is_left_alone_with_the_reason() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("results.csv");
        let older = COLUMNS
            .map(|(name, _)| name)
            .into_iter()
            .filter(|name| {
                !["_henry", "_volt", "_ampere"]
                    .iter()
                    .any(|end| name.ends_with(end))
            })
            .collect::<Vec<_>>()
            .join(",")
            + "\r\n";
        std::fs::write(&path, &older).unwrap();
        let error = open_results(&path).unwrap_err().to_string();
        assert!(error.contains("not those of this version"), "{error}");
        assert_eq!(std::fs::read_to_string(&path).unwrap(), older);
    }

    #[test]
    fn a_new_file_needs_its_header() {
        let dir = tempfile::tempdir().unwrap();
        assert!(
            open_results(&dir.path().join("results.csv"))
                .unwrap()
                .needs_header
        );
    }
}
