//! [`ProfileError`]: what is wrong with a profile, shown at its place in the text.

use std::ops::Range;

use annotate_snippets::{AnnotationKind, Level, Renderer, Snippet};

/// One thing that is wrong.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Finding {
    /// Where, in bytes of the text.
    pub span: Range<usize>,
    /// The line of its start, counted from one; filled in by the error.
    pub line: usize,
    /// What is wrong.
    pub title: String,
    /// What was expected, or what to do; shown at the place. May be empty.
    pub label: String,
}

impl Finding {
    pub(super) fn new(
        span: Range<usize>,
        title: impl Into<String>,
        label: impl Into<String>,
    ) -> Self {
        Self {
            span,
            line: 0,
            title: title.into(),
            label: label.into(),
        }
    }
}

/// A profile that cannot be used. Displays every finding with file, line, column and a mark below the place.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{rendered}")]
pub struct ProfileError {
    findings: Vec<Finding>,
    rendered: String,
}

impl ProfileError {
    /// Everything that is wrong, in the order of the text.
    pub fn findings(&self) -> &[Finding] {
        &self.findings
    }

    pub(super) fn new(mut findings: Vec<Finding>, text: &str, name: &str) -> Self {
        findings.sort_by_key(|finding| finding.span.start);
        for finding in &mut findings {
            finding.span = within(&finding.span, text);
            finding.line =
                1 + memchr::memchr_iter(b'\n', &text.as_bytes()[..finding.span.start]).count();
        }
        let rendered: Vec<String> = findings
            .iter()
            .map(|finding| render(finding, text, name))
            .collect();
        Self {
            findings,
            rendered: rendered.join("\n\n"),
        }
    }

    pub(super) fn toml(error: &toml::de::Error, text: &str, name: &str) -> Self {
        let message = error.message();
        let (title, label) = message.split_once('\n').unwrap_or((message, ""));
        let finding = Finding::new(
            error.span().unwrap_or(0..0),
            title,
            label.replace('\n', ", "),
        );
        Self::new(vec![finding], text, name)
    }
}

/// A place inside the text, on whole characters.
fn within(span: &Range<usize>, text: &str) -> Range<usize> {
    let start = boundary(span.start, text);
    start..boundary(span.end, text).max(start)
}

/// The last border of a character that is not after `index`.
fn boundary(index: usize, text: &str) -> usize {
    (0..=index.min(text.len()))
        .rev()
        .find(|&i| text.is_char_boundary(i))
        .unwrap_or(0)
}

fn render(finding: &Finding, text: &str, name: &str) -> String {
    let mark = AnnotationKind::Primary.span(finding.span.clone());
    let mark = if finding.label.is_empty() {
        mark
    } else {
        mark.label(finding.label.as_str())
    };
    let report = [Level::ERROR
        .primary_title(finding.title.as_str())
        .element(Snippet::source(text).path(name).annotation(mark))];
    Renderer::plain().render(&report)
}
