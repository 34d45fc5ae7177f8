//! Readings become touches, and touches become settled values.
//!
//! Pure: no file, port, thread or clock; every reading carries its time, and there is no timer here at all.
//! The stream of readings alone decides.
//!
//! # From contact to lift
//! A meter whose probes hang in the air shows something typical of that: an overload on a resistance range, next to
//! nothing on a capacitance range (the *idle* showing, [`Specification::is_idle`]). The first reading that is not idle is
//! the **contact**. Idle readings during a touch are a slip as long as they are few; two of them that span at least
//! `LIFT_SPAN` are the **lift**. The reading behind a slip holds some air and is left out, as the first one of a contact is.
//!
//! # Which test decides that a value has settled
//! "Two readings looked alike" is no evidence: a capacitor that creeps up on its value looks alike from one reading to the
//! next. The question is where the value is going, and how well that is known. Lengths below are in u, the meter's standard
//! uncertainty at that value, or in two counts where these are larger.
//!
//! 1. **Readings.** Those of the first 50 ms are left out, and a reading far from the median of the five about it is dropped. The
//!    first look is at 0.35 s and four readings (five where they take longer), the next each time the number has grown by a twelfth.
//! 2. **Candidates.** The value is there at once, or it is c + A·exp(-t/τ), t from the contact, with one of 21 time constants from
//!    0.03 to 30 s, A normal about zero with 4.7, 64 or 4096 u. Each gets its c, the variance of c and a weight by its marginal likelihood
//!    in closed form (Bayesian linear model with the scatter integrated out; textbook, from memory). Where the likeliest moves, its time
//!    constant is fitted (Gauss and Newton), since a large approach tells it far more finely than a table has it; before a moving value
//!    is given, a second time constant beside it is weighed as well. The scatter of a reading is about 0.1 u and 0.3 of a count, or
//!    a half, a quarter, twice, four times ... of that, each less likely than its neighbour; a display that hardly changes averages hardly (q²/12 is
//!    multiplied by n / 2 (1 + number of changes)). The value is the mean of c, its standard deviation that of the mixture; no candidate
//!    is further off than 8 u.
//! 3. **Fit.** The residuals of the best curve must be no larger than any meter's scatter, must have no slope in their last half (three
//!    standard errors), and must not follow one another (J. von Neumann, Ann. Math. Statist. 12 (1941) 367-395). Otherwise the last half
//!    of the touch is tried, then the last quarter, then neighbours averaged in pairs. The first that fits decides.
//! 4. **Gates.** Where the constant is improbable, the movement carried forward over the touch so far, at least 2 s, must lead no
//!    further than 1.3 u, and half of the weight must lie at time constants shorter than the touch. Else it is a drift, which is never
//!    given as a value. And unless all readings lie within one count, the candidates must be likelier than a sliding probe (a random walk
//!    with steps of 1, 2, 4 or 8 u, and the least scatter): 400 times up to 1.2 s, falling to 1.3 times at 3 s; where only a part of the
//!    touch fits, 60,000 times.
//! 5. **Uncertainty.** Standard deviation, 1.3 of what is left to go, and 0.3 of what the residuals still move, in quadrature, must
//!    come to no more than 0.5 u; from 2 s on 0.25 u for each second, at most 1 u.
//!
//! The numbers are in `limits.rs`, tried on the corpus of `benches/capture`. One of them is a dial, the probability that a value is
//! there at once: 0.9, and 0.5 for electrolytic and paper capacitors and those of a material that is not listed. Where several
//! parts may be meant, the smallest holds.
//!
//! # What no rule this fast can see
//! A movement that begins with less than about 0.75 u a second is lost in what is seen in a third of a second: a slow small
//! creep (dielectric absorption, warming, a time constant beyond 10 s), a slow hum, a probe that slides by less than u from one reading
//! to the next. Of probes that slide by u, one in a hundred is taken for a value at ten readings a second, one in six at three. Nothing
//! is promised there.
//!
//! # The settled value
//! Its standard uncertainty combines three components in quadrature (JCGM 100:2008, 5.1.2): the scatter of the mean about the
//! best curve (at least q/√12), the meter's specification (rectangular, a/√3), and what is left of the uncertainty of 5, which says
//! what may still come (rectangular). Where readings come from
//! a meter that averages, successive readings are not independent and the first component is too small; the specification,
//! which dominates in practice, covers it.
//!
//! # Words said with the probes
//! Probes held on each other, or tapped twice, are no touch of a part but a word of the person: [`Signals`] looks at the same
//! readings, and what it claims is not to be judged.
//!
//! # What does not settle
//! The wiper of a potentiometer under a turning hand has no value to settle on: [`Sweep`] keeps its readings from contact to
//! lift, and [`SweepReport`] says what counts as a dropout and as a jump, and what a slow meter cannot see of them.

mod candidates;
mod limits;
mod normal;
mod probes;
mod segment;
mod settled_value;
mod settling;
mod signals;
mod specification;
mod sweep;
mod sweep_report;
mod window;

pub use probes::{Probed, Probes, Touch};
pub use settled_value::{Estimate, Finding, Second, SettledValue};
pub use signals::{ASSUMED_LEADS, Offered, Signal, Signals, possible_for};
pub use specification::{OnFunction, Specification};
pub use sweep::{Sweep, Sweeping};
pub use sweep_report::{MOST_OF_TRACK, SweepReport, Track};
