//! [`open_paragraph`]: what a sitting closed and what is still open, in one short paragraph.

use std::path::Path;

use super::job_word::job_word;
use super::runs::{listed, runs};
use crate::books::ledger::{Account, Glance, Standing};

/// The most designators that are named of one standing.
const NAMED: usize = 8;

/// What is still open, and which of the fitted parts `closed` turned out good.
pub(crate) fn open_paragraph(glance: &Glance<'_>, closed: &[String], job: &Path) -> String {
    let good = glance.of(Standing::FittedGood).map(name);
    let good: Vec<&str> = good
        .filter(|one| closed.iter().any(|closed| closed == one))
        .collect();
    let mut sentences = Vec::new();
    if !good.is_empty() {
        sentences.push(format!("this sitting closed: {}", listed(&runs(&good))));
    }
    if glance.open() == 0 {
        sentences.push("nothing is open".to_owned());
    } else {
        let groups = Standing::ALL.into_iter().filter(|one| one.is_open());
        let groups = groups.filter_map(|standing| group(glance, standing));
        sentences.push(format!(
            "still open: {}",
            groups.collect::<Vec<_>>().join("; ")
        ));
    }
    sentences.push(format!("more: probewright {}", job_word(job)));
    sentences.join("\n")
}

/// `2 to be replaced (C4, R7)`; `None` for none.
fn group(glance: &Glance<'_>, standing: Standing) -> Option<String> {
    let names: Vec<&str> = glance.of(standing).map(name).collect();
    let runs = runs(&names);
    let in_brackets = if runs.len() > NAMED {
        String::new()
    } else {
        format!(" ({})", listed(&runs))
    };
    (!names.is_empty()).then(|| format!("{} {standing}{in_brackets}", names.len()))
}

fn name<'a>(account: &Account<'a>) -> &'a str {
    &account.part.designator
}
