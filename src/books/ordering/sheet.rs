//! [`sheet`]: an order list as comma-separated values.

use super::{OrderList, User};
use crate::engine::source::{cell, csv_writer};

/// The columns of an order list, and what they hold.
pub const ORDER_COLUMNS: [(&str, &str); 6] = [
    ("item", "what, such as 47 µF 450 V electrolytic"),
    ("buy", "how many to buy, spares among them"),
    ("spares", "how many of those are spares"),
    ("take", "how many to take from the drawer"),
    ("place", "where that is"),
    ("for", "jobs and parts"),
];

/// The rows of an order list (RFC 4180), what is to be bought first.
pub fn sheet(list: &OrderList) -> Vec<u8> {
    let mut writer = csv_writer(Vec::new());
    let bought = list.lines.iter().map(|line| {
        [
            cell(&line.item.to_string()),
            line.to_buy().to_string(),
            line.spares.to_string(),
            "0".to_owned(),
            String::new(),
            cell(&User::all(&line.users)),
        ]
    });
    let drawn = list.drawn.iter().map(|drawn| {
        [
            cell(&drawn.item.to_string()),
            "0".to_owned(),
            "0".to_owned(),
            drawn.users.len().to_string(),
            cell(&drawn.place),
            cell(&User::all(&drawn.users)),
        ]
    });
    let header = ORDER_COLUMNS.map(|(name, _)| name.to_owned());
    for row in std::iter::once(header).chain(bought).chain(drawn) {
        writer.write_record(row).expect("memory takes every row");
    }
    writer.into_inner().expect("memory takes every row")
}
