//! [`Diagram`]: the loops of a network that were read, as drawings for the report and as one SVG file.
//!
//! Pure: the same facts give the same bytes. A part is a box between two places, with its own value, its share of the current, and what is
//! doubtful about it in words; parts side by side are one box. Colours only repeat what words and outlines say.

mod layout;

use std::collections::{BTreeMap, BTreeSet, VecDeque};

use maud::{Markup, PreEscaped, html};

use super::html::{class, shapes, shown};
use crate::engine::judge::{Judged, Solution, Verdict};
use crate::engine::network::{Group, Network, Own};
use crate::engine::parts::Part;
use crate::engine::quantity::{Quantity, format_value};
use layout::{Layout, placed};

/// Facts to draw.
#[derive(Debug, Clone, Copy)]
pub struct Facts<'a> {
    /// The parts list.
    pub list: &'a [Part],
    /// Its network.
    pub network: &'a Network,
    /// Outcome of the readings in circuit.
    pub solution: &'a Solution,
    /// The verdicts that stand on parts, by their places in the list.
    pub known: &'a BTreeMap<usize, Verdict>,
}

/// The loops of a network.
#[derive(Debug)]
pub struct Diagram {
    /// A drawing of each.
    pub drawings: Vec<Drawing>,
    /// How many boxes were left out, since nobody could read a loop that large.
    pub left_out: usize,
}

/// A drawing of parts that are in a loop with each other.
#[derive(Debug)]
pub struct Drawing {
    width: f64,
    height: f64,
    /// Description for a reader who does not see it.
    label: String,
    body: Markup,
}

/// No more boxes of parts are drawn of a loop than this: what is in doubt, and what is next to it.
const MOST: usize = 60;

impl Diagram {
    /// The loops with a reading, and parts in no loop that are in doubt.
    pub fn of(facts: &Facts<'_>) -> Self {
        let owns = &facts.solution.owns;
        // A capacitor through which nothing goes closes no loop.
        let conducts = |own: &usize| {
            let leaks = owns[*own].read.is_some() && owns[*own].ohms()[1].is_finite();
            facts.resistive(&owns[*own]).count() > 0 || leaks
        };
        let those: Vec<usize> = (0..owns.len()).filter(conducts).collect();
        let groups: Vec<_> = those.iter().map(|own| owns[*own].group.clone()).collect();
        let mut drawings = Vec::new();
        let mut left_out = 0;
        for block in facts.network.blocks(&groups).blocks {
            let block: Vec<usize> = block.into_iter().map(|group| those[group]).collect();
            let is_told = block.iter().any(|own| owns[*own].read.is_some());
            let is_loop = block.len() > 1 || facts.resistive(&owns[block[0]]).count() > 1;
            if !is_told || !(is_loop || facts.is_in_doubt(block[0])) {
                continue;
            }
            let chosen = chosen(facts, &block);
            left_out += block.len() - chosen.len();
            drawings.extend(pieces(facts, &chosen).map(|piece| drawing(facts, &piece)));
        }
        Self { drawings, left_out }
    }

    /// All of it as one SVG file, in the light of paper; `title` is above it.
    pub fn file(&self, title: &str) -> String {
        const WIDEST: f64 = 1200.0;
        const GAP: f64 = 40.0;
        let (mut left, mut top, mut lowest, mut width) = (GAP, 2.0 * GAP, 0.0, 600.0);
        let mut places = Vec::new();
        for one in &self.drawings {
            if left > GAP && left + one.width > WIDEST {
                left = GAP;
                top = lowest + GAP;
            }
            places.push([left, top]);
            left += one.width + GAP;
            lowest = f64::max(lowest, top + one.height);
            width = f64::max(width, left);
        }
        let foot = lowest + GAP;
        let height = foot + GAP;
        html! {
            svg.diagram xmlns="http://www.w3.org/2000/svg" width=(width) height=(height) viewBox={ "0 0 " (width) " " (height) } {
                title { (shown(title)) }
                style { (PreEscaped(style_of_file())) }
                rect.ground width="100%" height="100%" {}
                (shapes())
                text.name x=(GAP) y=(GAP) { (shown(title)) ", read in circuit" }
                @for (one, [x, y]) in self.drawings.iter().zip(places) {
                    svg x=(x) y=(y) width=(one.width) height=(one.height) { (one.body) }
                }
                text x=(GAP) y=(foot) { (SHARES) @if let Some(words) = self.shows_a_part() { " " (words) } }
            }
        }
        .into_string()
            + "\n"
    }

    /// Remark that not everything is shown, where that is so.
    pub fn shows_a_part(&self) -> Option<String> {
        (self.left_out > 0).then(|| {
            format!(
                "Of a larger loop only what is in doubt and what is next to it is drawn; {} are left out.",
                self.left_out
            )
        })
    }
}

/// Meaning of the per cent.
pub const SHARES: &str = "Per cent: how much of the current went through the part itself while it was read. With little of it, the reading tells little of the part.";

impl Drawing {
    /// As a part of a page.
    pub fn inline(&self) -> Markup {
        let (width, height) = (self.width, self.height);
        html! {
            svg.diagram role="img" width=(width) height=(height) viewBox={ "0 0 " (width) " " (height) } {
                title { (self.label) }
                (self.body)
            }
        }
    }
}

/// The style of a file of its own: programs that show pictures know no names for colours.
fn style_of_file() -> String {
    let rules = concat!(
        include_str!("../marks.css"),
        include_str!("diagram.css"),
        ".ground { fill: var(--paper); }\n"
    );
    let palette = include_str!("../palette.css");
    let light = palette.split('}').next().unwrap_or_default();
    let named = light.lines().filter_map(|line| {
        let (name, value) = line.trim().strip_suffix(';')?.split_once(": ")?;
        Some((format!("var({name})"), value))
    });
    named.fold(rules.to_owned(), |rules, (name, value)| {
        rules.replace(&name, value)
    })
}

/// Words about a group of parts.
struct Told {
    /// The worst verdict of its parts; `None` where none has a band.
    verdict: Option<Verdict>,
    /// The doubt, in two or three words.
    doubt: Option<String>,
    /// The reasons, as clauses.
    why: Vec<String>,
}

impl Facts<'_> {
    /// The elements of a group that conduct.
    fn resistive<'b>(&'b self, own: &'b Own) -> impl Iterator<Item = usize> + 'b {
        let elements = self.network.elements();
        let members = own.group.members.iter().copied();
        members.filter(|member| elements[*member].is_resistive())
    }

    /// The verdicts on a group. One side of a track has no band, so that only its failing is one.
    fn judged(&self, own: usize) -> impl Iterator<Item = &Judged> {
        let judged = self.solution.judged.iter();
        let elements = self.network.elements();
        judged.filter(move |one| {
            let is_whole = elements[one.element].half.is_none();
            one.own == own && (is_whole || one.found.verdict == Verdict::Fail)
        })
    }

    /// The verdict that stands on a part, where the readings in circuit tell none.
    fn verdict(&self, one: &Judged) -> Verdict {
        let part = self.network.elements()[one.element].part;
        match one.found.verdict {
            Verdict::Inconclusive => self.known.get(&part).copied(),
            _ => None,
        }
        .unwrap_or(one.found.verdict)
    }

    fn is_in_doubt(&self, own: usize) -> bool {
        self.judged(own).any(|one| {
            let verdict = self.verdict(one);
            verdict.severity() > Verdict::ConditionalPass.severity()
                && self.solution.owns[own].read.is_some()
        })
    }

    fn told(&self, own: usize) -> Told {
        let worst = self
            .judged(own)
            .max_by_key(|one| self.verdict(one).severity());
        let words = |one: &Judged| match self.verdict(one) {
            verdict if verdict == one.found.verdict => one.found.words.clone(),
            verdict => {
                let title = self.network.elements()[one.element].title(self.list);
                format!("{title} was measured since: {verdict}")
            }
        };
        let mut why: Vec<String> = self.judged(own).map(words).collect();
        why.dedup();
        let verdict = worst.map(|one| self.verdict(one));
        let is_read = self.solution.owns[own].read.is_some();
        let doubt = match verdict {
            Some(Verdict::Fail) => Some("fails".to_owned()),
            Some(Verdict::ConditionalFail) => Some("may fail".to_owned()),
            Some(Verdict::Inconclusive) if is_read => Some(self.what_to_do(own)),
            _ => None,
        };
        Told {
            verdict,
            doubt,
            why,
        }
    }

    /// Words on a group in doubt, and the lead to lift.
    fn what_to_do(&self, own: usize) -> String {
        let part = |one: &Judged| self.network.elements()[one.element].part;
        let parts: Vec<usize> = self.judged(own).map(part).collect();
        let mut leads = self.solution.leads.iter();
        let lead = leads.find(|lead| lead.settles.iter().any(|part| parts.contains(part)));
        let name = |part: usize| short(&self.list[part].designator);
        let lift = match lead {
            Some(lead) if parts == [lead.part] => "lift a lead".to_owned(),
            Some(lead) => format!("lift a lead of {}", name(lead.part)),
            None => "not known".to_owned(),
        };
        if self.judged(own).any(|one| one.found.suspect) {
            let lift = lead.map_or(String::new(), |_| format!(": {lift}"));
            return format!("suspect{lift}");
        }
        lift
    }
}

/// The groups of a loop that are drawn: all of them, or of too many those in doubt and what is nearest to them.
fn chosen(facts: &Facts<'_>, block: &[usize]) -> Vec<usize> {
    if block.len() <= MOST {
        return block.to_vec();
    }
    let owns = &facts.solution.owns;
    let doubtful = block.iter().copied().filter(|own| facts.is_in_doubt(*own));
    let mut waiting: VecDeque<usize> = doubtful.collect();
    waiting.extend(block.first().filter(|_| waiting.is_empty()));
    let mut chosen = BTreeSet::new();
    while let Some(own) = waiting.pop_front() {
        if chosen.len() == MOST {
            break;
        }
        if chosen.insert(own) {
            let ends = owns[own].group.ends;
            let beside = block.iter().copied().filter(|other| {
                let mut at = owns[*other].group.ends.into_iter();
                at.any(|end| ends.contains(&end))
            });
            waiting.extend(beside);
        }
    }
    chosen.into_iter().collect()
}

/// The groups by what hangs together.
fn pieces(facts: &Facts<'_>, chosen: &[usize]) -> impl Iterator<Item = Vec<usize>> {
    let owns = &facts.solution.owns;
    let groups: Vec<Group> = chosen.iter().map(|own| owns[*own].group.clone()).collect();
    let piece = facts.network.blocks(&groups).piece;
    let mut pieces: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for own in chosen {
        let [end, _] = owns[*own].group.ends;
        pieces.entry(piece[end]).or_default().push(*own);
    }
    pieces.into_values()
}

/// Lines of text in a box, from top to bottom, each with its class.
type Lines = Vec<(&'static str, String)>;

/// The height of a line of text, and the room between it and the edge of its box, in pixels.
const LINE: f64 = 15.0;
const ROOM: f64 = 7.0;
/// The room that the shape of a verdict takes before the name.
const SHAPE: f64 = 17.0;
/// The height of the bar that shows a share.
const BAR: f64 = 4.0;

fn drawing(facts: &Facts<'_>, groups: &[usize]) -> Drawing {
    let owns = &facts.solution.owns;
    let places: BTreeSet<usize> = groups
        .iter()
        .flat_map(|own| owns[*own].group.ends)
        .collect();
    let places: Vec<usize> = places.into_iter().collect();
    let number = |place: usize| places.binary_search(&place).unwrap_or_default();
    let ends: Vec<[usize; 2]> = groups
        .iter()
        .map(|own| owns[*own].group.ends.map(number))
        .collect();
    let names: Vec<String> = places
        .iter()
        .map(|place| short(&facts.network.nodes().all()[*place].name))
        .collect();
    let told: Vec<(Told, Lines)> = groups
        .iter()
        .map(|own| {
            let told = facts.told(*own);
            let lines = lines(facts, &owns[*own], &told);
            (told, lines)
        })
        .collect();
    let of_places = names
        .iter()
        .map(|name| [(text_width(name) + 2.0 * ROOM + 4.0).ceil(), LINE + ROOM]);
    let of_parts = told.iter().map(|(_, lines)| {
        let width = |(place, (_, text)): (usize, &(&str, String))| {
            text_width(text) + if place == 0 { SHAPE } else { 0.0 }
        };
        let widest = lines.iter().enumerate().map(width).fold(0.0, f64::max);
        [
            (widest + 2.0 * ROOM).ceil(),
            LINE * lines.len() as f64 + ROOM + BAR,
        ]
    });
    let sizes: Vec<[f64; 2]> = of_places.chain(of_parts).collect();
    let layout = placed(places.len(), &ends, &sizes);
    let body = html! {
        @for (part, ends) in ends.iter().enumerate() {
            @for end in ends { path.wire d=(wire(&layout, places.len() + part, *end)) {} }
        }
        @for (place, name) in names.iter().enumerate() {
            @let spot = &layout.spots[place];
            g.place {
                rect x=(spot.left) y=(spot.top()) width=(spot.size[0]) height=(spot.size[1]) rx=(spot.size[1] / 2.0) {}
                text x=(spot.left + spot.size[0] / 2.0) y=(spot.y + 4.0) text-anchor="middle" { (name) }
            }
        }
        @for (part, (told, lines)) in told.iter().enumerate() {
            (part_box(&layout.spots[places.len() + part], told, lines, share(facts, &owns[groups[part]])))
        }
    };
    let titles: Vec<&str> = told.iter().flat_map(|(_, lines)| names_of(lines)).collect();
    Drawing {
        width: layout.width,
        height: layout.height,
        label: format!("{} between {}", titles.join(" "), names.join(", ")),
        body,
    }
}

fn names_of(lines: &Lines) -> impl Iterator<Item = &str> {
    let names = lines.iter().filter(|(class, _)| *class == "name");
    names.map(|(_, text)| text.as_str())
}

/// Lines in the box of a group: all its names, its own value with its share, and the doubt.
fn lines(facts: &Facts<'_>, own: &Own, told: &Told) -> Lines {
    const LONGEST: usize = 22;
    let elements = facts.network.elements();
    let mut names: Vec<String> = Vec::new();
    for member in &own.group.members {
        let title = short(&elements[*member].title(facts.list));
        match names.last_mut() {
            Some(line) if line.chars().count() + title.chars().count() < LONGEST => {
                *line = format!("{line} {title}");
            }
            _ => names.push(title),
        }
    }
    let share =
        share(facts, own).map_or(String::new(), |share| format!(" · {:.0} %", 100.0 * share));
    let together = if facts.resistive(own).count() > 1 && own.read.is_some() {
        " together"
    } else {
        ""
    };
    let value = format!("{}{together}{share}", value(own));
    let mut lines: Lines = names.into_iter().map(|name| ("name", name)).collect();
    lines.push(("value", value));
    lines.extend(told.doubt.iter().map(|words| ("doubt", words.clone())));
    lines
}

/// The share of the current that a group carries itself; `None` where that tells nothing: it was not read, or is alone and more than one part.
fn share(facts: &Facts<'_>, own: &Own) -> Option<f64> {
    let tells = facts.resistive(own).count() == 1 || !own.block.is_empty();
    own.share.filter(|_| tells && own.read.is_some())
}

/// The own value of a group in three figures, or between what it lies.
fn value(own: &Own) -> String {
    let ohms = |value| format_value(Quantity::Resistance, value, 3);
    match own.ohms() {
        _ if own.read.is_none() => "not read".to_owned(),
        [low, high] if !high.is_finite() => format!("{} or more", ohms(low)),
        [low, high] if high - low < 0.1 * low => ohms(f64::midpoint(low, high)),
        [low, high] => format!("{} to {}", ohms(low), ohms(high)),
    }
}

fn part_box(spot: &layout::Spot, told: &Told, lines: &Lines, share: Option<f64>) -> Markup {
    let class = told.verdict.map_or("unjudged".to_owned(), class);
    let [width, height] = spot.size;
    let (left, top) = (spot.left, spot.top());
    let base = |line: usize| top + ROOM / 2.0 + 12.0 + LINE * line as f64;
    html! {
        g class={ "part " (class) } {
            @if !told.why.is_empty() { title { (shown(&told.why.join("; "))) } }
            rect.box x=(left) y=(top) width=(width) height=(height) rx="3" {}
            @if told.verdict.is_some() {
                use href={ "#m-" (class) } x=(left + ROOM) y=(base(0) - 10.5) width="12" height="12" {}
            }
            @for (line, (class, text)) in lines.iter().enumerate() {
                @let indent = if line == 0 && told.verdict.is_some() { SHAPE } else { 0.0 };
                text class=(class) x=(left + ROOM + indent) y=(base(line)) { (text) }
            }
            @if let Some(share) = share {
                @let (whole, y) = (width - 2.0 * ROOM, top + height - BAR - 2.0);
                rect.whole x=(left + ROOM) y=(y) width=(whole) height="2" {}
                rect.share x=(left + ROOM) y=(y) width=(format!("{:.1}", whole * share.clamp(0.0, 1.0))) height="2" {}
            }
        }
    }
}

/// A line from a part to one of its places: level as far as the edge of the column, so that it crosses no other box.
fn wire(layout: &Layout, part: usize, place: usize) -> String {
    let (part, place) = (&layout.spots[part], &layout.spots[place]);
    let (from, to) = if part.column < place.column {
        (part, place)
    } else {
        (place, part)
    };
    let ([_, left], [right, _]) = (layout.columns[from.column], layout.columns[to.column]);
    let middle = f64::midpoint(left, right);
    let (start, end) = (from.right(), to.left);
    let (above, below) = (from.y, to.y);
    format!("M{start} {above}H{left}C{middle} {above} {middle} {below} {right} {below}H{end}")
}

/// A name as it fits into a box.
fn short(name: &str) -> String {
    const LONGEST: usize = 26;
    let name = shown(name);
    if name.chars().count() <= LONGEST {
        return name;
    }
    let cut: String = name.chars().take(LONGEST - 1).collect();
    format!("{}…", cut.trim_end())
}

/// How wide a text is at most, in pixels: measured by no font, so that the same facts give the same bytes.
fn text_width(text: &str) -> f64 {
    let em = |sign: char| match sign {
        ' ' | '.' | ',' | ':' | ';' | '|' | 'i' | 'l' | '·' | '\'' => 0.38,
        'm' | 'w' | 'M' | 'W' | '%' | '@' | '…' | '—' => 1.05,
        '0'..='9' | 'A'..='Z' => 0.75,
        sign if sign.is_ascii() => 0.68,
        _ => 1.0,
    };
    12.0 * text.chars().map(em).sum::<f64>()
}
