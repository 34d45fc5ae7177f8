//! [`TextTable`]: rows of text in aligned columns.
//!
//! [`wrapped`] and [`flowing`]: texts in lines that the terminal shows whole.

use std::io::{self, Write};

use crate::engine::quantity::with_minus;
use crate::platform::PersonsTerminal;

/// Rows of text; the first one names the columns.
pub(crate) struct TextTable<const COLUMNS: usize> {
    rows: Vec<[String; COLUMNS]>,
    /// Lines between the rows, each with the number of the row that it stands before.
    headings: Vec<(usize, String)>,
}

impl<const COLUMNS: usize> TextTable<COLUMNS> {
    /// A table with the names of its columns.
    pub(crate) fn new(names: [&str; COLUMNS]) -> Self {
        Self {
            rows: vec![names.map(str::to_owned)],
            headings: Vec::new(),
        }
    }

    /// Adds a row.
    pub(crate) fn push(&mut self, row: [String; COLUMNS]) {
        self.rows.push(row);
    }

    /// Adds a line of its own before the next row, which makes no column wider.
    pub(crate) fn head(&mut self, heading: String) {
        self.headings.push((self.rows.len(), heading));
    }

    /// Number of rows, the names of the columns included.
    pub(crate) fn len(&self) -> usize {
        self.rows.len()
    }

    /// Writes the rows, each column as wide as its widest cell, columns without any text left out.
    pub(crate) fn write(&self, out: &mut dyn Write) -> io::Result<()> {
        self.write_from(0, out)
    }

    /// Writes the table without the names of the columns.
    pub(crate) fn write_rows(&self, out: &mut dyn Write) -> io::Result<()> {
        self.write_from(1, out)
    }

    fn write_from(&self, first: usize, out: &mut dyn Write) -> io::Result<()> {
        let used = |column: &usize| self.rows.iter().skip(1).any(|row| !row[*column].is_empty());
        let used: Vec<usize> = (0..COLUMNS).filter(used).collect();
        let rows = self.rows.iter();
        let rows: Vec<Vec<&str>> = rows
            .map(|row| used.iter().map(|column| row[*column].as_str()).collect())
            .collect();
        write_headed(&rows, first, &self.headings, out)
    }
}

/// Writes the rows from `first` on, each column as wide as the widest of its cells in all rows, whatever their width: that of a
/// format has 16 bits.
pub(crate) fn write_aligned(
    rows: &[Vec<&str>],
    first: usize,
    out: &mut dyn Write,
) -> io::Result<()> {
    write_headed(rows, first, &[], out)
}

fn write_headed(
    rows: &[Vec<&str>],
    first: usize,
    headings: &[(usize, String)],
    out: &mut dyn Write,
) -> io::Result<()> {
    let columns = rows.iter().map(Vec::len).max().unwrap_or(0);
    let count = |text: &str| text.chars().count();
    let width = |column| rows.iter().map(|row| count(row[column])).max().unwrap_or(0);
    let widths: Vec<usize> = (0..columns).map(width).collect();
    for (place, row) in rows.iter().enumerate().skip(first) {
        for (_, heading) in headings.iter().filter(|(before, _)| *before == place) {
            writeln!(out, "{heading}")?;
        }
        let cells = row.iter().zip(&widths);
        let cells = cells.map(|(text, width)| {
            let blanks = " ".repeat(width - count(text));
            format!("{}{blanks}", with_minus(text))
        });
        let line = cells.collect::<Vec<String>>().join("  ");
        writeln!(out, "{}", line.trim_end())?;
    }
    Ok(())
}

/// Width of a wrapped line in columns where standard output is no terminal.
const WIDTH: usize = 80;

/// A text in lines as wide as the terminal, or of [`WIDTH`] columns elsewhere, broken at blanks: the first one behind `first`,
/// the others behind `later`.
pub(crate) fn wrapped(text: &str, first: &str, later: &str, out: &mut dyn Write) -> io::Result<()> {
    let width = PersonsTerminal::columns().unwrap_or(WIDTH);
    within(width, text, first, later, out)
}

/// Lines as they are, those that are wider than the terminal broken at blanks and continued a step further in.
pub(crate) fn flowing(text: &str, out: &mut dyn Write) -> io::Result<()> {
    let width = PersonsTerminal::columns().unwrap_or(usize::MAX);
    for line in text.lines() {
        let words = line.trim_start();
        let (first, _) = line.split_at(line.len() - words.len());
        within(width, words, first, &format!("{first}  "), out)?;
    }
    Ok(())
}

/// Wraps likewise what is written line by line.
pub(crate) fn flowed<T, E: From<io::Error>>(
    out: &mut dyn Write,
    write: impl FnOnce(&mut dyn Write) -> Result<T, E>,
) -> Result<T, E> {
    let mut text = Vec::new();
    let written = write(&mut text);
    flowing(&String::from_utf8_lossy(&text), out)?;
    written
}

fn within(
    width: usize,
    text: &str,
    first: &str,
    later: &str,
    out: &mut dyn Write,
) -> io::Result<()> {
    let (mut line, mut before) = (String::new(), first);
    for word in with_minus(text).split(' ') {
        let used = before.chars().count() + line.chars().count() + 1 + word.chars().count();
        if !line.is_empty() && used > width {
            writeln!(out, "{before}{line}")?;
            line.clear();
            before = later;
        }
        if !line.is_empty() {
            line.push(' ');
        }
        line.push_str(word);
    }
    writeln!(out, "{before}{line}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_are_aligned_however_wide_and_empty_ones_left_out() {
        let long = "x".repeat(70_000);
        let mut table = TextTable::new(["a", "none", "b"]);
        table.push([long.clone(), String::new(), "1".to_owned()]);
        let mut out = Vec::new();
        table.write(&mut out).unwrap();
        let text = String::from_utf8(out).unwrap();
        assert_eq!(text, format!("a{}  b\n{long}  1\n", " ".repeat(69_999)));
    }

    #[test]
    fn a_line_is_broken_at_a_blank_and_goes_on_under_its_beginning() {
        let mut out = Vec::new();
        wrapped(&"word ".repeat(20), "- ", "  ", &mut out).unwrap();
        let text = String::from_utf8(out).unwrap();
        assert_eq!(text.lines().count(), 2);
        assert!(
            text.starts_with("- word") && text.contains("\n  word"),
            "{text}"
        );
        assert!(text.lines().all(|line| line.chars().count() <= WIDTH));
    }
}
