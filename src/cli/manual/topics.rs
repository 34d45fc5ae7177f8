//! The manual: what `probewright manual TOPIC` shows, with a link where that has the table.

use super::tables;

/// A text of the manual.
#[derive(Debug)]
pub(crate) struct Topic {
    /// The word that it is asked for by.
    pub(crate) name: &'static str,
    /// Other words for it, the commands that it tells of among them.
    also: &'static [&'static str],
    /// Markdown; the first line is the title.
    text: &'static str,
}

macro_rules! topics {
    ($count:literal: $($name:ident [$($also:literal),*])*) => {
        $(#[doc = include_str!(concat!(stringify!($name), ".md"))] pub mod $name {})*

        /// Every topic, in the order of a job.
        pub(crate) const TOPICS: [Topic; $count] = [$(Topic {
            name: stringify!($name),
            also: &[$($also),*],
            text: include_str!(concat!(stringify!($name), ".md")),
        }),*];
    };
}

topics! { 26:
    job ["new", "files", "folder"]
    list ["parts", "value", "parts.csv"]
    measurements ["leakage", "sweep", "points"]
    mains []
    spreadsheets []
    meters ["meter", "profile"]
    sit ["bench", "keys", "demo"]
    sounds ["sound"]
    verdicts ["verdict", "why"]
    limits ["tables", "policy"]
    network ["nodes", "circuit"]
    results ["results.csv"]
    decide ["decisions"]
    substitute ["substitutes"]
    order ["orders"]
    batch ["batches"]
    compare []
    report ["reports"]
    recordings ["recording", "replay"]
    audit []
    archive []
    page ["http"]
    attach ["socket"]
    events ["event"]
    json ["glance"]
    program ["manual", "completions", "status", "environment"]
}

impl Topic {
    /// The title, as the first line of the text has it.
    pub(crate) fn title(&self) -> &'static str {
        let first = self.text.lines().next().unwrap_or_default();
        first.trim_start_matches("# ")
    }

    /// Whether `word` is another word for it.
    pub(super) fn tells_of(&self, word: &str) -> bool {
        self.also.contains(&word)
    }

    /// The text as Markdown, with a table for each constant that stands alone on a line.
    pub(super) fn with_tables(&self) -> String {
        let lines = self.text.lines().map(|line| match constant(line) {
            Some(path) => tables::of(path).unwrap_or_else(|| line.to_owned()),
            None => line.to_owned(),
        });
        lines.map(|line| line + "\n").collect()
    }
}

/// The path of the constant that a line names and nothing else.
fn constant(line: &str) -> Option<&str> {
    line.strip_prefix("[`")?.strip_suffix("`]")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::parts::Kind;
    use crate::engine::settings::Settings;

    #[test]
    fn every_constant_has_its_table_and_every_topic_a_title() {
        for topic in &TOPICS {
            assert!(topic.text.starts_with("# "), "{}", topic.name);
            for path in topic.text.lines().filter_map(constant) {
                assert!(tables::of(path).is_some(), "{}: {path}", topic.name);
            }
        }
    }

    /// The first cells of the table of that topic whose head begins so, without the marks of code.
    fn first_cells(topic: &str, head: &str) -> Vec<String> {
        let topic = TOPICS.iter().find(|one| one.name == topic).unwrap();
        let lines = topic
            .text
            .lines()
            .skip_while(|line| !line.starts_with(head));
        let rows = lines.skip(2).map_while(|row| row.strip_prefix("| "));
        let cells = rows.map(|row| row.split(" | ").next().unwrap().replace('`', ""));
        cells.collect()
    }

    #[test]
    fn the_table_of_job_toml_has_the_keys_that_are_read_and_no_other() {
        // A key that is not there is refused with those that are.
        let read = |section: &str| {
            let error = Settings::parse(&format!("{section}\nnonsense = 1\n")).unwrap_err();
            let (_, expected) = error
                .to_string()
                .split_once("expected ")
                .map(|(a, b)| (a.to_owned(), b.to_owned()))
                .unwrap();
            let line = expected.lines().next().unwrap().to_owned();
            line.split('`')
                .skip(1)
                .step_by(2)
                .map(str::to_owned)
                .collect::<Vec<_>>()
        };
        let mut expected = Vec::new();
        for key in read("") {
            match key.as_str() {
                "sheet" | "meter" | "mains" | "bench" | "network" => {
                    let section = format!("[{key}]");
                    expected.extend(read(&section).iter().map(|key| format!("{section} {key}")));
                }
                "meters" => {
                    expected.extend(
                        read("[[meters]]")
                            .iter()
                            .map(|key| format!("[[meters]] {key}")),
                    );
                }
                "keys" => expected.push("[keys]".to_owned()),
                _ => expected.push(key),
            }
        }
        let mut told = Vec::new();
        for cell in first_cells("job", "| key |") {
            match cell.split_once(' ') {
                Some((section, keys)) => {
                    told.extend(keys.split(", ").map(|key| format!("{section} {key}")));
                }
                None => told.push(cell),
            }
        }
        expected.sort();
        told.sort();
        assert_eq!(told, expected);
    }

    #[test]
    fn the_table_of_kinds_has_every_kind_and_no_other() {
        let cells = first_cells("list", "| kind | measured |");
        let mut told: Vec<&str> = cells.iter().flat_map(|cell| cell.split(", ")).collect();
        let mut kinds = Kind::ALL.map(Kind::name);
        told.sort_unstable();
        kinds.sort_unstable();
        assert_eq!(told, kinds);
    }

    #[test]
    fn no_word_means_two_topics() {
        let mut words: Vec<&str> = Vec::new();
        for topic in &TOPICS {
            words.push(topic.name);
            words.extend(topic.also);
        }
        let all = words.len();
        words.sort_unstable();
        words.dedup();
        assert_eq!(words.len(), all);
    }
}
