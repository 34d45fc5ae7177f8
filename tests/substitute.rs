//! The command `substitute`: parts in words, parts of a job, and what it refuses.

use std::fs;
use std::os::unix::fs::PermissionsExt as _;

use crate::program::{Finished, Job, Program};

const PARTS: &str = "\
ref,kind,value,tolerance,rating,material,role,from,to,with,largest
C1,capacitor,32uF,20%,450V,electrolytic,reservoir,HT1,chassis,,50uF
C2,capacitor,16uF,,350V,electrolytic,reservoir,HT2,chassis,,
C3,capacitor,.05 MFD,20%,400V,paper,line to chassis,L,chassis,,
C4,capacitor,.02 MFD,20%,,paper,tone,A1,G2,,
R1,resistor,270R,10%,1W,carbon,cathode bias,K,chassis,12.9V,
R2,resistor,50k,1%,1/2W,film,divider,S,chassis,,
T1.pri,winding,270,,,,,,,,
";

fn ask(words: &[&str]) -> Finished {
    Program::new(["substitute"].iter().chain(words)).run()
}

fn ask_job(job: &Job, words: &[&str]) -> Finished {
    let root = job.root();
    let first = ["substitute", root.to_str().unwrap()];
    Program::new(first.iter().chain(words)).run()
}

/// Output with lines that were broken for the terminal in one again.
trait Joined {
    fn joined(&self) -> String;
}

impl Joined for Finished {
    fn joined(&self) -> String {
        let mut joined = String::new();
        for line in self.out().lines() {
            let depth = line.len() - line.trim_start().len();
            let goes_on = depth == 4 || depth == 7;
            joined.push_str(if goes_on { " " } else { "\n" });
            joined.push_str(if goes_on { line.trim_start() } else { line });
        }
        joined.split_off(1) + "\n"
    }
}

/// The lines that name a substitute.
fn choices(out: &str) -> Vec<&str> {
    let is_choice = |line: &&str| {
        let line = line.trim_start();
        line.starts_with(|c: char| c.is_ascii_digit()) && line.contains(". ")
    };
    out.lines()
        .filter(|line| line.starts_with("  ") && !line.starts_with("   "))
        .filter(is_choice)
        .collect()
}

#[test]
fn a_part_in_words_gets_substitutes_with_reasons() {
    let out = ask(&["32uF 450V electrolytic"]).with_status(0).joined();
    assert!(
        out.starts_with(
            "32 µF 450 V electrolytic (−20/+80 % is usual)\n  1. 33 µF 450 V ±20 % electrolytic\n"
        ),
        "{out}"
    );
    for words in [
        "26.4 µF to 39.6 µF",
        "+3.1 %, the nearest above the original",
        "450 V, at least the original's 450 V",
        "the data sheet of the rectifier decides",
        "1.4 times",
    ] {
        assert!(out.contains(words), "no `{words}` in {out}");
    }
    assert_eq!(
        out,
        ask(&["32uF", "450V", "electrolytic"])
            .with_status(0)
            .joined()
    );
}

#[test]
fn a_higher_working_voltage_asks_for_a_higher_rating() {
    let out = ask(&["32uF 450V electrolytic", "--volts", "380"])
        .with_status(0)
        .joined();
    assert!(out.contains("1. 33 µF 500 V"), "{out}");
    assert!(
        out.contains("1.2 times the highest direct voltage of 380 V, which is 456 V"),
        "{out}"
    );
    assert!(out.contains("a cold start without load counts"), "{out}");
}

#[test]
fn where_no_single_part_stands_the_voltage_two_in_series_share_it() {
    let out = ask(&["100uF 600V electrolytic", "--most", "20"])
        .with_status(0)
        .joined();
    assert!(out.contains("electrolytic in series, "), "{out}");
    assert!(out.contains("need equalising resistors"), "{out}");
    assert!(out.contains("220 kΩ across each"), "{out}");
    assert!(out.contains("1. 2 × 220 µF 400 V"), "{out}");
    // Two alike of ±20 %: 1.2/(1.2 + 0.8) = 60 % of 600 V at worst.
    assert!(
        out.contains("60 % with both tolerances at their worst: must withstand 360 V"),
        "{out}"
    );
}

#[test]
fn paper_becomes_film_and_composition_film_with_its_voltage() {
    let out = ask(&[".1uF 400V paper"]).with_status(0).joined();
    let lines = choices(&out);
    assert!(
        !lines.is_empty() && lines.iter().all(|line| line.ends_with(" film")),
        "{out}"
    );
    assert!(out.contains("film instead of paper"), "{out}");
    let out = ask(&["1M 1/2W carbon"]).with_status(0).joined();
    assert!(out.contains("stands 350 V whatever its power"), "{out}");
    assert!(out.contains("would allow 707 V"), "{out}");
}

#[test]
fn no_wound_resistor_goes_to_a_grid() {
    let wound = |role: &str| {
        let out = ask(&["47R 5W wirewound", "--role", role])
            .with_status(0)
            .joined();
        out.contains("% wirewound\n")
    };
    assert!(wound("dropper") && !wound("grid stopper") && !wound("RF filter"));
}

#[test]
fn what_is_not_known_is_asked_for_and_nothing_is_offered() {
    for (words, reason) in [
        ("32uF electrolytic", "no voltage is known"),
        ("220k carbon", "no power is known"),
        (
            ".1uF 250V~ paper",
            "ask for it (X2 across the line, Y2 or Y1 from line to chassis)",
        ),
        ("10 H", "not sold by value alone"),
        (
            "32uF 4kV electrolytic",
            "no part is better than a wrong one",
        ),
    ] {
        let out = ask(&[words]).with_status(3).joined();
        assert!(out.contains(reason), "{words}: {out}");
        assert!(choices(&out).is_empty(), "{words}: {out}");
    }
    let _ = ask(&["8uF+8uF 450V electrolytic"])
        .with_status(2)
        .complaining(&["where several share one can, ask for each by itself"]);
    let _ = ask(&["32uF", "sideways"])
        .with_status(2)
        .complaining(&["`32uF sideways`", "no folder of a job"]);
    let _ = ask(&["220k 1/2W", "--largest", "50uF"])
        .with_status(2)
        .complaining(&["--largest for a resistor"]);
    let _ = ask(&["32uF 450V", "--volts", "-3"]).with_status(2);
    let _ = ask(&[]).with_status(2);
}

#[test]
fn the_list_the_policy_or_a_modest_factor_limits_a_reservoir() {
    let job = Job::new(PARTS);
    let out = ask_job(&job, &["C1"]).with_status(0).joined();
    assert!(
        out.starts_with("C1: 32 µF 450 V ±20 % electrolytic, reservoir\n"),
        "{out}"
    );
    assert!(
        out.contains("not above 50 µF (the column `largest` of the parts list)"),
        "{out}"
    );
    assert!(!out.contains("  ! the rectifier"), "{out}");

    let modest = ask_job(&job, &["c2"]).with_status(0).joined();
    assert!(modest.contains("1. 22 µF 350 V"), "{modest}");
    assert!(
        modest.contains("  ! the rectifier charges it, and its data sheet decides"),
        "{modest}"
    );

    let rule = "[[largest]]\nwords = ['reservoir']\nvalue = '20uF'\nreason = 'peak current'\nsource = 'its data sheet'\n";
    fs::write(job.root().join("policy.toml"), rule).unwrap();
    let out = ask_job(&job, &["C2"]).with_status(0).joined();
    assert!(
        out.contains("1. 15 µF 350 V") && !out.contains("22 µF"),
        "{out}"
    );
    assert!(
        out.contains("not above 20 µF (the policy, peak current (its data sheet))"),
        "{out}"
    );
    let out = ask_job(&job, &["C2", "--largest", "30uF"])
        .with_status(0)
        .joined();
    assert!(out.contains("1. 22 µF 350 V"), "{out}");

    fs::write(job.root().join("policy.toml"), rule.replace("20uF", "8uF")).unwrap();
    let out = ask_job(&job, &["C2"]).with_status(3).joined();
    assert!(
        out.contains("at most 8 µF is allowed by the policy"),
        "{out}"
    );
}

#[test]
fn a_capacitor_at_the_mains_needs_the_mains_and_its_class() {
    let job = Job::new(PARTS);
    let out = ask_job(&job, &["C3"]).with_status(3).joined();
    assert!(out.contains("set [mains] in job.toml"), "{out}");
    fs::write(
        job.root().join("job.toml"),
        "[mains]\nvolts = 230\nhertz = 50\n",
    )
    .unwrap();
    let out = ask_job(&job, &["C3"]).with_status(0).joined();
    assert!(out.contains("1. 2.2 nF X1 Y1 400 V~"), "{out}");
    assert!(out.contains("0.25 mA leave 3.46 nF"), "{out}");
    assert!(out.contains("local codes come first"), "{out}");
    assert!(
        choices(&out).iter().all(|line| line.contains(" Y")),
        "{out}"
    );
}

#[test]
fn several_capacitors_to_chassis_share_the_touch_current() {
    let parts = format!("{PARTS}C9,capacitor,.05 MFD,20%,400V,paper,line to chassis,N,chassis,,\n");
    let job = Job::new(&parts);
    fs::write(
        job.root().join("job.toml"),
        "[mains]\nvolts = 230\nhertz = 50\n",
    )
    .unwrap();
    let out = ask_job(&job, &["C9"]).with_status(0).joined();
    assert!(
        out.contains("0.25 mA leave 1.73 nF, shared by the 2 such capacitors"),
        "{out}"
    );
    assert!(out.contains("1. 1 nF X1 Y1"), "{out}");
}

#[test]
fn an_odd_value_is_hit_by_a_pair() {
    let job = Job::new(PARTS);
    let out = ask_job(&job, &["R2"]).with_status(0).joined();
    assert!(
        out.contains("1. 2 × 100 kΩ 350 V 0.6 W ±1 % film in parallel, 50 kΩ"),
        "{out}"
    );
    assert!(
        out.contains("49.5 kΩ to 50.5 kΩ at worst, 49.59 kΩ to 50.41 kΩ likely"),
        "{out}"
    );
    assert!(out.contains("takes 50 % of the current and power"), "{out}");
    let single = ask(&["47k 1/2W film"]).with_status(0).joined();
    assert!(!single.contains("in series"), "{single}");
    let pairs = ask(&["47k 1/2W film", "--pairs", "--most", "20"])
        .with_status(0)
        .joined();
    assert!(pairs.contains("in series"), "{pairs}");
}

#[test]
fn without_names_the_parts_that_are_to_be_replaced_or_on_order_are_shown() {
    let job = Job::new(PARTS);
    let out = ask_job(&job, &[]).with_status(0).joined();
    assert!(
        out.contains("no part of the job is to be replaced or on order"),
        "{out}"
    );
    let decisions = "time,ref,decision,reason,article,bag\r\n\
        2056-11-03T19:25:30.000+01:00,R1,replace,drifted,,\r\n\
        2056-11-03T19:26:30.000+01:00,C2,order,dry,,\r\n\
        2056-11-03T19:27:30.000+01:00,C1,keep,,,\r\n";
    fs::write(job.root().join("decisions.csv"), decisions).unwrap();
    let out = ask_job(&job, &[]).with_status(0).joined();
    let asked: Vec<&str> = out.lines().filter(|line| !line.starts_with(' ')).collect();
    assert_eq!(asked.len(), 2, "{out}");
    assert!(
        asked[0].starts_with("C2: 16 µF") && asked[1].starts_with("R1: 270 Ω"),
        "{out}"
    );
    assert!(
        out.contains("2 times the 0.616 W that it dissipates"),
        "{out}"
    );
    let _ = ask_job(&job, &["--volts", "12"])
        .with_status(2)
        .complaining(&["found 2 parts"]);
    fs::write(
        job.root().join("decisions.csv"),
        "time,ref,decision\nsometime,R1,replace\n",
    )
    .unwrap();
    let _ = ask_job(&job, &[])
        .with_status(2)
        .complaining(&["decisions.csv:2:time: found `sometime`"]);
}

#[test]
fn parts_that_are_not_sold_by_value_or_not_there_are_told() {
    let job = Job::new(PARTS);
    let out = ask_job(&job, &["T1.pri"]).with_status(3).joined();
    assert!(
        out.contains("a winding is not sold by its value alone"),
        "{out}"
    );
    let out = ask_job(&job, &["C4"]).with_status(3).joined();
    assert!(out.contains("no voltage is known"), "{out}");
    let out = ask_job(&job, &["C4", "--volts", "250"])
        .with_status(0)
        .joined();
    assert!(
        out.contains("at least 1.2 times the highest direct voltage of 250 V, which is 300 V"),
        "{out}"
    );
    let _ = ask_job(&job, &["C77"])
        .with_status(2)
        .complaining(&["`C77`", "parts.csv"]);
    let _ = ask_job(&job, &["C4", "--role", "tone"])
        .with_status(2)
        .complaining(&["--role"]);
}

#[test]
fn a_fuse_keeps_its_rating() {
    let job = Job::new("ref,kind,value\nF1,fuse,1 A slow\n");
    let out = ask_job(&job, &["F1"]).with_status(3).joined();
    for words in [
        "F1: fuse 1 A slow",
        "keeps its rating",
        "never a larger one",
    ] {
        assert!(out.contains(words), "{words}: {out}");
    }
    let _ = ask(&["1", "A", "fuse"])
        .with_status(2)
        .complaining(&["keeps its rating"]);
}

#[test]
fn a_job_may_have_its_own_goods_and_a_fault_is_found_in_its_line() {
    let job = Job::new(PARTS);
    let root = job.root();
    let said = Program::new(["tables", root.to_str().unwrap()])
        .run()
        .with_status(0)
        .joined();
    assert!(said.contains("goods.toml"), "{said}");
    let file = root.join("goods.toml");
    let shipped = fs::read_to_string(&file).unwrap();
    assert_eq!(ask_job(&job, &["C1"]).with_status(0).joined(), {
        fs::remove_file(&file).unwrap();
        ask_job(&job, &["C1"]).with_status(0).joined()
    });
    let drawer = "[[goods]]\nname = \"my drawer\"\nkind = \"capacitor\"\nmaterial = \"electrolytic\"\nfrom = \"47uF\"\nto = \"47uF\"\nseries = \"E3\"\ntolerance = \"20%\"\nratings = [\"500V\"]\nsource = \"counted\"\n";
    fs::write(&file, drawer).unwrap();
    let out = ask_job(&job, &["C1"]).with_status(0).joined();
    assert_eq!(
        choices(&out),
        ["  1. 47 µF 500 V ±20 % electrolytic"],
        "{out}"
    );
    assert!(out.contains("my drawer"), "{out}");
    assert!(
        out.contains("with its tolerance it may measure 56.4 µF"),
        "{out}"
    );
    fs::write(
        &file,
        shipped.replacen("series = \"E6\"", "series = \"E7\"", 1),
    )
    .unwrap();
    let line = 1 + shipped[..shipped.find("series = \"E6\"").unwrap()]
        .matches('\n')
        .count();
    let expected = format!("goods.toml:{line}:");
    let _ = ask_job(&job, &["C1"])
        .with_status(2)
        .complaining(&[&expected, "found series = `E7`"]);
    fs::write(&file, drawer.replace("counted", "")).unwrap();
    let _ = ask_job(&job, &["C1"])
        .with_status(2)
        .complaining(&["found source = ``"]);
}

#[test]
fn a_largest_value_is_checked_with_row_and_column() {
    for (cell, kind, words) in [
        (
            "50V",
            "capacitor,32uF",
            "found `50V`, expected the largest capacitance",
        ),
        (
            "16uF",
            "capacitor,32uF",
            "no less than the value of the row, 32 µF",
        ),
        (
            "50uF",
            "resistor,220k",
            "only a capacitor has a largest value",
        ),
    ] {
        let job = Job::new(&format!("ref,kind,value,largest\nX1,{kind},{cell}\n"));
        let file = job.root().join("parts.csv");
        let check = ["parts", "check", file.to_str().unwrap()];
        let out = Program::new(check).run().with_status(2).joined();
        assert!(out.contains(":2:largest: ") && out.contains(words), "{out}");
    }
    let job = Job::new(PARTS);
    let file = job.root().join("parts.csv");
    let out = Program::new(["parts", "check", file.to_str().unwrap()])
        .run()
        .with_status(0)
        .joined();
    assert!(out.contains("largest") && out.contains("50 µF"), "{out}");
}

#[test]
fn a_table_that_cannot_be_written_as_a_whole_is_not_written_at_all() {
    let job = Job::new(PARTS);
    let root = job.root();
    let arguments = ["tables", root.to_str().unwrap()];
    // No file may become longer than 4 KiB; the tables are longer.
    let _ = Program::by_shell("trap '' XFSZ; ulimit -f 4; exec \"$@\"", arguments)
        .run()
        .with_status(1)
        .complaining(&["large"]);
    for name in ["goods.toml", "loss.toml"] {
        let length = fs::metadata(root.join(name)).map_or(0, |file| file.len());
        assert!(
            length == 0 || fs::read_to_string(root.join(name)).unwrap().ends_with('\n'),
            "{name}"
        );
    }
    assert!(!root.join("goods.toml").exists());
    let left = fs::read_dir(&root).unwrap();
    let left: Vec<_> = left
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    assert!(
        left.iter().all(|name| !name.starts_with(".new-")),
        "{left:?}"
    );
    let mode = |name: &str| fs::metadata(root.join(name)).unwrap().permissions().mode();
    let _ = Program::new(arguments).run().with_status(0);
    assert_eq!(mode("goods.toml") & 0o400, 0o400);
}

#[test]
fn what_limits_it_is_named_as_it_was_said() {
    let out = ask(&["16uF 450V electrolytic", "--largest", "20uF"])
        .with_status(0)
        .joined();
    assert!(out.contains("not above 20 µF (--largest)"), "{out}");
    assert!(!out.contains("column `largest`"), "{out}");
}

#[test]
fn a_cathode_bypass_is_not_taken_for_what_a_rectifier_charges() {
    let out = ask(&["25uF 25V electrolytic"]).with_status(0).joined();
    assert!(!out.contains("rectifier"), "{out}");
    let out = ask(&["16uF 450V electrolytic"]).with_status(0).joined();
    assert!(
        out.contains("first capacitor behind a valve rectifier"),
        "{out}"
    );
}

#[test]
fn every_line_fits_a_terminal_of_80_columns() {
    let out = ask(&["2.2M 1/2W carbon", "--role", "grid leak", "--pairs"])
        .with_status(0)
        .out();
    assert!(out.lines().all(|line| line.chars().count() <= 80), "{out}");
}

#[test]
fn what_was_said_to_be_bought_stands_above_and_is_held_against_the_place() {
    let job = Job::new(PARTS);
    let text = "time,ref,decision,reason,article,bag\r\n\
        2056-11-03T19:25:30+01:00,C2,order,,16uF 250V electrolytic,\r\n";
    fs::write(job.root().join("decisions.csv"), text).unwrap();
    let out = ask_job(&job, &[]).with_status(0).joined();
    let said = "  on order, by what you said: 16uF 250V electrolytic, but 250 V is less than the 350 V that are asked\n";
    assert!(out.contains(said), "{out}");
}

/// Where hundreds of volts stand across a resistor its own voltage counts; at a grid it does not.
#[test]
fn the_role_of_a_resistor_tells_whether_its_voltage_is_asked_for() {
    let job = Job::new(
        "ref,kind,value,tolerance,rating,material,role\nR1,resistor,1M,10%,1W,carbon,anode load\n\
         R2,resistor,1M,10%,1W,carbon,grid leak\nR3,resistor,1M,10%,1W,carbon,\n",
    );
    let first = |part: &str| {
        let out = ask_job(&job, &[part]).with_status(0).out();
        (
            choices(&out)[0].to_owned(),
            out.contains("check the voltage there"),
        )
    };
    let (choice, _) = first("R1");
    assert!(choice.contains("10 kV"), "{choice}");
    let (choice, asks) = first("R2");
    assert!(!choice.contains("10 kV") && !asks, "{choice}");
    let (choice, asks) = first("R3");
    assert!(!choice.contains("10 kV") && asks, "{choice}");
}

#[test]
fn a_capacitor_that_sets_a_frequency_is_not_followed_by_one_that_drifts() {
    let job = Job::new(
        "ref,kind,value,tolerance,rating,material,role\nC1,capacitor,200p,5%,500V,paper,tuned circuit\n\
         C2,capacitor,200p,5%,500V,paper,\n",
    );
    let first = |part: &str| choices(&ask_job(&job, &[part]).with_status(0).out())[0].to_owned();
    assert!(first("C1").contains("mica"), "{}", first("C1"));
    assert!(!first("C2").contains("mica"), "{}", first("C2"));
}
