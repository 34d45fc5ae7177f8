//! Whole-program tests: one file per capability.

#![allow(clippy::unwrap_used, reason = "in a test, a panic is the report")]

mod bench;
mod conversation;
mod impedance;
mod independent_instrument;
mod link;
mod parts_list;
mod published;
mod purity;
mod quantities;
mod recording;
mod simulator;
mod value_command;
