//! The parts of a list as a network: what an ohmmeter reads between two nodes while everything is in circuit, and what such readings
//! say about each part.
//!
//! Pure. No tolerance of a neighbour is ever used to judge a part: old neighbours are outside, and nobody notices. References:
//! P. G. Doyle and J. L. Snell, Random Walks and Electric Networks.

mod agreement;
mod alternating;
mod before;
mod blocks;
mod bounds;
mod cholesky;
mod circuit;
mod element;
mod joint;
mod lifts;
mod nodes;
mod own;
mod positions;
mod walk;

pub use agreement::Agreement;
pub use alternating::{Alternating, impedance};
pub use before::before_reading;
pub use blocks::Blocks;
pub use bounds::{Between, Read};
pub use circuit::{Group, Network, resistances};
pub use element::{Element, LeftOut};
pub use lifts::{Guess, Lift, foreseen, lifts, lifts_behind};
pub use nodes::{End, Node};
pub use own::{Method, Own, Readings, own_values};
pub use positions::{Branch, Positions};
pub use walk::{FURTHER_READINGS, Planned, further_pairs, planned, walk};
