//! The manual: what each topic shows, through which pager, and as man pages.

use std::ffi::OsStr;
use std::fs;
use std::io::Write as _;

use probewright::face::books::results::COLUMNS;

use crate::program::{Job, Program, Size, Started, Terminal, files_in};

fn topic(name: &str) -> String {
    Program::new(["manual", name]).run().with_status(0).out()
}

/// The names of all topics, as the manual itself lists them.
fn topics() -> Vec<String> {
    let out = Program::new(["manual"]).run().with_status(0).out();
    let rows = out.lines().skip_while(|line| !line.starts_with("---"));
    let rows = rows.skip(1).take_while(|line| !line.is_empty());
    rows.map(|row| row.split(' ').next().unwrap().to_owned())
        .collect()
}

#[test]
fn every_topic_is_text_of_80_columns_with_its_tables_filled_in() {
    let topics = topics();
    assert!(topics.len() > 20, "{topics:?}");
    for name in topics {
        let text = topic(&name);
        assert!(text.lines().count() > 5, "{name}");
        assert!(
            !text.contains("crate::") && !text.contains("|---"),
            "{name}:\n{text}"
        );
        // Commands to be typed are not broken.
        let prose = text.lines().filter(|line| !line.starts_with("    "));
        let long: Vec<&str> = prose.filter(|line| line.chars().count() > 80).collect();
        assert!(long.is_empty(), "{name}: {long:#?}");
    }
}

/// A terminal on which a topic of more lines than it has is shown through that pager.
fn on_terminal(pager: Option<&str>) -> (Terminal, Started) {
    let terminal = Terminal::open();
    SMALL.set(&terminal);
    let arguments = ["manual", "events"].map(OsStr::new);
    let program = Program::start_paged(pager, &arguments, &terminal);
    (terminal, program)
}

const SMALL: Size = Size {
    columns: 80,
    rows: 24,
};

#[test]
fn a_long_topic_is_turned_over_by_the_pager_and_left_by_its_key() {
    let (terminal, mut program) = on_terminal(None);
    let first = program.shows(SMALL, 0, &["Everything that follows a sitting", "\n:"]);
    assert!(!first.screen().contents().contains("not-decided"));
    let before = program.written();
    (&terminal.far).write_all(b"G").unwrap();
    let last = program.shows(SMALL, before, &["ended", "(END)"]);
    assert!(!last.screen().contents().contains("may-be-charged"));
    (&terminal.far).write_all(b"q").unwrap();
    assert_eq!(program.status().code(), Some(0));
}

#[test]
fn a_pager_that_is_not_wanted_or_not_there_leaves_the_text_as_it_is() {
    let whole = topic("events");
    let last = whole.lines().last().unwrap().trim();
    for pager in ["", "no-such-pager --plain"] {
        let (_terminal, mut program) = on_terminal(Some(pager));
        program.shows(SMALL, 0, &[last]);
        assert_eq!(program.status().code(), Some(0), "{pager}");
        assert!(program.written() >= whole.len(), "{pager}");
    }
    // One of the person's own gets it on standard input; who leaves early has read enough.
    let (_terminal, mut program) = on_terminal(Some("head -n 1 | tr a-z A-Z"));
    program.shows(SMALL, 0, &["EVENTS"]);
    assert_eq!(program.status().code(), Some(0));
    assert!(program.written() < 100);
}

#[test]
fn a_table_is_made_of_what_the_program_uses() {
    let text = topic("results");
    for (name, ..) in COLUMNS {
        assert!(
            text.lines()
                .any(|line| line.split(' ').next() == Some(name)),
            "{name}"
        );
    }
    assert_eq!(topic("results.csv"), text);
    assert!(topic("why").contains("conditional pass"));
}

#[test]
fn a_topic_that_is_not_there_is_refused() {
    Program::new(["manual", "nonsense"])
        .run()
        .with_status(2)
        .complaining(&["no topic `nonsense`, expected one of job, list,"])
        .out();
}

#[test]
fn man_pages_are_written_for_every_command_and_topic() {
    let folder = tempfile::tempdir().unwrap();
    let pages = folder.path().join("pages");
    let out = Program::new(["manual", "--man", pages.to_str().unwrap()])
        .run()
        .with_status(0)
        .out();
    let (commands, of_topics) = (
        files_in(&pages.join("man1"), "1"),
        files_in(&pages.join("man7"), "7"),
    );
    assert!(
        out.starts_with(&format!("{} pages", commands.len() + of_topics.len())),
        "{out}"
    );
    assert_eq!(of_topics.len(), topics().len());
    let sit = fs::read_to_string(pages.join("man1/probewright-sit.1")).unwrap();
    assert!(sit.contains(".SH OPTIONS"), "{sit}");
    let keys = fs::read_to_string(pages.join("man7/probewright-sit.7")).unwrap();
    assert!(keys.starts_with("'\\\" t\n.TH probewright-sit 7"), "{keys}");
    assert!(keys.contains("T{\n\\fBredo\\fR\nT}"), "{keys}");
}

#[test]
fn a_shell_completes_topics_and_the_parts_of_the_job() {
    let script = Program::new(["completions", "bash"])
        .run()
        .with_status(0)
        .out();
    assert!(script.contains("PROBEWRIGHT_COMPLETE"), "{script}");
    let job = Job::new("ref,kind,value\nR12,r,4K7\nR13,r,1k\nC4,c,47n\n");
    let root = job.root();
    let ask = |words: &[&str]| {
        let place = (words.len() - 1).to_string();
        let asked = ["--"].iter().chain(words);
        Program::new(asked)
            .with("PROBEWRIGHT_COMPLETE", "bash")
            .with("_CLAP_COMPLETE_INDEX", &place)
            .with("_CLAP_IFS", "\n")
            .run()
            .with_status(0)
            .out()
    };
    let parts = ask(&["probewright", "why", root.to_str().unwrap(), "r1"]);
    assert_eq!(parts.lines().collect::<Vec<_>>(), ["R12", "R13"]);
    let topics = ask(&["probewright", "manual", "ver"]);
    assert_eq!(topics.trim(), "verdicts");
    Program::new(["completions", "abacus"])
        .run()
        .with_status(2)
        .complaining(&["found the shell `abacus`, expected one of bash"])
        .out();
}
