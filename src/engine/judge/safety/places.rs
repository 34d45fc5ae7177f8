//! [`Places`]: where the capacitors of a list sit, seen from the mains.
//!
//! The one rule for it: a place is found from the nodes, the role, and what the other parts of the list join. The stricter finding
//! counts, and a role never clears what a node hints at.

use std::collections::{BTreeMap, BTreeSet};
use std::f64::consts::SQRT_2;

use super::circuit_name::{Hints, Name};
use super::{CAUTION, Mains, MainsPlace, Weight, check_class};
use crate::engine::parts::{Choice, Kind, Material, Part};

/// Connection of the equipment's chassis, as job.toml says it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Chassis {
    /// A transformer with two windings keeps it from the mains.
    Isolated,
    /// One line of the mains is joined to it.
    Live,
}

impl Chassis {
    /// The one of that name.
    pub fn named(name: &str) -> Option<Self> {
        match name {
            "isolated" => Some(Self::Isolated),
            "live" => Some(Self::Live),
            _ => None,
        }
    }
}

/// Place of a capacitor, and from what that was taken.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sited {
    pub place: MainsPlace,
    /// From what, as a clause: "its nodes `L` and `chassis`".
    pub because: String,
}

/// Where the capacitors of a list sit, seen from the mains.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Places {
    mains: Option<Mains>,
    /// Each part of the list; nothing for one that is not at the mains.
    sited: BTreeMap<String, Option<Sited>>,
}

/// The largest resistance that passes the mains on, in ohm: surge limiters and droppers (common practice, no source).
const PASSES_OHMS: f64 = 2e3;

/// A lower mains voltage than is found anywhere, in volt: counts where the job does not state the mains.
const LOWEST_MAINS: f64 = 100.0;

/// Between these capacitances, in farad, an interference suppressor or an isolating capacitor lies (common practice, no source).
const AT_MAINS_FARADS: (f64, f64) = (0.47e-9, 2.5e-6);

/// Up to this capacitance mica is for tuned circuits, in farad (common practice, no source).
const TUNED_MICA_FARADS: f64 = 1e-9;

/// Wordings of a role across the line, and of one from the line to what can be touched (common practice, no source).
const ACROSS: [&str; 8] = [
    "across line",
    "across mains",
    "line to line",
    "line to neutral",
    "live to neutral",
    "mains to mains",
    "x capacitor",
    "class x",
];
const TO_CHASSIS: [&str; 16] = [
    "line to chassis",
    "mains to chassis",
    "live to chassis",
    "neutral to chassis",
    "line to earth",
    "mains to earth",
    "live to earth",
    "neutral to earth",
    "line to ground",
    "mains to ground",
    "line bypass",
    "mains bypass",
    "aerial isolating",
    "earth isolating",
    "y capacitor",
    "class y",
];

/// Words of a role that keep a capacitor from the mains where its nodes are blank (common practice, no source).
const PLAIN_ROLES: [&str; 29] = [
    "coupling",
    "decoupling",
    "cathode",
    "screen",
    "anode",
    "plate",
    "grid",
    "smoothing",
    "reservoir",
    "tone",
    "tuning",
    "tuned",
    "padder",
    "padding",
    "trimmer",
    "avc",
    "agc",
    "feedback",
    "oscillator",
    "bias",
    "detector",
    "reaction",
    "treble",
    "bass",
    "emphasis",
    "ht",
    "volume",
    "crossover",
    "neutralising",
];

impl Places {
    /// The places of all capacitors of `list` in equipment for `mains`, whose chassis is as the job says.
    pub fn of(list: &[Part], mains: Option<Mains>, chassis: Option<Chassis>) -> Self {
        let circuit = MainsSide::of(list, chassis);
        let volts = mains.map_or(LOWEST_MAINS, Mains::volts);
        let place = |part: &Part| {
            (
                part.designator.to_lowercase(),
                circuit.sited(part, Some(volts)),
            )
        };
        Self {
            mains,
            sited: list.iter().map(place).collect(),
        }
    }

    /// The mains of the equipment; `None` where the job does not state it.
    pub const fn mains(&self) -> Option<Mains> {
        self.mains
    }

    /// Where `part` sits; `None` if it is no capacitor at the mains. One of no list is judged by its own row, and is not asked
    /// about where that tells nothing.
    pub fn at(&self, part: &Part) -> Option<Sited> {
        match self.sited.get(&part.designator.to_lowercase()) {
            Some(sited) => sited.clone(),
            None => MainsSide::of(std::slice::from_ref(part), None).sited(part, None),
        }
    }

    /// Words on `part` before work: its place, from what that was taken, and its class; `None` if it is not at
    /// the mains.
    pub fn words(&self, part: &Part) -> Option<String> {
        let Sited { place, because } = self.at(part)?;
        let check = check_class(&part.rating, place, self.mains);
        let classes: Vec<&str> = part
            .rating
            .classes
            .iter()
            .map(|class| class.name())
            .collect();
        let found: Vec<String> = check.findings().iter().map(ToString::to_string).collect();
        let class = (!classes.is_empty()).then(|| format!("class {}", classes.join("/")));
        let said: Vec<String> = class.into_iter().chain(found).collect();
        let taken = match place {
            MainsPlace::Unknown => format!("{place}, from {because}"),
            _ => format!("taken for {place}, from {because}"),
        };
        Some(format!("{}: {taken}: {}", part.designator, said.join("; ")))
    }
}

impl Places {
    /// Why `part` should not stay as it is, whatever it measures: a class that is missing or wrong, or a place that is not
    /// known; `None` for any other, and for a choice that does not leave it there.
    pub fn warning(&self, part: &Part, choice: Choice) -> Option<String> {
        if !matches!(choice, Choice::Keep | Choice::Accept) {
            return None;
        }
        let sited = self.at(part)?;
        let check = check_class(&part.rating, sited.place, self.mains);
        let fault = check.weight() == Some(Weight::Fault) || sited.place == MainsPlace::Unknown;
        fault.then(|| format!("{} ({CAUTION})", self.words(part).unwrap_or_default()))
    }
}

/// Mains side by the list.
struct MainsSide<'a> {
    list: &'a [Part],
    /// Where each designator stands first: a search through the list for every name would take the square of its length.
    designators: BTreeMap<Name, usize>,
    ends: Vec<[Name; 2]>,
    /// Names of nodes that the mains reaches through parts.
    reached: BTreeSet<Name>,
    /// Of each part whether it is at the mains and passes it on.
    passes: Vec<bool>,
    /// Whether a node of the list is called chassis, so that earth is something else.
    has_chassis: bool,
    has_transformer: bool,
    stated: Option<Chassis>,
    /// A part that joins the chassis to the mains.
    joined_by: Option<&'a str>,
}

impl<'a> MainsSide<'a> {
    fn of(list: &'a [Part], stated: Option<Chassis>) -> Self {
        let ends: Vec<[Name; 2]> = list
            .iter()
            .map(|part| [Name::of(&part.from), Name::of(&part.to)])
            .collect();
        let mut circuit = Self {
            list,
            designators: (list.iter().enumerate().rev())
                .map(|(place, part)| (Name::of(&part.designator), place))
                .collect(),
            has_chassis: ends.iter().flatten().any(|end| end.hints().chassis),
            ends,
            reached: BTreeSet::new(),
            passes: vec![false; list.len()],
            has_transformer: false,
            stated,
            joined_by: None,
        };
        // Droppers and surge limiters are found only where no transformer is.
        circuit.follow(|part| {
            matches!(
                part.kind,
                Kind::Switch | Kind::Fuse | Kind::Lamp | Kind::Winding | Kind::Coil
            )
        });
        circuit.has_transformer = (0..list.len()).any(|place| circuit.isolates(place));
        circuit.joined_by = (0..list.len()).find_map(|place| circuit.joins_chassis(place));
        if !circuit.has_transformer {
            circuit
                .follow(|part| part.kind == Kind::Resistor && part.nominal.value() <= PASSES_OHMS);
        }
        circuit
    }

    /// Follows the mains through parts of that sort until nothing more is reached.
    fn follow(&mut self, passes_on: impl Fn(&Part) -> bool) {
        let mut before = None;
        while before
            != Some((
                self.reached.len(),
                self.passes.iter().filter(|on| **on).count(),
            ))
        {
            before = Some((
                self.reached.len(),
                self.passes.iter().filter(|on| **on).count(),
            ));
            for (place, part) in self.list.iter().enumerate() {
                let may = self.passes[place] || passes_on(part);
                if !may
                    || !(is_of_the_mains(part)
                        || self.ends[place].iter().any(|end| self.feeds(part, end)))
                {
                    continue;
                }
                self.passes[place] = true;
                for end in self.ends[place].clone() {
                    let Hints {
                        chassis,
                        earth,
                        negative,
                        touched,
                        ..
                    } = self.hints(&end);
                    if !(end.is_blank() || chassis || earth || negative || touched) {
                        self.reached.insert(end);
                    }
                }
            }
        }
    }

    /// Whether the mains comes to `part` at that end. A node that is only called `switch` or `fuse` is no more than a hint.
    fn feeds(&self, part: &Part, end: &Name) -> bool {
        let beside = matches!(part.kind, Kind::Switch | Kind::Fuse) || is_primary(part);
        self.hints(end).mains && (beside || self.reached.contains(end) || !end.is_beside())
    }

    /// The part that a name begins with, and what is said behind it: `S1 in`, `T1.pri`.
    fn named(&self, name: &Name) -> Option<(usize, Name)> {
        name.cuts()
            .find_map(|(own, rest)| Some((*self.designators.get(&own)?, rest)))
    }

    fn hints(&self, name: &Name) -> Hints {
        let Some((place, rest)) = self.named(name) else {
            let mut own = name.hints();
            own.mains |=
                self.reached.contains(name) || (!self.has_transformer && name.is_rectifier_anode());
            own.circuit &= !own.mains;
            return own;
        };
        let part = &self.list[place];
        let ends = &self.ends[place];
        let blank = ends.iter().all(Name::is_blank) && part.role.trim().is_empty();
        let of_mains = self.passes[place]
            || is_of_the_mains(part)
            || (blank && matches!(part.kind, Kind::Switch | Kind::Fuse))
            || ends.iter().any(|end| {
                self.reached.contains(end) || (self.named(end).is_none() && end.hints().mains)
            });
        let mut own = rest.hints();
        own.mains |= of_mains || self.reached.contains(name);
        own.circuit = !(own.mains || own.chassis || own.earth || own.negative || own.touched);
        own
    }

    /// Whether the winding is the primary of a transformer that keeps the chassis from the mains.
    fn isolates(&self, place: usize) -> bool {
        let part = &self.list[place];
        let of_same = |other: &usize| stem(&self.list[*other]) == stem(part);
        let auto = |other: usize| {
            let part = &self.list[other];
            let said = [
                &part.designator,
                &part.role,
                &part.note,
                &part.from,
                &part.to,
            ];
            said.iter().any(|text| text.to_lowercase().contains("auto"))
        };
        let tapped = |other: usize| self.passes[other] && !is_primary(&self.list[other]);
        is_primary(part)
            && self.passes[place]
            && self.joins_chassis(place).is_none()
            && !(0..self.list.len())
                .filter(of_same)
                .any(|other| auto(other) || tapped(other))
    }

    /// The designator of a part that joins the chassis, or the return, to the mains.
    fn joins_chassis(&self, place: usize) -> Option<&'a str> {
        let at_chassis = |end: &Name| {
            let hints = self.hints(end);
            hints.chassis || hints.negative || (hints.earth && !self.has_chassis)
        };
        let both = |end: &Name| at_chassis(end) && self.hints(end).mains;
        let ends = &self.ends[place];
        let joins = self.passes[place] && ends.iter().any(at_chassis);
        (joins || ends.iter().any(both)).then_some(self.list[place].designator.as_str())
    }

    fn is_live(&self) -> bool {
        self.joined_by.is_some()
            || match self.stated {
                Some(stated) => stated == Chassis::Live,
                None => !self.has_transformer,
            }
    }

    /// Reason why the chassis counts as live.
    fn why_live(&self) -> String {
        match (self.joined_by, self.stated) {
            (Some(part), _) => format!("the chassis is live by {part}"),
            (None, Some(_)) => "the chassis is live by job.toml".to_owned(),
            (None, None) => "the chassis counts as live, since no mains transformer is on the list and job.toml does not say \
                 `chassis = \"isolated\"` under [mains]"
                .to_owned(),
        }
    }

    /// Place of a capacitor; `volts` are those of the mains, and without them nothing is asked.
    fn sited(&self, part: &Part, volts: Option<f64>) -> Option<Sited> {
        if part.kind != Kind::Capacitor {
            return None;
        }
        let names = [Name::of(&part.from), Name::of(&part.to)];
        let [a, b] = names.each_ref().map(|name| self.hints(name));
        let nodes = || match (part.from.trim(), part.to.trim()) {
            ("", node) | (node, "") => format!("its node `{node}`"),
            (from, to) => format!("its nodes `{from}` and `{to}`"),
        };
        let by_nodes = self.between(a, b).max(self.between(b, a));
        let by_live = self
            .off_live(part, a, b)
            .or_else(|| self.off_live(part, b, a));
        let by_role = self.by_role(part, a, b);
        let strictest = by_nodes.max(by_live).max(by_role);
        let Some(place) = strictest else {
            return Self::not_told(part, a, b, volts);
        };
        let because = if by_nodes == strictest {
            nodes()
        } else if by_live == strictest {
            format!("{}, and {}", nodes(), self.why_live())
        } else {
            format!("its role `{}`", part.role.trim())
        };
        Some(Sited { place, because })
    }

    /// Place of a capacitor that has the mains at its one end.
    fn between(&self, a: Hints, b: Hints) -> Option<MainsPlace> {
        if !a.mains {
            return None;
        }
        let stated = self.stated == Some(Chassis::Live);
        // The return is a line where that is known; a transformer that is missing from the list proves nothing.
        let returns = b.negative && !stated && self.joined_by.is_none();
        Some(
            if b.touched || b.earth || (b.chassis && !stated) || returns {
                MainsPlace::LineToChassis
            } else if b.mains || b.chassis || b.negative {
                MainsPlace::AcrossLine
            } else {
                MainsPlace::Unstated
            },
        )
    }

    /// Whether a capacitor joins what people touch to a live chassis, or to the circuit on it.
    fn off_live(&self, part: &Part, a: Hints, b: Hints) -> Option<MainsPlace> {
        let earthed = b.earth && self.has_chassis;
        // An electrolytic that goes to earth shows that the drawing calls the chassis so.
        let apart = self.has_chassis && part.material != Some(Material::Electrolytic);
        let joins = (a.touched && !b.touched && !earthed)
            || (a.earth && !b.touched && !b.earth && (b.chassis || b.negative || apart))
            || (a.negative && b.chassis);
        (self.is_live() && joins).then_some(MainsPlace::LineToChassis)
    }

    fn by_role(&self, part: &Part, a: Hints, b: Hints) -> Option<MainsPlace> {
        let role = Name::of(&part.role);
        let hints = role.hints();
        let open = tells_nothing(a) || tells_nothing(b);
        let mains = role.speaks_of_mains() || (open && role.hints_at_mains() && !is_plain(&role));
        let to_touch = hints.chassis || hints.earth || hints.touched;
        let across = role.has("across") || (role.has("l") && role.has("n"));
        // With a live chassis a role that speaks of aerial, earth or a socket says what it is joined to.
        let off_live =
            open && self.is_live() && self.stated_or_listed() && (hints.touched || hints.earth);
        let phrase = TO_CHASSIS.iter().any(|phrase| role.says(phrase));
        if phrase || (mains && to_touch) || off_live {
            Some(MainsPlace::LineToChassis)
        } else if ACROSS.iter().any(|phrase| role.says(phrase)) || (mains && across) {
            Some(MainsPlace::AcrossLine)
        } else {
            mains.then_some(MainsPlace::Unstated)
        }
    }

    /// Whether more than a single row is known, so that the want of a transformer means something.
    fn stated_or_listed(&self) -> bool {
        self.stated.is_some() || self.list.len() > 1
    }

    /// A place that neither nodes nor role tell: asked for, unless value, rating and material keep it from the mains.
    fn not_told(part: &Part, a: Hints, b: Hints, volts: Option<f64>) -> Option<Sited> {
        let open = (tells_nothing(a) && !b.circuit) || (tells_nothing(b) && !a.circuit);
        let volts = volts?;
        if !open || is_plain(&Name::of(&part.role)) || is_plainly_elsewhere(part, volts) {
            return None;
        }
        let place = if part.rating.classes.is_empty() {
            MainsPlace::Unknown
        } else {
            MainsPlace::Unstated
        };
        let because = match place {
            MainsPlace::Unknown => "a row that does not say between what it sits, though value and rating would do for the mains".to_owned(),
            _ => "its safety class".to_owned(),
        };
        Some(Sited { place, because })
    }
}

/// The name of a node that says nothing.
const fn tells_nothing(hints: Hints) -> bool {
    !(hints.mains
        || hints.chassis
        || hints.earth
        || hints.negative
        || hints.touched
        || hints.circuit)
}

fn is_plain(role: &Name) -> bool {
    PLAIN_ROLES.iter().any(|word| role.has(word))
}

/// Whether the role of a switch, fuse, lamp, winding or resistor says that it is at the mains.
fn is_of_the_mains(part: &Part) -> bool {
    let role = Name::of(&part.role);
    let secondary = [
        "secondary",
        "sec",
        "heater",
        "heaters",
        "filament",
        "ht",
        "lt",
        "screen",
    ];
    role.speaks_of_mains() && !secondary.iter().any(|word| role.has(word))
}

/// Whether designator or role call a winding the primary of another transformer than an output or a coupling one.
fn is_primary(part: &Part) -> bool {
    let named = Name::of(&format!("{} {}", part.designator, part.role));
    let primary = ["pri", "prim", "primary"]
        .iter()
        .any(|word| named.has(word))
        || named.says("mains transformer");
    let other = [
        "output",
        "driver",
        "interstage",
        "if",
        "aerial",
        "secondary",
        "sec",
        "heater",
        "heaters",
        "ht",
        "choke",
        "filter",
    ];
    part.kind == Kind::Winding && primary && !other.iter().any(|word| named.has(word))
}

/// `T1` of `T1.pri`.
fn stem(part: &Part) -> &str {
    part.designator.split('.').next().unwrap_or_default()
}

/// Whether value, rating or material keep a capacitor from a mains of `volts`.
fn is_plainly_elsewhere(part: &Part, volts: f64) -> bool {
    let farads = part.nominal.value();
    let (least, most) = AT_MAINS_FARADS;
    let alternating = part.rating.ac_volts.map(|volts| volts * SQRT_2);
    let rated = part
        .rating
        .dc_volts
        .into_iter()
        .chain(alternating)
        .reduce(f64::max);
    // The peak of the mains, less what rounding takes.
    let too_low = rated.is_some_and(|rated| rated < volts * SQRT_2 * 0.999);
    let other_value = part.rating.ac_volts.is_none() && !(least..=most).contains(&farads);
    let tuned_mica = part.material == Some(Material::Mica) && farads <= TUNED_MICA_FARADS;
    part.material == Some(Material::Electrolytic) || too_low || other_value || tuned_mica
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::engine::parts::{ListSettings, read};

    const HEAD: &str = "ref,kind,value,rating,material,role,from,to";
    /// A mains transformer keeps the chassis from the mains.
    const ISOLATED: &str = "T1.pri,winding,40R,,,mains primary,F1 out,S1 out\nS1,switch,,,,,L,S1 out\nV,point,250V,,,,HT1,chassis\n";
    const UNISOLATED: &str = "V,point,200V,,,,HT1,chassis\n";

    fn parts(rows: &str) -> Vec<Part> {
        read(
            format!("{HEAD}\n{rows}").as_bytes(),
            &ListSettings::default(),
        )
        .unwrap()
        .parts
    }

    fn places(parts: &[Part], chassis: Option<Chassis>) -> Places {
        Places::of(parts, Mains::new(230.0, 50.0).ok(), chassis)
    }

    /// The place of a paper capacitor of 10 nF and 600 V between two nodes.
    fn at(
        others: &str,
        role: &str,
        from: &str,
        to: &str,
        chassis: Option<Chassis>,
    ) -> Option<MainsPlace> {
        let row = format!("C6,capacitor,.01,600V,paper,\"{role}\",\"{from}\",\"{to}\"\n");
        let parts = parts(&format!("{row}{others}"));
        places(&parts, chassis)
            .at(&parts[0])
            .map(|sited| sited.place)
    }

    const ACROSS_LINE: Option<MainsPlace> = Some(MainsPlace::AcrossLine);
    const TO_CHASSIS: Option<MainsPlace> = Some(MainsPlace::LineToChassis);

    #[test]
    fn any_spelling_of_a_line_is_read() {
        for name in [
            "L",
            "l",
            " L ",
            "L'",
            "L′",
            "L1",
            "N",
            "N'",
            "n1",
            "line",
            "LINE",
            "Line 1",
            "line-in",
            "live",
            "Live side",
            "neutral",
            "mains",
            "Mains L",
            "MAINS_IN",
            "MainsIn",
            "mains (switched)",
            "AC",
            "a.c.",
            "A.C. input",
            "AC~",
            "~",
            "230VAC",
            "240 V AC",
            "phase",
            "Ph",
            "plug",
            "mains plug, pin 1",
            "fuse",
            "mains fuse",
            "switch",
            "on/off switch",
            "Netz",
            "mains filter out",
            "transformer primary",
            "hot side of the line",
            "N (blue)",
            "L (brown)",
            "primary",
        ] {
            for chassis in [None, Some(Chassis::Isolated)] {
                for others in ["", ISOLATED, UNISOLATED] {
                    assert_eq!(
                        at(others, "", name, "chassis", chassis),
                        TO_CHASSIS,
                        "{name}"
                    );
                    assert_eq!(at(others, "", "EARTH", name, chassis), TO_CHASSIS, "{name}");
                    assert_eq!(at(others, "", name, "N", chassis), ACROSS_LINE, "{name}");
                    assert!(
                        at(others, "coupling", name, "", chassis).is_some(),
                        "{name}"
                    );
                    assert!(
                        at(others, "coupling", name, "V3 grid", chassis).is_some(),
                        "{name}"
                    );
                }
            }
        }
    }

    #[test]
    fn what_is_plainly_no_mains_is_left_alone() {
        for name in [
            "AVC line",
            "AGC line",
            "a.v.c. line",
            "HT line",
            "H.T. line",
            "B+ line",
            "HT1",
            "V4 anode",
            "grid",
            "wave switch",
            "wavechange switch",
            "tone switch",
            "radio/gram switch",
            "HT fuse",
            "heater line",
            "volume",
            "IF primary",
            "output transformer primary",
            "line output",
            "screen line",
            "delay line",
            "P1 wiper",
            "live end of volume",
            "T2.sec",
        ] {
            for (others, chassis) in [(ISOLATED, None), (UNISOLATED, Some(Chassis::Isolated))] {
                for to in ["chassis", "earth", "V2 grid", "HT2"] {
                    assert_eq!(at(others, "", name, to, chassis), None, "{name} to {to}");
                }
            }
        }
    }

    #[test]
    fn a_coil_called_l3_is_no_line_and_a_choke_at_the_mains_passes_it_on() {
        let coil = "L3,coil,100uH,,,tuned,V1 grid,chassis\n";
        assert_eq!(
            at(&format!("{ISOLATED}{coil}"), "", "L3", "V2 grid", None),
            None
        );
        assert!(at(ISOLATED, "", "L3", "V2 grid", None).is_some());
        let choke = "L3,coil,1mH,,,,L,filtered\n";
        for name in ["L3", "L3 out", "filtered"] {
            assert_eq!(
                at(&format!("{ISOLATED}{choke}"), "", name, "chassis", None),
                TO_CHASSIS,
                "{name}"
            );
        }
    }

    #[test]
    fn the_mains_goes_through_plug_fuse_switch_choke_and_primary() {
        let chain = "F1,fuse,1A,,,,plug,a1\nS1,switch,,,,,a1,17\nL9,winding,3R,,,,17,choked\nT1.pri,winding,40R,,,,choked,back\n";
        for node in [
            "a1", "17", "choked", "back", "F1", "S1", "L9", "T1.pri", "S1 out",
        ] {
            assert_eq!(at(chain, "", node, "chassis", None), TO_CHASSIS, "{node}");
            assert_eq!(at(chain, "", node, "N", None), ACROSS_LINE, "{node}");
        }
        assert_eq!(
            at(chain, "", "aerial", "V1 grid", None),
            None,
            "T1 keeps the chassis from it"
        );
        let bare = "F1,fuse,1A,,,,,\nS1,switch,,,,,,\n";
        assert_eq!(at(bare, "", "F1", "chassis", None), TO_CHASSIS);
        assert_eq!(at(bare, "", "S1", "chassis", None), TO_CHASSIS);
    }

    #[test]
    fn what_joins_aerial_earth_or_a_socket_to_a_live_chassis_is_touched() {
        for name in [
            "aerial",
            "Aerial socket",
            "A",
            "AE",
            "earth socket",
            "gramophone socket",
            "P.U.",
            "pick-up",
            "extension jack",
        ] {
            for to in ["chassis", "V1 grid", "L1 top", "", "0V", "B-"] {
                assert_eq!(
                    at(UNISOLATED, "", name, to, None),
                    TO_CHASSIS,
                    "{name} to {to}"
                );
                assert_eq!(
                    at(ISOLATED, "", name, to, Some(Chassis::Live)),
                    TO_CHASSIS,
                    "{name} to {to}"
                );
            }
            assert_eq!(at(ISOLATED, "", name, "V1 grid", None), None, "{name}");
            assert_eq!(
                at(UNISOLATED, "", name, "V1 grid", Some(Chassis::Isolated)),
                None,
                "{name}"
            );
        }
        assert_eq!(at(UNISOLATED, "", "earth", "chassis", None), TO_CHASSIS);
        assert_eq!(
            at(UNISOLATED, "", "aerial socket", "earth socket", None),
            None,
            "both are touched"
        );
        assert_eq!(
            at(
                "R1,resistor,1k,,,,V1 cathode,earth\n",
                "",
                "aerial",
                "earth",
                None
            ),
            TO_CHASSIS
        );
        assert_eq!(
            at(
                "R1,resistor,1k,,,,V1 cathode,earth\n",
                "",
                "V1 cathode",
                "earth",
                None
            ),
            None
        );
    }

    #[test]
    fn in_a_set_for_direct_and_alternating_current_the_return_is_a_line() {
        let live = Some(Chassis::Live);
        let joined = "S2,switch,,,,,N,chassis\n";
        assert_eq!(at("", "", "L", "B-", live), ACROSS_LINE);
        assert_eq!(at(joined, "", "L", "B-", None), ACROSS_LINE);
        assert_eq!(at("", "", "B−", "chassis", None), TO_CHASSIS);
        assert_eq!(at(ISOLATED, "", "L", "B-", None), TO_CHASSIS);
        assert_eq!(
            at(UNISOLATED, "", "L", "chassis", Some(Chassis::Live)),
            ACROSS_LINE
        );
        assert_eq!(at(UNISOLATED, "", "V4 anode", "chassis", None), None);
        let limiter = "R30,resistor,150R,,,,L,V5 anode\n";
        assert_eq!(at(limiter, "", "V5 anode", "chassis", None), TO_CHASSIS);
        assert!(at(UNISOLATED, "", "rectifier anode", "HT1", None).is_some());
    }

    #[test]
    fn a_return_that_is_not_known_to_be_a_line_is_the_chassis() {
        for (from, to) in [("B-", "N"), ("b- ", "N"), ("L", "B−"), ("mains", "0V")] {
            for chassis in [None, Some(Chassis::Isolated)] {
                for list in ["", UNISOLATED] {
                    assert_eq!(
                        at(list, "", from, to, chassis),
                        TO_CHASSIS,
                        "{from} to {to}"
                    );
                }
            }
        }
    }

    #[test]
    fn a_transformer_with_one_winding_keeps_nothing_from_the_mains() {
        for transformer in [
            "T1.pri,winding,40R,,,autotransformer,L,N\n",
            "T1.pri,winding,40R,,,mains primary,L,chassis\n",
            "T1.pri,winding,40R,,,mains primary,L,N\nT1.ht,winding,90R,,,,L,V6 anode\n",
            "T1.pri,winding,400R,,,output primary,HT1,V4 anode\n",
            "L7,winding,4R,,,mains choke,L,L out\n",
        ] {
            assert_eq!(
                at(transformer, "", "aerial", "V1 grid", None),
                TO_CHASSIS,
                "{transformer}"
            );
        }
        let joined = format!("{ISOLATED}S2,switch,,,,,N,chassis\n");
        assert_eq!(
            at(&joined, "", "aerial", "V1 grid", Some(Chassis::Isolated)),
            TO_CHASSIS
        );
    }

    #[test]
    fn the_stricter_of_role_and_nodes_counts() {
        for (role, from, to, place) in [
            ("across the line", "L", "chassis", TO_CHASSIS),
            ("coupling", "L", "chassis", TO_CHASSIS),
            ("line-to-chassis", "L", "N", TO_CHASSIS),
            ("line-to-chassis", "V1 anode", "V2 grid", TO_CHASSIS),
            ("mains filter", "L", "N", ACROSS_LINE),
            (
                "mains filter",
                "V1 anode",
                "V2 grid",
                Some(MainsPlace::Unstated),
            ),
            ("Across-line", "", "", ACROSS_LINE),
            ("Mains to chassis, buzz", "", "", TO_CHASSIS),
            ("aerial isolating", "", "", TO_CHASSIS),
            ("from L to N", "", "", ACROSS_LINE),
            ("live side to earth", "", "", TO_CHASSIS),
            (
                "switch click suppressor",
                "",
                "",
                Some(MainsPlace::Unstated),
            ),
            ("AVC line decoupling", "", "", None),
            ("coupling", "", "", None),
            ("cathode bypass", "", "chassis", None),
            ("bypass", "", "chassis", Some(MainsPlace::Unknown)),
            ("", "", "", Some(MainsPlace::Unknown)),
            ("", "17", "tag 4", Some(MainsPlace::Unknown)),
            ("", "", "V1 grid", None),
        ] {
            assert_eq!(
                at(ISOLATED, role, from, to, None),
                place,
                "{role}: {from} to {to}"
            );
        }
    }

    #[test]
    fn a_blank_row_is_asked_about_unless_it_is_plainly_elsewhere() {
        for (row, place) in [
            ("100nF,,", Some(MainsPlace::Unknown)),
            (".01,600V,paper", Some(MainsPlace::Unknown)),
            ("1nF,1kV,ceramic", Some(MainsPlace::Unknown)),
            ("1uF,250V~,film", Some(MainsPlace::Unknown)),
            ("4uF,250V~,film", Some(MainsPlace::Unknown)),
            ("10nF,X2 275V~,", Some(MainsPlace::Unstated)),
            ("32uF,450V,electrolytic", None),
            ("25uF,25V,electrolytic", None),
            ("100nF,250V,film", None),
            ("100nF,63V~,film", None),
            ("100pF,500V,", None),
            ("680pF,750V,mica", None),
            ("8uF,600V,paper", None),
        ] {
            let parts = parts(&format!("C6,capacitor,{row},,,\n"));
            let found = places(&parts, None).at(&parts[0]).map(|sited| sited.place);
            assert_eq!(found, place, "{row}");
        }
        let parts = parts("C6,capacitor,100nF,250V,film,,,\n");
        let unstated = Places::of(&parts, None, None).at(&parts[0]);
        assert!(unstated.is_some(), "it might be a mains of 110 V");
    }

    /// Invented lists with all roles and nodes.
    fn lists() -> Vec<Vec<Part>> {
        let demonstration = read(
            include_bytes!("../../../cli/demo/parts.csv"),
            &ListSettings::default(),
        );
        let mut lists = vec![demonstration.unwrap().parts];
        for rows in [
            "F1,fuse,1A,,,mains fuse,plug,S1\nS1,switch,,,,mains switch,F1,T1.pri\nT1.pri,winding,40R,,,mains primary,S1,N\nC1,capacitor,.1,600V,paper,across the line,S1,N\nC2,capacitor,.01,600V,paper,line to chassis,S1,chassis\nC3,capacitor,.05,400V,paper,coupling,V1 anode,V2 grid\nC4,capacitor,32uF,450V,electrolytic,reservoir,HT1,chassis\n",
            "C1,capacitor,.05,600V,paper,mains to chassis,L,chassis\nC2,capacitor,.001,1kV,paper,aerial isolating,aerial,L1 top\nC3,capacitor,.01,600V,paper,earth isolating,earth socket,chassis\nR1,resistor,150R,,,surge limiter,L,V5 anode\nC4,capacitor,.02,500V,paper,coupling,V3 anode,V4 grid\nC5,capacitor,500pF,500V,mica,aerial coupling,gramophone socket,VR1\n",
            "T1.pri,winding,30R,,,autotransformer,L,chassis\nC1,capacitor,.1,600V,paper,across the mains,L,N\nC2,capacitor,.005,600V,paper,aerial isolating,aerial,coil\nC3,capacitor,.1,500V,paper,decoupling,HT2,chassis\n",
        ] {
            lists.push(parts(rows));
        }
        lists
    }

    /// Strictness of a place: no class is a fail at all of them but the unknown one, which is asked about.
    fn is_guarded(sited: Option<&Sited>, without: Option<&Sited>) -> bool {
        match (
            sited.map(|sited| sited.place),
            without.map(|sited| sited.place),
        ) {
            (Some(_), None) => false,
            // A place that is not told any more cannot be told apart: nothing is bought for it, and an X is in doubt.
            (None, _) | (Some(_), Some(MainsPlace::Unknown | MainsPlace::Unstated)) => true,
            (Some(with), Some(without)) => without >= with,
        }
    }

    #[test]
    fn a_list_without_roles_or_nodes_is_as_safe_as_the_whole_one() {
        for list in lists() {
            let whole = places(&list, None);
            for (roles, nodes) in [(false, true), (true, false), (false, false)] {
                let strip = |part: &Part| Part {
                    role: if roles {
                        part.role.clone()
                    } else {
                        String::new()
                    },
                    from: if nodes {
                        part.from.clone()
                    } else {
                        String::new()
                    },
                    to: if nodes {
                        part.to.clone()
                    } else {
                        String::new()
                    },
                    ..part.clone()
                };
                let bare: Vec<Part> = list.iter().map(strip).collect();
                let stripped = places(&bare, None);
                for (part, bare) in list.iter().zip(&bare) {
                    let (with, without) = (whole.at(part), stripped.at(bare));
                    if nodes {
                        assert!(
                            without.as_ref().map(|sited| sited.place)
                                >= with.as_ref().map(|sited| sited.place),
                            "{part:?}: {with:?} {without:?}"
                        );
                    }
                    let elsewhere = !nodes && is_plainly_elsewhere(part, 230.0);
                    assert!(
                        elsewhere || is_guarded(with.as_ref(), without.as_ref()),
                        "{part:?}: {with:?} {without:?}"
                    );
                }
            }
        }
    }

    #[test]
    fn the_list_of_the_demonstration_is_quiet() {
        let list = lists().remove(0);
        let quiet = |part: &Part| places(&list, None).at(part).is_none();
        assert!(list.iter().all(quiet));
    }

    proptest! {
        #[test]
        fn no_role_clears_what_the_nodes_hint_at(role in "[a-zA-Z ]{0,20}", from in "(L|N|mains|live)[ 1-9']{0,2}", to in "[a-zA-Z0-9 +-]{0,12}") {
            let bare = at(ISOLATED, "", &from, &to, None);
            prop_assert!(bare.is_some());
            prop_assert!(at(ISOLATED, &role, &from, &to, None) >= bare);
        }

        #[test]
        fn the_ends_may_be_swapped_and_spelt_as_they_like(from in "[a-zA-Z0-9 .'+-]{0,14}", to in "(chassis|earth|aerial|N|B-|V1 grid|)") {
            let found = at(ISOLATED, "", &from, &to, None);
            prop_assert_eq!(found, at(ISOLATED, "", &to, &from, None));
            let spaced = format!("  {} ", from.replace(' ', "  "));
            prop_assert_eq!(found, at(ISOLATED, "", &spaced, &to, None));
        }

        #[test]
        fn a_live_chassis_is_never_laxer_than_an_isolated_one(from in "[a-zA-Z0-9 .'+-]{0,14}", to in "(chassis|earth|aerial|N|B-|V1 grid|)") {
            let isolated = at(UNISOLATED, "", &from, &to, Some(Chassis::Isolated));
            prop_assert!(at(UNISOLATED, "", &from, &to, None) >= isolated);
        }
    }
}
