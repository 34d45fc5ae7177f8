//! [`blocks`]: Markdown as a row of [blocks](Block), for all that show it.

use pulldown_cmark::{Event, Options, Parser, Tag, TagEnd};

/// A piece of text, in the order in which they follow one another.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Block {
    Title(Vec<Span>),
    Heading(Vec<Span>),
    Paragraph(Vec<Span>),
    /// A paragraph that warns.
    Quote(Vec<Span>),
    /// An item of a list, with its number where it has one.
    Item(Option<u64>, Vec<Span>),
    Code(String),
    /// Rows of cells; the first names the columns.
    Table(Vec<Vec<Vec<Span>>>),
}

/// A piece of a paragraph.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Span {
    Text(String),
    /// Typed or written exactly like that.
    Code(String),
}

/// The blocks of a Markdown text. Lists inside of lists are not used.
pub(super) fn blocks(markdown: &str) -> Vec<Block> {
    let mut reader = Reader::default();
    for event in Parser::new_ext(markdown, Options::ENABLE_TABLES) {
        reader.take(event);
    }
    reader.blocks
}

#[derive(Default)]
struct Reader {
    blocks: Vec<Block>,
    spans: Vec<Span>,
    rows: Vec<Vec<Vec<Span>>>,
    /// The number of the next item of the list, if its items are numbered.
    number: Option<u64>,
    in_item: bool,
    in_quote: bool,
}

impl Reader {
    fn take(&mut self, event: Event<'_>) {
        match event {
            Event::Start(tag) => self.begin(&tag),
            Event::End(tag) => self.end(tag),
            Event::Text(text) => self.spans.push(Span::Text(text.into_string())),
            Event::Code(text) => self.spans.push(Span::Code(text.into_string())),
            Event::SoftBreak | Event::HardBreak => self.spans.push(Span::Text(" ".to_owned())),
            _ => {}
        }
    }

    fn begin(&mut self, tag: &Tag<'_>) {
        match tag {
            Tag::List(first) => self.number = *first,
            Tag::Item => self.in_item = true,
            Tag::BlockQuote(_) => self.in_quote = true,
            Tag::TableHead | Tag::TableRow => self.rows.push(Vec::new()),
            _ => {}
        }
    }

    fn end(&mut self, tag: TagEnd) {
        match tag {
            TagEnd::Heading(level) if level as usize == 1 => self.push(Block::Title),
            TagEnd::Heading(_) => self.push(Block::Heading),
            TagEnd::Paragraph if self.in_item => {}
            TagEnd::Paragraph if self.in_quote => self.push(Block::Quote),
            TagEnd::Paragraph => self.push(Block::Paragraph),
            TagEnd::Item => {
                let number = self.number;
                self.push(|spans| Block::Item(number, spans));
                self.number = number.map(|number| number + 1);
                self.in_item = false;
            }
            TagEnd::BlockQuote(_) => self.in_quote = false,
            TagEnd::CodeBlock => {
                self.push(|spans| Block::Code(spans.into_iter().map(Span::into_text).collect()));
            }
            TagEnd::TableCell => {
                let cell = std::mem::take(&mut self.spans);
                self.rows.last_mut().expect("a row is open").push(cell);
            }
            TagEnd::Table => self
                .blocks
                .push(Block::Table(std::mem::take(&mut self.rows))),
            _ => {}
        }
    }

    fn push(&mut self, block: impl FnOnce(Vec<Span>) -> Block) {
        let spans = std::mem::take(&mut self.spans);
        self.blocks.push(block(spans));
    }
}

impl Span {
    fn into_text(self) -> String {
        match self {
            Self::Text(text) | Self::Code(text) => text,
        }
    }
}
