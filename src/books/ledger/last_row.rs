//! [`last_row_is_whole`]: whether the last row of a CSV file is whole although no line end follows it.

use crate::books::job::whole_rows;

/// Whether what follows the last line end of a CSV text is a whole row all the same. We end every line with a carriage return
/// and a line feed, so a file whose first line ends with a line feed alone was saved by another program, which wrote all of it;
/// and many an editor leaves the last line end out. A row that has not all cells of the first is a torn one even so.
pub(super) fn last_row_is_whole(text: &[u8]) -> bool {
    let (whole, last) = text.split_at(whole_rows(text));
    let end = memchr::memchr(b'\n', whole);
    let foreign = end.is_some_and(|end| !whole[..end].ends_with(b"\r"));
    let quotes = memchr::memchr_iter(b'"', last).count();
    foreign && quotes.is_multiple_of(2) && cells(last) > 1 && cells(last) == cells(whole)
}

/// How many cells the first row has.
fn cells(text: &[u8]) -> usize {
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .from_reader(text);
    let mut row = csv::ByteRecord::new();
    // Text in memory can be read, and without any row there are no cells.
    reader.read_byte_record(&mut row).map_or(0, |_| row.len())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_a_file_that_another_program_saved_has_a_whole_row_without_a_line_end() {
        for (text, whole) in [
            ("a,b\n1,2\n3,4", true),
            ("\"a\",\"b\"\n\"1\",\"2\n3\"", true),
            ("a,b\r\n1,2\r\n3,4", false),
            ("a,b\n1,2\n3", false),
            ("a,b\n1,2\n3,\"4", false),
            ("a,b\n1,2\n", false),
            ("a,b", false),
            ("", false),
        ] {
            assert_eq!(last_row_is_whole(text.as_bytes()), whole, "{text:?}");
        }
    }
}
