//! What must be known before the equipment is switched on again.

use maud::{Markup, html};

use super::words::count;
use crate::books::ledger::Account;

/// The section.
pub(super) fn section(accounts: &[Account<'_>]) -> Markup {
    let open = accounts
        .iter()
        .filter(|one| one.standing().is_open())
        .count();
    html! {
        section.cautions aria-labelledby="cautions" {
            h2 id="cautions" { "Before it is switched on" }
            p.lead { "A verdict in this report is about a value, never about safety." }
            ul {
                @if open > 0 {
                    li { strong { "It is not finished." } " Something is still to be done about " (count(open, "part", "parts")) ", listed above. Until then it should not be switched on." }
                }
                li { strong { "Voltages in valve equipment kill." } " They are there while it is on, and its capacitors may hold them for long after it was unplugged. Leave it closed; leave work inside to someone who knows how to discharge it and verifies with a voltmeter that it stays discharged." }
                li { strong { "Its insulation is as old as it is." } " Wires, transformers, sockets and switches may look sound and not be. Nothing in this report has tested insulation, except the capacitors of which a leakage is listed." }
                li { strong { "Mains cord, plug, fuse and earth" } " decide whether it is safe to touch, and so do the capacitors between the mains and the chassis: those must be made and marked for that place (safety class X or Y, IEC 60384-14). Have them checked by someone who is qualified for it." }
                li { strong { "The first power-up" } " belongs to a person who knows this kind of equipment and is not alone: through a device that limits the current, the voltages watched from the first moment, one hand kept away, ready to switch off." }
                li { "Local codes, and what they leave to licensed practice, go before everything that is written here." }
            }
        }
    }
}
