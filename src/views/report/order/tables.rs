//! The tables of an order list.

use maud::{Markup, html};

use super::users;
use crate::books::ordering::{OnOrder, OrderList};
use crate::views::report::html::words::{own, short_day, stamp};

/// What is to be bought.
pub(super) fn bought(list: &OrderList) -> Markup {
    html! {
        section aria-labelledby="buy" {
            h2 id="buy" { "To buy" }
            @if list.lines.is_empty() {
                p { "Nothing." }
            } @else {
                table.order-table {
                    (head("How many", "What"))
                    tbody {
                        @for line in &list.lines {
                            tr {
                                (tick("bought"))
                                td.count {
                                    b { (line.to_buy()) }
                                    @if line.spares > 0 { span.block.small.faint { (line.spares) " of them spare" } }
                                }
                                th scope="row" { (own(&line.item.to_string())) }
                                td { (users(&line.users)) }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// What is to be taken from the drawer.
pub(super) fn drawn(list: &OrderList) -> Markup {
    if list.drawn.is_empty() {
        return html! {};
    }
    html! {
        section aria-labelledby="take" {
            h2 id="take" { "To take from the drawer" }
            table.order-table {
                (head("How many", "From where, and what"))
                tbody {
                    @for one in &list.drawn {
                        tr {
                            (tick("taken"))
                            td.count { b { (one.users.len()) } }
                            th scope="row" {
                                @if one.place.is_empty() { span.block.faint { "no place stated" } } @else { span.block { (own(&one.place)) } }
                                span.what { (own(&one.item.to_string())) }
                            }
                            td { (users(&one.users)) }
                        }
                    }
                }
            }
        }
    }
}

/// What is on order.
pub(super) fn on_order(all: &[OnOrder]) -> Markup {
    if all.is_empty() {
        return html! {};
    }
    html! {
        section aria-labelledby="ordered" {
            h2 id="ordered" { "On order" }
            table.order-table {
                (head("Since", "What"))
                tbody {
                    @for one in all {
                        tr {
                            (tick("has come"))
                            td.count { time datetime=(stamp(one.since)) { (short_day(one.since)) } }
                            th scope="row" { (own(&one.what)) }
                            td { (users(std::slice::from_ref(&one.user))) }
                        }
                    }
                }
            }
        }
    }
}

fn head(count: &str, what: &str) -> Markup {
    html! {
        thead {
            tr {
                th scope="col" { span.unseen { "Done" } }
                th scope="col" { (count) }
                th scope="col" { (what) }
                th scope="col" { "For" }
            }
        }
    }
}

/// A box to tick, on paper or on a tablet.
fn tick(what: &str) -> Markup {
    html! { td { input.tick type="checkbox" autocomplete="off" aria-label=(what); } }
}
