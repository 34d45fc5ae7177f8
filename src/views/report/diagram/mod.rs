//! [`Diagram`]: the loops of a network that were read, as drawings for the report and as one SVG file, which the page shows too.
//!
//! Pure: the same facts give the same bytes. A part is a box between two places, with its own value, its share of the current, and what is
//! doubtful about it in words; parts side by side are one box. Colours only repeat what words and outlines say.

mod layout;

use std::collections::BTreeSet;

use maud::{Markup, PreEscaped, html};

use super::html::{class, shapes, shown};
use crate::engine::judge::{LoopGroup, Loops, Verdict};
use crate::engine::quantity::{Quantity, format_value};
use layout::{Layout, placed};

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

impl Diagram {
    /// Drawings of those loops.
    pub fn of(loops: &Loops) -> Self {
        Self {
            drawings: loops.pieces.iter().map(|one| drawing(one)).collect(),
            left_out: loops.left_out,
        }
    }

    /// All of it as one SVG file in the light of paper, with `title` above it and the meaning of the per cent below.
    pub fn file(&self, title: &str) -> String {
        let title = format!("{}, read in circuit", shown(title));
        let remark = self.shows_a_part().map(|words| format!(" {words}"));
        let foot = format!("{SHARES}{}", remark.unwrap_or_default());
        self.svg(Some([&title, &foot]), &style_of_file())
    }

    /// The drawings alone, light or dark as the page is that shows them.
    pub fn for_browser(&self) -> String {
        let lights = ":root { color-scheme: light dark; }\n";
        self.svg(None, &format!("{PALETTE}{lights}{RULES}"))
    }

    fn svg(&self, words: Option<[&str; 2]>, style: &str) -> String {
        const WIDEST: f64 = 1200.0;
        const GAP: f64 = 40.0;
        let edge = if words.is_some() { GAP } else { 2.0 };
        let widths = words.iter().flatten().map(|words| text_width(words));
        let mut width = widths.fold(0.0, f64::max) + edge;
        let first = edge + words.map_or(0.0, |_| GAP);
        let (mut left, mut top, mut lowest) = (edge, first, first);
        let mut places = Vec::new();
        for one in &self.drawings {
            if left > edge && left + one.width > WIDEST {
                left = edge;
                top = lowest + GAP;
            }
            places.push([left, top]);
            lowest = f64::max(lowest, top + one.height);
            width = f64::max(width, left + one.width);
            left += one.width + GAP;
        }
        let (width, height) = (width + edge, lowest + edge + words.map_or(0.0, |_| GAP));
        html! {
            svg.diagram xmlns="http://www.w3.org/2000/svg" width=(width) height=(height) viewBox={ "0 0 " (width) " " (height) } {
                @if let Some([title, _]) = words { title { (title) } }
                style { (PreEscaped(style)) }
                @if words.is_some() { rect.ground width="100%" height="100%" {} }
                (shapes())
                @for (one, [x, y]) in self.drawings.iter().zip(places) {
                    svg x=(x) y=(y) width=(one.width) height=(one.height) { (one.body) }
                }
                @if let Some([title, foot]) = words {
                    text.name x=(edge) y=(edge) { (title) }
                    text x=(edge) y=(lowest + GAP) { (foot) }
                }
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

const PALETTE: &str = include_str!("../palette.css");
const RULES: &str = concat!(
    include_str!("../marks.css"),
    include_str!("diagram.css"),
    ".ground { fill: var(--paper); }\n"
);

/// The style of a file of its own: programs that show pictures know no names for colours.
fn style_of_file() -> String {
    let light = PALETTE.split('}').next().unwrap_or_default();
    let named = light.lines().filter_map(|line| {
        let (name, value) = line.trim().strip_suffix(';')?.split_once(": ")?;
        Some((format!("var({name})"), value))
    });
    named.fold(RULES.to_owned(), |rules, (name, value)| {
        rules.replace(&name, value)
    })
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

fn drawing(groups: &[LoopGroup]) -> Drawing {
    let places: BTreeSet<&str> = groups
        .iter()
        .flat_map(|group| group.ends.iter().map(String::as_str))
        .collect();
    let places: Vec<&str> = places.into_iter().collect();
    let number = |place: &String| places.binary_search(&place.as_str()).unwrap_or_default();
    let ends = groups.iter().map(|group| group.ends.each_ref().map(number));
    let ends: Vec<[usize; 2]> = ends.collect();
    let names: Vec<String> = places.iter().map(|place| short(place)).collect();
    let lines: Vec<Lines> = groups.iter().map(lines).collect();
    let of_places = names
        .iter()
        .map(|name| [(text_width(name) + 2.0 * ROOM + 4.0).ceil(), LINE + ROOM]);
    let of_parts = lines.iter().map(|lines| {
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
        @for (part, (group, lines)) in groups.iter().zip(&lines).enumerate() {
            (part_box(&layout.spots[places.len() + part], group, lines))
        }
    };
    let titles: Vec<&str> = lines.iter().flat_map(names_of).collect();
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
fn lines(group: &LoopGroup) -> Lines {
    const LONGEST: usize = 22;
    let mut names: Vec<String> = Vec::new();
    for title in &group.parts {
        let title = short(title);
        match names.last_mut() {
            Some(line) if line.chars().count() + title.chars().count() < LONGEST => {
                *line = format!("{line} {title}");
            }
            _ => names.push(title),
        }
    }
    let share = group.share;
    let share = share.map_or(String::new(), |share| format!(" · {:.0} %", 100.0 * share));
    let together = if group.together { " together" } else { "" };
    let value = format!("{}{together}{share}", value(group));
    let mut lines: Lines = names.into_iter().map(|name| ("name", name)).collect();
    lines.push(("value", value));
    lines.extend(doubt(group).map(|words| ("doubt", words)));
    lines
}

/// The own value of a group in three figures, or between what it lies.
fn value(group: &LoopGroup) -> String {
    let ohms = |value| format_value(Quantity::Resistance, value, 3);
    match (group.lower_ohm, group.upper_ohm) {
        (None, _) => "not read".to_owned(),
        (Some(low), None) => format!("{} or more", ohms(low)),
        (Some(low), Some(high)) if high - low < 0.1 * low => ohms(f64::midpoint(low, high)),
        (Some(low), Some(high)) => format!("{} to {}", ohms(low), ohms(high)),
    }
}

/// Doubt about a group, in a few words, and the lead to lift.
fn doubt(group: &LoopGroup) -> Option<String> {
    let lift = group.lift.as_ref().map(|part| {
        let is_alone = group.parts.len() == 1 && group.parts[0] == *part;
        if is_alone {
            "lift a lead".to_owned()
        } else {
            format!("lift a lead of {}", short(part))
        }
    });
    match group.verdict? {
        Verdict::Fail => Some("fails".to_owned()),
        Verdict::ConditionalFail => Some("may fail".to_owned()),
        Verdict::Inconclusive if group.lower_ohm.is_none() => None,
        Verdict::Inconclusive if group.suspect => {
            let lift = lift.map_or(String::new(), |lift| format!(": {lift}"));
            Some(format!("suspect{lift}"))
        }
        Verdict::Inconclusive => Some(lift.unwrap_or_else(|| "not known".to_owned())),
        Verdict::Pass | Verdict::ConditionalPass => None,
    }
}

fn part_box(spot: &layout::Spot, group: &LoopGroup, lines: &Lines) -> Markup {
    let class = group.verdict.map_or("unjudged".to_owned(), class);
    let [width, height] = spot.size;
    let (left, top) = (spot.left, spot.top());
    let base = |line: usize| top + ROOM / 2.0 + 12.0 + LINE * line as f64;
    html! {
        g class={ "part " (class) } {
            @if !group.reasons.is_empty() { title { (shown(&group.reasons.join("; "))) } }
            rect.box x=(left) y=(top) width=(width) height=(height) rx="3" {}
            @if group.verdict.is_some() {
                use href={ "#m-" (class) } x=(left + ROOM) y=(base(0) - 10.5) width="12" height="12" {}
            }
            @for (line, (class, text)) in lines.iter().enumerate() {
                @let indent = if line == 0 && group.verdict.is_some() { SHAPE } else { 0.0 };
                text class=(class) x=(left + ROOM + indent) y=(base(line)) { (text) }
            }
            @if let Some(share) = group.share {
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
