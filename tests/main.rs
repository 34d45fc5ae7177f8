//! Whole-program tests: one file per capability.
mod conversation;
mod independent_instrument;
mod published;
