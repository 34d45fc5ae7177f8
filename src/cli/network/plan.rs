//! Readings to take with no lead lifted, and leads to lift then.

use std::io::Write;

use anyhow::Result;

use super::Wired;
use super::structure::write_lifts;
use crate::cli::status::Status;
use crate::cli::table::{TextTable, flowed};
use crate::engine::judge::discharge::CAUTION;
use crate::engine::network::{Planned, before_reading, planned};
use crate::engine::quantity::{Quantity, format_value};

pub(super) fn write(wired: &Wired, out: &mut dyn Write) -> Result<Status> {
    let planned = planned(&wired.network);
    flowed(out, |out| before(wired, &planned, out))?;
    if planned.is_empty() {
        return Ok(Status::Done);
    }
    let mut table = TextTable::new(["", "from", "to", "across", "expect"]);
    for (number, reading) in (1..).zip(&planned) {
        table.push(row(wired, number, reading));
    }
    table.write(out)?;
    flowed(out, |out| write_lifts(wired, out))?;
    Ok(Status::Done)
}

/// Preparations, and the meaning of the table.
fn before(wired: &Wired, planned: &[Planned], out: &mut dyn Write) -> Result<()> {
    writeln!(out, "{CAUTION}")?;
    for words in before_reading(wired.list(), &wired.network) {
        writeln!(out, "before you read: {words}")?;
    }
    if planned.is_empty() {
        writeln!(
            out,
            "nothing to read: of no part does the list say where both its ends are (columns from and to)"
        )?;
        return Ok(());
    }
    let further = planned.iter().filter(|reading| reading.across.is_none());
    writeln!(
        out,
        "resistances to read, in this order; the last {} show what the list does not have:",
        further.count()
    )?;
    Ok(())
}

fn row(wired: &Wired, number: usize, reading: &Planned) -> [String; 5] {
    let expect = reading.expected.map_or("overload".to_owned(), |ohms| {
        format_value(Quantity::Resistance, ohms, 3)
    });
    let [a, b] = reading.ends;
    let across = reading.across.as_ref();
    [
        number.to_string(),
        wired.name(a).to_owned(),
        wired.name(b).to_owned(),
        across.map_or("no part".to_owned(), |group| wired.titles(&group.members)),
        expect,
    ]
}
