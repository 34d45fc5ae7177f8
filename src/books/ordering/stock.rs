//! [`Stock`]: what lies in the drawer.

use super::Item;
use crate::engine::parts::Article;
use crate::engine::quantity::Drawing;
use crate::engine::source::{Fault, Layout, Row, TextError, read_rows};

/// The columns of `stock.csv`, and what they hold. Others are passed over.
pub const STOCK_COLUMNS: [(&str, &str); 3] = [
    ("article", "what it is, such as 47uF 450V electrolytic"),
    ("count", "how many there are"),
    ("place", "where it lies; the column may be left out"),
];

/// The contents of the drawer.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Stock {
    /// The rows, in the order of the file.
    pub entries: Vec<Stocked>,
    /// Findings on the file, and remarks on its rows.
    pub remarks: Vec<String>,
}

/// A row of the stock file.
#[derive(Debug, Clone, PartialEq)]
pub struct Stocked {
    pub item: Item,
    /// Pieces of it.
    pub count: u32,
    /// The place; may be empty.
    pub place: String,
}

impl Stock {
    /// Reads the text of a stock file, which is called `file`: comma-separated values (RFC 4180) in UTF-8, the first line
    /// naming the columns in any order; lines that begin with # are remarks, empty rows are skipped. What spreadsheets write
    /// instead is read as a parts list is. What was found out so is in [`Stock::remarks`].
    ///
    /// # Errors
    /// If a column is missing or a row cannot be read.
    pub fn read(file: &str, text: &[u8]) -> Result<Self, TextError> {
        let names = STOCK_COLUMNS.map(|(name, _)| name);
        let layout = Layout {
            needed: &["article", "count"],
            expected: "a first row `article,count` and perhaps `place`",
            ..Layout::of(file, &names)
        };
        let mut in_words = Vec::new();
        let (entries, remarks) = read_rows(
            &layout,
            text,
            |column| column == "article",
            |row| {
                let stocked = Stocked::of_row(row)?;
                if let Item::Words(words) = &stocked.item {
                    in_words.push(format!(
                    "line {}: `{words}` is not read as a value with its rating; it is found only by the same words",
                    row.line
                ));
                }
                Ok(stocked)
            },
        )?;
        let remarks = remarks.iter().map(ToString::to_string);
        Ok(Self {
            entries,
            remarks: remarks.chain(in_words).collect(),
        })
    }
}

impl Stocked {
    fn of_row(row: &Row<'_>) -> Result<Self, Fault> {
        let words = |text: &str| Some(text.to_owned()).filter(|text| !text.is_empty());
        let article = row.needed(
            "article",
            "what lies there, such as `47nF 630V film`",
            words,
        )?;
        // An article if it can be read as one, else whatever it is in words.
        let read = row.plain(&article).ok();
        let read = read.and_then(|text| Article::parse(&text, Drawing::default()).ok());
        Ok(Self {
            item: read.map_or(Item::Words(article), Item::Article),
            count: row.needed("count", "a whole number", |text| text.parse().ok())?,
            place: row.text("place").trim().to_owned(),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_drawer_is_read_with_its_columns_in_any_order() {
        let text = "place,count,article\n# film\ndrawer 3,4,47nF 630V film\n,,\ndrawer 1,0,220k 1/2W film\n";
        let stock = Stock::read("stock.csv", text.as_bytes()).unwrap();
        assert_eq!(stock.entries.len(), 2);
        assert_eq!(stock.entries[0].place, "drawer 3");
        assert_eq!(stock.entries[0].count, 4);
    }

    #[test]
    fn what_is_wrong_is_named_with_its_line_and_column() {
        let read = |text: &str| Stock::read("stock.csv", text.as_bytes());
        let error = |text: &str| read(text).unwrap_err().to_string();
        assert!(error("what,count\nx,1\n").starts_with("stock.csv:1: found no column `article`"));
        assert!(
            error("article,count\n47nF 630V film,few\n").contains("stock.csv:2:count: found `few`")
        );
        assert!(error("article,count\n,1\n").starts_with("stock.csv:2:article: found nothing"));
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
                error(&text.join(ends)).starts_with("stock.csv:5:count"),
                "{ends:?}"
            );
        }
        assert!(error("article,count\n\"47nF,1\n").contains("stock.csv:2: "));
        assert!(error("").starts_with("stock.csv:1: found an empty file, expected a first row"));
    }

    #[test]
    fn the_drawer_of_a_spreadsheet_is_read_and_what_was_found_out_is_said() {
        let plain = Stock::read(
            "stock.csv",
            "article,count,place\n4.7µF 450V electrolytic,3,left\n".as_bytes(),
        );
        let plain = plain.unwrap();
        assert!(plain.remarks.is_empty());
        let sheet = "article;count;place\r\n4,7µF 450V electrolytic;3;left\r\n";
        let utf16 = "\u{feff}".to_owned() + &sheet.replace(';', "\t");
        let utf16: Vec<u8> = utf16.encode_utf16().flat_map(u16::to_le_bytes).collect();
        let mut windows: Vec<u8> = sheet.replace('µ', "?").into_bytes();
        let at = windows.iter().position(|byte| *byte == b'?').unwrap();
        windows[at] = 0xb5;
        for (text, remarks) in [
            (sheet.as_bytes().to_vec(), 2),
            (format!("\u{feff}sep=;\r\n{sheet}").into_bytes(), 3),
            (utf16, 3),
            (windows, 3),
        ] {
            let read = Stock::read("stock.csv", &text).unwrap();
            assert_eq!(read.entries, plain.entries);
            assert_eq!(read.remarks.len(), remarks, "{:?}", read.remarks);
        }
    }

    #[test]
    fn a_row_that_is_no_value_is_kept_in_words_and_said() {
        let stock = Stock::read("stock.csv", b"article,count\nknobs,3\n").unwrap();
        assert_eq!(stock.entries[0].item, Item::Words("knobs".to_owned()));
        assert!(stock.remarks[0].starts_with("line 2: `knobs`"));
        let two_ways =
            Stock::read("stock.csv", b"article;count\n1,000uF 50V electrolytic;3\n").unwrap();
        assert!(matches!(two_ways.entries[0].item, Item::Words(_)));
    }
}
