//! [`Nodes`]: which ends of the parts of a list are joined, by the names that it gives them.

use std::collections::BTreeMap;

use petgraph::unionfind::UnionFind;

use crate::engine::parts::{Kind, Part};

/// An end of a part: the place of the part in the list, and which of its ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct End {
    /// Place in the list.
    pub part: usize,
    pub side: Side,
}

/// An end of a part.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Side {
    /// The one in the column `from`.
    From,
    /// The one in the column `to`.
    To,
}

impl Side {
    /// Both.
    pub const BOTH: [Self; 2] = [Self::From, Self::To];

    /// The name of its column.
    pub const fn column(self) -> &'static str {
        match self {
            Self::From => "from",
            Self::To => "to",
        }
    }

    /// Text of the list there.
    pub fn text(self, part: &Part) -> &str {
        match self {
            Self::From => part.from.trim(),
            Self::To => part.to.trim(),
        }
    }
}

/// A point of the circuit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Node {
    /// Its name, as the list writes it first; of two parts that name each other `C5/R8`.
    pub name: String,
    /// The ends that are joined there, in the order of the list. A potentiometer whose wiper it is is not among them.
    pub ends: Vec<End>,
}

/// An end of which the list does not tell where it is: it names a part that does not name it back.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Asked {
    pub end: End,
    /// The place of the part that it names.
    pub names: usize,
}

/// The points of a circuit, by the names in its parts list.
///
/// Upper and lower case and the width of blanks do not matter. A part's own name is a node only if both say so: `from = R8` at C6, and an
/// end of R8 that says C6. Nothing else is ever guessed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Nodes {
    all: Vec<Node>,
    /// Of each part its two ends; `None` where the list does not tell.
    at: Vec<[Option<usize>; 2]>,
    asked: Vec<Asked>,
}

impl Nodes {
    /// Of that list.
    pub fn of(list: &[Part]) -> Self {
        let places: BTreeMap<String, usize> = list
            .iter()
            .enumerate()
            .map(|(place, part)| (key(&part.designator), place))
            .collect();
        let mut joined = UnionFind::<usize>::new(2 * list.len());
        let mut first: BTreeMap<String, usize> = BTreeMap::new();
        let mut asked = Vec::new();
        for end in ends(list) {
            let name = key(end.side.text(&list[end.part]));
            if name.is_empty() {
                continue;
            }
            let Some(names) = places.get(&name) else {
                let other = *first.entry(name).or_insert(end.number());
                joined.union(end.number(), other);
                continue;
            };
            match named_back(list, end, *names) {
                Some(back) => {
                    joined.union(end.number(), back.number());
                }
                None => asked.push(Asked { end, names: *names }),
            }
        }
        let mut found = Self {
            all: Vec::new(),
            at: vec![[None, None]; list.len()],
            asked,
        };
        found.number(list, &joined.into_labeling());
        found
    }

    /// Counts the nodes in the order of the list.
    fn number(&mut self, list: &[Part], labels: &[usize]) {
        let mut numbers: BTreeMap<usize, usize> = BTreeMap::new();
        for end in ends(list) {
            let text = end.side.text(&list[end.part]);
            if text.is_empty() || self.asked.iter().any(|asked| asked.end == end) {
                continue;
            }
            let node = *numbers.entry(labels[end.number()]).or_insert_with(|| {
                self.all.push(Node {
                    name: text.to_owned(),
                    ends: Vec::new(),
                });
                self.all.len() - 1
            });
            self.all[node].ends.push(end);
            self.at[end.part][end.side as usize] = Some(node);
        }
        for node in &mut self.all {
            if let [one, other] = node.ends[..] {
                let name = |end: End| &list[end.part].designator;
                if key(&node.name) == key(name(other)) {
                    node.name = format!("{}/{}", name(one), name(other));
                }
            }
        }
    }

    /// The nodes; elsewhere one is named by its place here.
    pub fn all(&self) -> &[Node] {
        &self.all
    }

    /// The two ends of a part, by its place in the list; `None` where the list does not tell.
    pub fn of_part(&self, part: usize) -> [Option<usize>; 2] {
        self.at[part]
    }

    /// The ends that are to be asked for.
    pub fn asked(&self) -> &[Asked] {
        &self.asked
    }

    /// The node of that name.
    pub fn named(&self, name: &str) -> Option<usize> {
        let name = key(name);
        self.all.iter().position(|node| key(&node.name) == name)
    }

    /// The node where the wiper of a potentiometer is, if another part is joined to it: `P1 wiper`.
    pub fn wiper(&self, part: &Part) -> Option<usize> {
        let of_part = |word| self.named(&format!("{} {word}", part.designator));
        (part.kind == Kind::Potentiometer)
            .then(|| WIPER.into_iter().find_map(of_part))
            .flatten()
    }

    /// Whether a name is that of the wiper of one of these parts.
    fn is_wiper(list: &[Part], name: &str) -> bool {
        let of = |part: &Part, word: &str| key(&format!("{} {word}", part.designator)) == key(name);
        let pots = list.iter().filter(|part| part.kind == Kind::Potentiometer);
        pots.into_iter()
            .any(|part| WIPER.iter().any(|word| of(part, word)))
    }

    /// The nodes at which only one end is: nothing else is there, or the list calls it something else elsewhere.
    pub fn named_once<'a>(&'a self, list: &'a [Part]) -> impl Iterator<Item = &'a Node> {
        let alone = |node: &&Node| node.ends.len() == 1 && !Self::is_wiper(list, &node.name);
        self.all.iter().filter(alone)
    }

    /// Pairs of nodes whose names are alike but for signs, blanks or one letter, so that they may be one: `HT 1` and `HT1`.
    pub fn near_twins(&self) -> Vec<[&Node; 2]> {
        // Names with other figures are other nodes, and so not compared: a list may have thousands.
        let mut by_figures: BTreeMap<String, Vec<(String, usize)>> = BTreeMap::new();
        for (place, node) in self.all.iter().enumerate() {
            let name = squeezed(&node.name);
            if name.len() <= LONGEST {
                let figures = name.chars().filter(char::is_ascii_digit).collect();
                by_figures.entry(figures).or_default().push((name, place));
            }
        }
        let mut twins = Vec::new();
        for names in by_figures.values() {
            for (at, (a, one)) in names.iter().enumerate() {
                let alike = names[at + 1..].iter().filter(|(b, _)| alike(a, b));
                twins.extend(alike.map(|(_, other)| [*one, *other]));
            }
        }
        twins.sort_unstable();
        let nodes = |pair: [usize; 2]| pair.map(|node| &self.all[node]);
        twins.into_iter().map(nodes).collect()
    }
}

impl End {
    /// A number of its own for each end of a list.
    const fn number(self) -> usize {
        2 * self.part + self.side as usize
    }
}

/// Words for the wiper of a potentiometer, behind its designator.
const WIPER: [&str; 3] = ["wiper", "slider", "moving contact"];

/// Every end of the parts of a list that are joined to something by the list.
fn ends(list: &[Part]) -> impl Iterator<Item = End> {
    let both = |part| Side::BOTH.map(|side| End { part, side });
    let parts = 0..list.len();
    let parts = parts.filter(|part| !matches!(list[*part].kind, Kind::Ratio | Kind::Point));
    parts.flat_map(both)
}

/// The one end of the part in place `names` that says the part of `end`, where only one does and that part has only one end there.
fn named_back(list: &[Part], end: End, names: usize) -> Option<End> {
    let says = |part: usize, of: usize| {
        let name = key(&list[of].designator);
        let ends = Side::BOTH.map(|side| End { part, side });
        let mut those = ends
            .into_iter()
            .filter(move |end| key(end.side.text(&list[end.part])) == name);
        let one = those.next();
        one.filter(|_| those.next().is_none())
    };
    says(end.part, names)?;
    (names != end.part).then(|| says(names, end.part)).flatten()
}

/// A name as it is compared: small letters, single blanks.
fn key(name: &str) -> String {
    let words: Vec<String> = name.split_whitespace().map(str::to_lowercase).collect();
    words.join(" ")
}

/// A name without signs and blanks, but for the ones that make a polarity.
fn squeezed(name: &str) -> String {
    let letters = name
        .chars()
        .filter(|c| c.is_alphanumeric() || "+-".contains(*c));
    letters.flat_map(char::to_lowercase).collect()
}

/// Names from this length on tell that one letter is wrong; longer ones than that are no names, and take long to compare.
const LONG: usize = 5;
const LONGEST: usize = 60;

/// Whether two names with the same figures may be one.
fn alike(a: &str, b: &str) -> bool {
    let long = a.len().min(b.len()) >= LONG && a.len().abs_diff(b.len()) <= 4;
    a == b || (long && strsim::osa_distance(a, b) == 1)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::parts::{ListSettings, read};

    fn list(rows: &str) -> Vec<Part> {
        let text = format!("ref,kind,value,from,to\n{rows}");
        read(text.as_bytes(), &ListSettings::default())
            .unwrap()
            .parts
    }

    #[test]
    fn a_part_is_a_node_only_if_both_say_so() {
        let list = list(
            "C5,capacitor,47n,V2 anode,R8\nR8,resistor,100k,C5,P3\nC6,capacitor,250 pF,R8,P3\nP3,potentiometer,1M,C6,chassis\n",
        );
        let nodes = Nodes::of(&list);
        let names: Vec<&str> = nodes.all().iter().map(|node| node.name.as_str()).collect();
        assert_eq!(names, ["V2 anode", "C5/R8", "C6/P3", "chassis"]);
        let asked: Vec<(usize, Side, usize)> = nodes
            .asked()
            .iter()
            .map(|asked| (asked.end.part, asked.end.side, asked.names))
            .collect();
        assert_eq!(asked, [(1, Side::To, 3), (2, Side::From, 1)]);
        assert_eq!(nodes.of_part(1), [Some(1), None]);
    }

    #[test]
    fn case_and_blanks_do_not_matter_and_signs_are_asked_about() {
        let list = list(
            "R1,resistor,1k,HT1,V1  Anode\nR2,resistor,1k,v1 anode,HT 1\nR3,resistor,1k,chassis,chasis\nR4,resistor,1k,V1 grid,V2 grid\n",
        );
        let nodes = Nodes::of(&list);
        assert_eq!(nodes.of_part(0)[1], nodes.of_part(1)[0]);
        let twins: Vec<[&str; 2]> = nodes
            .near_twins()
            .into_iter()
            .map(|pair| pair.map(|node| node.name.as_str()))
            .collect();
        assert_eq!(twins, [["HT1", "HT 1"], ["chassis", "chasis"]]);
    }

    #[test]
    fn thousands_of_names_and_endless_ones_are_compared_in_no_time() {
        let endless = "x".repeat(70_000);
        let last = format!("R3000,resistor,1k,{endless},{endless}y");
        let rows: Vec<String> = (0..3000)
            .map(|n| format!("R{n},resistor,1k,node {n},node {}", n + 1))
            .chain([last])
            .collect();
        assert!(Nodes::of(&list(&rows.join("\n"))).near_twins().is_empty());
    }

    #[test]
    fn a_wiper_is_no_loose_end() {
        let list = list("P1,potentiometer,1M,in,chassis\nR1,resistor,1k,P1 wiper,in\n");
        let nodes = Nodes::of(&list);
        assert_eq!(nodes.wiper(&list[0]), Some(2));
        let once: Vec<&str> = nodes
            .named_once(&list)
            .map(|node| node.name.as_str())
            .collect();
        assert_eq!(once, ["chassis"]);
    }

    #[test]
    fn a_part_that_names_itself_or_twice_is_asked_about() {
        for rows in [
            "R1,resistor,1k,R1,chassis\n",
            "R1,resistor,1k,R2,R2\nR2,resistor,1k,R1,chassis\n",
        ] {
            let list = list(rows);
            assert!(!Nodes::of(&list).asked().is_empty(), "{rows}");
        }
    }
}
