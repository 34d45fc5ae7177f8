//! [`Candidate`]: something on sale that may stand in, with what its rank hangs on.
//!
//! The nominal values that may stand in, and their order.

use std::cmp::Ordering;

use super::arrangement::{statistical, worst};
use super::goods::Sort;
use super::need::Need;
use super::want::{Bears, Ceiling, Preference, Want};
use super::{Arrangement, Share};
use crate::engine::judge::policy::{MAY_BE_HIGH_TENSION, Policy, is_reservoir};
use crate::engine::parts::{Kind, Material, Part};
use crate::engine::quantity::{Band, Rating, format_value};

/// Down to this share of the original an electrolytic counts as of its value: 47 for 50 µF does, 15 for 16 µF does not (common
/// practice, no source).
const AS_GOOD: f64 = 0.94;

/// Voltage that ordinary resistors withstand, in volt (common practice, no source: 250 to 500 V).
const ORDINARY_VOLTS: f64 = 500.0;

/// From so many times the voltage that is asked a capacitor is larger than it need be (common practice, no source).
const OVERSIZED: f64 = 3.0;

/// Combinations of values of one sort, with their ratings.
#[derive(Debug, Clone)]
pub(super) struct Candidate<'a> {
    pub(super) sort: &'a Sort,
    pub(super) arrangement: Arrangement,
    /// Each with its rating: one, or two.
    pub(super) members: Vec<(f64, &'a Rating)>,
    pub(super) shares: Vec<Share>,
    pub(super) value: f64,
    pub(super) worst: Band,
    pub(super) statistical: Band,
    rank: Rank,
}

/// Keys of the rank, the weightiest first; less is better.
#[derive(Debug, Clone, Copy)]
#[expect(
    clippy::struct_excessive_bools,
    reason = "each is a drawback of its own, and their order is that of the ranks"
)]
struct Rank {
    leaves_band: bool,
    is_pair: bool,
    is_in_doubt: bool,
    /// Nobody knows whether the voltage across it is too much: it makes nothing needless that stands more.
    may_stand_too_little: bool,
    material: usize,
    is_too_small: bool,
    is_oversized: bool,
    is_below: bool,
    distance: f64,
    unevenness: f64,
    surplus: f64,
    row: usize,
}

impl<'a> Candidate<'a> {
    /// One part.
    pub(super) fn single(want: &'a Want, row: usize, sort: &'a Sort, value: f64) -> Option<Self> {
        let rating = Need::whole(want).first_of(&sort.ratings)?;
        let band = sort.band(value)?;
        let members = vec![(value, rating)];
        let parts = (Arrangement::Single, members, vec![Share::WHOLE]);
        Self::new(want, (row, sort), parts, value, [band, band])
    }

    /// Two parts; `None` if nothing on sale stands its share, and for two electrolytics in series that are not alike: they age
    /// apart fast enough as it is (common practice, no source).
    pub(super) fn pair(
        want: &'a Want,
        row: usize,
        sort: &'a Sort,
        arrangement: Arrangement,
        values: [f64; 2],
    ) -> Option<Self> {
        let kind = sort.kind;
        let electrolytics = sort.material == Material::Electrolytic;
        if electrolytics && arrangement == Arrangement::Series && values[0] != values[1] {
            return None;
        }
        let bands = [sort.band(values[0])?, sort.band(values[1])?];
        let shares = arrangement.shares(kind, values, bands);
        let need = |share| Need::shared(want, arrangement, share).first_of(&sort.ratings);
        let ratings = [need(shares[0])?, need(shares[1])?];
        let members = vec![(values[0], ratings[0]), (values[1], ratings[1])];
        let value = arrangement.combination(kind)?.of(values[0], values[1]);
        let parts = (arrangement, members, shares.to_vec());
        Self::new(want, (row, sort), parts, value, bands)
    }

    fn new(
        want: &Want,
        (row, sort): (usize, &'a Sort),
        (arrangement, members, shares): (Arrangement, Vec<(f64, &'a Rating)>, Vec<Share>),
        value: f64,
        bands: [Band; 2],
    ) -> Option<Self> {
        let (worst, statistical) = match arrangement.combination(sort.kind) {
            Some(combination) => (worst(combination, bands)?, statistical(combination, bands)?),
            None => (bands[0], bands[0]),
        };
        let nominal = want.original.nominal.value();
        let material = want
            .materials()
            .iter()
            .position(|one| *one == sort.material)?;
        let doubt = |(one, rating): &(f64, &Rating)| {
            volts_in_doubt(want, *one, rating).is_some()
                || want
                    .at_mains
                    .as_ref()
                    .is_some_and(|at| at.has_remark(rating))
        };
        let rank = Rank {
            leaves_band: want.preference == Preference::Nearest && !contains(want.allowed, worst),
            is_pair: arrangement != Arrangement::Single,
            is_in_doubt: members.iter().any(doubt)
                && (sort.kind != Kind::Resistor || want.bears == Some(Bears::Much)),
            may_stand_too_little: members
                .iter()
                .any(|(one, rating)| volts_in_doubt(want, *one, rating).is_some()),
            material,
            is_too_small: want.preference == Preference::AtOrAbove && value < AS_GOOD * nominal,
            is_below: value < nominal,
            is_oversized: members.iter().all(|(_, rating)| is_oversized(want, rating)),
            distance: libm::log(value / nominal).abs(),
            unevenness: shares
                .iter()
                .map(|share| share.power().nominal)
                .fold(0.0, f64::max),
            surplus: members
                .iter()
                .map(|(_, rating)| surplus(want, rating))
                .sum(),
            row,
        };
        Some(Self {
            sort,
            arrangement,
            members,
            shares,
            value,
            worst,
            statistical,
            rank,
        })
    }

    /// Whether all that it may measure is allowed.
    pub(super) const fn keeps_band(&self) -> bool {
        !self.rank.leaves_band
    }

    pub(super) const fn material(&self) -> Material {
        self.sort.material
    }

    /// Whether `better` makes it needless: of the same material and arrangement, and of the same value for a voltage that is
    /// not far beyond what is asked; or, where the nearest value above and below will do, nearer on the same side.
    pub(super) fn is_needless_beside(&self, better: &Self, preference: Preference) -> bool {
        let place = |one: &Self| (one.arrangement, one.material(), one.rank.is_below);
        let further = self.rank.distance > better.rank.distance + 1e-9;
        let alike = (self.rank.distance - better.rank.distance).abs() <= 1e-9;
        let oversized = self.rank.is_oversized
            && !better.rank.is_oversized
            && !better.rank.may_stand_too_little;
        place(self) == place(better)
            && (alike && oversized
                || preference == Preference::AtOrAbove
                    && further
                    && (self.rank.is_oversized || !better.rank.is_oversized))
    }

    /// The better of two comes first.
    pub(super) fn by_rank(&self, other: &Self) -> Ordering {
        let plain = |rank: &Rank| {
            (
                rank.leaves_band,
                rank.is_pair,
                rank.is_in_doubt,
                rank.material,
                rank.is_too_small,
                rank.is_oversized,
            )
        };
        let (a, b) = (&self.rank, &other.rank);
        plain(a)
            .cmp(&plain(b))
            // Values that differ by less than a millionth are alike.
            .then_with(|| {
                (a.distance * 1e6)
                    .round()
                    .total_cmp(&(b.distance * 1e6).round())
            })
            .then_with(|| a.unevenness.total_cmp(&b.unevenness))
            .then_with(|| a.surplus.total_cmp(&b.surplus))
            .then_with(|| a.row.cmp(&b.row))
    }
}

/// Whether a capacitor of that rating is made for far more than is asked.
fn is_oversized(want: &Want, rating: &Rating) -> bool {
    let asked = match want.original.kind {
        Kind::Capacitor => want.least_volts(),
        // The voltage of ordinary sorts is sufficient and common; a sort for far more costs more, and is no better there.
        _ => Some(want.least_volts().unwrap_or(0.0).max(ORDINARY_VOLTS)),
    };
    let times = asked.and_then(|least| Some(rating.dc_volts? / least));
    times.is_some_and(|times| times > OVERSIZED)
}

/// Whether `inner` lies inside `outer`, but for a hair's breadth.
fn contains(outer: Band, inner: Band) -> bool {
    let hair = 1e-12 * inner.upper().abs();
    outer.lower() <= inner.lower() + hair && inner.upper() <= outer.upper() + hair
}

/// Surplus of a rating over what is asked, as a logarithm of their ratio.
fn surplus(want: &Want, rating: &Rating) -> f64 {
    let over = |has: Option<f64>, least: Option<f64>| match (has, least) {
        (Some(has), Some(least)) => libm::log(has / least).max(0.0),
        _ => 0.0,
    };
    match want.original.kind {
        Kind::Resistor => over(rating.watts, want.least_watts()),
        _ => over(rating.dc_volts, want.least_volts()) + rating.ac_volts.map_or(0.0, libm::log),
    }
}

/// The voltage that the power of the original would allow across `ohms`, in volt, if that is more than a resistor of that rating
/// stands and the voltage across it is not known.
pub(super) fn volts_in_doubt(want: &Want, ohms: f64, rating: &Rating) -> Option<f64> {
    if want.original.kind != Kind::Resistor
        || want.least_volts().is_some()
        || want.bears == Some(Bears::Little)
    {
        return None;
    }
    let volts = (want.original.rating.watts? * ohms).sqrt();
    (rating.dc_volts.is_none_or(|stands| stands < volts)).then_some(volts)
}

/// Share of the original down to which an electrolytic may go (common practice, no source: 47 for 50 µF).
const LEAST_ELECTROLYTIC: f64 = 0.9;

/// Multiple of the original up to which an electrolytic may go where nothing else is known, so that the steps of the trade from 16
/// to 22 µF and from 8 to 10 µF are allowed (common practice, no source).
pub(super) const MODEST: f64 = 1.4;

/// Multiple of a guaranteed minimum value up to which one looks (common practice, no source).
const ABOVE_MINIMUM: f64 = 2.0;

/// Fills in the values, their order and what limits them.
pub(super) fn settle(want: &mut Want, part: &Part, policy: &Policy) {
    let nominal = part.nominal.value();
    let to_chassis = want
        .at_mains
        .as_ref()
        .is_some_and(super::AtMains::is_to_chassis);
    let (preference, lower, upper) = if to_chassis {
        (Preference::AtOrBelow, 0.0, nominal)
    } else if want.at_mains.is_none() && is_electrolytic(part) {
        let upper = electrolytic_upper(want, part, policy);
        (Preference::AtOrAbove, LEAST_ELECTROLYTIC * nominal, upper)
    } else {
        let upper = want.allowed.upper().min(ABOVE_MINIMUM * nominal);
        (Preference::Nearest, want.allowed.lower(), upper)
    };
    want.preference = preference;
    if want.ceiling.is_none() {
        want.ceiling = stated_ceiling(part, policy).or_else(|| touch_ceiling(want));
    }
    let ceiling = want.ceiling.as_ref().map_or(f64::INFINITY, |one| one.value);
    want.values = Band::new(lower, upper.min(ceiling));
}

fn is_electrolytic(part: &Part) -> bool {
    part.kind == Kind::Capacitor && part.material == Some(Material::Electrolytic)
}

/// The largest electrolytic: by the tolerance of its role, unless it may be the one that the rectifier charges.
fn electrolytic_upper(want: &mut Want, part: &Part, policy: &Policy) -> f64 {
    let modest = MODEST * part.nominal.value();
    if let Some(ceiling) = stated_ceiling(part, policy) {
        let value = ceiling.value;
        want.ceiling = Some(ceiling);
        return value.max(modest);
    }
    if is_reservoir(part) {
        want.warnings.push(format!(
            "the rectifier charges it, and its data sheet decides how large it may be: state that in the column `largest` or as \
             [[largest]] in policy.toml; without it only up to {MODEST} times the original is offered (common practice)"
        ));
        modest
    } else if part.role.trim().is_empty() {
        let rated = part.rating.dc_volts.unwrap_or(f64::INFINITY);
        let high = rated >= MAY_BE_HIGH_TENSION;
        let warning = high.then(|| format!(
            "if it is the first capacitor behind a valve rectifier, the data sheet of the rectifier decides how large it may be; \
             only up to {MODEST} times the original is offered (common practice)"
        ));
        want.warnings.extend(warning);
        modest
    } else {
        let allowed = want.allowed.upper();
        allowed
            .min(ABOVE_MINIMUM * part.nominal.value())
            .max(modest)
    }
}

/// Ceiling of the list or the policy.
fn stated_ceiling(part: &Part, policy: &Policy) -> Option<Ceiling> {
    let nominal = part.nominal.value();
    if let Some(largest) = part.largest {
        let words = "the column `largest` of the parts list".to_owned();
        return Some(Ceiling {
            value: largest.value(),
            words,
        });
    }
    let rule = policy.largest_for(part)?;
    Some(Ceiling {
        value: rule.farads(nominal),
        words: format!("the policy, {} ({})", rule.reason, rule.source),
    })
}

/// Largest capacitance from line to chassis that the touch current allows.
fn touch_ceiling(want: &mut Want) -> Option<Ceiling> {
    let at = want.at_mains.as_ref()?;
    if !at.is_to_chassis() {
        return None;
    }
    let nominal = want.original.nominal;
    let Some(farads) = at.largest_farads() else {
        want.warnings.push(
            "from line to chassis the value decides the touch current, so never above the original"
                .to_owned(),
        );
        return None;
    };
    let (count, shown) = (at.to_chassis, format_value(nominal.quantity(), farads, 3));
    let shared = match count {
        0 | 1 => String::new(),
        count => format!(", shared by the {count} such capacitors of the list, whose currents add"),
    };
    if nominal.value() > farads {
        want.warnings.push(format!(
            "the original of {nominal} draws more touch current than is allowed where an unearthed chassis can be touched: \
             0.25 mA leave {shown}{shared} (IEC 60950-1, table 5A, quoted on a public mailing list; an earthed chassis may \
             have more, that is for a licensed person to say)"
        ));
    }
    Some(Ceiling {
        value: farads,
        words: format!("0.25 mA of touch current{shared}"),
    })
}
