//! A parts list as people write it: what `parts check`, `value`, `order` and `new` make of it.

use std::fs;
use std::path::Path;

use crate::program::{Job, Program};

const HEAD: &str = "Ref,Type,Value,Tol,Material,In circuit\n";

fn check(rows: &str) -> (Job, String) {
    let job = Job::new(&format!("{HEAD}{rows}"));
    let out = Program::new(["parts", "check", job.root().to_str().unwrap()])
        .run()
        .with_status(0)
        .out();
    (job, out)
}

#[test]
fn a_list_is_read_as_people_write_it_with_a_remark_that_says_how() {
    let (_job, out) = check(
        "R12,,10K 5%,,,y\nR13,carbon resistor,4K7,5,,n\nVR1,,500K log pot,,,\nC1,electrolytic,16/450,,,\n\
         C2,,0.05 mfd 400V,,wax paper,\nC3,,.01 GMV,,ceramic disc,\nL1,choke,10H 80mA,,,\nT1.pri,winding,430 ohms CT,,,\n\
         F1,,250 mA slow,,,\nR14,,100 ohms 10W WW,,,\n",
    );
    for expected in [
        "column `Type` read as `kind`",
        "column `Tol` read as `tolerance`",
        "R12, `10K 5%`: no kind stated; taken from designator and value",
        "R13, `4K7`: tolerance without a unit read in per cent",
        "C1, `16/450`: read as a capacitance in µF and its voltage",
        "L1, `10H 80mA`: a choke whose inductance is listed: read as a coil",
        "T1.pri, `430 ohms CT`: a centre tap",
        "10 parts: 3 resistors, 3 capacitors, 1 winding, 1 potentiometer, 1 coil, 1 fuse",
    ] {
        assert!(out.contains(expected), "{expected}\n{out}");
    }
    let row = |name: &str| out.lines().find(|line| line.starts_with(name)).unwrap();
    assert!(
        row("C1 ").contains("16 µF")
            && row("C1 ").contains("450 V")
            && row("C1 ").contains("electrolytic")
    );
    assert!(row("R14 ").contains("10 W") && row("R14 ").contains("wirewound"));
    assert!(row("VR1 ").contains("audio"));
    assert!(row("R12 ").contains("±5 %") && row("R12 ").contains("yes"));
}

#[test]
fn voltage_and_power_are_read_below_headings_of_their_own() {
    let list = "Ref.,Type,Value,Working voltage,Watts,Dielectric,Node 1,Node 2,Remarks\n\
        C1,c,.01,600,,paper,L,chassis,\nC2,c,.05,400V,,,V2 grid,V1 anode,brittle\nR1,r,4K7,,0.5,,HT1,V1 anode,\n\
        R2,r,100k,350,1/2,,HT1,V2 anode,\n";
    let job = Job::new(list);
    let root = job.root();
    let check = || Program::new(["parts", "check", root.to_str().unwrap()]).run();
    let out = check().with_status(0).out();
    for expected in [
        "column `Working voltage` read as `rating`",
        "column `Watts` read as `rating`",
        "column `Node 1` read as `from`",
        "mains: C1: taken for line to chassis, from its nodes `L` and `chassis`: no safety class marked",
    ] {
        assert!(out.contains(expected), "{expected}\n{out}");
    }
    assert!(!out.contains("kept as they are"), "{out}");
    let row = |name: &str| out.lines().find(|line| line.starts_with(name)).unwrap();
    assert!(
        row("C1 ").contains("600 V") && row("C1 ").contains("paper"),
        "{out}"
    );
    assert!(row("C2 ").contains("400 V"), "{out}");
    assert!(row("R1 ").contains("0.5 W"), "{out}");
    assert!(
        row("R2 ").contains("350 V") && row("R2 ").contains("0.5 W"),
        "{out}"
    );
    // Two voltages are one too many; the column of the program's own name goes before another.
    fs::write(root.join("parts.csv"), list.replace("Watts", "Volts")).unwrap();
    let out = check().with_status(2).out();
    assert!(
        out.contains("1:rating: found two columns of this name"),
        "{out}"
    );
    fs::write(root.join("parts.csv"), list.replace("Watts", "rating")).unwrap();
    let out = check().with_status(2).out();
    assert!(out.contains("4:rating: found `0.5`"), "{out}");
}

#[test]
fn what_could_mean_two_things_names_both_and_the_wrong_word_is_blamed() {
    let job = Job::new(&format!(
        "{HEAD}C1,electrolytic,50/50,,,\nC2,c,4.7 pF,5,,\nR1,r,4K7 carbn,,,\nR2,r,4K7,0.05,,\nC3,mica,47n,,paper,\nX1,wirewound,4K7,,,\n"
    ));
    let out = Program::new(["parts", "check", job.root().to_str().unwrap()])
        .run()
        .with_status(2)
        .out();
    for expected in [
        "2:value: found `50/50`, which is ambiguous: 50 µF at 50 V, or a can of 50 µF and 50 µF; write `50uF 50V` or `50+50uF`",
        "3:tolerance: found `5`, which is ambiguous: 5 % or 5 pF; write `5%` or `±5pF`",
        "4:value: found `carbn` beside the value",
        "5:tolerance: found `0.05`, which is ambiguous: 0.05 %, or 5 % as spreadsheets keep it; write the `%`",
        "6:material: found `paper`, expected `mica` as kind or value say, or nothing",
        "7:kind: found `wirewound`, expected `wirewound resistor` or `wirewound potentiometer`",
    ] {
        assert!(out.contains(expected), "{expected}\n{out}");
    }
}

#[test]
fn sections_of_a_can_get_rows_of_their_own_and_are_bought_once() {
    let list = "# kept\nref,kind,value,note\nC4,electrolytic,8+8uF 450V,\"can, tall\"\nR1,r,4K7,\n";
    let job = Job::new(list);
    let root = job.root();
    let root = root.to_str().unwrap();
    let refused = Program::new(["parts", "check", root])
        .run()
        .with_status(2)
        .out();
    assert!(
        refused.contains("`C4a` 8uF 450V, `C4b` 8uF 450V; `parts check --write` writes them"),
        "{refused}"
    );
    let out = Program::new(["parts", "check", "--write", root])
        .run()
        .with_status(0)
        .out();
    assert!(out.contains("C4, `8+8uF 450V`: now C4a, C4b"), "{out}");
    let written = fs::read_to_string(job.root().join("parts.csv")).unwrap();
    assert_eq!(
        written,
        "# kept\nref,kind,value,note\nC4a,electrolytic,8uF 450V,\"can, tall\"\nC4b,electrolytic,8uF 450V,\"can, tall\"\nR1,r,4K7,\n"
    );
    for part in ["C4a", "C4b"] {
        let _ = Program::new(["decide", root, part, "replace"])
            .run()
            .with_status(0);
    }
    let order = Program::new(["order", root]).run().with_status(0).out();
    let line = order
        .lines()
        .find(|line| line.contains("in one can"))
        .unwrap();
    assert!(
        line.trim_start().starts_with('1') && line.contains("C4a, C4b"),
        "{order}"
    );
}

#[test]
fn value_and_list_understand_the_same_texts() {
    for (text, expected) in [
        (
            "500K log pot",
            &["kind         potentiometer", "law          audio"][..],
        ),
        (
            "100 ohms 10W WW",
            &["material     wirewound", "rating       10 W"],
        ),
        ("16/450", &["capacitance  16 µF", "rating       450 V"]),
        ("250 mA slow", &["kind         fuse"]),
    ] {
        let out = Program::new(["value", text]).run().with_status(0).out();
        for line in expected {
            assert!(out.contains(line), "{text}: {out}");
        }
    }
    Program::new(["value", "8+8uF 450V"])
        .run()
        .with_status(2)
        .complaining(&["a can of 2 sections"])
        .out();
}

#[test]
fn a_job_can_start_from_a_pasted_list() {
    let folder = tempfile::tempdir().unwrap();
    let job = folder.path().join("job");
    let list = "Ref\tType\tValue\nR1\t\t4,7k\n";
    let new = |job: &Path, list: &str| {
        let mut new = Program::new(["new", job.to_str().unwrap(), "--list", "-"]).start();
        new.say(list);
        new.close_stdin();
        new.end()
    };
    let out = new(&job, list.trim_end()).with_status(0).out();
    assert_eq!(
        out,
        format!(
            "made job\n  1. cd {}\n  2. the list is in parts.csv\n  3. probewright parts check .\n  \
             4. probewright sit . --meter PROFILE@PORT\n",
            job.display()
        )
    );
    assert_eq!(fs::read_to_string(job.join("parts.csv")).unwrap(), list);
    let out = Program::new(["parts", "check", job.to_str().unwrap()])
        .run()
        .with_status(0)
        .out();
    assert!(out.contains("4.7 kΩ"), "{out}");
    let empty = folder.path().join("empty");
    let _ = new(&empty, " ")
        .with_status(2)
        .complaining(&["found an empty list"]);
    assert!(!empty.exists());
}
