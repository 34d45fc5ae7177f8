//! Whole-program tests: one file per capability.
mod conversation;
mod published;
