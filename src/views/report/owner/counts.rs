//! [`Counts`]: how many parts are what.

use serde::Serialize;

use crate::books::ledger::{Account, Standing};

/// How many parts are what.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
pub(super) struct Counts {
    /// On the list.
    pub(super) parts: usize,
    /// Measured at least once.
    pub(super) measured: usize,
    /// Of which another one was put in.
    pub(super) replaced: usize,
    /// Knowingly left although not good.
    pub(super) accepted: usize,
    /// With something still to be done.
    pub(super) open: usize,
}

impl Counts {
    /// Counts them.
    pub(super) fn of(accounts: &[Account<'_>]) -> Self {
        let count = |fits: &dyn Fn(&Account<'_>) -> bool| {
            accounts.iter().filter(|account| fits(account)).count()
        };
        Self {
            parts: accounts.len(),
            measured: count(&|one| !one.measurements.is_empty()),
            replaced: count(&|one| one.fitted().is_some()),
            accepted: count(&|one| one.standing() == Standing::Accepted),
            open: count(&|one| one.standing().is_open()),
        }
    }
}
