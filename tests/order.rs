//! The order list: what was decided to be replaced, merged over parts and jobs, less what lies in the drawer.

use std::fs;
use std::path::Path;

use crate::program::Program;

const PARTS: &str = "ref,kind,value,rating,material,role\n\
    C1,capacitor,47uF,350V,electrolytic,\nC2,capacitor,47uF,450V,electrolytic,\n\
    C3,capacitor,47nF,400V,paper,detector\nR1,resistor,220k,1/2W,carbon,\nP1,potentiometer,500k,,carbon,\n";

/// A job whose decisions are these rows: designator, decision, article.
fn job(root: &Path, decisions: &[(&str, &str, &str)]) {
    fs::create_dir_all(root).unwrap();
    fs::write(root.join("job.toml"), "").unwrap();
    fs::write(root.join("parts.csv"), PARTS).unwrap();
    let rows = decisions.iter().map(|(designator, decision, article)| {
        format!("2056-11-03T19:25:30.000+01:00,{designator},{decision},why not,{article},\r\n")
    });
    let text = rows.collect::<String>();
    let header = "time,ref,decision,reason,article,bag\r\n";
    fs::write(root.join("decisions.csv"), header.to_owned() + &text).unwrap();
}

fn order(arguments: &[&Path]) -> Program {
    Program::new([Path::new("order")].iter().chain(arguments))
}

#[test]
fn an_order_is_merged_over_jobs_and_the_drawer_is_looked_into_first() {
    let dir = tempfile::tempdir().unwrap();
    let (amplifier, receiver) = (dir.path().join("amplifier"), dir.path().join("receiver"));
    job(
        &amplifier,
        &[
            ("C1", "replace", "47uF 350V electrolytic"),
            ("C3", "replace", "47nF 630V film"),
            ("R1", "accept", ""),
            ("P1", "replace", "500k potentiometer with switch"),
        ],
    );
    job(
        &receiver,
        &[
            ("C2", "replace", "47uF 450V electrolytic"),
            ("C3", "replace", "47nF 630V film"),
            ("R1", "order", "220k 1W film"),
        ],
    );
    fs::write(
        dir.path().join("stock.csv"),
        "article,count,place\n47nF 630V film,1,drawer 3\n",
    )
    .unwrap();
    let csv = dir.path().join("list.csv");
    let arguments = [
        &amplifier,
        &receiver,
        Path::new("--spares"),
        Path::new("1"),
        Path::new("--csv"),
        &csv,
    ];
    let done = order(&arguments).run().with_status(0);
    let out = done.out();
    for line in [
        "2    1       47 nF 630 V film                receiver C3",
        "3    1       47 µF 450 V electrolytic        amplifier C1; receiver C2",
        "2    1       500k potentiometer with switch  amplifier P1",
        "1     drawer 3  47 nF 630 V film  amplifier C3",
        "3 Nov 2056      220 kΩ 1 W film  receiver R1",
    ] {
        assert!(out.contains(line), "{line}\n{out}");
    }
    assert!(done.err().contains("the drawer is that of"));
    let text = fs::read_to_string(&csv).unwrap();
    assert!(text.contains("47 µF 450 V electrolytic,3,1,0,,amplifier C1; receiver C2\r\n"));
    let again = order(&arguments).run().with_status(2);
    assert!(again.err().contains("exists already"));
    assert_eq!(fs::read_to_string(&csv).unwrap(), text);
}

#[test]
fn without_a_word_about_what_to_buy_the_best_substitute_stands_on_the_list() {
    let dir = tempfile::tempdir().unwrap();
    let amplifier = dir.path().join("amplifier");
    job(&amplifier, &[("C2", "replace", ""), ("P1", "replace", "")]);
    let out = order(&[&amplifier]).run().with_status(0).out();
    for words in [
        "1    47 µF 450 V ±20 % electrolytic  amplifier C2",
        "the best substitute, since nobody said what to buy: amplifier C2\n",
        "amplifier P1, not known what to buy: a potentiometer is not sold by its value\n",
    ] {
        assert!(out.contains(words), "{words}\n{out}");
    }
    let (_, next) = out.split_once("\nnext\n").unwrap();
    let next: Vec<&str> = next
        .lines()
        .map(|line| line.split("  #").next().unwrap())
        .collect();
    assert_eq!(
        next.iter().map(|line| line.trim()).collect::<Vec<_>>(),
        [
            &format!("cd {}", amplifier.display()),
            "probewright substitute . C2",
            "probewright decide . P1 replace --article \"...\"",
        ]
    );
}

#[test]
fn what_lies_in_the_drawer_and_does_not_do_says_why() {
    let dir = tempfile::tempdir().unwrap();
    let amplifier = dir.path().join("amplifier");
    for (stock, asked, why) in [
        (
            "47uF 450V electrolytic",
            "47uF 450V 20% electrolytic",
            "it states no tolerance, and the usual one,",
        ),
        (
            "47uF 350V electrolytic",
            "47uF 450V electrolytic",
            "it states 350 V, and 450 V are asked for",
        ),
        (
            "47uF 450V film",
            "47uF 450V electrolytic",
            "it is film, and electrolytic is asked for",
        ),
    ] {
        let _ = fs::remove_dir_all(&amplifier);
        job(&amplifier, &[("C2", "replace", asked)]);
        fs::write(
            amplifier.join("stock.csv"),
            format!("article,count\n{stock},1\n"),
        )
        .unwrap();
        let out = order(&[&amplifier]).run().with_status(0).out();
        let words = out.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(words.contains("! amplifier C2, 47 µF"), "{out}");
        assert!(words.contains(&format!(" in the drawer: {why}")), "{out}");
        let arguments = [&amplifier, Path::new("--page"), Path::new("-")];
        let page = order(&arguments).run().with_status(0).out();
        let page = page.replace('\u{a0}', " ");
        assert!(
            page.contains(&format!(" in the drawer</bdi>: <bdi>{why}")),
            "{page}"
        );
    }
}

#[test]
fn what_was_placed_is_on_order_from_then_on() {
    let dir = tempfile::tempdir().unwrap();
    let amplifier = dir.path().join("amplifier");
    job(&amplifier, &[("C2", "replace", "47uF 450V electrolytic")]);
    let placed = order(&[&amplifier, Path::new("--placed")]).run();
    assert!(
        placed
            .with_status(0)
            .out()
            .contains("1 part is now on order")
    );
    let out = order(&[&amplifier]).run().with_status(0).out();
    assert!(out.contains("nothing more is to be bought"), "{out}");
    assert!(out.contains("on order since"), "{out}");
    let again = order(&[&amplifier, Path::new("--placed")]).run();
    assert!(
        again
            .with_status(0)
            .out()
            .contains("no part was put on order")
    );
    let decisions = fs::read_to_string(amplifier.join("decisions.csv")).unwrap();
    assert!(decisions.contains(",C2,order,why not,47 µF 450 V electrolytic,\r\n"));
}

#[test]
fn a_stock_file_that_cannot_be_read_is_named_with_its_line() {
    let dir = tempfile::tempdir().unwrap();
    let amplifier = dir.path().join("amplifier");
    job(&amplifier, &[]);
    fs::write(amplifier.join("stock.csv"), "article,count\n47nF,some\n").unwrap();
    let refused = order(&[&amplifier]).run().with_status(2);
    let error = refused.err();
    assert!(error.contains("stock.csv:2:count: found `some`"));
    let twice = order(&[&amplifier, &amplifier]).run().with_status(2);
    assert!(twice.err().contains("given twice"));
}

#[test]
fn what_is_too_weak_for_its_place_is_told_when_it_is_decided_and_when_it_is_listed() {
    let dir = tempfile::tempdir().unwrap();
    let amplifier = dir.path().join("amplifier");
    job(&amplifier, &[("C2", "replace", "47uF 350V electrolytic")]);
    let out = order(&[&amplifier]).run().with_status(0).out();
    let words = "350 V is less than the 450 V that are asked";
    let listed = out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        listed.contains(&format!(
            "! amplifier C2, 47 µF 350 V electrolytic: {words}"
        )),
        "{out}"
    );
    let root = amplifier.to_str().unwrap();
    let said = ["decide", root, "R1", "replace", "--article", "220k film"];
    let decided = Program::new(said).run().with_status(0);
    assert!(
        decided
            .err()
            .contains("R1, 220k film: it states no power, and 0.5 W are asked")
    );
    let sound = ["decide", root, "R1", "replace", "--article", "220k 1W film"];
    assert_eq!(Program::new(sound).run().with_status(0).err(), "");
}

#[test]
fn a_job_of_another_folder_is_named_as_it_is_typed() {
    let dir = tempfile::tempdir().unwrap();
    let (one, other) = (dir.path().join("a/radio"), dir.path().join("b/radio"));
    job(&one, &[("P1", "replace", "")]);
    job(&other, &[("C2", "replace", "47uF 450V electrolytic")]);
    let done = order(&[&one, &other, Path::new("--placed")])
        .run()
        .with_status(0);
    let out = done.out();
    let typed = format!("  probewright decide {} P1 replace", one.display());
    assert!(out.contains(&typed), "{out}");
    assert!(out.contains(&format!("{} C2", other.display())), "{out}");
    let decisions = |job: &Path| fs::read_to_string(job.join("decisions.csv")).unwrap();
    assert!(!decisions(&one).contains(",order,"));
    assert!(decisions(&other).contains(",C2,order,"));
}

#[test]
fn the_drawer_of_a_spreadsheet_is_read_and_what_was_found_out_is_said() {
    let dir = tempfile::tempdir().unwrap();
    let amplifier = dir.path().join("amplifier");
    job(&amplifier, &[("C3", "replace", "47nF 630V film")]);
    fs::write(
        amplifier.join("stock.csv"),
        b"\xef\xbb\xbfplace;article;count\r\ndrawer 3;47nF 630V film;2\r\nbox;knobs;9\r\n",
    )
    .unwrap();
    let done = order(&[&amplifier]).run().with_status(0);
    assert!(
        done.out()
            .contains("1     drawer 3  47 nF 630 V film  amplifier C3")
    );
    for words in [
        "stock.csv: read as UTF-8 with a byte order mark\n",
        "stock.csv: columns parted by semicolons, as the names of the columns are\n",
        "stock.csv: line 3: `knobs` is not read as a value",
    ] {
        assert!(done.err().contains(words), "{words}\n{}", done.err());
    }
}

#[test]
fn the_page_is_written_whole_once_and_never_over_another_file() {
    let dir = tempfile::tempdir().unwrap();
    let amplifier = dir.path().join("amplifier");
    job(
        &amplifier,
        &[
            ("C2", "replace", "47uF 450V electrolytic"),
            ("P1", "replace", ""),
        ],
    );
    let (page, csv) = (dir.path().join("list.html"), dir.path().join("list.csv"));
    let arguments = [&amplifier, Path::new("--page"), page.as_path()];
    let _ = order(&arguments).run().with_status(0);
    let text = fs::read_to_string(&page).unwrap();
    // A number on the page stays with its unit.
    let text = text.replace('\u{a0}', " ");
    for words in [
        "47 µF 450 V electrolytic",
        "default-src 'none'",
        "not known what to buy",
        "</html>\n",
    ] {
        assert!(text.contains(words), "{words}\n{text}");
    }
    let with_csv = [arguments.as_slice(), &[Path::new("--csv"), &csv]].concat();
    let again = order(&with_csv).run().with_status(2);
    assert!(again.err().contains("exists already"));
    assert!(
        !csv.exists(),
        "nothing is written where one of the two cannot be"
    );
    let full = order(&[&amplifier, Path::new("--page"), Path::new("/dev/full")]).run();
    assert!(
        full.with_status(1)
            .err()
            .contains("cannot write `/dev/full`")
    );
}
