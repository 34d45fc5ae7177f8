//! The wiper on its way from stop to stop: whether it keeps contact, and without jumps.
//!
//! Military practice watches the resistance from the wiper to an end for a change in one direction while the shaft is turned
//! (MIL-PRF-39002C, 4.6.3, continuity). So no dropout and no jump pass, and anything else fails.

use crate::engine::impedance::Uncertain;
use crate::engine::judge::check::{Aspect, Check};
use crate::engine::judge::grounds::Grounds;
use crate::engine::judge::judgement::{Case, Looked};
use crate::engine::judge::one_sided::at_least;
use crate::engine::judge::verdict::{Reason, Verdict};
use crate::engine::parts::{Part, Step};
use crate::engine::probing::{Finding, MOST_OF_TRACK, SweepReport};
use crate::engine::quantity::{Quantity, Tolerance, format_value};

/// The measurement as an entry of a plan: the track as nominal value, and the band from what must be covered of it.
pub(super) fn entry(part: &Part) -> Part {
    Part {
        step: Step::Sweep,
        also: Vec::new(),
        tolerance: Tolerance::GUARANTEED_MINIMUM,
        band: at_least(MOST_OF_TRACK * part.nominal.value()),
        ..part.clone()
    }
}

/// A sweep of an entry made by [`entry`].
pub(in crate::engine::judge) fn look(case: Case<'_>) -> Looked {
    let grounds = case.grounds(case.part.band);
    let (Finding::Value(covered), Some(report)) = (case.settled.finding, case.beside.sweep) else {
        return (grounds, Vec::new());
    };
    let grounds = Grounds {
        value: Some(Uncertain::new(covered.value, covered.standard_uncertainty)),
        band: at_least(MOST_OF_TRACK * report.track.ohms),
        ..grounds
    };
    (grounds, vec![check(report)])
}

fn check(report: &SweepReport) -> Check {
    let words = words(report);
    let (verdict, words) = if report.faults() > 0 {
        let rough = "the wiper loses contact or jumps";
        (Some(Verdict::Fail), format!("{rough}: {words}"))
    } else if report.whole {
        (None, words)
    } else {
        let verdict = Some(Verdict::Inconclusive);
        (
            verdict,
            format!("{}: {words}", Reason::SweptTooLittle.words()),
        )
    };
    Check {
        aspect: Aspect::Sweep,
        verdict,
        words,
    }
}

fn words(report: &SweepReport) -> String {
    let ohms = |ohms| format_value(Quantity::Resistance, ohms, 3);
    let dropouts = match report.dropouts {
        0 => "no dropout".to_owned(),
        1 => format!("1 dropout of {:.2} s", report.longest_dropout.as_secs_f64()),
        more => format!(
            "{more} dropouts of up to {:.2} s",
            report.longest_dropout.as_secs_f64()
        ),
    };
    let jumps = match report.jumps {
        0 => "no jump".to_owned(),
        1 => format!("1 jump of {}", ohms(report.largest_jump_ohms)),
        more => format!("{more} jumps of up to {}", ohms(report.largest_jump_ohms)),
    };
    let seen = if report.hand_step_ohms < report.track.ohms {
        format!(
            "a step that stays is told from the hand above {}",
            ohms(report.hand_step_ohms)
        )
    } else {
        "too few readings a second to tell a step that stays from the hand".to_owned()
    };
    format!(
        "{dropouts}, {jumps} on {:.0} % of the track of {} in {:.1} s and {} readings ({seen})",
        100.0 * report.covered_share(),
        ohms(report.track.ohms),
        report.took.as_secs_f64(),
        report.readings
    )
}
