//! Whole-program tests: one file per capability.
mod parts_list;
mod published;
mod value_command;
