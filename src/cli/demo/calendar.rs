//! [`evening`]: the evenings of the demonstration over weeks.

use chrono::{DateTime, FixedOffset, Local, NaiveTime, TimeDelta};

/// When one sits down at the bench.
const AFTER_SUPPER: NaiveTime = NaiveTime::from_hms_opt(19, 25, 0).expect("a time of the day");

/// The evening so many days before that moment, in local time. The last one is over today: nothing in the job that is kept lies
/// ahead, so that what is measured and decided in it later comes later.
pub(super) fn evening(days_ago: i64, now: DateTime<FixedOffset>) -> DateTime<FixedOffset> {
    let then = now - TimeDelta::days(days_ago);
    let local = then
        .with_timezone(&Local)
        .date_naive()
        .and_time(AFTER_SUPPER);
    // Where the clocks were changed at that very hour, any time of the day will do.
    let found = local.and_local_timezone(Local).earliest();
    found.map_or(then, |found| found.fixed_offset())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn evenings_are_days_apart_and_over() {
        let now = DateTime::parse_from_rfc3339("2056-11-25T00:10:00+00:00").unwrap();
        let [first, second, third] = [24, 3, 1].map(|days| evening(days, now));
        assert!(first < second && second < third && third < now);
        assert_eq!((second.date_naive() - first.date_naive()).num_days(), 21);
        assert_eq!(third.time(), AFTER_SUPPER);
    }
}
