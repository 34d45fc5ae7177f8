//! How far one of a job's CSV files holds whole rows.

/// The length of the whole rows at the start of a CSV text, with the line end of the last: a program that was killed while it
/// wrote leaves a torn row behind them. A line end within quotation marks ends no row.
pub fn whole_rows(text: &[u8]) -> usize {
    let (mut place, mut whole) = (Place::FieldStart, 0);
    for (at, byte) in text.iter().enumerate() {
        place = match (place, byte) {
            (Place::Quoted, b'"') => Place::QuoteInQuoted,
            (Place::FieldStart | Place::QuoteInQuoted, b'"') | (Place::Quoted, _) => Place::Quoted,
            (_, b'\n') => {
                whole = at + 1;
                Place::FieldStart
            }
            (_, b',' | b'\r') => Place::FieldStart,
            _ => Place::Plain,
        };
    }
    whole
}

/// Where the text stands while its quotes are followed.
#[derive(Clone, Copy)]
enum Place {
    FieldStart,
    Plain,
    Quoted,
    /// Behind a quote within a quoted field: the end, unless another quote follows.
    QuoteInQuoted,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_row_ends_outside_of_quotation_marks_only() {
        for (text, whole) in [
            ("", 0),
            ("a,b", 0),
            ("a,b\r\n", 5),
            ("a,b\r\n1,\"x\r\ny\"\r\n", 15),
            ("a,b\r\n1,\"x\r\ny", 5),
            ("a,b\n5\" tall,2\n3", 14),
            ("a,b\n\"say \"\"5\"\"\n\",2\n3", 19),
        ] {
            assert_eq!(whole_rows(text.as_bytes()), whole, "{text}");
        }
    }
}
