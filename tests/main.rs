//! Whole-program tests: one file per capability.

#![allow(clippy::unwrap_used, reason = "in a test, a panic is the report")]

mod alternating;
mod bench;
mod browser;
mod compare;
mod contacts;
mod conversation;
mod daemon;
mod demo;
mod discharge;
mod display;
mod engine;
mod evening;
mod feed;
mod impedance;
mod independent_instrument;
mod keys;
mod lcr;
mod leads;
mod link;
mod meter_command;
mod mishaps;
mod page;
mod page_in_browser;
mod parts_list;
mod peer;
mod program;
mod published;
mod purity;
mod quantities;
mod readme;
mod recording;
mod replay;
mod screen;
mod signals;
mod simulator;
mod sit;
mod soak;
mod sounds;
mod tables;
mod talking;
mod two_meters;
mod value_command;
mod why;
mod wiper;
