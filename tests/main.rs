//! Whole-program tests: one file per capability.
mod published;
mod recording;
