//! [`Stock`]: what lies in the drawer.

use thiserror::Error;

use super::Item;
use crate::job::from_cell;
use crate::parts::Article;
use crate::quantity::Drawing;

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

/// What is wrong with a stock file, and where.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum StockError {
    /// It is not UTF-8.
    #[error("not UTF-8: save it as CSV in UTF-8")]
    NotUtf8,
    /// A column is not there.
    #[error(
        "the column `{column}` is missing; expected `article,count` and perhaps `place`, separated by commas"
    )]
    NoColumn {
        /// Its name.
        column: &'static str,
    },
    /// A row does not say what it is about.
    #[error("line {line}, column `article`: it is empty")]
    NoArticle {
        /// The line that the row begins on, counted from one.
        line: u64,
    },
    /// A count is none.
    #[error("line {line}, column `count`: found `{found}`, expected a whole number")]
    Count {
        /// The line that the row begins on, counted from one.
        line: u64,
        /// What stands there.
        found: String,
    },
}

impl Stock {
    /// Reads the text of a stock file: comma-separated values (RFC 4180) in UTF-8, the first line naming the columns in any
    /// order; lines that begin with # are remarks, empty rows are skipped.
    ///
    /// # Errors
    /// If a column is missing or a row cannot be read.
    pub fn read(text: &[u8]) -> Result<Self, StockError> {
        let text = text.strip_prefix(b"\xef\xbb\xbf").unwrap_or(text);
        std::str::from_utf8(text).map_err(|_| StockError::NotUtf8)?;
        let mut reader = csv::ReaderBuilder::new()
            .flexible(true)
            .comment(Some(b'#'))
            .from_reader(text);
        let header = reader.headers().map_err(|_| StockError::NotUtf8)?.clone();
        let place_of = |name: &str| {
            let mut names = header.iter();
            names.position(|found| found.trim().eq_ignore_ascii_case(name))
        };
        let needed = |column| place_of(column).ok_or(StockError::NoColumn { column });
        let (article, count, place) = (needed("article")?, needed("count")?, place_of("place"));
        let mut entries = Vec::new();
        for record in reader.records() {
            let record = record.map_err(|_| StockError::NotUtf8)?;
            let cell = |place: usize| from_cell(record.get(place).unwrap_or_default()).trim();
            if record.iter().all(|cell| cell.trim().is_empty()) {
                continue;
            }
            let line = record.position().map_or(0, csv::Position::line);
            entries.push(Stocked {
                item: item(cell(article)).ok_or(StockError::NoArticle { line })?,
                count: cell(count).parse().map_err(|_| StockError::Count {
                    line,
                    found: cell(count).to_owned(),
                })?,
                place: place.map(cell).unwrap_or_default().to_owned(),
            });
        }
        Ok(Self { entries })
    }
}

/// What lies there: an article if it can be read as one, else whatever it is in words.
fn item(text: &str) -> Option<Item> {
    let article = Article::parse(text, Drawing::default());
    let words = || (!text.is_empty()).then(|| Item::Words(text.to_owned()));
    article.map(Item::Article).ok().or_else(words)
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
    }
}
