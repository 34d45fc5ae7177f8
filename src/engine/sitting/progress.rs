//! [`Progress`]: where in the list the sitting stands.

use super::summary::{Counts, Summary};
use crate::engine::judge::{Verdict, overall};

/// Fate of a part so far.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
struct Outcome {
    /// Settled values so far.
    attempts: u32,
    /// Verdict on the last of them.
    verdict: Option<Verdict>,
    /// A touch ended without a settled value.
    unsettled: bool,
    /// Left out on command.
    skipped: bool,
    /// Not to be measured as things are: a part in circuit, where pairs of places are read.
    waits: bool,
}

impl Outcome {
    fn open(self) -> bool {
        self.verdict.is_none() && !self.skipped && !self.waits
    }
}

/// Fate of each part, the part in hand and the part judged last.
#[derive(Debug, Clone)]
pub(super) struct Progress {
    outcomes: Vec<Outcome>,
    /// The entry with which the part of each entry begins.
    heads: Vec<usize>,
    /// Number of pairs of places among the entries, which come first and whose readings are no verdict.
    pairs: usize,
    in_hand: Option<usize>,
    /// The rows that count, in the order of their making.
    judged: Vec<Judged>,
}

/// A row that counts.
#[derive(Debug, Clone)]
struct Judged {
    row: u32,
    entry: usize,
    verdict: Verdict,
    rests_on: Vec<u32>,
}

impl Progress {
    /// At the first of the entries; `heads` says with which entry the part of each begins.
    pub(super) fn new(heads: &[usize]) -> Self {
        Self {
            outcomes: vec![Outcome::default(); heads.len()],
            heads: heads.to_vec(),
            pairs: 0,
            in_hand: (!heads.is_empty()).then_some(0),
            judged: Vec::new(),
        }
    }

    /// This, but so many of the first entries are pairs of places, and those behind them wait; nothing changes where there are no more
    /// entries than that.
    pub(super) fn in_circuit(mut self, pairs: usize) -> Self {
        if pairs < self.outcomes.len() {
            self.pairs = pairs;
            let parts = self.outcomes[pairs..].iter_mut();
            parts.for_each(|part| part.waits = true);
        }
        self
    }

    pub(super) fn in_hand(&self) -> Option<usize> {
        self.in_hand
    }

    pub(super) fn last_judged(&self) -> Option<usize> {
        let mut latest_first = self.judged.iter().rev();
        let last = latest_first.find(|one| !self.outcomes[one.entry].waits)?;
        Some(last.entry)
    }

    /// The entry judged last of all that count, and its row.
    pub(super) fn last_row(&self) -> Option<(usize, u32)> {
        self.judged.last().map(|last| (last.entry, last.row))
    }

    /// The last row of an entry that counts.
    pub(super) fn row_of(&self, entry: usize) -> Option<u32> {
        let mut latest_first = self.judged.iter().rev();
        latest_first
            .find(|one| one.entry == entry)
            .map(|one| one.row)
    }

    /// Verdict on the last settled value of a part.
    pub(super) fn verdict(&self, part: usize) -> Option<Verdict> {
        self.outcomes[part].verdict
    }

    /// The part before or after the one in hand; with none in hand, the last one counts as being before it.
    pub(super) fn neighbour(&self, forward: bool) -> Option<usize> {
        match (self.in_hand, forward) {
            (Some(part), true) => (part + 1..self.outcomes.len()).find(|next| !self.waits(*next)),
            (Some(part), false) => (0..part).rev().find(|next| !self.waits(*next)),
            (None, true) => None,
            (None, false) => (0..self.outcomes.len())
                .rev()
                .find(|next| !self.waits(*next)),
        }
    }

    /// The entries still to be measured but this one: those behind it, then those from the top of the list.
    pub(super) fn following(&self, entry: usize) -> impl Iterator<Item = usize> + '_ {
        (entry + 1..self.outcomes.len())
            .chain(0..entry)
            .filter(|entry| self.outcomes[*entry].open())
    }

    pub(super) fn take(&mut self, part: Option<usize>) {
        self.in_hand = part;
    }

    /// Counts an attempt on `part`, which is that row and rests on those, and gives its number.
    pub(super) fn judged(
        &mut self,
        part: usize,
        row: u32,
        rests_on: &[u32],
        verdict: Verdict,
    ) -> u32 {
        self.judged.push(Judged {
            row,
            entry: part,
            verdict,
            rests_on: rests_on.to_vec(),
        });
        let outcome = &mut self.outcomes[part];
        outcome.attempts += 1;
        outcome.verdict = Some(verdict);
        outcome.skipped = false;
        outcome.attempts
    }

    /// Takes a row back, with every row that rests on it; gives all their numbers.
    pub(super) fn withdraw(&mut self, row: u32) -> Vec<u32> {
        let mut fallen = vec![row];
        // A row rests on earlier ones alone.
        for one in &self.judged {
            if one.rests_on.iter().any(|row| fallen.contains(row)) {
                fallen.push(one.row);
            }
        }
        let (gone, left): (Vec<Judged>, Vec<Judged>) = std::mem::take(&mut self.judged)
            .into_iter()
            .partition(|one| fallen.contains(&one.row));
        self.judged = left;
        for Judged { entry, .. } in gone {
            let mut latest_first = self.judged.iter().rev();
            let last = latest_first.find(|one| one.entry == entry);
            self.outcomes[entry].verdict = last.map(|one| one.verdict);
        }
        fallen
    }

    pub(super) fn unsettled(&mut self, part: usize) {
        self.outcomes[part].unsettled = true;
    }

    pub(super) fn skip(&mut self, part: usize) {
        self.outcomes[part].skipped = true;
    }

    /// Whether the entry is not to be measured as things are.
    pub(super) fn waits(&self, entry: usize) -> bool {
        self.outcomes[entry].waits
    }

    /// The entry is to be measured from now on, or not any more.
    pub(super) fn wait(&mut self, entry: usize, waits: bool) {
        self.outcomes[entry].waits = waits;
    }

    /// The entry is to be measured again.
    pub(super) fn reopen(&mut self, entry: usize) {
        let outcome = &mut self.outcomes[entry];
        outcome.verdict = None;
        outcome.skipped = false;
        outcome.waits = false;
    }

    /// Whether the entry has a row that counts.
    pub(super) fn has_row(&self, entry: usize) -> bool {
        self.outcomes[entry].verdict.is_some()
    }

    /// Whether the entry is still to be measured.
    pub(super) fn is_open(&self, entry: usize) -> bool {
        self.outcomes[entry].open()
    }

    /// The first entry of that part that is still to be measured, else its first one.
    pub(super) fn entry_of(&self, head: usize) -> usize {
        let open = |entry: &usize| self.heads[*entry] == head && self.outcomes[*entry].open();
        (head..self.heads.len()).find(open).unwrap_or(head)
    }

    pub(super) fn summary(&self) -> Summary {
        let mut summary = Summary::default();
        let mut rest = &self.outcomes[..];
        let mut readings = 0;
        for entries in self.heads.chunk_by(|one, other| one == other) {
            let (part, others) = rest.split_at(entries.len());
            rest = others;
            let is_pair = entries[0] < self.pairs;
            let unread = part[0].waits && part[0].verdict.is_none();
            if unread {
                continue;
            }
            summary.parts += usize::from(!part[0].waits);
            match part[0].verdict {
                Some(_) if is_pair => readings += 1,
                _ => count(part, &mut summary.counts),
            }
        }
        summary.done = summary.judged() + summary.counts.skipped;
        if self.pairs > 0 {
            summary.in_circuit = true;
            let measured = self.outcomes[self.pairs..].iter();
            let measured = measured.filter(|one| !one.waits && !one.open()).count();
            summary.done = readings + measured + summary.counts.skipped;
        }
        summary
    }
}

/// Counts a part by all its entries: a fault stands whatever is still to come; a good one only once all was measured.
fn count(entries: &[Outcome], counts: &mut Counts) {
    let verdict = overall(entries.iter().filter_map(|outcome| outcome.verdict));
    let fault = matches!(verdict, Some(Verdict::Fail | Verdict::ConditionalFail));
    let open = entries.iter().any(|outcome| outcome.open());
    match verdict {
        Some(verdict) if fault || !open => counts.add(verdict),
        _ if entries
            .iter()
            .any(|outcome| outcome.unsettled && outcome.verdict.is_none()) =>
        {
            counts.unsettled += 1;
        }
        _ if !open => counts.skipped += 1,
        _ => counts.not_reached += 1,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    impl Progress {
        fn takes(&mut self, part: usize, verdict: Verdict) -> u32 {
            let row = self.judged.len() as u32 + 1;
            self.judged(part, row, &[], verdict)
        }
    }

    #[test]
    fn skipped_and_judged_parts_are_not_taken_up_again() {
        let mut progress = Progress::new(&[0, 1, 2, 3]);
        progress.takes(0, Verdict::Pass);
        progress.skip(1);
        assert_eq!(progress.following(0).next(), Some(2));
        progress.takes(3, Verdict::Fail);
        assert_eq!(progress.following(3).next(), Some(2));
        progress.takes(2, Verdict::Fail);
        assert_eq!(progress.following(2).next(), None);
    }

    #[test]
    fn a_skipped_part_that_is_measured_after_all_counts_by_its_verdict() {
        let mut progress = Progress::new(&[0]);
        progress.skip(0);
        assert_eq!(progress.summary().counts.skipped, 1);
        assert_eq!(progress.takes(0, Verdict::Pass), 1);
        assert_eq!(
            (
                progress.summary().counts.skipped,
                progress.summary().count(Verdict::Pass)
            ),
            (0, 1)
        );
    }

    #[test]
    fn neighbours_end_with_the_list() {
        let mut progress = Progress::new(&[0, 1]);
        assert_eq!(
            (progress.neighbour(false), progress.neighbour(true)),
            (None, Some(1))
        );
        progress.take(None);
        assert_eq!(
            (progress.neighbour(false), progress.neighbour(true)),
            (Some(1), None)
        );
    }

    #[test]
    fn a_part_passes_only_when_all_of_it_was_measured_and_fails_at_once() {
        let mut progress = Progress::new(&[0, 0, 2]);
        progress.takes(0, Verdict::Pass);
        assert_eq!(progress.summary().counts.not_reached, 2);
        assert_eq!((progress.entry_of(0), progress.entry_of(2)), (1, 2));
        progress.takes(1, Verdict::Fail);
        assert_eq!(progress.summary().count(Verdict::Fail), 1);
        progress.takes(1, Verdict::ConditionalPass);
        let summary = progress.summary();
        assert_eq!(
            (summary.parts, summary.count(Verdict::ConditionalPass)),
            (2, 1)
        );
    }

    #[test]
    fn a_part_of_which_a_further_measurement_was_left_out_counts_by_the_rest() {
        let mut progress = Progress::new(&[0, 0]);
        progress.takes(0, Verdict::Pass);
        progress.skip(1);
        assert_eq!(progress.summary().count(Verdict::Pass), 1);
    }

    #[test]
    fn what_is_withdrawn_counts_no_more_and_neither_does_what_rests_on_it() {
        let mut progress = Progress::new(&[0, 0, 2]);
        progress.judged(0, 1, &[], Verdict::Fail);
        progress.judged(2, 2, &[], Verdict::Pass);
        progress.judged(0, 3, &[], Verdict::Pass);
        progress.judged(1, 4, &[3], Verdict::Fail);
        assert_eq!(progress.withdraw(3), [3, 4]);
        assert_eq!(
            (progress.verdict(0), progress.verdict(1)),
            (Some(Verdict::Fail), None)
        );
        assert_eq!(progress.last_row(), Some((2, 2)));
        assert_eq!((progress.row_of(0), progress.row_of(1)), (Some(1), None));
        assert_eq!(progress.judged(0, 5, &[], Verdict::Pass), 3);
    }
}
