//! The owner's report in a real browser: on every width, in both lights, and on paper.
//!
//! With `PROBEWRIGHT_PICTURES=FOLDER` the pictures and sheets that it was looked at by are kept there.

use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};

use serde_json::json;
use sha2::{Digest as _, Sha256};

use crate::browser::{Browser, Look};
use crate::diagram::demonstrated;
use crate::program::{Job, Program};
use crate::report::{Demonstrated, kept_page};

/// A sheet of paper and what its margins leave of it, in CSS pixels (96 to the inch).
struct Sheet {
    name: &'static str,
    /// In inches: A4 by ISO 216 is 210 mm by 297 mm, Letter by ANSI/ASME Y14.1 8.5 in by 11 in (from memory).
    inches: (f64, f64),
    /// In points, as the file states it.
    points: (f64, f64),
}

const SHEETS: [Sheet; 2] = [
    Sheet {
        name: "A4",
        inches: (210.0 / 25.4, 297.0 / 25.4),
        points: (595.28, 841.89),
    },
    Sheet {
        name: "Letter",
        inches: (8.5, 11.0),
        points: (612.0, 792.0),
    },
];

/// The margins of `@page` in the report, both sides together, in inches.
const MARGINS: (f64, f64) = (30.0 / 25.4, 31.0 / 25.4);

fn kept(name: &str) -> Option<PathBuf> {
    let folder = PathBuf::from(std::env::var_os("PROBEWRIGHT_PICTURES")?);
    fs::create_dir_all(&folder).unwrap();
    Some(folder.join(name))
}

/// A job of 200 parts, one of them with a name and a note that leave no room.
fn large() -> Job {
    let mut parts = "ref,kind,value,material,note\n".to_owned();
    for number in 1..200 {
        writeln!(parts, "R{number},resistor,4K7,carbon,").unwrap();
    }
    writeln!(
        parts,
        "{},resistor,4K7,carbon,{}",
        "LONG".repeat(15),
        "unbroken".repeat(60)
    )
    .unwrap();
    Job::new(&parts)
}

/// Opens a report that was made of these arguments.
fn open(browser: &mut Browser, job: &Path) {
    open_file(browser, &job.join("report.html"));
}

/// Opens a page that was made as one file.
pub(crate) fn open_file(browser: &mut Browser, file: &Path) {
    browser.open(&format!("file://{}", file.display()));
    browser.until("document.readyState === 'complete' && document.querySelector('footer')");
}

/// Things that reach out of the page to the right, and marks that stand apart from their number.
const SPILT: &str = r"(() => {
  const shown = (one) => one.getClientRects().length > 0 && !one.closest('.unseen, .shapes, svg svg, .diagrams figure svg, thead');
  const right = document.documentElement.clientWidth + 0.5;
  const spilt = [...document.querySelectorAll('body *')].filter((one) => shown(one) && !one.closest('svg :is(*)') && one.getBoundingClientRect().right > right);
  const apart = [...document.querySelectorAll('td .verdict[title] .mark')].filter((mark) => {
    if (!shown(mark)) return false;
    const texts = document.createTreeWalker(mark.closest('td').querySelector('.value'), NodeFilter.SHOW_TEXT);
    let last = null;
    while (texts.nextNode()) {
      const text = texts.currentNode;
      if (text.data.trim() && text.compareDocumentPosition(mark) & Node.DOCUMENT_POSITION_FOLLOWING) last = text;
    }
    const range = document.createRange();
    range.selectNodeContents(last);
    const line = [...range.getClientRects()].at(-1);
    const box = mark.getBoundingClientRect();
    return box.top > line.bottom || box.bottom < line.top;
  });
  return [...spilt, ...apart].map((one) => one.outerHTML.slice(0, 160));
})()";

pub(crate) fn check_widths(browser: &mut Browser, name: &str) {
    for dark in [false, true] {
        for width in [360, 390, 800, 1280] {
            browser.look(Look {
                width,
                height: 900,
                dark,
            });
            let over = browser.evaluate(
                "document.documentElement.scrollWidth - document.documentElement.clientWidth",
            );
            assert_eq!(over, json!(0), "{name} at {width}");
            assert_eq!(browser.evaluate(SPILT), json!([]), "{name} at {width}");
            if let Some(file) = kept(&format!(
                "report-{name}-{width}-{}.png",
                if dark { "dark" } else { "light" }
            )) {
                browser.picture(&file);
            }
        }
    }
    let ground = browser.evaluate("getComputedStyle(document.body).backgroundColor");
    assert_eq!(
        ground,
        json!("rgb(20, 24, 26)"),
        "dark where the person wants it dark"
    );
}

/// Looks at both sheets, and gives how many there are of the first, A4.
pub(crate) fn check_paper(browser: &mut Browser, name: &str) -> usize {
    let mut pages = Vec::new();
    for sheet in SHEETS {
        let width = ((sheet.inches.0 - MARGINS.0) * 96.0).floor();
        let height = ((sheet.inches.1 - MARGINS.1) * 96.0).floor();
        browser.look(Look {
            width: width as u32,
            height: height as u32,
            dark: true,
        });
        let features = json!({ "media": "print", "features": [{ "name": "prefers-color-scheme", "value": "dark" }] });
        browser.call("Emulation.setEmulatedMedia", &features);
        let what = format!("{name} on {}", sheet.name);
        // Light, whatever the screen was.
        assert_eq!(
            browser.evaluate("getComputedStyle(document.body).color"),
            json!("rgb(29, 34, 38)"),
            "{what}"
        );
        assert_eq!(
            browser.evaluate(
                "document.documentElement.scrollWidth <= document.documentElement.clientWidth"
            ),
            json!(true),
            "{what}"
        );
        // Whatever must not be cut is kept together and fits on a sheet; the names of columns stand on every one.
        let cut = browser.evaluate(&format!(
            "[...document.querySelectorAll('tr, figure, .spread-line, .told li')].filter((one) => \
             getComputedStyle(one).breakInside !== 'avoid' || one.getBoundingClientRect().height > {height}).map((one) => one.outerHTML.slice(0, 200))"
        ));
        assert_eq!(cut, json!([]), "{what}");
        let beyond = browser.evaluate(
            "[...document.querySelectorAll('td, th, svg, img, pre')].filter((one) => one.getBoundingClientRect().right > document.documentElement.clientWidth + 1).length",
        );
        assert_eq!(beyond, json!(0), "{what}");
        let heads = browser.evaluate("[...document.querySelectorAll('thead')].every((one) => getComputedStyle(one).display === 'table-header-group')");
        assert_eq!(heads, json!(true), "{what}");
        let pdf = browser.pdf(sheet.inches);
        if let Some(file) = kept(&format!("report-{name}-{}.pdf", sheet.name)) {
            fs::write(file, &pdf).unwrap();
        }
        let text = String::from_utf8_lossy(&pdf);
        let boxes: Vec<Vec<f64>> = text
            .split("/MediaBox [")
            .skip(1)
            .map(|rest| {
                rest.split(']')
                    .next()
                    .unwrap()
                    .split_whitespace()
                    .map(|number| number.parse().unwrap())
                    .collect()
            })
            .collect();
        assert!(!boxes.is_empty(), "{what}");
        pages.push(boxes.len());
        for found in boxes {
            let near = |found: f64, wanted: f64| (found - wanted).abs() < 1.5;
            assert!(
                near(found[2], sheet.points.0) && near(found[3], sheet.points.1),
                "{what}: {found:?}"
            );
        }
    }
    browser.call("Emulation.setEmulatedMedia", &json!({ "media": "" }));
    pages[0]
}

pub(crate) fn check_quiet(browser: &mut Browser, name: &str) {
    let complaints = browser.complaints();
    assert!(complaints.is_empty(), "{name}: {complaints:#?}");
    let fetched = browser.evaluate("performance.getEntriesByType('resource').map((one) => one.name).filter((name) => !name.startsWith('data:'))");
    assert_eq!(fetched, json!([]), "{name}");
}

#[test]
fn the_report_fits_every_width_and_sheet_and_fetches_nothing() {
    let Some(mut browser) = Browser::start() else {
        return;
    };
    let demo = Demonstrated::new();
    let _ = demo.report(&[]).with_status(0);
    let _ = demo.report(&["--short"]).with_status(0);
    let large = large();
    let _ = Program::new(["report", large.root().to_str().unwrap()])
        .run()
        .with_status(0);
    // Of A4: 46 parts on six sheets, and the owner's form of them on two.
    for (name, file, most) in [
        ("demo", demo.job().join("report.html"), 6),
        ("short", demo.job().join("report-short.html"), 2),
        ("large", large.root().join("report.html"), 30),
    ] {
        open_file(&mut browser, &file);
        check_widths(&mut browser, name);
        let sheets = check_paper(&mut browser, name);
        assert!(sheets <= most, "{name}: {sheets} sheets");
        check_quiet(&mut browser, name);
    }
}

/// Boxes of the drawings that cover each other, texts that reach out of their box, and lines that run through a box or a text.
const TANGLED: &str = r"(() => {
  const found = [];
  const over = (a, b) => a.left < b.right - 0.5 && b.left < a.right - 0.5 && a.top < b.bottom - 0.5 && b.top < a.bottom - 0.5;
  for (const drawing of document.querySelectorAll('svg.diagram')) {
    const boxes = [...drawing.querySelectorAll('g.part, g.place')].map((group) => {
      const box = group.querySelector('rect').getBoundingClientRect();
      for (const text of group.querySelectorAll('text')) {
        const own = text.getBoundingClientRect();
        if (own.left < box.left || own.right > box.right || own.top < box.top - 1 || own.bottom > box.bottom + 1) found.push(text.textContent);
      }
      return box;
    });
    boxes.forEach((one, at) => boxes.slice(at + 1).forEach((other) => { if (over(one, other)) found.push(`${one.left} ${one.top}`); }));
    const frame = drawing.getBoundingClientRect();
    const scale = frame.width / drawing.viewBox.baseVal.width;
    for (const wire of drawing.querySelectorAll('.wire')) {
      for (let at = 1; at < wire.getTotalLength() - 1; at += 2) {
        const point = wire.getPointAtLength(at);
        const [x, y] = [frame.left + point.x * scale, frame.top + point.y * scale];
        if (boxes.some((box) => x > box.left + 1 && x < box.right - 1 && y > box.top + 1 && y < box.bottom - 1)) found.push(`${x} ${y}`);
      }
    }
  }
  return found;
})()";

#[test]
fn the_loops_that_were_read_are_drawn_so_that_nothing_covers_anything() {
    let Some(mut browser) = Browser::start() else {
        return;
    };
    let job = demonstrated();
    let root = job.root();
    let _ = Program::new(["report", root.to_str().unwrap()])
        .run()
        .with_status(0);
    open_file(&mut browser, &root.join("report.html"));
    let drawn = browser.evaluate("document.querySelectorAll('.circuit svg.diagram').length");
    assert!(drawn.as_u64().unwrap() >= 2, "{drawn}");
    check_widths(&mut browser, "circuit");
    assert_eq!(browser.evaluate(TANGLED), json!([]));
    // A drawing that is wider than the page is moved in its own frame.
    let frames = browser.evaluate("[...document.querySelectorAll('.diagrams figure')].every((one) => one.getBoundingClientRect().right <= document.documentElement.clientWidth)");
    assert_eq!(frames, json!(true));
    let _ = check_paper(&mut browser, "circuit");
    assert_eq!(browser.evaluate(TANGLED), json!([]));
    check_quiet(&mut browser, "circuit");
}

/// The picture in the README is as good as the digest beside it: both are made anew with the kept report.
#[test]
fn the_picture_of_the_readme_is_that_of_the_kept_report() {
    let reports = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reports");
    let page = kept_page();
    let mut digest = String::new();
    for byte in Sha256::digest(&page) {
        write!(digest, "{byte:02x}").unwrap();
    }
    digest.push_str("  small.html\n");
    let beside = reports.join("small.png.sha256");
    if std::env::var_os("PROBEWRIGHT_WRITE_REPORTS").is_some() {
        let mut browser = Browser::start().expect("a browser takes the picture");
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("small.html");
        fs::write(&file, &page).unwrap();
        open_file(&mut browser, &file);
        browser.look(Look {
            width: 820,
            height: 1000,
            dark: false,
        });
        // No bar at the side.
        browser.evaluate("document.documentElement.style.overflow = 'hidden'");
        browser.picture(&reports.join("small.png"));
        fs::write(&beside, &digest).unwrap();
    }
    assert_eq!(
        fs::read_to_string(beside).unwrap(),
        digest,
        "take the picture anew with PROBEWRIGHT_WRITE_REPORTS=1, and look at it"
    );
}

#[test]
fn a_reader_that_listens_is_told_what_each_drawing_shows() {
    let Some(mut browser) = Browser::start() else {
        return;
    };
    let demo = Demonstrated::new();
    let _ = demo.report(&[]).with_status(0);
    open(&mut browser, &demo.job());
    let count =
        |browser: &mut Browser, expression: &str| browser.evaluate(expression).as_u64().unwrap();
    let drawings = "[...document.querySelectorAll('svg[role=img]')]";
    assert!(count(&mut browser, &format!("{drawings}.length")) > 45);
    assert_eq!(
        count(
            &mut browser,
            &format!(
                "{drawings}.filter((one) => !one.querySelector(':scope > title')?.textContent.trim()).length"
            )
        ),
        0
    );
    assert_eq!(
        count(
            &mut browser,
            "[...document.querySelectorAll('svg:not([role=img])')].filter((one) => !one.closest('[aria-hidden=true], svg[role=img]')).length"
        ),
        0
    );
    assert_eq!(
        count(
            &mut browser,
            "[...document.querySelectorAll('th')].filter((one) => !one.scope).length"
        ),
        0
    );
    assert_eq!(
        count(&mut browser, "document.querySelectorAll('h1').length"),
        1
    );
    assert_eq!(
        browser.evaluate("document.documentElement.lang"),
        json!("en")
    );
    assert_eq!(
        count(
            &mut browser,
            "document.querySelectorAll('script, link, iframe, object, [onload], [onclick]').length"
        ),
        0
    );
    // The drawing says the same as the text: R14 is open, and an arrow stands for it.
    let open = browser.evaluate("[...document.querySelectorAll('svg.strip')].find((one) => one.textContent.startsWith('R14')).querySelector('path.beyond') !== null");
    assert_eq!(open, json!(true));
}
