//! A short form of the corpus of touches in `benches/capture`, with limits: a seed that the rule was not made on.

#[path = "../benches/capture/corpus/mod.rs"]
mod corpus;

use corpus::{Cell, Course, Figures, cells};

const SEED: u64 = 20_261;

/// Touches of each cell, and the longest course: enough for a limit, and no minute of anybody's time.
const TOUCHES: u32 = 40;
const LONGEST: f64 = 16.0;

/// Figures of the cells of these groups.
fn figures(groups: &[&str], wanted: impl Fn(&Cell) -> bool) -> Vec<(Cell, Figures)> {
    let of_groups = cells().into_iter().filter(|cell| {
        groups.contains(&cell.group) && wanted(cell) && cell.course.ideal() < LONGEST
    });
    let found: Vec<_> = of_groups
        .map(|cell| Cell {
            touches: TOUCHES,
            ..cell
        })
        .map(|cell| (cell, cell.figures(SEED)))
        .collect();
    assert!(!found.is_empty(), "no cell of {groups:?}");
    found
}

#[test]
fn a_plain_touch_is_given_once_rightly_and_soon() {
    let groups = [
        "plain", "slips", "blips", "both", "bounce", "double", "brush",
    ];
    for (cell, found) in figures(&groups, |_| true) {
        assert_eq!(
            (found.missed, found.extra, found.anew, found.wrong),
            (0, 0, 0, 0),
            "{cell}: {found}"
        );
    }
    for (cell, found) in figures(&["plain"], |cell| cell.rate >= 100.0) {
        assert!(found.median <= 0.4 && found.late <= 0.45, "{cell}: {found}");
    }
    for (cell, found) in figures(&["plain"], |cell| cell.rate == 20.0) {
        assert!(
            found.median <= 0.45 && found.late <= 0.65,
            "{cell}: {found}"
        );
    }
}

#[test]
fn what_scatters_or_flickers_is_waited_out_and_not_for_ever() {
    for (cell, found) in figures(&["flicker", "noise"], |cell| cell.rate >= 10.0) {
        assert_eq!((found.missed, found.wrong), (0, 0), "{cell}: {found}");
        assert!(found.late <= 6.0, "{cell}: {found}");
        assert!(found.coverage >= 0.95, "{cell}: {found}");
    }
}

#[test]
fn an_approach_is_given_where_it_goes_and_with_the_certainty_that_there_is() {
    let of_this_rate = |cell: &Cell| cell.rate <= 100.0;
    let groups = ["approach", "two", "stretched", "averaging"];
    for (cell, found) in figures(&groups, of_this_rate) {
        assert_eq!((found.missed, found.wrong), (0, 0), "{cell}: {found}");
        assert!(found.coverage >= 0.9, "{cell}: {found}");
        assert!(found.bias.abs() <= 0.35, "{cell}: {found}");
    }
}

#[test]
fn one_exponential_is_given_soon_after_it_is_there_itself() {
    let large = |cell: &Cell| matches!(cell.course, Course::Approach { size, tau } if size >= 30.0 && tau >= 1.0);
    for (cell, found) in figures(&["approach"], |cell| cell.rate >= 10.0 && large(cell)) {
        assert!(found.median <= 1.4 * found.ideal, "{cell}: {found}");
        assert!(found.bias.abs() <= 0.2, "{cell}: {found}");
    }
}

#[test]
fn what_drifts_or_slides_has_no_value() {
    let drifts_or_slides = |cell: &Cell| match cell.course {
        Course::Drift { .. } => true,
        Course::Walk { step } => step >= 2.0 && cell.rate >= 10.0,
        _ => false,
    };
    for (cell, found) in figures(&["drift", "walk"], drifts_or_slides) {
        assert_eq!(found.wrong, 0, "{cell}: {found}");
    }
}
