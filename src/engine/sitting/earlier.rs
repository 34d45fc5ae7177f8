//! [`EarlierValue`]: what an earlier sitting has read on a part that is still in; and the table of them in a recording's head.

use super::setup::Setup;
use crate::engine::quantity::Quantity;
use crate::engine::source::{Layout, TextError, csv_writer, read_rows};

/// Reading of an earlier sitting on a part.
#[derive(Debug, Clone, PartialEq)]
pub struct EarlierValue {
    pub designator: String,
    /// Quantity that was measured.
    pub quantity: Quantity,
    /// The value, in the SI unit of the quantity.
    pub value: f64,
}

const COLUMNS: [&str; 3] = ["ref", "quantity", "value"];

/// The table as a sitting keeps it.
pub fn earlier_table(values: &[EarlierValue]) -> Vec<u8> {
    let mut writer = csv_writer(Vec::new());
    let mut write = || {
        writer.write_record(COLUMNS)?;
        values.iter().try_for_each(|one| {
            let value = one.value.to_string();
            writer.write_record([one.designator.as_str(), one.quantity.name(), value.as_str()])
        })
    };
    write().expect("memory takes every row");
    writer.into_inner().expect("memory takes every row")
}

/// Reads it; an empty text has no rows.
///
/// # Errors
/// If a cell holds something else than it should.
pub(super) fn earlier_values(text: &[u8]) -> Result<Vec<EarlierValue>, TextError> {
    if text.is_empty() {
        return Ok(Vec::new());
    }
    let layout = Layout::of(Setup::EARLIER, &COLUMNS);
    let rows = read_rows(
        &layout,
        text,
        |column| column == "value",
        |cells| {
            Ok(EarlierValue {
                designator: cells.text("ref").to_owned(),
                quantity: cells.needed("quantity", "a quantity", Quantity::named)?,
                value: cells.needed("value", "a number", |text| text.parse().ok())?,
            })
        },
    )?;
    Ok(rows.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_reads_back_as_it_was_written() {
        let values = [
            EarlierValue {
                designator: "R1, \"old\"".to_owned(),
                quantity: Quantity::Resistance,
                value: 0.1 + 0.2,
            },
            EarlierValue {
                designator: "C1".to_owned(),
                quantity: Quantity::Capacitance,
                value: 4.7e-8,
            },
        ];
        assert_eq!(earlier_values(&earlier_table(&values)).unwrap(), values);
        assert_eq!(earlier_values(b"").unwrap(), []);
        assert!(earlier_values(b"ref,quantity,value\nR1,weight,1\n").is_err());
    }
}
