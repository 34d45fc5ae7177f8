//! [`Stock`]: what lies in the drawer.

use super::{Item, StockError};
use crate::books::job::from_cell;
use crate::engine::parts::{
    Article, Lines, ListRemark, Separator, TextEncoding, decode, first_line, is_remark, records,
    unclosed_quote,
};
use crate::engine::quantity::Drawing;

/// The columns of `stock.csv`, and what they hold. Others are passed over.
pub const STOCK_COLUMNS: [(&str, &str); 3] = [
    ("article", "what it is, such as 47uF 450V electrolytic"),
    ("count", "how many there are"),
    ("place", "where it lies; the column may be left out"),
];

/// What lies in the drawer.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Stock {
    /// The rows, in the order of the file.
    pub entries: Vec<Stocked>,
    /// What was found out about the file, and what the person should know about its rows.
    pub remarks: Vec<String>,
}

/// A row of the stock file.
#[derive(Debug, Clone, PartialEq)]
pub struct Stocked {
    /// What.
    pub item: Item,
    /// How many.
    pub count: u32,
    /// Where; may be empty.
    pub place: String,
}

impl Stock {
    /// Reads the text of a stock file: comma-separated values (RFC 4180) in UTF-8, the first line naming the columns in any
    /// order; lines that begin with # are remarks, empty rows are skipped. What spreadsheets write instead is read as a parts
    /// list is: byte order marks, UTF-16, Windows-1252, semicolons, tabs, a line `sep=;`, decimal commas. What was found out
    /// so is in [`Stock::remarks`].
    ///
    /// # Errors
    /// If a column is missing or a row cannot be read.
    pub fn read(text: &[u8]) -> Result<Self, StockError> {
        let decoded = decode(text);
        if let Some(error) = decoded.errors.into_iter().next() {
            return Err(StockError::Unreadable(error));
        }
        let mut stock = Self::default();
        if decoded.encoding != TextEncoding::Utf8 {
            stock.found(&ListRemark::Encoding(decoded.encoding));
        }
        let (text, by_line) = first_line(&decoded.text).map_err(StockError::Unreadable)?;
        let separator = by_line.unwrap_or_else(|| separator(text));
        if separator != Separator::Comma {
            stock.found(&ListRemark::Separator {
                separator,
                by_line: by_line.is_some(),
            });
        }
        if let Some(error) = unclosed_quote(text, separator) {
            return Err(StockError::Unreadable(error));
        }
        stock.take_rows(text, separator)?;
        Ok(stock)
    }

    fn found(&mut self, remark: &ListRemark) {
        self.remarks.push(remark.to_string());
    }

    fn take_rows(&mut self, text: &str, separator: Separator) -> Result<(), StockError> {
        let mut columns = None;
        let (mut reader, mut lines) = (records(text, separator), Lines::of(text));
        let mut record = csv::StringRecord::new();
        // Reading valid text from memory cannot fail, so an error and the end are the same.
        while reader.read_record(&mut record).unwrap_or(false) {
            let line = lines.line_of(&record);
            if is_remark(&record) || record.iter().all(|cell| cell.trim().is_empty()) {
                continue;
            }
            match &columns {
                None => columns = Some(Columns::read(&record)?),
                Some(columns) => self.take(columns, &record, line, separator)?,
            }
        }
        match columns {
            None => Err(StockError::NoColumn { column: "article" }),
            Some(_) => Ok(()),
        }
    }

    fn take(
        &mut self,
        columns: &Columns,
        record: &csv::StringRecord,
        line: usize,
        separator: Separator,
    ) -> Result<(), StockError> {
        let cell = |place: usize| from_cell(record.get(place).unwrap_or_default()).trim();
        let (article, count) = (cell(columns.article), cell(columns.count));
        if article.is_empty() {
            return Err(StockError::NoArticle { line });
        }
        let item = item(article, separator);
        if matches!(item, Item::Words(_)) {
            self.remarks.push(format!(
                "line {line}: `{article}` is not read as a value with its rating; it is found only by the same words"
            ));
        }
        self.entries.push(Stocked {
            item,
            count: count.parse().map_err(|_| StockError::Count {
                line,
                found: count.to_owned(),
            })?,
            place: columns.place.map(cell).unwrap_or_default().to_owned(),
        });
        Ok(())
    }
}

/// Where the columns stand.
struct Columns {
    article: usize,
    count: usize,
    place: Option<usize>,
}

impl Columns {
    fn read(header: &csv::StringRecord) -> Result<Self, StockError> {
        let needed = |column| place_of(header, column).ok_or(StockError::NoColumn { column });
        Ok(Self {
            article: needed("article")?,
            count: needed("count")?,
            place: place_of(header, "place"),
        })
    }
}

fn place_of(header: &csv::StringRecord, column: &str) -> Option<usize> {
    let mut names = header.iter();
    names.position(|found| found.trim().eq_ignore_ascii_case(column))
}

/// What parts the columns: what makes both names that must be there of the first row, else a comma.
fn separator(text: &str) -> Separator {
    let does = |separator: &Separator| {
        let mut rows = records(text, *separator).into_records();
        let header = rows.find(|row| row.as_ref().is_ok_and(|row| !is_remark(row)));
        header.is_some_and(|header| header.is_ok_and(|header| Columns::read(&header).is_ok()))
    };
    Separator::ALL.into_iter().find(does).unwrap_or_default()
}

/// What lies there: an article if it can be read as one, else whatever it is in words. Where commas do not part the columns
/// they may be decimal signs.
fn item(text: &str, separator: Separator) -> Item {
    let read = |text: &str| Article::parse(text, Drawing::default()).ok();
    let with_point = || {
        let comma = separator != Separator::Comma && text.contains(',') && !may_be_thousands(text);
        comma.then(|| read(&text.replace(',', "."))).flatten()
    };
    let words = || Item::Words(text.to_owned());
    read(text)
        .or_else(with_point)
        .map_or_else(words, Item::Article)
}

/// Whether a comma stands before three figures: `1,000` is 1 or 1000.
fn may_be_thousands(text: &str) -> bool {
    let figures = |text: &str| text.bytes().take_while(u8::is_ascii_digit).count();
    text.split(',').skip(1).any(|rest| figures(rest) == 3)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_drawer_is_read_with_its_columns_in_any_order() {
        let text = "place,count,article\n# film\ndrawer 3,4,47nF 630V film\n,,\ndrawer 1,0,220k 1/2W film\n";
        let stock = Stock::read(text.as_bytes()).unwrap();
        assert_eq!(stock.entries.len(), 2);
        assert_eq!(stock.entries[0].place, "drawer 3");
        assert_eq!(stock.entries[0].count, 4);
    }

    #[test]
    fn what_is_wrong_is_named_with_its_line_and_column() {
        let error = |text: &str| Stock::read(text.as_bytes()).unwrap_err().to_string();
        assert!(error("what,count\nx,1\n").contains("`article` is missing"));
        assert!(
            error("article,count\n47nF 630V film,few\n")
                .contains("line 2, column `count`: found `few`")
        );
        assert!(error("article,count\n,1\n").starts_with("line 2, column `article`"));
        for ends in ["\n", "\r\n", "\r"] {
            let text = [
                "# film",
                "article,count",
                "",
                "47nF 630V film,1",
                "47nF 630V film,few",
                "",
            ];
            assert!(
                error(&text.join(ends)).starts_with("line 5, column `count`"),
                "{ends:?}"
            );
        }
        assert!(error("article,count\n\"47nF,1\n").contains("2: "));
        assert!(error("").contains("`article` is missing"));
    }

    #[test]
    fn the_drawer_of_a_spreadsheet_is_read_and_what_was_found_out_is_said() {
        let plain = Stock::read("article,count,place\n4.7µF 450V electrolytic,3,left\n".as_bytes());
        let plain = plain.unwrap();
        assert!(plain.remarks.is_empty());
        let sheet = "article;count;place\r\n4,7µF 450V electrolytic;3;left\r\n";
        let utf16 = "\u{feff}".to_owned() + &sheet.replace(';', "\t");
        let utf16: Vec<u8> = utf16.encode_utf16().flat_map(u16::to_le_bytes).collect();
        let mut windows: Vec<u8> = sheet.replace('µ', "?").into_bytes();
        let at = windows.iter().position(|byte| *byte == b'?').unwrap();
        windows[at] = 0xb5;
        for (text, remarks) in [
            (sheet.as_bytes().to_vec(), 1),
            (format!("\u{feff}sep=;\r\n{sheet}").into_bytes(), 2),
            (utf16, 2),
            (windows, 2),
        ] {
            let read = Stock::read(&text).unwrap();
            assert_eq!(read.entries, plain.entries);
            assert_eq!(read.remarks.len(), remarks, "{:?}", read.remarks);
        }
    }

    #[test]
    fn a_row_that_is_no_value_is_kept_in_words_and_said() {
        let stock = Stock::read(b"article,count\nknobs,3\n").unwrap();
        assert_eq!(stock.entries[0].item, Item::Words("knobs".to_owned()));
        assert!(stock.remarks[0].starts_with("line 2: `knobs`"));
        let two_ways = Stock::read(b"article;count\n1,000uF 50V electrolytic;3\n").unwrap();
        assert!(matches!(two_ways.entries[0].item, Item::Words(_)));
    }
}
