//! `value`: shows how a marking is understood.

use std::io::Write;

use anyhow::Result;

use super::status::{BadInput, Status};
use super::table::TextTable;
use crate::engine::parts::{Kind, Known, Law, Material, Wording};
use crate::engine::quantity::{
    Amount, ColourCode, Drawing, Marking, Quantity, Rating, Remark, Series, Tolerance, format_band,
    format_value, is_colour_text, parse_body_end_dot, parse_colour_bands, with_minus,
};

/// Show how a value, a marking or a colour code is understood
#[derive(Debug, clap::Args)]
pub(crate) struct ValueArguments {
    /// A marking such as `4K7 10%`, `473K 400V`, or colours such as `yellow violet red gold`; in quotation marks if it contains `-`
    #[arg(required = true)]
    marking: Vec<String>,
    /// What the value is, where the marking does not tell
    #[arg(long, value_name = "QUANTITY", value_parser = parse_quantity)]
    quantity: Option<Quantity>,
    /// The words are the colours of body, end, dot and other end, as on resistors without bands
    #[arg(long)]
    body_end_dot: bool,
    /// `M` behind a resistance means a thousand, as on some old drawings
    #[arg(long)]
    m_is_thousand: bool,
}

fn parse_quantity(text: &str) -> Result<Quantity, String> {
    Quantity::named(text).ok_or_else(|| format!("expected {}", Quantity::names()))
}

/// Everything that is shown.
struct Understood {
    kind: Option<Kind>,
    material: Option<Material>,
    law: Option<Law>,
    amount: Amount,
    tolerance: Option<Tolerance>,
    rating: Rating,
    temperature_coefficient: Option<f64>,
    remarks: Vec<Remark>,
}

impl From<Wording> for Understood {
    fn from(wording: Wording) -> Self {
        let Marking {
            amount,
            tolerance,
            rating,
            remarks,
        } = wording.marking;
        Self {
            kind: wording.kind,
            material: wording.material,
            law: wording.law,
            amount,
            tolerance,
            rating,
            temperature_coefficient: None,
            remarks,
        }
    }
}

impl From<ColourCode> for Understood {
    fn from(code: ColourCode) -> Self {
        let ColourCode {
            amount,
            tolerance,
            temperature_coefficient,
            remarks,
        } = code;
        Self {
            kind: None,
            material: None,
            law: None,
            amount,
            tolerance: Some(tolerance),
            rating: Rating::default(),
            temperature_coefficient,
            remarks,
        }
    }
}

/// Writes what was understood.
pub(crate) fn run(arguments: &ValueArguments, out: &mut dyn Write) -> Result<Status> {
    let understood = understand(arguments)?;
    write_understood(&understood, out)?;
    let conducts = understood.kind.is_some_and(Kind::conducts);
    let has_series = !conducts
        && matches!(
            understood.amount.quantity(),
            Quantity::Resistance | Quantity::Capacitance | Quantity::Inductance
        );
    if has_series {
        write_preferred(understood.amount, out)?;
    }
    for remark in &understood.remarks {
        writeln!(out, "remark: {remark}")?;
    }
    Ok(Status::Done)
}

fn understand(arguments: &ValueArguments) -> Result<Understood, BadInput> {
    let text = arguments.marking.join(" ");
    let bad = |error: &dyn std::error::Error| BadInput(error.to_string());
    let colours = arguments.body_end_dot || is_colour_text(&text);
    if let Some(quantity) = arguments.quantity.filter(|_| colours)
        && quantity != Quantity::Resistance
    {
        return Err(BadInput(format!(
            "found colours for {quantity}, expected a resistance; the colours of other parts have several codes, so write the value in figures"
        )));
    }
    if arguments.body_end_dot {
        return parse_body_end_dot(&text)
            .map(Into::into)
            .map_err(|error| bad(&error));
    }
    if colours {
        return parse_colour_bands(&text)
            .map(Into::into)
            .map_err(|error| bad(&error));
    }
    let drawing = Drawing {
        m_is_thousand: arguments.m_is_thousand,
    };
    let known = Known {
        quantity: arguments.quantity,
        drawing,
        ..Known::default()
    };
    Wording::read(&text, known)
        .map(Into::into)
        .map_err(|error| bad(&error))
}

fn write_understood(understood: &Understood, out: &mut dyn Write) -> Result<()> {
    let amount = understood.amount;
    if let Some(kind) = understood.kind {
        writeln!(out, "kind         {kind}")?;
    }
    let number = with_minus(&amount.to_string());
    writeln!(out, "{:<13}{number}", amount.quantity().name())?;
    if understood.kind.is_some_and(Kind::conducts) {
        writeln!(
            out,
            "             at most, since such a part has only to conduct"
        )?;
        return Ok(());
    }
    match understood.tolerance {
        Some(tolerance) => {
            let band = format_band(amount.quantity(), tolerance.band(amount));
            let lines = format!("tolerance    {tolerance}, as marked\nband         {band}");
            writeln!(out, "{}", with_minus(&lines))?;
        }
        None => writeln!(
            out,
            "tolerance    none stated; in a parts list the default of the part's kind and material"
        )?,
    }
    if !understood.rating.is_empty() {
        writeln!(out, "rating       {}", understood.rating)?;
    }
    if let Some(material) = understood.material {
        writeln!(out, "material     {material}")?;
    }
    if let Some(law) = understood.law {
        writeln!(out, "law          {law}")?;
    }
    if let Some(coefficient) = understood.temperature_coefficient {
        writeln!(out, "temperature  {coefficient} ppm/K")?;
    }
    Ok(())
}

/// The preferred values nearest to `amount`, with how far they lie from it.
fn write_preferred(amount: Amount, out: &mut dyn Write) -> Result<()> {
    let mut table = TextTable::new(["series", "nearest", "deviation"]);
    for series in Series::ALL {
        if let (Series::E6 | Series::E12 | Series::E24 | Series::E48 | Series::E96, Some(nearest)) =
            (series, series.nearest(amount.value()))
        {
            let deviation = (nearest / amount.value() - 1.0) * 100.0;
            table.push([
                series.name().to_owned(),
                format_value(amount.quantity(), nearest, 3),
                signed_percent(deviation),
            ]);
        }
    }
    Ok(table.write(out)?)
}

/// A deviation with its sign; nothing but `0 %` for one that rounds to zero.
fn signed_percent(deviation: f64) -> String {
    if deviation.abs() < 0.005 {
        "0 %".to_owned()
    } else {
        format!("{deviation:+.2} %")
    }
}
