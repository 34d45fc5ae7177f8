//! Times for people, on screens, lines and pages: [`day`] and [`minute`]. Files and JSON have RFC 3339.

use chrono::{DateTime, FixedOffset};

/// `3 Nov 2056`.
pub(crate) fn day(time: DateTime<FixedOffset>) -> String {
    time.format("%-d %b %Y").to_string()
}

/// `3 Nov 2056 19:25`.
pub(crate) fn minute(time: DateTime<FixedOffset>) -> String {
    time.format("%-d %b %Y %H:%M").to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_are_written_as_they_were_where_they_were() {
        let time = DateTime::parse_from_rfc3339("2056-11-03T19:05:59.9+01:00").unwrap();
        assert_eq!(day(time), "3 Nov 2056");
        assert_eq!(minute(time), "3 Nov 2056 19:05");
    }
}
