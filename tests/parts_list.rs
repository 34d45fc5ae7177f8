//! The parts list: read, checked, and everything that is wrong reported at once.
#![expect(
    clippy::float_cmp,
    reason = "a written value is converted in one step, so it is the nearest number to the decimal one and equal to the literal"
)]

use approx::assert_relative_eq;
use std::fmt::Write as _;
use std::process::{Command, Output};

use probewright::face::engine::parts::{
    Kind, ListSettings, Material, Part, PartsList, ToleranceOrigin, read,
};
use probewright::face::engine::quantity::{Quantity, Remark, SafetyClass, Tolerance};

use crate::program::{Job, Program, Size, Terminal};

const LIST: &str = "\
ref,kind,value,tolerance,rating,material,role,from,to,in_circuit,note
R1,resistor,4K7,10%,1/2W,carbon,grid leak,V1.g,gnd,yes,
R2,resistor,1 Meg,,,carbon,,,,,\"brown, cracked\"
C1,capacitor,473K,,400V,paper,coupling,V1.a,V2.g,no,
C2,capacitor,16uF,-10/+50%,450 V.W.,electrolytic,,,,,
C3,capacitor,.1 MFD,,X2 275V~,film,mains,,,,
T1.pri,winding,250,,,,,,,,
P1,pot,500K,,,,,,,,
";

fn list(text: &str) -> PartsList {
    read(text.as_bytes(), &ListSettings::default()).unwrap_or_else(|errors| panic!("{errors}"))
}

/// The errors of a list, one line each.
fn errors(text: impl AsRef<[u8]>) -> String {
    let errors = read(text.as_ref(), &ListSettings::default()).expect_err("the list has errors");
    let lines = errors.faults().iter().map(ToString::to_string);
    lines.collect::<Vec<_>>().join("\n")
}

fn part<'a>(list: &'a PartsList, designator: &str) -> &'a Part {
    list.find(designator)
        .unwrap_or_else(|| panic!("{designator} is in the list"))
}

#[test]
fn a_list_is_understood() {
    let list = list(LIST);
    assert_eq!(list.parts.len(), 7);
    let r1 = part(&list, "R1");
    assert_eq!(
        (r1.kind, r1.nominal.value(), r1.in_circuit, r1.row),
        (Kind::Resistor, 4700.0, true, 2)
    );
    assert_eq!((r1.band.lower(), r1.band.upper()), (4230.0, 5170.0));
    assert_eq!(
        (r1.rating.watts, r1.material, r1.tolerance_origin),
        (Some(0.5), Some(Material::Carbon), ToleranceOrigin::Stated)
    );
    assert_eq!(
        (
            r1.role.as_str(),
            r1.from.as_str(),
            r1.to.as_str(),
            r1.value_text.as_str()
        ),
        ("grid leak", "V1.g", "gnd", "4K7")
    );
    assert_eq!(part(&list, "r2").note, "brown, cracked");
    let c1 = part(&list, "C1");
    assert_eq!(
        (c1.nominal.value(), c1.tolerance_origin),
        (47e-9, ToleranceOrigin::Marked)
    );
    assert_eq!(c1.remarks, [Remark::ThreeFigureCode]);
    assert_eq!(
        (
            part(&list, "C2").band.lower(),
            part(&list, "C2").band.upper()
        ),
        (14.4e-6, 24e-6)
    );
    assert_eq!(
        (
            part(&list, "C3").rating.ac_volts,
            &part(&list, "C3").rating.classes[..]
        ),
        (Some(275.0), &[SafetyClass::X2][..])
    );
    assert_eq!(part(&list, "P1").kind, Kind::Potentiometer);
}

#[test]
fn a_blank_tolerance_takes_the_default_and_says_so() {
    let list = list(LIST);
    let r2 = part(&list, "R2");
    assert_eq!(
        (r2.tolerance, r2.tolerance_origin),
        (
            Tolerance::symmetric(20.0).unwrap(),
            ToleranceOrigin::Default
        )
    );
    assert_eq!(
        part(&list, "C3").tolerance,
        Tolerance::symmetric(10.0).unwrap()
    );
}

#[test]
fn columns_come_in_any_order_and_further_ones_are_named() {
    let list = list("\u{feff}Drawer,VALUE, Kind ,Sheet No,ref\n  3 ,47n,c,\"a\"\"b\",C9\n");
    assert_eq!(list.extra_columns, ["Drawer", "Sheet No"]);
    assert_eq!(part(&list, "C9").value_text, "47n");
}

#[test]
fn m_for_a_thousand_is_a_setting_and_is_remarked() {
    let text = "ref,kind,value\nR1,r,10M\n";
    assert_eq!(list(text).parts[0].nominal.value(), 10e6);
    let old = read(
        text.as_bytes(),
        &ListSettings {
            m_is_thousand: true,
            ..ListSettings::default()
        },
    )
    .unwrap();
    assert_eq!(
        (old.parts[0].nominal.value(), &old.parts[0].remarks[..]),
        (10e3, &[Remark::MIsThousand][..])
    );
}

#[test]
fn coils_and_points_have_values_in_their_units() {
    let list = list(
        "ref,kind,value,tolerance\nL1,coil,500mH,\nTP1,point,1.5kV,\nTP2,test point,-12,±2 V\n",
    );
    let band = |designator| {
        let part = part(&list, designator);
        (part.band.lower(), part.band.upper())
    };
    assert_eq!(part(&list, "L1").nominal.quantity(), Quantity::Inductance);
    assert_eq!(band("L1"), (0.4, 0.6));
    assert_eq!(band("TP1"), (1275.0, 1725.0));
    assert_eq!(band("TP2"), (-14.0, -10.0));
}

#[test]
fn parts_that_have_only_to_conduct_take_a_limit_a_rating_or_nothing() {
    let list = list(
        "ref,kind,value,tolerance\nS1,switch,50 mΩ,max\nS2,switch,,\nF1,fuse,T1.6A 250V,\nF2,fuse,10R,\nLA1,lamp,6.3V 0.3A,\nLA2,lamp,,\n\
         S3,switch,2 A 250V,\nF3,fuse,250V,\nF4,fuse,,\n",
    );
    for (designator, limit, origin) in [
        ("S1", 0.05, ToleranceOrigin::Stated),
        ("S2", 1.0, ToleranceOrigin::Default),
        ("S3", 0.25, ToleranceOrigin::Rating),
        ("F1", 0.375, ToleranceOrigin::Rating),
        ("F2", 10.0, ToleranceOrigin::Stated),
        ("F3", 500.0, ToleranceOrigin::Default),
        ("F4", 500.0, ToleranceOrigin::Default),
        ("LA1", 4.2, ToleranceOrigin::Rating),
        ("LA2", 2000.0, ToleranceOrigin::Default),
    ] {
        let part = part(&list, designator);
        assert_relative_eq!(part.nominal.value(), limit, max_relative = 1e-12);
        assert_eq!(part.tolerance_origin, origin, "{designator}");
        let limit = part.nominal.value();
        assert!(part.band.contains(limit) && part.band.contains(0.0));
        assert!(!part.band.contains(1.01 * limit));
    }
    assert_eq!(part(&list, "F1").value_text, "T1.6A 250V");
    let found = errors(
        "ref,kind,value,tolerance\nS1,switch,5Q,10%\nF1,fuse,2,\nF2,fuse,sluggish,\nS2,switch,1RK,\nS3,switch,500 mH,\nTP1,point,0 V,\nL1,coil,10,\nTP2,point,GMV,K\n",
    );
    let starts = [
        "2:value: found `Q` behind",
        "2:tolerance: found `10%` for a switch, expected no tolerance",
        "3:value: found `2` without a unit, expected a resistance such as `50 Ω`, a rating such as `500 mA`, or nothing",
        "4:value: found `sluggish`",
        "5:value: found `1RK` for a switch, expected no tolerance",
        "6:value: found `mH` behind",
        "7:value: found `0 V`, expected a value other than zero",
        "8:value: found `10`, which is ambiguous",
        "9:value: found `GMV`",
        "9:tolerance: found `K`, expected a tolerance such as",
    ];
    let lines: Vec<&str> = found.lines().collect();
    assert_eq!(lines.len(), starts.len(), "{found}");
    for (line, start) in lines.iter().zip(starts) {
        assert!(line.starts_with(start), "found\n{line}\nexpected\n{start}");
    }
}

#[test]
fn loss_leakage_and_frequency_are_limits_of_capacitors_and_windings() {
    let list = list(
        "ref,kind,value,loss,leakage,frequency\nC1,capacitor,16uF,0.15,0.5 mA,120 Hz\nT1,winding,250,,50uA,\nR1,resistor,1k,,,\n",
    );
    let limits = |designator| {
        let part = part(&list, designator);
        (
            part.loss_limit,
            part.leakage_limit_ampere,
            part.loss_frequency_hertz,
        )
    };
    assert_eq!(limits("C1"), (Some(0.15), Some(0.5e-3), Some(120.0)));
    assert_eq!(limits("T1"), (None, Some(50e-6), None));
    assert_eq!(limits("R1"), (None, None, None));
    let found = errors(
        "ref,kind,value,loss,leakage,frequency\nC1,capacitor,16uF,much,0.5,0\nR1,resistor,1k,0.1,,\nC2,capacitor,1n,-1,-1 mA,often\n",
    );
    let starts = [
        "2:loss: found `much`, expected the largest loss factor",
        "2:leakage: found `0.5`, expected the largest leakage with its unit",
        "2:frequency: found `0`, expected the frequency",
        "3:loss: found `0.1` for a resistor, expected nothing",
        "4:loss: found `-1`",
        "4:leakage: found `-1 mA`",
        "4:frequency: found `often`",
    ];
    let lines: Vec<&str> = found.lines().collect();
    assert_eq!(lines.len(), starts.len(), "{found}");
    for (line, start) in lines.iter().zip(starts) {
        assert!(line.starts_with(start), "found\n{line}\nexpected\n{start}");
    }
}

#[test]
fn all_errors_of_a_list_come_at_once_with_row_and_column() {
    let found = errors(
        "ref,kind,value,tolerance,rating,material,in_circuit\n\
         R1,resistor,4K7,10%,,,\n\
         R2,valve,4K7K7,,,,\n\
         X3,,4K7,,,,\n\
         R4,resistor,4Q7,-10%,,,\n\
         r1,resistor,4K7,-10%,,,maybe\n\
         \n\
         ,resistor,4K7,,,,\n\
         ,,,,,,\n\
         C1,capacitor,250,,,,\n\
         C2,capacitor,47n,20 some,450,carbon,\n\
         C3,capacitor,47n\n\
         R5,resistor,4K7J,10%,,unobtainium,\n",
    );
    let starts = [
        "3:kind: found `valve`, expected `resistor`, `capacitor`, `winding`, `potentiometer`, `coil`, `switch`, `fuse`, `lamp`, `point` or `ratio`",
        "3:value: found `4K7K7`, expected a value such as",
        "4:kind: found nothing, expected `resistor`, `capacitor`, `winding`, `potentiometer`, `coil`, `switch`, `fuse`, `lamp`, `point` or `ratio`",
        "5:value: found `Q` behind the number in `4Q7`, expected a unit of resistance",
        "5:tolerance: found `-10%`, a negative tolerance, expected",
        "6:ref: found `r1` again, first in row 2",
        "6:in_circuit: found `maybe`, expected `yes`, `no` or nothing",
        "6:tolerance: found `-10%`, a negative tolerance, expected",
        "8:ref: found no designator, expected one such as `R12`",
        "10:value: found `250`, which is ambiguous",
        "11:material: found `carbon` for a capacitor, expected `film`, `paper`",
        "11:rating: found `450` without a unit, expected",
        "11:tolerance: found `20 some`, expected",
        "12: found 3 fields, expected 7",
        "13:material: found `unobtainium`, expected `carbon`",
        "13:tolerance: found `10%`, expected ±5 %",
    ];
    let lines: Vec<&str> = found.lines().collect();
    assert_eq!(lines.len(), starts.len(), "{found}");
    for (line, start) in lines.iter().zip(starts) {
        assert!(line.starts_with(start), "found\n{line}\nexpected\n{start}");
    }
}

#[test]
fn a_file_that_is_no_list_is_refused_with_the_reason() {
    assert!(errors("").starts_with("1: found an empty file"));
    assert!(errors("\u{feff} \n\n").starts_with("1: found an empty file"));
    assert!(errors("ref,kind,value\n\n").starts_with("1: found no row"));
    assert!(errors("reference,type\nR1,r\n").starts_with("1:value: found no such column"));
    assert_eq!(errors("ref,note\nR1,x\n").lines().count(), 2);
    assert!(errors("ref,note\nR1,x\n").starts_with("1:kind: found no such column"));
    assert!(errors("ref,kind,value,Ref\nR1,r,4K7,x\n").starts_with("1:ref: found two columns"));
    assert!(errors("\n\nref,kind,value\n\nR1,valve,4K7\n").starts_with("5:kind: "));
}

#[test]
fn a_byte_that_is_not_utf_8_is_located() {
    let found = errors(b"ref,kind,value\nR1,r,4K7\nC1,c,10 \x8DF\nR1,r,x\n");
    let lines: Vec<&str> = found.lines().collect();
    assert!(
        lines[0].starts_with("3: found at byte 32 what is not UTF-8"),
        "{found}"
    );
    assert!(
        lines[1].starts_with("4:ref: found `R1` again, first in row 2"),
        "{found}"
    );
    assert!(lines[2].starts_with("4:value: "), "{found}");
}

#[test]
fn a_quotation_mark_that_is_never_closed_does_not_swallow_the_rest() {
    let found = read(
        b"ref,kind,value,note\nR1,r,4K7,\"a \"\"b\nR2,r,4K7,\n",
        &ListSettings::default(),
    )
    .unwrap_err();
    assert_eq!(found.faults()[0].line, 2);
    assert!(
        found
            .to_string()
            .contains("a quotation mark that is never closed")
    );
    assert_eq!(
        list("ref,kind,value,note\nR1,r,4K7,\"a \"\"b\nc\"\nR2,r,4K7,5\" tall\n").parts[1].row,
        4
    );
}

#[test]
fn a_hundred_thousand_rows_are_read_each_with_its_row() {
    let mut text = String::from("ref,kind,value,tolerance\n");
    for n in 1..=100_000 {
        writeln!(text, "R{n},resistor,4K7,10%").unwrap();
    }
    let list = list(&text);
    assert_eq!(list.parts.len(), 100_000);
    assert_eq!(
        (
            list.parts[99_999].row,
            list.parts[99_999].designator.as_str()
        ),
        (100_001, "R100000")
    );
}

fn check(text: &str) -> Output {
    let folder = tempfile::tempdir().expect("a temporary folder");
    std::fs::write(folder.path().join("parts.csv"), text).expect("the list is written");
    let mut program = Command::new(env!("CARGO_BIN_EXE_probewright"));
    let arguments = ["parts", "check", "parts.csv"];
    program
        .args(arguments)
        .current_dir(folder.path())
        .output()
        .expect("the program runs")
}

#[test]
fn the_command_shows_what_was_understood_and_what_was_assumed() {
    let output = check(
        "ref,kind,value,tolerance,material\nR1,resistor,4K7,10%,\nC1,capacitor,473,,paper\nC2,capacitor,10n,GMV,\n",
    );
    let expected = "\
ref  kind       value   band                tolerance  origin   material
R1   resistor   4.7 kΩ  4.23 kΩ to 5.17 kΩ  ±10 %      stated
C1   capacitor  47 nF   37.6 nF to 56.4 nF  ±20 %      default  paper
C2   capacitor  10 nF   10 nF or more       GMV        stated
remark: C1, `473`: three figures read as the code: two figures and a power of ten, in pF
default tolerance for capacitor, paper: ±20 %, applied to C1
mains: C1: place unknown, from a row that does not say between what it sits, though value and rating would do for the mains: no safety class marked, and its place is unknown: fill in `from` and `to`, or its role
mains: C2: place unknown, from a row that does not say between what it sits, though value and rating would do for the mains: no safety class marked, and its place is unknown: fill in `from` and `to`, or its role
Mains parts can kill. This is guidance from published tables, not an approval: local codes come first, and licensed work is for licensed people. Unplug before you touch anything.
3 parts: 1 resistor, 2 capacitors
";
    assert_eq!(String::from_utf8_lossy(&output.stdout), expected);
    assert_eq!((output.status.code(), output.stderr.len()), (Some(0), 0));
}

#[test]
fn the_command_shows_limits_and_their_defaults() {
    let output = check(
        "ref,kind,value,tolerance,loss,leakage,frequency\nS1,switch,,,,,\nS2,switch,50 mΩ,,,,\nC1,capacitor,16uF,20%,0.15,0.5 mA,120\nTP1,point,250V,,,,\n",
    );
    let expected = "\
ref  kind       value  band                tolerance  origin   loss        leakage       frequency
S1   switch     1 Ω    up to 1 Ω           max        default
S2   switch     50 mΩ  up to 50 mΩ         max        stated
C1   capacitor  16 µF  12.8 µF to 19.2 µF  ±20 %      stated   up to 0.15  up to 500 µA  120 Hz
TP1  point      250 V  212.5 V to 287.5 V  ±15 %      default
remark: S2, `50 mΩ`: lower-case `m` read as a thousandth; write `M` or `Meg` for a million
default limit for switch: up to 1 Ω, applied to S1
default tolerance for point, material not stated: ±15 %, applied to TP1
may be charged: C1: rated voltage not stated, take it as charged
Capacitors hold lethal charge long after the plug is out, and an open bleeder bleeds nothing. Discharge each one through a \
resistor, never with a screwdriver, measure that it is down, wait a minute and measure again. Local codes come first, and \
licensed work is for licensed people.
4 parts: 1 capacitor, 2 switches, 1 point
";
    assert_eq!(String::from_utf8_lossy(&output.stdout), expected);
    assert_eq!(output.status.code(), Some(0));
}

#[test]
fn the_command_names_file_row_and_column_of_every_error() {
    let output = check("ref,kind,value\nR1,valve,4K7\nR1,resistor,0\n");
    let expected = "\
parts.csv:2:kind: found `valve`, expected `resistor`, `capacitor`, `winding`, `potentiometer`, `coil`, `switch`, `fuse`, `lamp`, `point` or `ratio`
parts.csv:3:ref: found `R1` again, first in row 2; expected each designator once
parts.csv:3:value: found `0`, expected a value above zero
";
    assert_eq!(String::from_utf8_lossy(&output.stdout), expected);
    assert_eq!(output.status.code(), Some(2));
}

#[test]
fn a_long_line_breaks_between_words_at_the_width_of_the_terminal() {
    let job = Job::new("ref,kind,value,rating\nC1,capacitor,32uF,450V\n");
    for columns in [80, 100] {
        let terminal = Terminal::open();
        Size { columns, rows: 40 }.set(&terminal);
        let screen = terminal.far.try_clone().unwrap();
        let root = job.root();
        let arguments = ["parts".as_ref(), "check".as_ref(), root.as_os_str()];
        let mut program = Program::start_on_terminal(&arguments, &terminal.end, screen);
        let mut widest = 0;
        loop {
            let line = program.sees(&[""]);
            widest = widest.max(line.trim_end().chars().count());
            if line.contains("1 part: 1 capacitor") {
                break;
            }
        }
        let columns = usize::from(columns);
        assert!(
            widest <= columns && widest + 10 > columns,
            "{widest} of {columns}"
        );
    }
}

#[test]
fn a_list_that_cannot_be_opened_is_an_error_of_its_own() {
    let output = Command::new(env!("CARGO_BIN_EXE_probewright"))
        .args(["parts", "check", "/nowhere/parts.csv"])
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(1));
    assert!(
        String::from_utf8_lossy(&output.stderr).contains("`/nowhere/parts.csv` cannot be read")
    );
}

#[test]
fn the_sheet_of_a_point_and_the_partners_of_a_part_are_checked_with_row_and_column() {
    let text = "\
ref,kind,value,sheet_ohm_per_volt,sheet_range,source_ohm,with
TP1,point,150 V,1000,300 V,100k,
TP2,point,150 V,1000,100 V,,
TP3,point,150 V,,300 V,,
TP4,point,150 V,fast,300 V,much,
TP5,point,150 V,,,100k,
R1,resistor,470k,1000,,,
C1,capacitor,10 nF,,,,R1 R9
C2,capacitor,10 nF,,,,r1 c2 250V
";
    let errors = read(text.as_bytes(), &ListSettings::default()).unwrap_err();
    let found: Vec<(usize, Option<&str>)> = errors
        .faults()
        .iter()
        .map(|error| (error.line, error.column))
        .collect();
    assert_eq!(
        found,
        [
            (3, Some("sheet_range")),
            (4, Some("sheet_ohm_per_volt")),
            (5, Some("sheet_ohm_per_volt")),
            (5, Some("source_ohm")),
            (6, Some("sheet_ohm_per_volt")),
            (7, Some("sheet_ohm_per_volt")),
            (8, Some("with")),
            (9, Some("with")),
        ],
        "{errors}"
    );
    assert!(errors.to_string().contains(
        "8:with: found `R9`, expected designators of this list or a voltage such as `250V`, separated by blanks"
    ));
}

#[test]
fn a_wiper_at_half_its_travel_needs_a_law_in_words() {
    let head = "ref,kind,value,law,also\n";
    let good = list(&format!(
        "{head}VR1,pot,500k,Audio,stop middle sweep\nSW1,switch,,,3 makes\n"
    ));
    assert_eq!(
        part(&good, "VR1")
            .law
            .map(probewright::face::engine::parts::Law::name),
        Some("audio")
    );
    assert_eq!(part(&good, "SW1").also.len(), 2);
    assert_eq!(
        errors(format!(
            "{head}VR1,pot,500k,,middle\nVR2,pot,500k,B,\nVR3,pot,500k,bent,\nR1,resistor,1k,linear,\nSW1,switch,,,1 makes\n\
             SW2,switch,,,sweep\n"
        )),
        "2:law: found nothing, expected `linear`, `audio` or `reverse`, since `also` asks for `middle`\n\
         3:law: found `B`, expected `linear`, `audio` or `reverse`: the letter means different laws in different countries\n\
         4:law: found `bent`, expected `linear`, `audio`, `reverse` or nothing\n\
         5:law: found `linear` for a resistor, expected nothing; only a potentiometer has a law\n\
         6:also: found `1 makes`, expected what else is to be measured, each once, or nothing: `leakage` of a capacitor, `stop`, \
         `middle` or `sweep` of a potentiometer, makes of a switch such as `5 makes` (2 to 20)\n\
         7:also: found `sweep` for a switch, expected a measurement that such a part has"
    );
}
