//! A sitting for others to see: the hub that every viewer joins, and the page for a browser.
//!
//! The sitting's loop publishes and never waits; whoever cannot keep up is told what it missed and gets the whole state anew.

mod hub;
pub mod page;

pub use hub::{Hub, Joined, Next, Told, Viewer};
