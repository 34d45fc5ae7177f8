//! [`open_results`]: `results.csv` of a job, to be added to.

use std::fs::{File, OpenOptions};
use std::io::{self, Read, Seek, SeekFrom, Write};
use std::path::Path;

use super::COLUMNS;
use crate::engine::source::whole_rows;

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
    let mut text = Vec::new();
    file.read_to_end(&mut text)?;
    let (length, whole) = (text.len() as u64, whole_rows(&text) as u64);
    check_header(&text, whole > 0)?;
    if whole > 0 && whole == length && !text.ends_with(b"\n") {
        file.write_all(b"\r\n")?;
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

/// Refuses a file that does not begin with our columns. One without a whole row may be our header, torn.
fn check_header(text: &[u8], has_row: bool) -> io::Result<()> {
    let ours = if has_row {
        csv::Reader::from_reader(text)
            .headers()
            .is_ok_and(|found| found.iter().eq(COLUMNS.iter().map(|(name, _)| *name)))
    } else {
        let header = COLUMNS.map(|(name, _)| name).join(",");
        header.as_bytes().starts_with(text.trim_ascii_end())
    };
    if ours {
        return Ok(());
    }
    Err(io::Error::new(io::ErrorKind::InvalidData, why_not(text)))
}

fn why_not(text: &[u8]) -> &'static str {
    let end = memchr::memchr2(b'\r', b'\n', text).unwrap_or(text.len());
    let separators = COLUMNS.len() - 1;
    let parted_otherwise =
        [b';', b'\t'].map(|sign| memchr::memchr_iter(sign, &text[..end]).count() >= separators);
    let utf16 = text.starts_with(b"\xff\xfe") || text.starts_with(b"\xfe\xff");
    let carriage_returns = !text.contains(&b'\n') && text.contains(&b'\r');
    if parted_otherwise.contains(&true) || utf16 || carriage_returns {
        "a spreadsheet has saved it with other separators, line ends or in UTF-16, and may have rounded its numbers; move the file \
         away and go on, or put an older copy in its place: the recordings keep everything"
    } else {
        "its columns are not those of this version of the program; move the file away and go on, the recordings keep everything"
    }
}

#[cfg(test)]
mod tests {
    use super::*;

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
    fn a_file_that_a_spreadsheet_saved_with_other_separators_is_left_alone() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("results.csv");
        for foreign in [
            header().replace(',', ";") + "one\r\n",
            header().replace(',', "\t"),
            header().replace("\r\n", "\r") + "one\r",
        ] {
            std::fs::write(&path, &foreign).unwrap();
            let error = open_results(&path).unwrap_err().to_string();
            assert!(error.contains("a spreadsheet has saved it"), "{error}");
            assert_eq!(std::fs::read_to_string(&path).unwrap(), foreign);
        }
    }

    #[test]
    fn a_file_that_a_spreadsheet_saved_with_commas_is_added_to() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("results.csv");
        let quoted = COLUMNS.map(|(name, _)| format!("\"{name}\"")).join(",");
        std::fs::write(&path, format!("\u{feff}{quoted}\n")).unwrap();
        let opened = open_results(&path).unwrap();
        assert_eq!((opened.needs_header, opened.cut), (false, 0));
    }

    #[test]
    fn a_row_torn_within_a_cell_of_several_lines_is_cut_off_whole() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("results.csv");
        std::fs::write(&path, header() + "one\r\ntwo,\"first\nsec").unwrap();
        assert_eq!(open_results(&path).unwrap().cut, 14);
        let kept = std::fs::read_to_string(&path).unwrap();
        assert_eq!(kept, header() + "one\r\n");
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
