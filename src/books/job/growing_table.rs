//! [`GrowingTable`]: a table of a job to which rows are only added.

use std::fs::{File, OpenOptions};
use std::io::{self, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

use super::JobError;
use crate::engine::source::{
    Dialect, Fault, Layout, Problem, Table, TableRemark, TextEncoding, TextError,
};
use crate::platform::{Held, has_a_name, hold, try_hold};

/// Advice on a table that is not as it should be.
#[derive(Debug, Clone, Copy, Default)]
pub struct Advice<'a> {
    /// Advice on a torn last row.
    pub lost: &'a str,
    /// Advice on how a table of other columns is made anew, behind what was found.
    pub anew: &'a str,
}

/// A table of a job, open at its end and locked against others that would add to it.
#[derive(Debug)]
pub struct GrowingTable {
    path: PathBuf,
    file: File,
    _held: Held,
    columns: Vec<&'static str>,
    needs_header: bool,
}

impl GrowingTable {
    /// Opens the table at its end, or makes it, and waits while another program adds to it. A torn last row is cut off, since a
    /// program was killed while it wrote, and `remark` says so with what to do about it.
    ///
    /// # Errors
    /// If it cannot be opened, or its columns are not these or not written as we do (then nothing is touched).
    pub fn open(
        path: &Path,
        columns: &[&'static str],
        advice: Advice<'_>,
        remark: impl Fn(&str),
    ) -> Result<Self, JobError> {
        let refused = |source| not_added(path, source);
        let mut file = OpenOptions::new()
            .read(true)
            .write(true)
            .create(true)
            .truncate(false)
            .open(path)
            .map_err(refused)?;
        let name = path.file_name().unwrap_or_default().display();
        let held = if let Some(held) = try_hold(path, &file).map_err(refused)? {
            held
        } else {
            remark(&format!("waiting for another program that adds to {name}"));
            hold(path, &file).map_err(refused)?
        };
        let mut text = Vec::new();
        file.read_to_end(&mut text).map_err(refused)?;
        let whole = whole_of_ours(path, columns, &text, advice.anew)?;
        if whole > 0 && !text[..whole].ends_with(b"\n") {
            file.write_all(b"\r\n").map_err(refused)?;
        }
        if whole < text.len() {
            file.set_len(whole as u64).map_err(refused)?;
            remark(&format!(
                "the last row of {name} was torn and is cut off{}",
                advice.lost
            ));
        }
        Ok(Self {
            path: path.to_owned(),
            file,
            _held: held,
            columns: columns.to_vec(),
            needs_header: whole == 0,
        })
    }

    /// Whether it is empty and still needs the row that names its columns.
    pub const fn needs_header(&self) -> bool {
        self.needs_header
    }

    /// Adds a row, and brings it to the disk.
    ///
    /// # Errors
    /// If it cannot be written; the table is then as it was.
    pub fn add(&mut self, row: &[String]) -> Result<(), JobError> {
        let mut bytes = Vec::new();
        {
            let mut writer = crate::engine::source::csv_writer(&mut bytes);
            let header = self.needs_header.then_some(&self.columns);
            let written = header
                .map_or(Ok(()), |columns| writer.write_record(columns))
                .and_then(|()| writer.write_record(row));
            written.expect("memory takes every row");
        }
        let written = self
            .write_all(&bytes)
            .and_then(|()| self.file.sync_data())
            .map_err(|source| not_added(&self.path, source));
        self.needs_header &= written.is_err();
        written
    }
}

impl Write for GrowingTable {
    /// Writes all of it or nothing; whether it is on the disk yet the system knows.
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        has_a_name(&self.file)?;
        let before = self.file.seek(SeekFrom::End(0))?;
        let written = self.file.write_all(bytes);
        if written.is_err() {
            // A torn row goes; if that fails too, it is cut off when the file is next opened.
            let _ = self.file.set_len(before);
        }
        written.map(|()| bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        self.file.flush()
    }
}

fn not_added(path: &Path, source: io::Error) -> JobError {
    JobError::NotAdded {
        file: path.display().to_string(),
        source,
    }
}

/// End of the whole rows of a table with these columns that is written as we do, in bytes.
fn whole_of_ours(
    path: &Path,
    columns: &[&'static str],
    text: &[u8],
    anew: &str,
) -> Result<usize, TextError> {
    let name = path.display().to_string();
    let header = columns.join(",");
    let layout = Layout {
        grows: true,
        ..Layout::of(&name, columns)
    };
    let table = Table::read(text, &layout, Dialect::default());
    let refused = |words: String| {
        let words = format!("{words}; nothing was written");
        Err(TextError::new(
            &name,
            vec![Fault::in_line(1, Problem(words))],
        ))
    };
    let foreign = table
        .remarks
        .iter()
        .find(|remark| **remark != TableRemark::Encoding(TextEncoding::MarkedUtf8));
    if let Some(foreign) = foreign {
        return refused(format!(
            "found a table that a spreadsheet has saved ({foreign}), which may have rounded its numbers, expected one to add rows to, \
             with commas, decimals with a point, and in UTF-8; move the file away and go on, or put an older copy in its place: the \
             recordings keep everything"
        ));
    }
    if !table.faults.is_empty() {
        return Err(TextError::new(&name, table.faults));
    }
    let ours = match table.whole {
        // Without a whole row the file may be a header that was torn, and nothing else.
        0 => header.as_bytes().starts_with(text.trim_ascii_end()),
        _ => table
            .header()
            .iter()
            .map(str::trim)
            .eq(columns.iter().copied()),
    };
    if ours {
        return Ok(table.whole);
    }
    let first = text.split(|byte| matches!(byte, b'\r' | b'\n')).next();
    let first = String::from_utf8_lossy(first.unwrap_or_default());
    refused(format!(
        "found the columns `{}`, expected `{header}`: they are not those of this version of the program; mend the first line, or move \
         the file away and go on: the recordings keep everything{anew}",
        first.trim_start_matches('\u{feff}')
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    const COLUMNS: [&str; 3] = ["time", "ref", "reason"];
    const HEADER: &str = "time,ref,reason\r\n";

    /// A table of that text, opened: what was remarked, or what was refused.
    fn opened(text: &str) -> (tempfile::TempDir, Result<(GrowingTable, String), String>) {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("table.csv");
        std::fs::write(&path, text).unwrap();
        let said = std::cell::RefCell::new(String::new());
        let advice = Advice {
            lost: "",
            anew: ", and `this` makes it anew",
        };
        let table = GrowingTable::open(&path, &COLUMNS, advice, |words| {
            said.borrow_mut().push_str(words);
        });
        (
            dir,
            table
                .map(|table| (table, said.take()))
                .map_err(|error| error.to_string()),
        )
    }

    fn text(table: &GrowingTable) -> String {
        std::fs::read_to_string(&table.path).unwrap()
    }

    fn row(cells: [&str; 3]) -> Vec<String> {
        cells.map(str::to_owned).to_vec()
    }

    #[test]
    fn rows_are_added_below_the_names_of_the_columns() {
        let (_dir, table) = opened("");
        let (mut table, said) = table.unwrap();
        assert!(table.needs_header() && said.is_empty());
        table.add(&row(["1", "R1", "two\nlines"])).unwrap();
        table.add(&row(["2", "R2", ""])).unwrap();
        assert_eq!(
            text(&table),
            format!("{HEADER}1,R1,\"two\nlines\"\r\n2,R2,\r\n")
        );
    }

    #[test]
    fn a_torn_last_row_is_cut_off_and_said() {
        for torn in ["1,R", "1,R1,\"first\nsec", "1,R1,x", "\u{b5}"] {
            let (_dir, table) = opened(&format!("{HEADER}0,R0,\r\n{torn}"));
            let (mut table, said) = table.unwrap();
            assert!(said.contains("of table.csv was torn"), "{said}");
            table.add(&row(["2", "R2", ""])).unwrap();
            assert_eq!(text(&table), format!("{HEADER}0,R0,\r\n2,R2,\r\n"));
        }
        let (_dir, table) = opened("time,re");
        assert!(table.unwrap().0.needs_header());
    }

    #[test]
    fn what_an_editor_or_a_spreadsheet_saved_with_commas_is_added_to() {
        let quoted = "\u{feff}\"time\",\"ref\",\"reason\"\n";
        for (saved, kept) in [
            (quoted.to_owned(), quoted.to_owned()),
            (
                "time,ref,reason\n1,R1,x".to_owned(),
                "time,ref,reason\n1,R1,x\r\n".to_owned(),
            ),
        ] {
            let (_dir, table) = opened(&saved);
            let (mut table, said) = table.unwrap();
            assert!(said.is_empty() && !table.needs_header(), "{said}");
            table.add(&row(["2", "R2", ""])).unwrap();
            assert_eq!(text(&table), format!("{kept}2,R2,\r\n"));
        }
    }

    #[test]
    fn what_is_not_written_as_ours_is_left_alone() {
        for (foreign, words) in [
            (
                "time;ref;reason\r\n1;R1;x\r\n",
                "columns parted by semicolons",
            ),
            ("time\tref\treason\r\n", "columns parted by tabs"),
            ("time,ref,reason\r1,R1,x\r", "carriage return alone"),
            ("a,b\n1,2\n3", "found the columns `a,b`"),
            ("time,ref\r\n", "not those of this version"),
            (
                "time,ref,reason\r\n1,R1,\"x\r\n2,R2,y\r\n",
                "table.csv:2: found a quotation mark that is never closed",
            ),
            ("time,ref\r\n", "keep everything, and `this` makes it anew"),
        ] {
            let (dir, table) = opened(foreign);
            let error = table.map(|_| ()).unwrap_err();
            assert!(
                error.contains("table.csv:") && error.contains(words),
                "{error}"
            );
            let kept = std::fs::read_to_string(dir.path().join("table.csv")).unwrap();
            assert_eq!(kept, foreign);
        }
    }
}
