//! What the README says, against what the program does. (Its table of keys is compared beside the keys.)

use std::fs;
use std::path::Path;

use probewright::face::books::ledger::{Choice, DECISION_COLUMNS};
use probewright::face::books::ordering::{ORDER_COLUMNS, STOCK_COLUMNS};
use probewright::face::books::results::COLUMNS;
use probewright::face::engine::meter::Field;
use probewright::face::views::sound::Cue;

use crate::program::Program;

fn readme() -> String {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("README.md");
    fs::read_to_string(file).unwrap()
}

/// The rows of the table that begins with this header, cell by cell.
fn table(readme: &str, header: &str) -> Vec<Vec<String>> {
    let (_, rest) = readme
        .split_once(&format!("\n{header}\n"))
        .unwrap_or_else(|| panic!("no table `{header}`"));
    rest.lines()
        .skip(1)
        .take_while(|line| line.starts_with('|'))
        .map(|line| {
            let cells = line.trim_matches('|').split('|');
            cells.map(|cell| cell.trim().to_owned()).collect()
        })
        .collect()
}

fn help(arguments: &[&str]) -> String {
    Program::new(arguments.iter().chain(&["--help"]))
        .run()
        .with_status(0)
        .out()
}

/// The lines of shell in the README that call the program, without what is put in for the reader.
fn calls(readme: &str) -> Vec<Vec<String>> {
    readme
        .split("```sh\n")
        .skip(1)
        .flat_map(|block| block.split("```").next().unwrap_or_default().lines())
        .filter_map(|line| {
            let rest = line
                .strip_prefix("probewright ")
                .or_else(|| line.strip_prefix("cargo run --release -- "))?;
            let words = rest.split('#').next()?.split_whitespace();
            Some(words.map(str::to_owned).collect())
        })
        .collect()
}

#[test]
fn the_columns_of_the_results_are_those_of_the_readme() {
    let rows = table(&readme(), "| column | what it holds |");
    let expected = COLUMNS.map(|(name, what, _)| vec![format!("`{name}`"), what.to_owned()]);
    assert_eq!(rows, expected);
}

#[test]
fn the_columns_and_the_words_of_decisions_are_those_of_the_readme() {
    let rows = table(&readme(), "| column of `decisions.csv` | what it holds |");
    let expected = DECISION_COLUMNS.map(|(name, what)| vec![format!("`{name}`"), what.to_owned()]);
    assert_eq!(rows, expected);
    let rows = table(&readme(), "| decision | meaning |");
    let words: Vec<_> = rows.into_iter().map(|row| row[0].clone()).collect();
    assert_eq!(words, Choice::ALL.map(|choice| format!("`{choice}`")));
}

#[test]
fn the_columns_of_the_drawer_and_of_an_order_are_those_of_the_readme() {
    let rows = |columns: &[(&str, &str)]| -> Vec<Vec<String>> {
        let row = |(name, what): &(&str, &str)| vec![format!("`{name}`"), (*what).to_owned()];
        columns.iter().map(row).collect()
    };
    let found = table(&readme(), "| column of `stock.csv` | what it holds |");
    assert_eq!(found, rows(&STOCK_COLUMNS));
    let found = table(&readme(), "| column of an order list | what it holds |");
    assert_eq!(found, rows(&ORDER_COLUMNS));
}

#[test]
fn the_fields_of_replies_are_those_of_the_readme() {
    let rows = table(&readme(), "| field | what it holds |");
    let expected: Vec<_> = Field::ALL
        .iter()
        .map(|field| format!("`{}`", field.name()))
        .collect();
    let names: Vec<_> = rows.into_iter().map(|row| row[0].clone()).collect();
    assert_eq!(names, expected);
}

#[test]
fn the_sounds_are_those_of_the_readme() {
    let rows = table(&readme(), "| sound | rhythm | meaning |");
    let expected = Cue::ALL.iter().map(|cue| {
        vec![
            format!("`{cue}`"),
            cue.pattern().rhythm(),
            cue.meaning().to_owned(),
        ]
    });
    assert_eq!(rows, expected.collect::<Vec<_>>());
}

#[test]
fn the_exit_statuses_of_the_help_are_those_of_the_readme() {
    let statuses: Vec<String> = table(&readme(), "| status | meaning |")
        .into_iter()
        .map(|row| row.join(" "))
        .collect();
    assert_eq!(statuses.len(), 4);
    let expected = format!("Exit status: {}.", statuses.join("; "));
    let help = help(&[]).split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(help.contains(&expected), "no `{expected}` in:\n{help}");
}

#[test]
fn every_command_and_option_that_the_readme_shows_exists() {
    let calls = calls(&readme());
    assert!(calls.len() >= 10, "{calls:?}");
    for call in calls {
        let commands = help(&[]);
        assert!(
            commands
                .lines()
                .any(|line| line.starts_with(&format!("  {} ", call[0])) || line.trim() == call[0]),
            "the help does not list `{}`:\n{commands}",
            call[0]
        );
        let words: Vec<&str> = match call[0].as_str() {
            "meter" | "parts" => call[..2].iter().map(String::as_str).collect(),
            word => vec![word],
        };
        let help = help(&words);
        for option in call.iter().filter(|word| word.starts_with("--")) {
            assert!(
                help.contains(&format!("{option} ")) || help.contains(&format!("{option}\n")),
                "{call:?}: {help}"
            );
        }
    }
}

#[test]
fn what_the_readme_names_in_its_tables_of_files_is_made_by_the_program() {
    let folder = tempfile::tempdir().unwrap();
    let job = folder.path().join("job");
    Program::new(["demo", "--weeks", "--fast", "--keep", job.to_str().unwrap()])
        .run()
        .with_status(0)
        .out();
    for row in table(&readme(), "| file | what |") {
        let name = row[0].trim_matches('`');
        let there = match name.strip_suffix("/*.rec") {
            Some(inner) => !crate::program::files_in(&job.join(inner), "rec").is_empty(),
            None => job.join(name).is_file(),
        };
        assert!(there, "{name}");
    }
}

#[test]
fn the_two_commands_that_the_readme_begins_with_are_there() {
    let readme = readme();
    for command in ["cargo run --release -- demo\n", "cargo test --locked\n"] {
        assert_eq!(readme.matches(command).count(), 1, "{command}");
    }
    assert!(help(&["demo"]).contains("--fast"));
}

#[test]
fn values_of_the_readme_are_understood() {
    let readme = readme();
    let list = readme
        .split_once("Values as they are written on parts and drawings: ")
        .unwrap()
        .1
        .split(". `probewright value`")
        .next()
        .unwrap();
    let values: Vec<&str> = list.split('`').skip(1).step_by(2).collect();
    assert!(values.len() > 5, "{values:?}");
    for value in values {
        let quantity = if ["MFD", "MMF", "pF", "473K"]
            .iter()
            .any(|unit| value.contains(unit))
        {
            "capacitance"
        } else {
            "resistance"
        };
        let _ = Program::new(["value", value, "--quantity", quantity])
            .run()
            .with_status(0);
    }
}
