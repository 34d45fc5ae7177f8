//! What is doubtful about the bag that a fitted part is said to come from.

use crate::books::batch::{Bag, Bags, bag_label};
use crate::books::ledger::{Book, Decision};
use crate::cli::remark::remark;

/// Says what speaks against the number of the bag.
pub(super) fn say(book: &Book, bags: &Bags, decision: &Decision, number: u32) {
    let designator = &decision.designator;
    let Some(bag) = bags.bag(number) else {
        remark(&format!(
            "{}: `probewright batch` lists the bags that were measured",
            bags.words(number)
        ));
        return fitted_before(book, designator, number);
    };
    if let Some(words) = of_another_kind(book, designator, bag) {
        remark(&words);
    }
    if !bag.is_good() {
        remark(&format!(
            "{} was no good part when it was measured: {}, {}",
            bag.label(),
            bag.row.verdict,
            bag.row.reason
        ));
    }
    fitted_before(book, designator, number);
}

/// That what is in the bag is measured in another unit than the part is.
fn of_another_kind(book: &Book, designator: &str, bag: &Bag) -> Option<String> {
    let mut parts = book.list.parts.iter();
    let part = parts.find(|part| part.designator.eq_ignore_ascii_case(designator))?;
    let wanted = part.nominal.quantity();
    (wanted != bag.row.quantity).then(|| {
        format!(
            "{} holds a part with a {}, and {designator} has a {wanted}: is the number right?",
            bag.label(),
            bag.row.quantity
        )
    })
}

/// That the bag was emptied for another part before, since each holds one.
fn fitted_before(book: &Book, designator: &str, number: u32) {
    let accounts = book.accounts();
    let other = accounts.iter().find(|account| {
        account.fitted().and_then(|one| one.bag) == Some(number)
            && !account.part.designator.eq_ignore_ascii_case(designator)
    });
    if let Some(other) = other {
        remark(&format!(
            "{} was fitted as {} already, and each bag holds one part: one of the two numbers is wrong",
            bag_label(number),
            other.part.designator
        ));
    }
}
