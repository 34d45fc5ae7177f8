//! Touches to settled values, by what makes them hard: `cargo bench --bench capture`, with a seed of its own where one is
//! named (`-- 7`), and for one group where a word is (`-- walk`).
//!
//! The limits are in `tests/settling.rs`; here is what each cell comes to.

#![allow(clippy::print_stdout, reason = "the table is the result")]
#![allow(clippy::unwrap_used, reason = "a bench that cannot go on fails")]

mod corpus;

use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::Instant;

use corpus::{Cell, Figures, cells};

/// The heads of the columns of a cell's figures.
const HEADS: &str =
    " touches  missed   extra    anew   wrong  k=2    settl  bias/u  median     95%   ideal";

fn main() {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let seed = words.iter().find_map(|word| word.parse().ok()).unwrap_or(1);
    let group = words
        .iter()
        .find(|word| word.chars().all(char::is_alphabetic));
    let cells: Vec<Cell> = cells()
        .into_iter()
        .filter(|cell| group.is_none_or(|group| cell.group == group))
        .collect();
    let begun = Instant::now();
    let figures = all(&cells, seed);
    println!("{:46}{}", format!("seed {seed}"), HEADS);
    let mut touches = 0;
    for (cell, figures) in cells.iter().zip(&figures) {
        println!("{:46}{figures}", cell.to_string());
        touches += figures.touches;
    }
    println!("{touches} touches in {:.1?}", begun.elapsed());
}

/// The figures of all cells, worked out on as many threads as there are processors.
fn all(cells: &[Cell], seed: u64) -> Vec<Figures> {
    let next = AtomicUsize::new(0);
    let threads = std::thread::available_parallelism().map_or(1, usize::from);
    let work = || {
        let mut done = Vec::new();
        while let Some((at, cell)) = take(&next, cells) {
            done.push((at, cell.figures(seed)));
        }
        done
    };
    let mut done: Vec<(usize, Figures)> = std::thread::scope(|scope| {
        let threads: Vec<_> = (0..threads).map(|_| scope.spawn(work)).collect();
        let join = |thread: std::thread::ScopedJoinHandle<'_, _>| thread.join().unwrap();
        threads.into_iter().flat_map(join).collect()
    });
    done.sort_by_key(|(at, _)| *at);
    done.into_iter().map(|(_, figures)| figures).collect()
}

fn take<'a>(next: &AtomicUsize, cells: &'a [Cell]) -> Option<(usize, &'a Cell)> {
    let at = next.fetch_add(1, Ordering::Relaxed);
    Some((at, cells.get(at)?))
}
