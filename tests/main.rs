//! Whole-program tests: one file per capability.
mod bench;
mod link;
mod published;
mod simulator;
