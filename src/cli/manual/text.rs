//! [`plain`]: Markdown as text for a terminal of some width.

use super::blocks::{Block, Span, blocks};

/// The width in columns where none is known.
pub(super) const WIDTH: usize = 80;

/// The widest lines that are still good to read.
pub(super) const WIDEST: usize = 110;

/// The blanks between two columns of a table.
const GAP: &str = "  ";

/// The narrowest that a column of a table is made.
const NARROWEST: usize = 8;

/// The text in lines of at most `width` columns; what cannot be broken is longer.
pub(super) fn plain(markdown: &str, width: usize) -> String {
    let blocks = blocks(markdown);
    let mut out = String::new();
    for (place, block) in blocks.iter().enumerate() {
        for line in lines(block, width) {
            out.push_str(line.trim_end());
            out.push('\n');
        }
        let is_item = |block: Option<&Block>| matches!(block, Some(Block::Item(..)));
        let next = blocks.get(place + 1);
        if next.is_some() && !(is_item(Some(block)) && is_item(next)) {
            out.push('\n');
        }
    }
    out
}

fn lines(block: &Block, width: usize) -> Vec<String> {
    match block {
        Block::Title(spans) => underlined(&text(spans), "="),
        Block::Heading(spans) => underlined(&text(spans), "-"),
        Block::Paragraph(spans) => wrapped(&text(spans), width),
        Block::Quote(spans) => behind("  | ", "  | ", &text(spans), width),
        Block::Item(None, spans) => behind("- ", "  ", &text(spans), width),
        Block::Item(Some(number), spans) => {
            let mark = format!("{number}. ");
            behind(&mark, &" ".repeat(mark.len()), &text(spans), width)
        }
        Block::Code(code) => code.lines().map(|line| format!("    {line}")).collect(),
        Block::Table(rows) => table(rows, width),
    }
}

/// The words, what is to be typed between backticks.
fn text(spans: &[Span]) -> String {
    let text = |span: &Span| match span {
        Span::Text(text) => text.clone(),
        Span::Code(code) => format!("`{code}`"),
    };
    spans.iter().map(text).collect()
}

/// The words of a cell: one that is all to be typed needs no backticks.
fn cell(spans: &[Span]) -> String {
    match spans {
        [Span::Code(code)] => code.clone(),
        spans => text(spans),
    }
}

fn underlined(title: &str, line: &str) -> Vec<String> {
    vec![title.to_owned(), line.repeat(title.chars().count())]
}

fn behind(first: &str, later: &str, text: &str, width: usize) -> Vec<String> {
    let lines = wrapped(text, width.saturating_sub(later.chars().count()));
    let lines = lines.into_iter().enumerate();
    let before = |number| if number == 0 { first } else { later };
    lines
        .map(|(number, line)| format!("{}{line}", before(number)))
        .collect()
}

fn table(rows: &[Vec<Vec<Span>>], width: usize) -> Vec<String> {
    let cells = |row: &Vec<Vec<Span>>| row.iter().map(|spans| cell(spans)).collect();
    let rows: Vec<Vec<String>> = rows.iter().map(cells).collect();
    let widths = widths(&rows, width);
    let mut lines = rows
        .iter()
        .map(|row| row_lines(row, &widths))
        .collect::<Vec<_>>();
    let rules = widths.iter().map(|width| "-".repeat(*width));
    lines.insert(1, vec![rules.collect::<Vec<_>>().join(GAP)]);
    lines.concat()
}

/// A row, in as many lines as its longest cell needs.
fn row_lines(row: &[String], widths: &[usize]) -> Vec<String> {
    let cells = row.iter().zip(widths);
    let cells: Vec<Vec<String>> = cells.map(|(cell, width)| wrapped(cell, *width)).collect();
    let most = cells.iter().map(Vec::len).max().unwrap_or(0);
    let line = |number: usize| {
        let parts = cells.iter().zip(widths).map(|(cell, width)| {
            let text = cell.get(number).map_or("", String::as_str);
            format!("{text:<width$}")
        });
        parts.collect::<Vec<_>>().join(GAP)
    };
    (0..most).map(line).collect()
}

/// The widths of the columns: as wide as their cells, but the widest give way until the table fits.
fn widths(rows: &[Vec<String>], room: usize) -> Vec<usize> {
    let columns = rows.iter().map(Vec::len).max().unwrap_or(0);
    let natural = |column| {
        let cells = rows.iter().filter_map(|row| row.get(column));
        cells
            .map(|cell: &String| cell.chars().count())
            .max()
            .unwrap_or(0)
    };
    let mut widths: Vec<usize> = (0..columns).map(natural).collect();
    let room = room.saturating_sub(GAP.len() * columns.saturating_sub(1));
    while widths.iter().sum::<usize>() > room {
        match widths.iter_mut().max() {
            Some(widest) if *widest > NARROWEST => *widest -= 1,
            _ => break,
        }
    }
    widths
}

/// The text in lines of at most `width` columns, broken at blanks.
fn wrapped(text: &str, width: usize) -> Vec<String> {
    let mut lines = vec![String::new()];
    for word in text.split_whitespace() {
        let line = lines.last_mut().expect("there is a line");
        if line.is_empty() {
            line.push_str(word);
        } else if line.chars().count() + 1 + word.chars().count() <= width {
            line.push(' ');
            line.push_str(word);
        } else {
            lines.push(word.to_owned());
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_block_has_its_form() {
        let markdown = "# Title\n\nSome `code` and **weight**\nover two lines.\n\n- one\n- two words\n\n> Beware.\n\n\
                        ```sh\nprobewright demo\n```\n\n| a | b |\n|---|---|\n| `x` | long words here |\n";
        let expected = "Title\n=====\n\nSome `code` and\nweight over two\nlines.\n\n- one\n- two words\n\n  | Beware.\n\n\
                        \x20   probewright demo\n\na  b\n-  -------------\nx  long words\n   here\n";
        assert_eq!(plain(markdown, 16), expected);
    }

    #[test]
    fn a_word_that_is_too_long_stands_alone() {
        assert_eq!(wrapped("a longer b", 3), ["a", "longer", "b"]);
    }
}
