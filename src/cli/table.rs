//! [`Table`]: rows of text in aligned columns.

use std::io::{self, Write};

/// Rows of text; the first one names the columns.
pub(crate) struct Table<const COLUMNS: usize>(Vec<[String; COLUMNS]>);

impl<const COLUMNS: usize> Table<COLUMNS> {
    /// A table with the names of its columns.
    pub(crate) fn new(names: [&str; COLUMNS]) -> Self {
        Self(vec![names.map(str::to_owned)])
    }

    /// Adds a row.
    pub(crate) fn push(&mut self, row: [String; COLUMNS]) {
        self.0.push(row);
    }

    /// How many rows there are, the names of the columns included.
    pub(crate) fn len(&self) -> usize {
        self.0.len()
    }

    /// Writes the rows, each column as wide as its widest cell, columns without any text left out.
    pub(crate) fn write(&self, out: &mut dyn Write) -> io::Result<()> {
        self.write_from(0, out)
    }

    /// The same without the names of the columns.
    pub(crate) fn write_rows(&self, out: &mut dyn Write) -> io::Result<()> {
        self.write_from(1, out)
    }

    fn write_from(&self, first: usize, out: &mut dyn Write) -> io::Result<()> {
        let width = |column: usize| {
            self.0
                .iter()
                .map(|row| row[column].chars().count())
                .max()
                .unwrap_or(0)
        };
        let used = |column: usize| self.0.iter().skip(1).any(|row| !row[column].is_empty());
        let columns: Vec<(usize, usize)> = (0..COLUMNS)
            .filter(|column| used(*column))
            .map(|column| (column, width(column)))
            .collect();
        for row in &self.0[first..] {
            let cells = columns
                .iter()
                .map(|(column, width)| format!("{:width$}", row[*column]));
            let line = cells.collect::<Vec<String>>().join("  ");
            writeln!(out, "{}", line.trim_end())?;
        }
        Ok(())
    }
}
