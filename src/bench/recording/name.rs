//! The name of a recording's file.

use chrono::{DateTime, FixedOffset};

/// The file name for a sitting that began at `start`: local date and time of day to the second in the basic format of ISO 8601, so that
/// names sort by time and hold no colon.
///
/// ```
/// let start = chrono::DateTime::parse_from_rfc3339("2056-11-03T19:25:30.5+01:00").unwrap();
/// assert_eq!(probewright::face::bench::recording::name_for(start), "20561103T192530.rec");
/// ```
pub fn name_for(start: DateTime<FixedOffset>) -> String {
    format!("{}.rec", start.format("%Y%m%dT%H%M%S"))
}

/// The name to try when `taken` others exist: `…_02.rec` after the first, which sorts behind it.
pub(super) fn name_after(start: DateTime<FixedOffset>, taken: u32) -> String {
    if taken == 0 {
        name_for(start)
    } else {
        format!("{}_{:02}.rec", start.format("%Y%m%dT%H%M%S"), taken + 1)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_sort_in_the_order_of_time_and_of_attempts() {
        let start = DateTime::parse_from_rfc3339("2056-11-03T19:25:30+01:00").unwrap();
        let later = DateTime::parse_from_rfc3339("2056-11-03T19:25:31+01:00").unwrap();
        let names = [
            name_for(start),
            name_after(start, 1),
            name_after(start, 2),
            name_for(later),
        ];
        assert_eq!(names[1], "20561103T192530_02.rec");
        assert!(names.is_sorted());
    }
}
