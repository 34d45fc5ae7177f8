//! The head of the board: job, link and meter, and how far it is.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::Style;

use super::speech::{clock, counts};
use super::zone::put;
use super::{Look, sign};
use crate::engine::judge::Verdict;
use crate::engine::sitting::{LinkNews, Summary};
use crate::views::state::State;
use crate::views::told::Mood;

/// Draws two rows: who with whom, and how far.
pub(super) fn draw(buffer: &mut Buffer, area: Rect, state: &State, look: Look) {
    let (meter, mood) = meter(state);
    let width = wide(&meter).min(area.width * 2 / 3);
    let left = area.width - width;
    put(
        buffer,
        Rect {
            width: left.saturating_sub(1),
            ..area
        },
        0,
        &state.title,
        Look::strong(),
    );
    put(
        buffer,
        Rect {
            x: area.x + left,
            width,
            ..area
        },
        0,
        &meter,
        look.of(mood),
    );
    if area.height > 1 {
        let row = Rect {
            y: area.y + 1,
            height: 1,
            ..area
        };
        progress(buffer, row, &state.progress, look);
    }
}

/// Link and meter in a few words.
fn meter(state: &State) -> (String, Mood) {
    // Of the four fields of an identification (IEEE 488.2, from memory) maker and model; serial number and version go.
    let name = match &state.meter.identity {
        Some(identity) => identity.split(',').take(2).collect::<Vec<_>>().join(" "),
        None => state.meter.profile.clone(),
    };
    match &state.link {
        None => (format!("○ {name}, no link yet"), Mood::Quiet),
        Some(LinkNews::Lost { .. }) => ("✗ LINK LOST".to_owned(), Mood::Bad),
        Some(LinkNews::Up) if state.meter.trouble.is_some() => (format!("! {name}"), Mood::Bad),
        Some(LinkNews::Up) => (format!("● {name}"), Mood::Quiet),
    }
}

/// Advance of the sitting: count, gauge, verdicts, times. What there is no room for goes, the gauge first.
fn progress(buffer: &mut Buffer, row: Rect, progress: &Summary, look: Look) {
    let mut pieces = vec![(
        format!("{} of {}", progress.done, progress.parts),
        Look::strong(),
    )];
    let times = [
        progress.left_s.map(|left| format!("{} left", clock(left))),
        progress.mean_s.map(|mean| format!("{mean:.1} s a part")),
    ];
    let times: Vec<String> = times.into_iter().flatten().collect();
    let room = i32::from(row.width)
        - i32::from(wide(&pieces[0].0))
        - times
            .iter()
            .map(|time| i32::from(wide(time)) + 3)
            .sum::<i32>();
    let counted = counted(progress, room, look);
    pieces.extend(counted);
    pieces.extend(times.into_iter().map(|time| (time, Style::new())));
    let used: i32 = pieces
        .iter()
        .map(|(text, _)| i32::from(wide(text)) + 3)
        .sum();
    let gauge = i32::from(row.width) - used;
    if gauge >= 8 {
        pieces.insert(
            1,
            (gauge_of(progress, gauge.min(40) as usize), Look::strong()),
        );
    }
    let mut x = row.x;
    for (text, style) in pieces {
        let end = row.x + row.width;
        if x.saturating_add(wide(&text)) > end {
            return;
        }
        put(
            buffer,
            Rect {
                x,
                width: end - x,
                ..row
            },
            0,
            &text,
            style,
        );
        x = x.saturating_add(wide(&text) + 3);
    }
}

/// The counts with their words where there is room, else with their signs.
fn counted(progress: &Summary, room: i32, look: Look) -> Vec<(String, Style)> {
    let all = counts(&progress.counts);
    let with = |word: &dyn Fn(&'static str) -> &'static str| {
        all.iter()
            .map(|(count, name, mood)| (format!("{count} {}", word(name)), look.of(*mood)))
            .collect::<Vec<_>>()
    };
    let words = with(&|name| name);
    let needed: i32 = words
        .iter()
        .map(|(text, _)| i32::from(wide(text)) + 3)
        .sum();
    if needed <= room { words } else { with(&short) }
}

fn short(name: &'static str) -> &'static str {
    let verdict = Verdict::ALL
        .into_iter()
        .find(|verdict| verdict.name() == name);
    match (verdict, name) {
        (Some(verdict), _) => sign(verdict),
        (None, "skipped") => "skip",
        (None, _) => "~",
    }
}

fn gauge_of(progress: &Summary, width: usize) -> String {
    let done = (progress.done * width)
        .checked_div(progress.parts)
        .unwrap_or(0)
        .min(width);
    format!("{}{}", "█".repeat(done), "░".repeat(width - done))
}

fn wide(text: &str) -> u16 {
    u16::try_from(ratatui::text::Span::raw(text).width()).unwrap_or(u16::MAX)
}
