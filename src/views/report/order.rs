//! The order list as one page to print: what to buy with a box to tick, what to take from the drawer, what is on order, what is
//! not known.
//!
//! Pure: it is given [`OrderFacts`] and gives text. It opens no file, reads no clock, and imports neither `cli` nor `recording`.
//! The same facts give the same bytes.

use chrono::{DateTime, FixedOffset};
use maud::{Markup, html};

use super::html::{Shell, count, own, short_day, shown, stamp};

use crate::books::ordering::{Doubt, Drawn, Item, Line, OnOrder, OrderList, User, Wanted};
use crate::engine::judge::safety::CAUTION;

/// All that the page draws on.
#[derive(Debug, Clone, Copy)]
pub struct OrderFacts<'a> {
    /// When the page was made.
    pub made: DateTime<FixedOffset>,
    /// Version of the program that made it.
    pub program: &'a str,
    /// The jobs, in the order in which they were given.
    pub jobs: &'a [OrderJob],
    /// Articles to buy, and articles to take from the drawer.
    pub list: &'a OrderList,
    /// Facts from the ledgers of the jobs.
    pub wanted: &'a Wanted,
}

/// A job that is bought for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OrderJob {
    /// Its name in the list.
    pub name: String,
    /// Name of the equipment; may be empty.
    pub title: String,
}

/// The order list as one HTML file.
pub fn page(facts: &OrderFacts<'_>) -> String {
    let sections = html! {
        (summary(facts))
        (open_points(facts.wanted, facts.list))
        (bought(facts.list))
        (drawn(facts.list))
        (on_order(&facts.wanted.on_order))
        @if needs_class(facts.list) {
            section.cautions aria-labelledby="mains" {
                h2 id="mains" { "Capacitors at the mains" }
                p { (CAUTION) }
            }
        }
    };
    let shell = Shell {
        title: &format!("{} – order list", shown(&heading(facts))),
        kicker: "Order list for",
        heading: own(&heading(facts)),
        made: facts.made,
        program: facts.program,
        before: html! {},
        own_style: include_str!("order.css"),
        last_word: " What was decided later is not on it.",
    };
    let mut text = shell.around(&sections).into_string();
    text.push('\n');
    text
}

/// The title of the one job, or how many there are.
fn heading(facts: &OrderFacts<'_>) -> String {
    match facts.jobs {
        [job] if job.title.trim().is_empty() => job.name.clone(),
        [job] => job.title.clone(),
        jobs => count(jobs.len(), "job", "jobs"),
    }
}

fn summary(facts: &OrderFacts<'_>) -> Markup {
    let lines = || facts.list.lines.iter();
    let buy: usize = lines().map(|line| line.to_buy() as usize).sum();
    let take: u32 = facts.list.drawn.iter().map(Drawn::taken).sum();
    let tiles = [
        (
            buy,
            if buy == 1 {
                "piece to buy"
            } else {
                "pieces to buy"
            },
        ),
        (
            lines().map(|line| line.spares as usize).sum(),
            "of them spare",
        ),
        (take as usize, "from the drawer"),
        (facts.wanted.on_order.len(), "on order"),
        (facts.wanted.unknown.len(), "not known"),
    ];
    html! {
        section aria-label="In short" {
            dl.tiles { @for (number, what) in tiles { div { dt { (what) } dd { (number) } } } }
            @if facts.jobs.len() > 1 {
                ul.jobs {
                    @for job in facts.jobs {
                        li { b { (own(&job.name)) } @if !job.title.trim().is_empty() { ": " (own(&job.title)) } }
                    }
                }
            }
        }
    }
}

/// Points to look at before the order goes out.
fn open_points(wanted: &Wanted, list: &OrderList) -> Markup {
    let Wanted {
        proposed,
        unknown,
        by_policy,
        ..
    } = wanted;
    let doubts: Vec<&Doubt> = wanted.doubts.iter().chain(&list.passed_over).collect();
    if doubts.is_empty() && proposed.is_empty() && unknown.is_empty() && by_policy.is_empty() {
        return html! {};
    }
    html! {
        section.unknown aria-labelledby="look" {
            h2 id="look" { "Look at these before you order" }
            ul {
                @for one in doubts {
                    li { b { (own(&one.user.to_string())) } ", " (own(&one.what)) ": " (own(&one.why)) "." }
                }
                @for one in unknown {
                    li { b { (own(&one.user.to_string())) } ", not known what to buy: " (own(&one.why)) "." }
                }
                @if !proposed.is_empty() {
                    li { "Nobody said what to buy, so the best substitute stands on the list: " (users(proposed)) "." }
                }
                @if !by_policy.is_empty() {
                    li { "Not on the list, to be replaced by policy and not decided: " (users(by_policy)) "." }
                }
            }
        }
    }
}

/// Parts by their jobs.
fn users(users: &[User]) -> Markup {
    html! {
        @for (place, (job, parts)) in User::by_job(users).enumerate() {
            @if place > 0 { "; " }
            span.faint { (own(job)) }
            @for (place, part) in parts.iter().enumerate() {
                (if place > 0 { ", " } else { " " }) (own(part))
            }
        }
    }
}

fn needs_class(list: &OrderList) -> bool {
    let bought = list.lines.iter().map(|line| &line.item);
    let mut items = bought.chain(list.drawn.iter().map(|one| &one.item));
    items.any(|item| matches!(item, Item::Article(article) if !article.rating.classes.is_empty()))
}

/// Articles to buy.
fn bought(list: &OrderList) -> Markup {
    let row = |line: &Line| Ticked {
        done: "bought",
        count: html! {
            b { (line.to_buy()) }
            @if line.spares > 0 { span.block.small.faint { (line.spares) " of them spare" } }
        },
        what: own(&line.item.to_string()),
        users: users(&line.users),
    };
    html! {
        section aria-labelledby="buy" {
            h2 id="buy" { "To buy" }
            @if list.lines.is_empty() { p { "Nothing." } }
            @else { (table("How many", "What", list.lines.iter().map(row))) }
        }
    }
}

/// Articles to take from the drawer.
fn drawn(list: &OrderList) -> Markup {
    let row = |one: &Drawn| Ticked {
        done: "taken",
        count: html! { b { (one.taken()) } },
        what: html! {
            @if one.place.is_empty() { span.block.faint { "no place stated" } } @else { span.block { (own(&one.place)) } }
            span.what { (own(&one.item.to_string())) }
        },
        users: users(&one.users),
    };
    html! {
        @if !list.drawn.is_empty() {
            section aria-labelledby="take" {
                h2 id="take" { "To take from the drawer" }
                (table("How many", "From where, and what", list.drawn.iter().map(row)))
            }
        }
    }
}

/// Articles on order.
fn on_order(all: &[OnOrder]) -> Markup {
    let row = |one: &OnOrder| Ticked {
        done: "has come",
        count: html! { time datetime=(stamp(one.since)) { (short_day(one.since)) } },
        what: own(&one.what),
        users: users(std::slice::from_ref(&one.user)),
    };
    html! {
        @if !all.is_empty() {
            section aria-labelledby="ordered" {
                h2 id="ordered" { "On order" }
                (table("Since", "What", all.iter().map(row)))
            }
        }
    }
}

/// A row with a box to tick, on paper or on a tablet.
struct Ticked {
    /// Name of the box.
    done: &'static str,
    count: Markup,
    what: Markup,
    users: Markup,
}

fn table(count: &str, what: &str, rows: impl Iterator<Item = Ticked>) -> Markup {
    html! {
        table.order-table {
            thead {
                tr {
                    th scope="col" { span.unseen { "Done" } }
                    @for name in [count, what, "For"] { th scope="col" { (name) } }
                }
            }
            tbody {
                @for row in rows {
                    tr {
                        td { input.tick type="checkbox" autocomplete="off" aria-label=(row.done); }
                        td.count { (row.count) }
                        th scope="row" { (row.what) }
                        td { (row.users) }
                    }
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::books::ordering::{Need, Spares, Stock, Unknown};
    use crate::engine::parts::Kind;

    fn page_of(article: &str, kind: Kind, wanted: &Wanted, jobs: &[(&str, &str)]) -> String {
        let user = User {
            job: jobs[0].0.to_owned(),
            designator: "C1".to_owned(),
        };
        let item = Item::read(article, kind).unwrap().remove(0);
        let list = OrderList::of(&[Need { user, item }], &Stock::default(), Spares::Count(1));
        let jobs: Vec<OrderJob> = jobs
            .iter()
            .map(|(name, title)| OrderJob {
                name: (*name).to_owned(),
                title: (*title).to_owned(),
            })
            .collect();
        page(&OrderFacts {
            made: DateTime::parse_from_rfc3339("2056-11-25T19:25:30+01:00").unwrap(),
            program: "0.0",
            jobs: &jobs,
            list: &list,
            wanted,
        })
    }

    #[test]
    fn what_comes_from_files_is_text_and_never_markup() {
        let evil = "<script>alert(1)</script>";
        let user = User {
            job: evil.to_owned(),
            designator: evil.to_owned(),
        };
        let wanted = Wanted {
            proposed: vec![user.clone()],
            unknown: vec![Unknown {
                user: user.clone(),
                why: evil.to_owned(),
            }],
            doubts: vec![Doubt {
                user,
                what: evil.to_owned(),
                why: evil.to_owned(),
            }],
            ..Wanted::default()
        };
        let text = page_of(
            evil,
            Kind::Potentiometer,
            &wanted,
            &[(evil, evil), (evil, "")],
        );
        assert!(!text.contains("<script"), "{text}");
        assert!(text.matches("&lt;script&gt;").count() >= 9, "{text}");
    }

    #[test]
    fn a_safety_class_brings_the_caution_and_nothing_else_does() {
        let with = |article: &str| {
            page_of(
                article,
                Kind::Capacitor,
                &Wanted::default(),
                &[("job", "a radio")],
            )
        };
        assert!(with("10nF Y2 250V~").contains(CAUTION));
        let plain = with("47uF 450V electrolytic");
        assert!(!plain.contains(CAUTION));
        assert!(!plain.contains("Look at these"));
        assert!(
            plain.contains("<title>a radio – order list</title>"),
            "{plain}"
        );
    }
}
