//! Checks against figures published outside the project; each names its source.

mod gum_rounding;
mod iec60062;
mod iec60063;
