//! Worth of own values found with no lead lifted, over many invented chassis. `benches/throughput/network.rs` does the same for
//! a thousand of each.

use probewright::face::engine::judge::{Conditions, Rule, Trust, Verdict, judge_own};
use probewright::face::engine::network::{Agreement, Method, own_values};

use super::invented_chassis::{Chassis, Trouble};

/// Counts over chassis.
#[derive(Debug, Default)]
pub(crate) struct Counts {
    judged: usize,
    conclusive: usize,
    in_loops: usize,
    conclusive_in_loops: usize,
    wrong_fails: usize,
    passes: usize,
    wrong_passes: usize,
    passes_behind_checks: usize,
    wrong_behind_checks: usize,
    jointly: usize,
    covered: usize,
    /// Chassis of which the readings between nodes that no part joins contradict the list.
    contradicted: usize,
}

impl Counts {
    /// Those of the chassis with seeds from 0 on.
    pub(crate) fn of(chassis: u64, trouble: Trouble) -> Self {
        let mut counts = Self::default();
        (0..chassis).for_each(|seed| counts.add(&Chassis::of(seed, trouble)));
        counts
    }

    fn add(&mut self, chassis: &Chassis) {
        let owns = own_values(&chassis.network, &chassis.readings);
        let agreement = Agreement::of(&chassis.network, &owns, &chassis.readings);
        let contradicted = agreement.contradiction().is_some();
        self.contradicted += usize::from(contradicted);
        let conditions = Conditions::by(Rule::default());
        for own in &owns {
            for member in &own.group.members {
                let element = &chassis.network.elements()[*member];
                let (part, ohms) = (&chassis.list[element.part], chassis.ohms[element.part]);
                let judged = judge_own(
                    &chassis.list,
                    &chassis.network,
                    own,
                    element,
                    &Trust::Assumed,
                    &conditions,
                );
                let Some(judged) = judged else { continue };
                let conclusive = judged.verdict != Verdict::Inconclusive;
                self.judged += 1;
                self.conclusive += usize::from(conclusive);
                if !own.block.is_empty() {
                    self.in_loops += 1;
                    self.conclusive_in_loops += usize::from(conclusive);
                }
                match judged.verdict {
                    Verdict::Fail => self.wrong_fails += usize::from(ohms <= part.band.upper()),
                    Verdict::Pass | Verdict::ConditionalPass => {
                        let wrong = usize::from(!part.band.contains(ohms));
                        self.passes += 1;
                        self.wrong_passes += wrong;
                        if !contradicted {
                            self.passes_behind_checks += 1;
                            self.wrong_behind_checks += wrong;
                        }
                    }
                    _ => {}
                }
                if let (Method::Joint, Some(siemens), [_]) =
                    (own.method, own.siemens, &own.group.members[..])
                {
                    self.jointly += 1;
                    let off = (siemens.value - 1.0 / ohms).abs();
                    self.covered += usize::from(off <= 2.0 * siemens.u);
                }
            }
        }
    }

    /// Holds them against the limits for a list that has everything.
    pub(crate) fn hold_for_a_complete_list(&self) {
        let share = |part: usize, of: usize| part as f64 / of as f64;
        assert!(share(self.conclusive, self.judged) >= 0.9, "{self:?}");
        let in_loops = share(self.conclusive_in_loops, self.in_loops);
        assert!(in_loops >= 0.8, "{self:?}");
        let wrong = self.wrong_fails + self.wrong_passes;
        assert!(share(wrong, self.judged) <= 1e-4, "{self:?}");
        assert!(share(self.covered, self.jointly) >= 0.95, "{self:?}");
        assert!(self.contradicted < self.judged / 1000, "{self:?}");
    }

    /// Holds them against the limits for a list that lacks parts, or capacitors that leak.
    pub(crate) fn hold_in_trouble(&self) {
        assert_eq!(self.wrong_fails, 0, "{self:?}");
        let wrong = self.wrong_behind_checks as f64 / self.passes_behind_checks as f64;
        assert!(
            self.passes_behind_checks > 300 && wrong <= 0.002,
            "{self:?}"
        );
    }
}
