//! README and manual, against what the program does.

use std::env;
use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};

use probewright::face::engine::judge::{Rule, Verdict};

use crate::program::{Program, files_in};

fn readme() -> String {
    document("README.md")
}

fn document(name: &str) -> String {
    fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(name)).unwrap()
}

/// The README and every topic of the manual.
fn documents() -> Vec<String> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/cli/manual");
    let topics = files_in(&folder, "md").into_iter();
    let topics = topics.map(|file| fs::read_to_string(file).unwrap());
    topics.chain([readme()]).collect()
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

/// The lines of shell that call the program, without what is put in for the reader.
fn calls(text: &str) -> Vec<Vec<String>> {
    text.split("```sh\n")
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
fn it_is_short() {
    let lines = readme().lines().count();
    assert!(
        lines <= 200,
        "{lines} lines; the rest belongs into the manual"
    );
}

#[test]
fn the_verdicts_mean_what_the_readme_says() {
    let rows = table(&readme(), "| verdict | meaning |");
    let expected = Verdict::ALL
        .map(|verdict| [verdict.name(), verdict.meaning(Rule::GuardBand)].map(str::to_owned));
    assert_eq!(rows, expected);
}

/// The screen of the README is one of those that are drawn and kept.
#[test]
fn the_screen_of_the_readme_is_drawn_by_the_program() {
    let screen = include_str!("screens/fail-60x20.txt");
    assert!(
        readme().contains(&format!("```text\n{screen}```")),
        "put tests/screens/fail-60x20.txt into the README"
    );
}

#[test]
fn the_exit_statuses_of_the_help_are_those_of_the_readme() {
    let statuses: Vec<String> = table(&readme(), "| exit status | meaning |")
        .into_iter()
        .map(|row| row.join(" "))
        .collect();
    assert_eq!(statuses.len(), 4);
    let expected = format!("Exit status: {}.", statuses.join("; "));
    let help = help(&[]).split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(help.contains(&expected), "no `{expected}` in:\n{help}");
}

#[test]
fn every_command_and_option_that_readme_and_manual_show_exists() {
    let calls: Vec<Vec<String>> = documents().iter().flat_map(|text| calls(text)).collect();
    assert!(calls.len() >= 40, "{calls:?}");
    let commands = help(&[]);
    // `probewright JOB` is no command.
    let calls = calls
        .iter()
        .filter(|call| call[0] != "amplifier" && call[0] != "COMMAND");
    for call in calls {
        assert!(
            commands
                .lines()
                .any(|line| line.starts_with(&format!("  {} ", call[0])) || line.trim() == call[0]),
            "the help does not list `{}`:\n{commands}",
            call[0]
        );
        let words: Vec<&str> = match call[0].as_str() {
            "meter" | "parts" => call[..2].iter().map(String::as_str).collect(),
            // The job comes before the word that says what to show of it.
            "network" => call.iter().take(3).map(String::as_str).collect(),
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

/// Lines that need a meter with a person at it, or an ear; the test above holds them against the help.
const AT_THE_BENCH: [&str; 4] = [
    "probewright meter try ",
    "probewright sit ",
    "probewright attach ",
    "probewright sounds",
];

/// Typed into a shell, one after the other. What happened at the bench is that of the demonstration.
#[test]
fn the_commands_of_the_readme_run_in_their_order() {
    let folder = tempfile::tempdir().unwrap();
    let program = Path::new(env!("CARGO_BIN_EXE_probewright"));
    let program = program.parent().unwrap().display().to_string();
    let path = format!("{program}:{}", env::var("PATH").unwrap());
    let typed = |line: &str| {
        let mut shell = Command::new("sh");
        shell.args(["-c", line]).current_dir(folder.path());
        let done = shell.env("PATH", &path).stdin(Stdio::null()).output();
        let done = done.unwrap();
        let said = String::from_utf8_lossy(&done.stdout).into_owned();
        let complained = String::from_utf8_lossy(&done.stderr);
        assert!(done.status.success(), "{line}:\n{said}{complained}");
    };
    let profiles = Path::new(env!("CARGO_MANIFEST_DIR")).join("device-profiles");
    let own = folder.path().join("my-meter.toml");
    fs::copy(profiles.join("scpi-multimeter.toml"), own).unwrap();
    let readme = readme();
    let (_, list) = readme.split_once("```csv\n").unwrap();
    let (list, _) = list.split_once("```").unwrap();
    let blocks = readme.split("```sh\n").skip(1);
    let lines = blocks.flat_map(|block| block.split("```").next().unwrap_or_default().lines());
    let (mut ran, mut weeks) = (0, false);
    for line in lines {
        let at_the_bench = AT_THE_BENCH.iter().any(|begin| line.starts_with(begin));
        if at_the_bench || line.starts_with("cargo ") || line.is_empty() {
            continue;
        }
        if line.starts_with("$EDITOR ") {
            // The list of the README is typed in.
            fs::write(folder.path().join("amplifier/parts.csv"), list).unwrap();
            continue;
        }
        if line.starts_with("probewright new ") {
            typed("rm -rf amplifier");
        }
        if line.starts_with("probewright amplifier ") && !weeks {
            typed("rm -rf amplifier && probewright demo --weeks --fast --keep amplifier");
            typed("mkdir workshop && cp -r amplifier workshop && rm amplifier/report.html");
            weeks = true;
        }
        let mut line = line.to_owned();
        if line.starts_with("probewright replay ") {
            let recordings = files_in(&folder.path().join("amplifier/sittings"), "rec");
            line = format!("probewright replay {}", recordings[0].display());
        }
        typed(&line);
        ran += 1;
    }
    assert!(weeks && ran >= 18, "{ran}");
}

#[test]
fn what_the_manual_names_as_files_of_a_job_is_made_by_the_program() {
    let folder = tempfile::tempdir().unwrap();
    let job = folder.path().join("job");
    Program::new(["demo", "--weeks", "--fast", "--keep", job.to_str().unwrap()])
        .run()
        .with_status(0)
        .out();
    let files = table(
        &document("src/cli/manual/job.md"),
        "| file | what it holds |",
    );
    for row in files {
        let name = row[0].trim_matches('`');
        let there = match name.strip_suffix("/*.rec") {
            Some(inner) => !files_in(&job.join(inner), "rec").is_empty(),
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
fn values_of_the_manual_are_understood() {
    let manual = document("src/cli/manual/list.md");
    let list = manual
        .split_once("Write values as they stand on parts and drawings: ")
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
