//! How text goes into a cell of a job's CSV files, and comes back.

/// What makes a spreadsheet take a cell for a formula.
const FORMULA: [char; 6] = ['=', '+', '-', '@', '\t', '\r'];

/// The text of a cell. One that a spreadsheet would take for a formula gets an apostrophe in front.
pub fn cell(text: &str) -> String {
    if text.starts_with(FORMULA) {
        format!("'{text}")
    } else {
        text.to_owned()
    }
}

/// The writer of every table of ours: comma-separated values, lines ended by a carriage return and a line feed (RFC 4180).
pub(crate) fn csv_writer<W: std::io::Write>(out: W) -> csv::Writer<W> {
    csv::WriterBuilder::new()
        .terminator(csv::Terminator::CRLF)
        .from_writer(out)
}

/// What [`cell`] was given.
pub fn from_cell(cell: &str) -> &str {
    match cell.strip_prefix('\'') {
        Some(text) if text.starts_with(FORMULA) => text,
        _ => cell,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cell_is_never_a_formula_and_comes_back() {
        for (text, written) in [
            ("=1+1", "'=1+1"),
            ("-10/+50", "'-10/+50"),
            ("@home", "'@home"),
            ("R1", "R1"),
            ("", ""),
            ("'tis", "'tis"),
        ] {
            assert_eq!(cell(text), written);
            assert_eq!(from_cell(written), text);
        }
    }
}
