//! Checks that a job's files agree: recordings whole, and every row of the results what its recording gives.
//!
//! Pure: it takes the texts of files, what a survey of a recording has shown, and replayed rows one by one, and gives findings with
//! their causes. It opens nothing, prints nothing, and never imports `cli`, `screen`, `state`, `serve` or `link`.
//!
//! | word | meaning |
//! |---|---|
//! | sheet | `results.csv` (or `incoming.csv`) as it stands, read cell by cell however it was saved |
//! | comparison | the rows of one sitting in the sheet beside those that a replay of its recording gives |
//! | finding | something that is not as the program left it, with its most likely cause |
//! | observation | something worth knowing that is no finding |
//! | ruling | how verdicts and limits would be under other rules |
//!
//! A cause is worked out: a row is called edited only if the recording is sound where the row comes from, was made by this version of
//! the program, and no file of the job as it is today gives the row either.

mod cell_match;
mod comparison;
mod finding;
mod observation;
mod results_file;
mod ruling;

pub use comparison::{Circumstances, Compared, Comparison, ReplayEnd};
pub use finding::{Finding, Tally};
pub use observation::{Observation, observe_bags, observe_decisions, soundness, strays};
pub use results_file::ResultsFile;
pub use ruling::{Ruling, RulingChange, RulingCounts};
