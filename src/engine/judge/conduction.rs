//! Resistance by the rating of a fuse, a lamp or a contact, or none.

use super::check::{Aspect, Check};
use super::grounds::Grounds;
use super::verdict::Verdict;
use crate::engine::parts::{Kind, Part, ToleranceOrigin, limit_by_rating};

/// A fuse or a lamp of which no rating is known conducts, and no more can be said of it; a limit that follows from a rating
/// names what it rests on. Nothing for any other part, and where no value was found.
pub(super) fn check(part: &Part, grounds: &Grounds) -> Option<Check> {
    if !part.kind.conducts() || grounds.value.is_none() {
        return None;
    }
    match part.tolerance_origin {
        ToleranceOrigin::Rating => {
            let words = format!("its limit is {}", limit_by_rating(part.kind));
            Some(Check::remark(Aspect::Rating, words))
        }
        ToleranceOrigin::Default if part.kind != Kind::Switch => Some(Check {
            aspect: Aspect::Rating,
            verdict: Some(Verdict::ConditionalPass),
            words: "conducts, no more is known without its rating".to_owned(),
        }),
        _ => None,
    }
}
