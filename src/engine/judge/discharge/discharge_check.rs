//! [`DischargeCheck`]: which capacitors must be seen discharged before work, and which were.

use super::{DISCHARGED_VOLTS, DischargeError, RECHECK_AFTER};
use crate::engine::judge::bad_figure::{finite, positive};
use crate::engine::quantity::Stamp;

/// What is known of one capacitor.
#[derive(Debug, Clone, PartialEq)]
pub enum CapacitorState {
    /// Not measured since the equipment was last powered.
    Unread,
    /// The last reading was at or above the limit.
    Charged {
        /// The reading, in volt, without sign.
        volts: f64,
    },
    /// Below the limit once; may recover by dielectric absorption.
    DownOnce {
        /// When it was first seen below the limit.
        since: Stamp,
    },
    /// Below the limit, and still below it a minute later.
    Discharged,
}

/// Going on although a capacitor was not seen discharged.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Override {
    /// When it was said.
    pub at: Stamp,
    /// Why.
    pub reason: String,
}

/// One line of the check.
#[derive(Debug, Clone, PartialEq)]
struct Entry {
    designator: String,
    state: CapacitorState,
    last: Option<Stamp>,
    overridden: Option<Override>,
}

/// Which capacitors must read below a limit before work, and which did. Fed with readings and their stamps.
#[derive(Debug, Clone, PartialEq)]
pub struct DischargeCheck {
    limit_volts: f64,
    entries: Vec<Entry>,
}

impl DischargeCheck {
    /// A check of the capacitors with these designators against 60 V.
    pub fn new<T: Into<String>>(designators: impl IntoIterator<Item = T>) -> Self {
        let entries = designators.into_iter().map(|designator| Entry {
            designator: designator.into(),
            state: CapacitorState::Unread,
            last: None,
            overridden: None,
        });
        Self {
            limit_volts: DISCHARGED_VOLTS,
            entries: entries.collect(),
        }
    }

    /// The same check against another limit, in volt.
    ///
    /// # Errors
    /// If the limit is not a finite number above zero.
    pub fn with_limit(self, limit_volts: f64) -> Result<Self, DischargeError> {
        let limit_volts = positive("the limit in volt", limit_volts)?;
        Ok(Self {
            limit_volts,
            ..self
        })
    }

    /// Takes a voltage measured across a capacitor, whatever its sign. A reading at or above the limit sets it
    /// back, and takes an earlier override away.
    ///
    /// # Errors
    /// If the capacitor is not listed, the voltage not finite, or the stamp before that of its last reading.
    pub fn read(
        &mut self,
        designator: &str,
        volts: f64,
        at: Stamp,
    ) -> Result<&CapacitorState, DischargeError> {
        let volts = finite("the voltage in volt", volts)?.abs();
        let limit = self.limit_volts;
        let entry = self.entry(designator)?;
        if entry.last.is_some_and(|last| at < last) {
            return Err(DischargeError::OutOfOrder {
                designator: entry.designator.clone(),
            });
        }
        entry.last = Some(at);
        if volts >= limit {
            entry.overridden = None;
        }
        entry.state = next_state(&entry.state, volts < limit, volts, at);
        Ok(&entry.state)
    }

    /// Goes on without having seen a capacitor discharged, for a stated reason (`removed from the chassis`).
    ///
    /// # Errors
    /// If the capacitor is not listed or known to be charged, or the reason is blank.
    pub fn override_one(
        &mut self,
        designator: &str,
        reason: &str,
        at: Stamp,
    ) -> Result<(), DischargeError> {
        let reason = stated(reason)?;
        let entry = self.entry(designator)?;
        entry.refuse_if_charged()?;
        entry.overridden = Some(Override { at, reason });
        Ok(())
    }

    /// The same for every capacitor that is not yet seen discharged.
    ///
    /// # Errors
    /// If one of them is known to be charged, or the reason is blank; then none is overridden.
    pub fn override_rest(&mut self, reason: &str, at: Stamp) -> Result<(), DischargeError> {
        let reason = stated(reason)?;
        self.entries.iter().try_for_each(Entry::refuse_if_charged)?;
        for entry in self.entries.iter_mut().filter(|entry| !entry.settled()) {
            let reason = reason.clone();
            entry.overridden = Some(Override { at, reason });
        }
        Ok(())
    }

    /// The equipment was under power again: everything has to be checked anew, overrides are gone.
    pub fn powered(&mut self) {
        for entry in &mut self.entries {
            entry.state = CapacitorState::Unread;
            entry.overridden = None;
        }
    }

    /// Whether work may begin: every capacitor was seen discharged twice, or overridden with a reason.
    pub fn permits_work(&self) -> bool {
        self.entries.iter().all(Entry::settled)
    }

    /// The limit, in volt.
    pub const fn limit_volts(&self) -> f64 {
        self.limit_volts
    }

    /// Every capacitor with what is known of it and its override, in the order of the list.
    pub fn states(&self) -> impl Iterator<Item = (&str, &CapacitorState, Option<&Override>)> {
        self.entries.iter().map(|entry| {
            let overridden = entry.overridden.as_ref();
            (entry.designator.as_str(), &entry.state, overridden)
        })
    }

    /// The capacitors that still stand in the way of work, in the order of the list.
    pub fn missing(&self) -> impl Iterator<Item = &str> {
        let missing = self.entries.iter().filter(|entry| !entry.settled());
        missing.map(|entry| entry.designator.as_str())
    }

    /// The capacitors that were down once and are due to be measured again at `now`.
    pub fn due(&self, now: Stamp) -> impl Iterator<Item = &str> {
        let due = self.entries.iter().filter(move |entry| {
            !entry.settled()
                && matches!(entry.state, CapacitorState::DownOnce { since } if now >= since.after(RECHECK_AFTER))
        });
        due.map(|entry| entry.designator.as_str())
    }

    /// The entry of a designator, upper and lower case alike.
    fn entry(&mut self, designator: &str) -> Result<&mut Entry, DischargeError> {
        let found = self
            .entries
            .iter()
            .position(|entry| entry.designator.eq_ignore_ascii_case(designator.trim()));
        match found {
            Some(index) => Ok(&mut self.entries[index]),
            None => Err(self.not_listed(designator)),
        }
    }

    fn not_listed(&self, designator: &str) -> DischargeError {
        let all: Vec<&str> = self.states().map(|(name, ..)| name).collect();
        DischargeError::NotListed {
            designator: designator.to_owned(),
            expected: all.join(", "),
        }
    }
}

impl Entry {
    /// Whether it no longer stands in the way of work.
    fn settled(&self) -> bool {
        self.state == CapacitorState::Discharged || self.overridden.is_some()
    }

    /// No reason makes a capacitor harmless that was just measured not to be.
    fn refuse_if_charged(&self) -> Result<(), DischargeError> {
        match self.state {
            CapacitorState::Charged { volts } => Err(DischargeError::Charged {
                designator: self.designator.clone(),
                volts,
            }),
            _ => Ok(()),
        }
    }
}

fn next_state(before: &CapacitorState, down: bool, volts: f64, at: Stamp) -> CapacitorState {
    match before {
        _ if !down => CapacitorState::Charged { volts },
        CapacitorState::Discharged => CapacitorState::Discharged,
        CapacitorState::DownOnce { since } if at >= since.after(RECHECK_AFTER) => {
            CapacitorState::Discharged
        }
        CapacitorState::DownOnce { since } => CapacitorState::DownOnce { since: *since },
        CapacitorState::Unread | CapacitorState::Charged { .. } => {
            CapacitorState::DownOnce { since: at }
        }
    }
}

fn stated(reason: &str) -> Result<String, DischargeError> {
    let reason = reason.trim();
    if reason.is_empty() {
        return Err(DischargeError::NoReason);
    }
    Ok(reason.to_owned())
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn second(seconds: u64) -> Stamp {
        Stamp::from_micros(seconds * 1_000_000)
    }

    #[test]
    fn work_may_begin_once_every_capacitor_was_down_twice() {
        let mut check = DischargeCheck::new(["C1", "C2"]);
        assert!(!check.permits_work());
        check.read("C1", 12.0, second(0)).unwrap();
        check.read("c2", -3.0, second(10)).unwrap();
        assert!(!check.permits_work(), "it may recover");
        assert_eq!(check.due(second(65)).collect::<Vec<_>>(), ["C1"]);
        check.read("C1", 15.0, second(65)).unwrap();
        assert_eq!(check.missing().collect::<Vec<_>>(), ["C2"]);
        check.read("C2", 3.0, second(70)).unwrap();
        assert!(check.permits_work());
    }

    #[test]
    fn a_capacitor_that_recovered_has_to_be_down_twice_again() {
        let mut check = DischargeCheck::new(["C1"]);
        check.read("C1", 5.0, second(0)).unwrap();
        assert_eq!(
            check.read("C1", 67.5, second(60)),
            Ok(&CapacitorState::Charged { volts: 67.5 })
        );
        check.read("C1", 5.0, second(70)).unwrap();
        check.read("C1", 6.0, second(100)).unwrap();
        assert!(!check.permits_work(), "30 s are no minute");
        check.read("C1", 6.0, second(130)).unwrap();
        assert!(check.permits_work());
    }

    #[test]
    fn the_limit_itself_is_not_below_it() {
        let mut check = DischargeCheck::new(["C1"]);
        assert_eq!(
            check.read("C1", -60.0, second(0)),
            Ok(&CapacitorState::Charged { volts: 60.0 })
        );
        let mut check = DischargeCheck::new(["C1"]).with_limit(10.0).unwrap();
        check.read("C1", 12.0, second(0)).unwrap();
        assert_eq!(check.missing().count(), 1);
        assert!(DischargeCheck::new(["C1"]).with_limit(f64::NAN).is_err());
    }

    #[test]
    fn an_override_needs_a_reason_and_is_kept_with_it() {
        let mut check = DischargeCheck::new(["C1", "C2"]);
        assert_eq!(
            check.override_rest("  ", second(1)),
            Err(DischargeError::NoReason)
        );
        check
            .override_one("C2", "removed from the chassis", second(1))
            .unwrap();
        assert_eq!(check.missing().collect::<Vec<_>>(), ["C1"]);
        check
            .override_rest("unpowered for a year", second(2))
            .unwrap();
        assert!(check.permits_work());
        let reasons: Vec<_> = check
            .states()
            .filter_map(|(_, _, overridden)| Some(overridden?.reason.as_str()))
            .collect();
        assert_eq!(
            reasons,
            ["unpowered for a year", "removed from the chassis"]
        );
    }

    #[test]
    fn power_sets_everything_back() {
        let mut check = DischargeCheck::new(["C1"]);
        check
            .override_rest("unpowered for a year", second(0))
            .unwrap();
        check.powered();
        assert!(!check.permits_work());
    }

    #[test]
    fn a_capacitor_that_reads_charged_takes_its_override_away() {
        let mut check = DischargeCheck::new(["C1"]);
        check
            .override_rest("unpowered for a year", second(0))
            .unwrap();
        check.read("C1", 320.0, second(1)).unwrap();
        assert!(!check.permits_work());
        let refused = Err(DischargeError::Charged {
            designator: "C1".into(),
            volts: 320.0,
        });
        assert_eq!(check.override_one("C1", "I know", second(2)), refused);
        assert_eq!(check.override_rest("I know", second(2)), refused);
    }

    #[test]
    fn what_makes_no_sense_is_refused() {
        let mut check = DischargeCheck::new(["C1", "C2"]);
        assert_eq!(
            check.read("C3", 1.0, second(0)).unwrap_err().to_string(),
            "found `C3`, expected one of the capacitors to be discharged: C1, C2"
        );
        assert!(check.read("C1", f64::NAN, second(0)).is_err());
        check.read("C1", 1.0, second(9)).unwrap();
        assert!(check.read("C1", 1.0, second(8)).is_err());
        assert!(DischargeCheck::new(Vec::<String>::new()).permits_work());
    }

    proptest! {
        #[test]
        fn work_never_begins_while_the_last_reading_was_at_the_limit_or_above(
            readings in proptest::collection::vec((0_u64..200, -100.0..100.0_f64), 1..30),
        ) {
            let mut check = DischargeCheck::new(["C1"]);
            let mut now = 0;
            for (wait, volts) in readings {
                now += wait;
                check.read("C1", volts, second(now)).unwrap();
                if volts.abs() >= 60.0 {
                    prop_assert!(!check.permits_work());
                }
            }
        }
    }
}
