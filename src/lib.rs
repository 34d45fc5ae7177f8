//! Hands-free measuring of every part of an old chassis.
//!
//! # The way of a reading
//! bytes ([`link`]) → [`recording`] → lines → reply grammar → [`meter::Reading`] → [`probing`] → settled value
//! → [`sitting`] tags it to the part in hand → [`judge`] → verdict → events → results CSV ([`report`]), lines ([`screen`]),
//! as plain data ([`feed`]) to every other view, and to the ear ([`sound`]).
//! A replay starts at [`recording`] and takes the same way.
//!
//! # The rooms
//! [`audit`] looks, later on, whether recordings and results still fit together.
//! The engine (`quantity`, `impedance`, `meter`, `parts`, `probing`, `judge`, `sitting`), `feed`, `audit`, `comparison`, `ordering` and
//! `substitute` open nothing, sleep never and read no clock: every input carries its time. `link`, `simulator`, `sound`, `serve`, `recording`
//! (files), `archive` and `cli` are the edges.

pub mod archive;
pub mod audit;
pub mod batch;
pub mod cli;
pub mod comparison;
pub mod feed;
pub mod impedance;
pub mod job;
pub mod judge;
pub mod ledger;
pub mod link;
pub mod meter;
pub mod ordering;
pub mod parts;
pub mod probing;
pub mod quantity;
pub mod recording;
pub mod report;
pub mod screen;
pub mod serve;
pub mod simulator;
pub mod sitting;
pub mod sound;
pub mod substitute;
