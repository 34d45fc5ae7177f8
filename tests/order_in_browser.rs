//! The page of an order list in a real browser: on every width, in both lights, and on paper.
//!
//! With `PROBEWRIGHT_PICTURES=FOLDER` the pictures and sheets that it was looked at by are kept there.

use std::fmt::Write as _;
use std::fs;
use std::path::Path;

use serde_json::json;

use crate::browser::Browser;
use crate::program::Program;
use crate::report_in_browser::{check_paper, check_quiet, check_widths, open_file};

/// A job of so many resistors, each to be replaced, one of them with a name that leaves no room.
fn job(root: &Path, title: &str, resistors: usize) {
    fs::create_dir_all(root).unwrap();
    fs::write(root.join("job.toml"), format!("title = \"{title}\"\n")).unwrap();
    let mut parts = "ref,kind,value,rating,material,role\nC1,capacitor,32uF,450V,electrolytic,\n\
        C2,capacitor,47nF,400V,paper,detector\nC3,capacitor,10nF,Y2 250V~,paper,detector\nP1,potentiometer,500k,,carbon,\n"
        .to_owned();
    let mut decisions = "time,ref,decision,reason,article,bag\r\n".to_owned();
    let mut decide = |designator: &str, decision: &str, article: &str| {
        writeln!(
            decisions,
            "2056-11-03T19:25:30.000+01:00,{designator},{decision},,{article},\r"
        )
        .unwrap();
    };
    decide("C1", "replace", "33uF 350V electrolytic");
    decide("C2", "replace", "47nF 630V film");
    decide("C3", "order", "10nF Y2 300V~");
    decide("P1", "replace", "");
    let long = "LONG".repeat(15);
    for number in 0..resistors {
        let name = if number == 40 {
            long.clone()
        } else {
            format!("R{number}")
        };
        writeln!(parts, "{name},resistor,{}k,1/2W,carbon,", 1 + number % 40).unwrap();
        decide(&name, "replace", "");
    }
    fs::write(root.join("parts.csv"), parts).unwrap();
    fs::write(root.join("decisions.csv"), decisions).unwrap();
}

#[test]
fn the_order_list_fits_every_width_and_sheet_and_fetches_nothing() {
    let Some(mut browser) = Browser::start() else {
        return;
    };
    let dir = tempfile::tempdir().unwrap();
    let (small, large) = (dir.path().join("radio"), dir.path().join("amplifier"));
    job(&small, "kitchen radio, 1953", 3);
    job(&large, "public-address amplifier", 120);
    fs::write(
        dir.path().join("stock.csv"),
        "article,count,place\n47nF 630V film,5,\"drawer 3, left\"\n",
    )
    .unwrap();
    for (name, jobs) in [("small", vec![&small]), ("large", vec![&small, &large])] {
        let file = dir.path().join(format!("{name}.html"));
        let arguments = [
            Path::new("order"),
            Path::new("--spares"),
            Path::new("1"),
            Path::new("--page"),
            &file,
        ];
        let jobs = jobs.into_iter().map(std::path::PathBuf::as_path);
        let _ = Program::new(arguments.into_iter().chain(jobs))
            .run()
            .with_status(0);
        open_file(&mut browser, &file);
        let name = format!("order-{name}");
        check_widths(&mut browser, &name);
        check_paper(&mut browser, &name);
        check_quiet(&mut browser, &name);
    }
    // Every line has a box of its own, which says what it is for, and can be ticked.
    let boxes = "[...document.querySelectorAll('tbody tr')].every((one) => one.querySelector('input[type=checkbox]')?.ariaLabel)";
    assert_eq!(browser.evaluate(boxes), json!(true));
    browser.evaluate("document.querySelector('input').scrollIntoView({ block: 'center' })");
    browser.press("input");
    assert_eq!(
        browser.evaluate("document.querySelector('input').checked"),
        json!(true)
    );
    let unscoped = "[...document.querySelectorAll('th')].filter((one) => !one.scope).length";
    assert_eq!(browser.evaluate(unscoped), json!(0));
}
