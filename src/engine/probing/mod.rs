//! Readings become touches, and touches become settled values.
//!
//! Pure: no file, port, thread or clock; every reading carries its time, and there is no timer here at all.
//! The stream of readings alone decides.
//!
//! # From contact to lift
//! A meter whose probes hang in the air shows something typical of that: an overload on a resistance range, next to
//! nothing on a capacitance range (the *idle* showing, [`Specification::is_idle`]). The first reading that is not idle is
//! the **contact**. Idle readings during a touch are a slip as long as they are few; two of them that span at least
//! `LIFT_SPAN` are the **lift**. Any slip starts the look at the value afresh, since the contact was broken.
//!
//! # Which test decides that a value has settled
//! "Two readings looked alike" is no evidence: a capacitor that creeps up on its value looks alike from one reading to the
//! next. The question is how far the value still has to go. It is asked as a test of *equivalence*: the value counts as
//! settled when an upper bound of its remaining approach is smaller than the meter's own standard uncertainty at that value
//! (the form of two one-sided tests: D. J. Schuirmann, J. Pharmacokinet. Biopharm. 15 (1987) 657-680). A movement that is
//! merely "not significant" does not pass. Two bounds are tried, each sufficient:
//!
//! 1. **Level.** A straight line is fitted to a window of the touch by least squares. Its slope, enlarged by three standard
//!    errors, is carried forward as an exponential approach whose time constant is as long as the touch so far. Slower
//!    approaches than that cannot have been a large part of what was seen since the contact; a small and slower creep
//!    (dielectric absorption, warming) stays undetected, as it does for any observer who looks no longer. The window is the
//!    whole touch, its last half or its last quarter, so that an early transient does not hold up the verdict for ever.
//! 2. **Approach.** The last half of the touch is cut into four equal blocks. Of an exponential, the differences of
//!    successive block means shrink by a constant ratio, from which what is left follows (Aitken's Δ² process, A. C. Aitken,
//!    Proc. R. Soc. Edinburgh 46 (1926) 289-305). Ratio and difference enter with their upper bounds,
//!    the third difference must be the one that the first two foretell, and the readings must be nearly free of scatter.
//!
//! The scatter of single readings is estimated from successive differences (J. von Neumann, Ann. Math. Statist. 12 (1941)
//! 367-395), which a slow drift hardly enlarges, and never taken smaller than the resolution allows (q/√12). Comparing it with
//! the scatter about the fitted line gives von Neumann's ratio: where that is improbably small the value wanders, and
//! the touch is not settled however flat the line looks. A scatter of more than `RESTLESS` standard uncertainties of the
//! meter is not a value either.
//!
//! # The settled value
//! The robust mean of the window by Algorithm A of ISO 13528 (iterated, winsorised mean), so that a blip counts little.
//! Its standard uncertainty combines three components in quadrature (JCGM 100:2008, 5.1.2): the scatter of the mean
//! (1.25 s*/√n, ISO 13528), the meter's specification (rectangular, a/√3), and the bound of the remaining approach
//! (rectangular). Where readings come from a meter that averages, successive readings are not independent and the first
//! component is too small; the specification, which dominates in practice, covers it.
//!
//! # Words said with the probes
//! Probes held on each other, or tapped twice, are no touch of a part but a word of the person: [`Signals`] looks at the same
//! readings, and what it claims is not to be judged.
//!
//! # What does not settle
//! The wiper of a potentiometer under a turning hand has no value to settle on: [`Sweep`] keeps its readings from contact to
//! lift, and [`SweepReport`] says what counts as a dropout and as a jump, and what a slow meter cannot see of them.

mod probes;
mod segment;
mod settled_value;
mod settling;
mod signals;
mod specification;
mod sweep;
mod sweep_report;

pub use probes::{Probed, Probes, Touch};
pub use segment::Cell;
pub use settled_value::{Estimate, Finding, Second, SettledValue};
pub use settling::settled;
pub use signals::{ASSUMED_LEADS, Offered, Signal, Signals, possible_for};
pub use specification::{OnFunction, Specification};
pub use sweep::{Sweep, Sweeping};
pub use sweep_report::{MOST_OF_TRACK, SweepReport, Track};
