//! The numbers of the rule of settling, and its one dial: [`at_once`]. Lengths are standard uncertainties of the meter where
//! nothing else is said.

use crate::engine::parts::{Kind, Material};

/// Prior probability that a value is there at once, and moves no more: of a capacitor that may go on charging or forming, and of
/// everything else. The lower, the more readings are asked for, and the slower an approach may be that is still seen.
///
/// Our own choice, no source. Where several parts may be meant, the smallest holds.
pub(super) fn at_once(kind: Kind, material: Option<Material>) -> f64 {
    match (kind, material) {
        (Kind::Capacitor, Some(Material::Film | Material::Mica | Material::Ceramic)) => AT_ONCE,
        (Kind::Capacitor, _) => 0.5,
        _ => AT_ONCE,
    }
}

/// The same where no part is in hand.
pub(super) const AT_ONCE: f64 = 0.9;

/// Prior probability of two time constants at once.
pub(super) const TWO: f64 = 0.01;

/// Sizes of an amplitude.
pub(super) const SIZES: [f64; 3] = [4.7, 64.0, 4096.0];

/// The shortest look, s: a contact younger than this is still being pressed home.
pub(super) const FIRST_LOOK: f64 = 0.35;

/// Readings younger than this are left out, s.
pub(super) const YOUNG: f64 = 0.05;

/// Fewest values in a window, and of a meter that takes longer than [`SLOW`] for as many, s.
pub(super) const FEWEST: usize = 4;
pub(super) const FEWEST_SLOW: usize = 5;
pub(super) const SLOW: f64 = 0.6;

/// Fewest values whose correlation can be told from scatter.
pub(super) const FEWEST_JUDGED: usize = 8;

/// Scatter of a reading that is expected of a meter, and the share of a count that comes to it. How many readings that is worth where the
/// scatter is not a question of likelihood, and how much less likely each scatter twice or half as large is.
pub(super) const EXPECTED: f64 = 0.1;
pub(super) const DIGIT: f64 = 0.3;
pub(super) const WORTH: f64 = 2.0;
pub(super) const LESS_LIKELY: f64 = 0.4;

/// Variance, in that which is expected, that no meter's scatter has: what leaves so much is no description.
pub(super) const WIDEST: f64 = 65_536.0;

/// Standard errors that a slope may have by chance.
pub(super) const REACH: f64 = 3.0;

/// Uncertainty that settling may add: within [`AHEAD`], a second of looking after that, and at most.
pub(super) const ALLOWED: f64 = 0.5;
pub(super) const ALLOWED_A_SECOND: f64 = 0.25;
pub(super) const ALLOWED_AT_MOST: f64 = 1.0;

/// Share of what is left to go, for curves that are no exponentials, and of what the residuals still move, that counts as uncertain.
pub(super) const LEFT: f64 = 1.3;
pub(super) const REST: f64 = 0.3;

/// A value off by more than this is no more wrong for it.
pub(super) const FAR: f64 = 8.0;

/// Below this weight the constant is improbable; above [`PLAIN`] two time constants need not be tried.
pub(super) const IMPROBABLE: f64 = 0.5;
pub(super) const PLAIN: f64 = 0.9;

/// The shortest time for which a movement is carried forward, s, and how far it may then lead.
pub(super) const AHEAD: f64 = 2.0;
pub(super) const LEADS: f64 = 1.3;

/// Steps from reading to reading of a sliding probe, each as likely as the others.
pub(super) const WALKS: [f64; 4] = [1.0, 2.0, 4.0, 8.0];

/// How much likelier than a sliding probe the candidates must be, as natural logarithms: up to [`EARLY`], s, falling from there to what
/// is asked from [`LATE`] on; and where only a part of the touch fits.
pub(super) const NO_WALK: f64 = 6.0;
pub(super) const NO_WALK_LATE: f64 = 0.3;
pub(super) const NO_WALK_IN_PART: f64 = 11.0;
pub(super) const EARLY: f64 = 1.2;
pub(super) const LATE: f64 = 3.0;
