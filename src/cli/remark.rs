//! [`remark`]: what is said beside the lines of a sitting.

use std::io::{self, Write as _};

/// A line for the person that is no part of the sitting.
pub(crate) fn remark(text: &str) {
    // Nobody who could be told that nobody listens; the sitting is worth more.
    let _ = writeln!(io::stderr(), "{text}");
}
