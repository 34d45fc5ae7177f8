//! What can be tried on the job of a demonstration: [`after_one_sitting`] and [`after_weeks`].

use std::io::{self, Write};

use crate::books::job::Folder;
use crate::cli::job_word::job_word;
use crate::cli::table::Table;

/// What can be tried on a job that was measured.
pub(super) fn after_one_sitting(folder: &Folder, out: &mut dyn Write) -> io::Result<()> {
    let hints = [
        ("JOB", "where the job stands"),
        ("why JOB R13", "why a verdict is what it is"),
        ("decide JOB R3,R13 replace", "what becomes of parts"),
        ("substitute JOB C13", "what may stand in for a part"),
        ("order JOB", "what is to be bought"),
        ("report JOB", "a page for the owner"),
        ("audit JOB", "whether all is as it was recorded"),
        ("demo --weeks", "the whole job, over three evenings"),
    ];
    write(folder, &hints, out)
}

/// What can be tried on a job that was brought to its end.
pub(super) fn after_weeks(folder: &Folder, out: &mut dyn Write) -> io::Result<()> {
    let hints = [
        ("JOB", "where the job stands"),
        ("why JOB R21", "why a verdict is what it is"),
        ("decide JOB R13", "what was measured and decided of a part"),
        ("batch JOB \"bag 1\"", "the new parts once more"),
        ("substitute JOB C13", "what may stand in for a part"),
        ("report JOB --format json", "the report for programs"),
        (
            "audit JOB --with-rule simple",
            "what another rule would change",
        ),
        ("archive JOB", "the job as a database"),
    ];
    write(folder, &hints, out)
}

fn write(folder: &Folder, hints: &[(&str, &str)], out: &mut dyn Write) -> io::Result<()> {
    let job = job_word(folder.root());
    let mut table = Table::new(["", ""]);
    for (words, what_for) in hints {
        table.push([
            format!("  probewright {}", words.replace("JOB", &job)),
            format!("# {what_for}"),
        ]);
    }
    writeln!(out, "\nnow try")?;
    table.write_rows(out)
}
