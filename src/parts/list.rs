//! [`PartsList`]: the parts of a job, in the order of its file.

use std::collections::HashMap;

use super::{Header, ListError, ListErrors, Part, Problem, Row, encoding};
use crate::quantity::Drawing;

/// How a parts list is to be read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct ListSettings {
    /// `M` behind a resistance means a thousand, as on some old drawings.
    pub m_is_thousand: bool,
}

impl ListSettings {
    /// The conventions of the drawing that these settings describe.
    pub const fn drawing(self) -> Drawing {
        Drawing {
            m_is_thousand: self.m_is_thousand,
        }
    }
}

/// The parts of a job. Designators are unique, upper and lower case alike.
#[derive(Debug, Clone, PartialEq)]
pub struct PartsList {
    /// The parts, in the order of the file; at least one.
    pub parts: Vec<Part>,
    /// The names of columns the program does not know, as written and in their order.
    pub extra_columns: Vec<String>,
}

impl PartsList {
    /// The part with this designator, upper and lower case alike.
    pub fn find(&self, designator: &str) -> Option<&Part> {
        self.parts
            .iter()
            .find(|part| part.designator.eq_ignore_ascii_case(designator))
    }
}

/// Reads the text of a parts list: comma-separated values (RFC 4180) in UTF-8, the first line naming the columns
/// `ref,kind,value,tolerance,rating,material,role,from,to,in_circuit,note,loss,leakage,frequency,sheet_ohm_per_volt,sheet_range,source_ohm,with,also,law,load,largest`
/// in any order, of which `ref`, `kind` and `value` are required. A byte order mark is skipped, names are known in upper and lower case, rows without any text are skipped,
/// and columns of other names are kept as they are.
///
/// # Errors
/// [`ListErrors`] with everything that is wrong with the file, in the order of its rows.
pub fn read(text: &[u8], settings: &ListSettings) -> Result<PartsList, ListErrors> {
    let (text, mut errors) = encoding::decode(text);
    if text.trim().is_empty() {
        errors.push(ListError::in_file(1, Problem::EmptyFile));
        return Err(ListErrors::new(errors));
    }
    let bad_rows: Vec<usize> = errors.iter().map(|error| error.row).collect();
    errors.extend(encoding::unclosed_quote(&text));
    let mut records = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .comment(Some(b'#'))
        .from_reader(text.as_bytes());
    let mut rows = Reading {
        header: None,
        parts: Vec::new(),
        first_rows: HashMap::new(),
        errors,
        bad_rows,
    };
    let mut record = csv::StringRecord::new();
    // Reading valid text from memory cannot fail, so an error and the end are the same.
    while records.read_record(&mut record).unwrap_or(false) {
        rows.take(
            &record,
            encoding::row_of(&record, &text),
            settings.drawing(),
        );
    }
    rows.finish()
}

/// What has been read so far.
struct Reading {
    header: Option<Header>,
    parts: Vec<Part>,
    /// Designators in lower case, with the row of each.
    first_rows: HashMap<String, usize>,
    errors: Vec<ListError>,
    /// Rows that are not UTF-8; they are reported already.
    bad_rows: Vec<usize>,
}

impl Reading {
    fn take(&mut self, record: &csv::StringRecord, row: usize, drawing: Drawing) {
        let Some(header) = &self.header else {
            let (header, errors) = Header::read(record, row);
            self.errors.extend(errors);
            self.header = Some(header);
            return;
        };
        let garbled = !self.bad_rows.is_empty()
            && record
                .iter()
                .any(|field| field.contains(char::REPLACEMENT_CHARACTER));
        if garbled || !header.is_complete() || record.iter().all(|field| field.trim().is_empty()) {
            return;
        }
        let row = Row {
            header,
            record,
            line: row,
            drawing,
        };
        let designator = row.designator();
        if let Some(first) =
            designator.and_then(|name| self.first_rows.get(&name.to_ascii_lowercase()))
        {
            let problem = Problem::Duplicate {
                found: designator.unwrap_or_default().to_owned(),
                first: *first,
            };
            self.errors
                .push(ListError::in_column(row.line, "ref", problem));
        } else if let Some(name) = designator {
            self.first_rows.insert(name.to_ascii_lowercase(), row.line);
        }
        self.parts.extend(row.part(&mut self.errors));
    }

    /// Partners are known once every row has been read.
    fn check_partners(&mut self) {
        for part in &self.parts {
            for name in part.partners.designators() {
                let problem = if name.eq_ignore_ascii_case(&part.designator) {
                    Problem::OwnPartner {
                        found: name.to_owned(),
                    }
                } else if self.first_rows.contains_key(&name.to_ascii_lowercase()) {
                    continue;
                } else {
                    Problem::UnknownPartner {
                        found: name.to_owned(),
                    }
                };
                self.errors
                    .push(ListError::in_column(part.row, "with", problem));
            }
        }
    }

    fn finish(mut self) -> Result<PartsList, ListErrors> {
        if self.errors.is_empty() && self.parts.is_empty() {
            self.errors.push(ListError::in_file(1, Problem::NoRows));
        }
        self.check_partners();
        if !self.errors.is_empty() {
            return Err(ListErrors::new(self.errors));
        }
        let extra_columns = self
            .header
            .map(|header| header.extra_names().to_vec())
            .unwrap_or_default();
        Ok(PartsList {
            parts: self.parts,
            extra_columns,
        })
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    proptest! {
        #[test]
        fn no_bytes_make_the_reader_panic(bytes in proptest::collection::vec(any::<u8>(), 0..200), rows in "[RC1-4rk,\"\n ;%]{0,80}") {
            let _ = read(&bytes, &ListSettings::default());
            let _ = read(format!("ref,kind,value\n{rows}").as_bytes(), &ListSettings::default());
        }
    }
}
