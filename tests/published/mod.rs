//! Checks against figures published outside the project; each names its source.
mod accuracy;
mod scpi;
