//! [`strays`]: rows of sittings whose recordings are not there.

use std::collections::BTreeSet;

use super::finding::Finding;
use super::sheet::Sheet;

/// A finding for each sitting of the sheet that is not `known`, leaving out rows that were `claimed` for one that is.
pub fn strays(sheet: &Sheet, known: &BTreeSet<String>, claimed: &BTreeSet<usize>) -> Vec<Finding> {
    let mut found: Vec<(&str, usize, u64)> = Vec::new();
    for (index, row) in sheet.rows().iter().enumerate() {
        let sitting = row.named("sitting");
        if known.contains(sitting) || claimed.contains(&index) {
            continue;
        }
        match found.iter_mut().find(|(name, ..)| *name == sitting) {
            Some((_, rows, _)) => *rows += 1,
            None => found.push((sitting, 1, row.line)),
        }
    }
    let finding = |(sitting, rows, line): (&str, usize, u64)| Finding::NoRecording {
        sitting: sitting.to_owned(),
        rows,
        line,
    };
    found.into_iter().map(finding).collect()
}
