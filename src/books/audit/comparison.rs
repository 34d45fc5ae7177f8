//! [`Comparison`]: the rows of one sitting in a sheet beside those that a replay of its recording gives.

use std::collections::{BTreeSet, HashMap, HashSet, VecDeque};

use super::cell_match::{CellMatch, first_moved, moved};
use super::finding::{Cause, Finding};
use super::observation::Observation;
use super::results_file::{ResultsFile, RowKey, SheetRow, place_of, replayed_cell, replayed_key};
use crate::books::results::COLUMNS;

/// The rows of one sitting, compared with those of a replay as that gives them.
#[derive(Debug)]
pub struct Comparison<'a> {
    sheet: &'a ResultsFile,
    own: &'a [usize],
    waiting: HashMap<RowKey, VecDeque<usize>>,
    matched: Vec<Match>,
    different: Vec<DifferentRow>,
    missing: Vec<Missing>,
    replayed: usize,
    rewritten: u64,
}

/// A row of the sheet, and which one of the replay it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Match {
    replayed: usize,
    index: usize,
}

/// A row of the sheet that is not what the replay gives.
#[derive(Debug, Clone)]
pub struct DifferentRow {
    row: SheetRow,
    expected: Vec<String>,
    /// The places in which they differ.
    cells: Vec<(usize, CellMatch)>,
    /// Cause that gives exactly the row.
    explained: Option<String>,
}

/// A row of the replay that the sheet lacks.
#[derive(Debug, Clone)]
struct Missing {
    expected: Vec<String>,
    /// Number of the replayed row.
    replayed: usize,
}

/// A row of the sheet that the replay does not give.
#[derive(Debug, Clone)]
struct Added {
    line: u64,
    key: RowKey,
    is_copy: bool,
}

/// Rows that can only come from what the recording does not hold any more.
#[derive(Debug, Clone, Copy)]
struct Behind {
    rows: usize,
    /// The line of the first.
    line: u64,
}

/// Outcome of comparing the rows of a sitting.
#[derive(Debug, Clone)]
pub struct Compared {
    /// Rows of the sheet that were compared.
    pub rows: usize,
    /// Cells that say the same in another way.
    pub rewritten: u64,
    /// Rows of other sittings of the sheet that turned out to be of this one.
    pub claimed: BTreeSet<usize>,
    different: Vec<DifferentRow>,
    missing: Vec<Missing>,
    added: Vec<Added>,
    order: Option<(usize, u64)>,
    has_rows: bool,
    /// Number of the last replayed row that the sheet has.
    last_replayed: Option<usize>,
    renamed: Option<String>,
    behind: Option<Behind>,
    to_a_flaw: bool,
}

/// Where the replay of a recording ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ReplayEnd {
    /// At its seal.
    Seal,
    /// At its last whole line, without a seal.
    NoSeal,
    /// At a line that is not as it was written.
    Flaw,
}

/// Facts about a recording that causes are worked out from.
#[derive(Debug, Clone, Default)]
pub struct Circumstances {
    /// Name and version of the program that recorded, if that is not the one that runs.
    pub other_version: Option<String>,
    /// Name and version of the program that runs.
    pub running: String,
    /// The recording ends without a seal.
    pub is_cut_short: bool,
    /// Its sitting is being held right now.
    pub is_going_on: bool,
}

impl<'a> Comparison<'a> {
    /// The rows of `sitting` in `sheet`, of which nothing was replayed yet.
    pub fn of(sheet: &'a ResultsFile, sitting: &str) -> Self {
        let own = sheet.rows_of(sitting);
        let mut waiting: HashMap<RowKey, VecDeque<usize>> = HashMap::new();
        for &index in own {
            let key = sheet.rows()[index].key();
            waiting.entry(key).or_default().push_back(index);
        }
        Self {
            sheet,
            own,
            waiting,
            matched: Vec::new(),
            different: Vec::new(),
            missing: Vec::new(),
            replayed: 0,
            rewritten: 0,
        }
    }

    /// Takes the next row of the replay, with the cells of [`COLUMNS`].
    pub fn hear(&mut self, expected: Vec<String>) {
        let replayed = self.replayed;
        self.replayed += 1;
        match self.take_waiting(&expected) {
            Some(index) => self.matches(Match { replayed, index }, expected),
            None => self.missing.push(Missing { expected, replayed }),
        }
    }

    /// The row of the sheet for that measurement: of several the one with the time of the replay, else the first.
    fn take_waiting(&mut self, expected: &[String]) -> Option<usize> {
        let rows = self.sheet.rows();
        let waiting = self.waiting.get_mut(&replayed_key(expected))?;
        let time = replayed_cell(expected, "time");
        let place = waiting
            .iter()
            .position(|&index| rows[index].named("time") == time);
        waiting.remove(place.unwrap_or(0))
    }

    fn matches(&mut self, found: Match, expected: Vec<String>) {
        self.matched.push(found);
        self.compare(found.index, expected);
    }

    fn compare(&mut self, index: usize, expected: Vec<String>) {
        let row = &self.sheet.rows()[index];
        let matches = matches(row, &expected);
        let rewritten = matches
            .iter()
            .filter(|(_, one)| *one == CellMatch::OtherWriting);
        self.rewritten += rewritten.count() as u64;
        let cells: Vec<_> = matches
            .into_iter()
            .filter(|(_, one)| matches!(one, CellMatch::Rounded | CellMatch::Differs))
            .collect();
        if !cells.is_empty() {
            self.different.push(DifferentRow {
                row: row.clone(),
                expected,
                cells,
                explained: None,
            });
        }
    }

    /// Ends it. `end`: where the replay ended. `known`: the sittings whose recordings are there.
    pub fn end(mut self, end: ReplayEnd, known: &BTreeSet<String>) -> Compared {
        let claimed = self.pair_by_time(known);
        let renamed = self.take_new_name();
        let matched: BTreeSet<usize> = self.matched.iter().map(|one| one.index).collect();
        let last = self.own.iter().rev().find(|index| matched.contains(index));
        let left = self.own.iter().filter(|index| !matched.contains(index));
        let (behind, unknown): (Vec<usize>, Vec<usize>) =
            left.partition(|index| end != ReplayEnd::Seal && last.is_none_or(|last| *index > last));
        let last_replayed = self.matched.last().map(|one| one.replayed);
        Compared {
            rows: self.matched.len(),
            rewritten: self.rewritten,
            added: self.added(&unknown),
            order: self.order(&claimed),
            has_rows: !matched.is_empty() || !self.own.is_empty(),
            renamed,
            behind: behind.first().map(|&first| Behind {
                rows: behind.len(),
                line: self.sheet.rows()[first].line,
            }),
            to_a_flaw: end == ReplayEnd::Flaw,
            claimed,
            different: self.different,
            missing: self.missing,
            last_replayed,
        }
    }

    fn added(&self, unknown: &[usize]) -> Vec<Added> {
        let row = |index: usize| &self.sheet.rows()[index];
        let keys: HashSet<RowKey> = self
            .matched
            .iter()
            .map(|one| row(one.index).key())
            .collect();
        let added = |&index: &usize| Added {
            line: row(index).line,
            is_copy: keys.contains(&row(index).key()),
            key: row(index).key(),
        };
        unknown.iter().map(added).collect()
    }

    /// Number of rows that stand in another order, and the line of the first.
    fn order(&self, claimed: &BTreeSet<usize>) -> Option<(usize, u64)> {
        let places: Vec<usize> = self
            .matched
            .iter()
            .map(|one| one.index)
            .filter(|index| !claimed.contains(index))
            .collect();
        let first = first_moved(&places)?;
        Some((moved(&places), self.sheet.rows()[first].line))
    }

    /// Rows that were not found by their key are looked for by their time: among what is left of the sitting, and among rows of
    /// sittings without a recording. Gives the latter.
    fn pair_by_time(&mut self, known: &BTreeSet<String>) -> BTreeSet<usize> {
        let mut claimed = BTreeSet::new();
        if self.missing.is_empty() {
            return claimed;
        }
        let left: BTreeSet<usize> = self.waiting.values().flatten().copied().collect();
        let mut by_time: HashMap<&str, usize> = HashMap::new();
        for (index, row) in self.sheet.rows().iter().enumerate() {
            if left.contains(&index) || !known.contains(row.named("sitting")) {
                by_time.insert(row.named("time"), index);
            }
        }
        for missing in std::mem::take(&mut self.missing) {
            let Some(index) = by_time.remove(replayed_cell(&missing.expected, "time")) else {
                self.missing.push(missing);
                continue;
            };
            if !left.contains(&index) {
                claimed.insert(index);
            }
            let replayed = missing.replayed;
            self.matches(Match { replayed, index }, missing.expected);
        }
        // Only here were rows taken out of turn.
        self.matched.sort_unstable();
        claimed
    }

    /// The one name under which all rows of the sitting stand, if it is another than that of the recording.
    fn take_new_name(&mut self) -> Option<String> {
        let first = self.different.first().filter(|_| self.own.is_empty())?;
        let name = first.row.named("sitting").to_owned();
        let of_name = |row: &DifferentRow| row.row.named("sitting") == name;
        if !self.different.iter().all(of_name) || self.different.len() < self.replayed {
            return None;
        }
        let sitting = place_of("sitting");
        for row in &mut self.different {
            row.cells.retain(|(place, _)| *place != sitting);
        }
        self.different.retain(|row| !row.cells.is_empty());
        Some(name)
    }
}

/// Each cell of the row beside its expected text; columns that the file lacks are left out.
fn matches(row: &SheetRow, expected: &[String]) -> Vec<(usize, CellMatch)> {
    let compared = (0..COLUMNS.len()).zip(expected);
    compared
        .filter_map(|(place, expected)| Some((place, CellMatch::of(row.cell(place)?, expected))))
        .collect()
}

impl Compared {
    /// Whether there are rows that another way of judging might explain.
    pub fn is_to_be_explained(&self) -> bool {
        self.different.iter().any(|row| row.explained.is_none())
    }

    /// Takes a row that the recording gives by other texts: one of the sheet that says exactly the same is explained `by` them.
    pub fn hear_other(&mut self, by: &str, replayed: &[String]) {
        let key = replayed_key(replayed);
        for row in &mut self.different {
            let is_same = |(_, found): &(usize, CellMatch)| {
                matches!(found, CellMatch::Same | CellMatch::OtherWriting)
            };
            if row.explained.is_none()
                && row.row.key() == key
                && matches(&row.row, replayed).iter().all(is_same)
            {
                row.explained = Some(by.to_owned());
            }
        }
    }

    /// Remarks that are no findings.
    pub fn observations(&self) -> Vec<Observation> {
        let behind = self.behind.filter(|_| self.to_a_flaw);
        let observation = behind.map(|behind| Observation::NotCompared { rows: behind.rows });
        observation.into_iter().collect()
    }

    /// Every difference with its most likely cause.
    pub fn findings(&self, circumstances: &Circumstances) -> Vec<Finding> {
        let mut findings = Vec::new();
        if let Some(sitting) = &self.renamed {
            findings.push(Finding::Renamed {
                sitting: sitting.clone(),
                rows: self.rows,
            });
        }
        for row in &self.different {
            findings.extend(row.findings(circumstances));
        }
        findings.extend(self.missing_rows(circumstances));
        findings.extend(self.added.iter().map(|row| Finding::RowAdded {
            line: row.line,
            key: row.key.clone(),
            cause: if row.is_copy {
                Cause::Copied
            } else {
                circumstances.or_other_version(Cause::PutIn)
            },
        }));
        let behind = self.behind.filter(|_| !self.to_a_flaw);
        findings.extend(behind.map(|Behind { rows, line }| Finding::BehindTheEnd { rows, line }));
        findings.extend(self.order.map(|(rows, line)| Finding::Order { rows, line }));
        findings
    }

    fn missing_rows(&self, circumstances: &Circumstances) -> Vec<Finding> {
        let is_followed =
            |row: &Missing| self.last_replayed.is_some_and(|last| row.replayed < last);
        let counts = |row: &&Missing| is_followed(row) || !circumstances.is_going_on;
        let missing: Vec<&Missing> = self.missing.iter().filter(counts).collect();
        if !self.has_rows && missing.len() > 1 {
            return vec![Finding::NoRows {
                rows: missing.len(),
            }];
        }
        let finding = |row: &Missing| Finding::RowMissing {
            key: replayed_key(&row.expected),
            cause: if circumstances.is_cut_short && !is_followed(row) {
                Cause::Stopped
            } else {
                circumstances.or_other_version(Cause::TakenOut)
            },
        };
        missing.into_iter().map(finding).collect()
    }
}

impl DifferentRow {
    fn findings(&self, circumstances: &Circumstances) -> impl Iterator<Item = Finding> {
        self.cells.iter().map(|(place, found)| Finding::Cell {
            line: self.row.line,
            key: replayed_key(&self.expected),
            column: COLUMNS[*place].0.to_owned(),
            found: self.row.cell(*place).unwrap_or_default().to_owned(),
            expected: self.expected[*place].clone(),
            cause: match (&self.explained, found) {
                (Some(by), _) => Cause::TodaysFile { by: by.clone() },
                (None, CellMatch::Rounded) => circumstances.or_other_version(Cause::Rounded),
                (None, _) => circumstances.or_other_version(Cause::Edited),
            },
        })
    }
}

impl Circumstances {
    /// `cause`, unless another version of the program recorded.
    fn or_other_version(&self, cause: Cause) -> Cause {
        match &self.other_version {
            Some(recorded) => Cause::of_program(recorded, &self.running),
            None => cause,
        }
    }
}
