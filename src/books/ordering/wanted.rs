//! [`Wanted`]: what the ledgers of jobs say about buying.

use chrono::{DateTime, FixedOffset};

use super::{Need, User};

/// What the ledgers of jobs say about buying.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Wanted {
    /// What is needed.
    pub needs: Vec<Need>,
    /// Parts of which nobody has said what is to be bought, so that the best substitute stands on the list.
    pub proposed: Vec<User>,
    /// What speaks against something that was said to be bought.
    pub doubts: Vec<Doubt>,
    /// Parts of which nobody has said what is to be bought, and for which no substitute can be named.
    pub unknown: Vec<Unknown>,
    /// What is on order.
    pub on_order: Vec<OnOrder>,
}

/// Something speaks against what was said to be bought.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Doubt {
    /// For what.
    pub user: User,
    /// What was said.
    pub what: String,
    /// What speaks against it, as the end of a sentence.
    pub why: String,
}

/// It is not known what is to be bought.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unknown {
    /// For what.
    pub user: User,
    /// Why.
    pub why: String,
}

/// Something is on order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OnOrder {
    /// For what.
    pub user: User,
    /// What.
    pub what: String,
    /// Since when.
    pub since: DateTime<FixedOffset>,
}
