//! [`write()`]: man pages of every command and every topic.

use std::fs;
use std::io;
use std::path::Path;

use clap::CommandFactory as _;

use super::blocks::{Block, Span, blocks};
use super::topics::{TOPICS, Topic};
use crate::cli::Program;

/// Writes the pages into `man1` and `man7` of that folder, and says how many there are.
pub(super) fn write(folder: &Path) -> io::Result<usize> {
    let (commands, topics) = (folder.join("man1"), folder.join("man7"));
    fs::create_dir_all(&commands)?;
    fs::create_dir_all(&topics)?;
    clap_mangen::generate_to(Program::command(), &commands)?;
    for topic in &TOPICS {
        fs::write(
            topics.join(format!("probewright-{}.7", topic.name)),
            page(topic),
        )?;
    }
    Ok(fs::read_dir(&commands)?.count() + TOPICS.len())
}

/// The page of a topic. Its first line says that tbl is to make the tables.
fn page(topic: &Topic) -> String {
    let (name, version) = (topic.name, env!("CARGO_PKG_VERSION"));
    let begin = format!(
        "'\\\" t\n.TH probewright-{name} 7 \"\" \"probewright {version}\" \"Manual of probewright\"\n\
         .SH NAME\nprobewright-{name} \\- {}\n.SH DESCRIPTION\n",
        escaped(topic.title())
    );
    let blocks = blocks(&topic.with_tables());
    blocks.iter().fold(begin, |page, block| page + &roff(block))
}

/// The block in the language of man pages.
fn roff(block: &Block) -> String {
    match block {
        // The title stands under NAME.
        Block::Title(_) => String::new(),
        Block::Heading(spans) => format!(".SH {}\n", inline(spans).to_uppercase()),
        Block::Paragraph(spans) => format!(".PP\n{}\n", line(spans)),
        Block::Quote(spans) => format!(".RS 4\n.PP\n{}\n.RE\n", line(spans)),
        Block::Item(None, spans) => format!(".IP \\(bu 2\n{}\n", line(spans)),
        Block::Item(Some(number), spans) => format!(".IP {number}. 4\n{}\n", line(spans)),
        Block::Code(code) => {
            let lines = code.lines().map(|text| guarded(&escaped(text)) + "\n");
            format!(".PP\n.RS 4\n.EX\n{}.EE\n.RE\n", lines.collect::<String>())
        }
        Block::Table(rows) => table(rows),
    }
}

fn table(rows: &[Vec<Vec<Span>>]) -> String {
    // The last column takes the rest of the line; every cell is a text that may be broken.
    let columns = rows.iter().map(Vec::len).max().unwrap_or(0);
    let form = |font: &str| {
        let plain = format!("l{font} ").repeat(columns.saturating_sub(1));
        format!("{plain}l{font}x")
    };
    let row = |row: &Vec<Vec<Span>>| {
        let cells: Vec<String> = row
            .iter()
            .map(|cell| format!("T{{\n{}\nT}}", line(cell)))
            .collect();
        cells.join("\t") + "\n"
    };
    let rows: String = rows.iter().map(row).collect();
    format!(".PP\n.TS\n{}\n{}.\n{rows}.TE\n", form("b"), form(""))
}

/// Text as a line of its own.
fn line(spans: &[Span]) -> String {
    guarded(&inline(spans))
}

fn inline(spans: &[Span]) -> String {
    let text = |span: &Span| match span {
        Span::Text(text) => escaped(text),
        Span::Code(code) => format!("\\fB{}\\fR", escaped(code)),
    };
    spans.iter().map(text).collect()
}

fn escaped(text: &str) -> String {
    text.replace('\\', "\\e")
        .replace('-', "\\-")
        .replace('\'', "\\(aq")
}

/// A line that does not look like a request of the language.
fn guarded(line: &str) -> String {
    if line.starts_with(['.', '\'']) {
        format!("\\&{line}")
    } else {
        line.to_owned()
    }
}
