//! [`OrderList`]: what is to be bought and what is to be taken from the drawer.
//!
//! [`sheet`]: an order list as comma-separated values.
//!
//! [`Spares`]: how many more than needed are to be bought.
//!
//! [`Need`]: one item that one part of one job needs.

use std::fmt;
use std::str::FromStr;

use thiserror::Error;

use super::{Doubt, Item, Stock};
use crate::engine::parts::can_of;
use crate::engine::source::{cell, csv_writer};

/// Pieces to be bought.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    pub item: Item,
    /// Parts it is for, one entry for each piece.
    pub users: Vec<User>,
    /// Pieces more than needed.
    pub spares: u32,
}

/// Pieces to be taken from the drawer.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawn {
    /// The article there.
    pub item: Item,
    pub place: String,
    /// Parts it is for, one entry for each piece.
    pub users: Vec<User>,
}

/// Articles to buy, and articles to take from the drawer.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct OrderList {
    /// To be bought, by kind and value.
    pub lines: Vec<Line>,
    /// To be taken from the drawer, in the order of the stock file.
    pub drawn: Vec<Drawn>,
    /// Pieces of the right value that stay in the drawer, one for each need that they do not serve.
    pub passed_over: Vec<Doubt>,
}

impl Line {
    /// Pieces that are needed.
    pub fn needed(&self) -> u32 {
        pieces(&self.item, &self.users)
    }

    /// Pieces that are to be bought.
    pub fn to_buy(&self) -> u32 {
        self.needed().saturating_add(self.spares)
    }
}

impl Drawn {
    /// Pieces that are taken.
    pub fn taken(&self) -> u32 {
        pieces(&self.item, &self.users)
    }
}

/// Pieces that these parts need of one item: one each, but one for all sections of a can.
fn pieces(item: &Item, users: &[User]) -> u32 {
    let others = |place: usize| {
        users[..place]
            .iter()
            .any(|other| other.shares(item, &users[place]))
    };
    let count = (0..users.len()).filter(|place| !others(*place)).count();
    u32::try_from(count).unwrap_or(u32::MAX)
}

impl OrderList {
    /// The list for these needs. The drawer serves the most demanding need first, each from the piece that is least too good
    /// for it. What is left is merged: an article that does for another is bought in its place where it is not made for much more.
    pub fn of(needs: &[Need], stock: &Stock, spares: Spares) -> Self {
        let mut needs: Vec<&Need> = needs.iter().collect();
        needs.sort_by(|one, other| one.item.compare(&other.item));
        let mut list = Self::default();
        let mut left: Vec<u32> = stock.entries.iter().map(|entry| entry.count).collect();
        let mut taken: Vec<Vec<User>> = vec![Vec::new(); stock.entries.len()];
        for need in needs {
            let of_can =
                |users: &[User]| users.iter().any(|user| user.shares(&need.item, &need.user));
            if let Some(users) = taken.iter_mut().find(|users| of_can(users)) {
                users.push(need.user.clone());
                continue;
            }
            if let Some(place) = from_drawer(&need.item, stock, &left) {
                left[place] -= 1;
                taken[place].push(need.user.clone());
            } else {
                list.passed_over.extend(passed_over(need, stock, &left));
                list.buy(need);
            }
        }
        for line in &mut list.lines {
            line.users.sort();
        }
        list.add_spares(spares);
        list.drawn = stock
            .entries
            .iter()
            .zip(taken)
            .filter(|(_, users)| !users.is_empty())
            .map(|(entry, mut users)| {
                users.sort();
                Drawn {
                    item: entry.item.clone(),
                    place: entry.place.clone(),
                    users,
                }
            })
            .collect();
        list
    }

    /// Spares of so many pieces for each line, or of a share of like values together: those go to the line that is made for most.
    fn add_spares(&mut self, spares: Spares) {
        for at in 0..self.lines.len() {
            let like = |line: &Line| line.item.is_of_the_value_of(&self.lines[at].item);
            let first = self.lines.iter().position(like) == Some(at);
            let total = self
                .lines
                .iter()
                .filter(|line| like(line))
                .map(Line::needed);
            self.lines[at].spares = match spares {
                Spares::Percent(_) if !first => 0,
                Spares::Percent(_) => spares.of(total.sum()),
                Spares::Count(_) => spares.of(self.lines[at].needed()),
            };
        }
    }

    fn buy(&mut self, need: &Need) {
        let fits = |line: &&mut Line| {
            line.item.does_for(&need.item) && line.item.fits_in_place_of(&need.item)
        };
        match self.lines.iter_mut().rev().find(fits) {
            Some(line) => line.users.push(need.user.clone()),
            None => self.lines.push(Line {
                item: need.item.clone(),
                users: vec![need.user.clone()],
                spares: 0,
            }),
        }
    }
}

/// The entry that serves `asked` and is least too good for it.
fn from_drawer(asked: &Item, stock: &Stock, left: &[u32]) -> Option<usize> {
    let entries = stock.entries.iter().enumerate();
    entries
        .filter(|(place, entry)| left[*place] > 0 && entry.item.does_for(asked))
        .min_by(|(_, one), (_, other)| other.item.compare(&one.item))
        .map(|(place, _)| place)
}

/// The first entry of the value that is needed, and why it stays.
fn passed_over(need: &Need, stock: &Stock, left: &[u32]) -> Option<Doubt> {
    let mut entries = stock
        .entries
        .iter()
        .zip(left)
        .filter(|(_, left)| **left > 0);
    entries.find_map(|(entry, _)| {
        Some(Doubt {
            user: need.user.clone(),
            what: format!("{} in the drawer", entry.item),
            why: entry.item.shortfall(&need.item)?,
        })
    })
}

/// The columns of an order list, and what they hold.
pub const ORDER_COLUMNS: [(&str, &str); 6] = [
    ("article", "what, such as 47 µF 450 V electrolytic"),
    ("buy", "how many to buy, spares among them"),
    ("spares", "how many of those are spares"),
    ("take", "how many to take from the drawer"),
    ("place", "where that is"),
    ("for", "jobs and parts"),
];

/// The rows of an order list (RFC 4180), what is to be bought first.
pub fn sheet(list: &OrderList) -> Vec<u8> {
    let mut writer = csv_writer(Vec::new());
    let bought = list.lines.iter().map(|line| {
        [
            cell(&line.item.to_string()),
            line.to_buy().to_string(),
            line.spares.to_string(),
            "0".to_owned(),
            String::new(),
            cell(&User::all(&line.users)),
        ]
    });
    let drawn = list.drawn.iter().map(|drawn| {
        [
            cell(&drawn.item.to_string()),
            "0".to_owned(),
            "0".to_owned(),
            drawn.taken().to_string(),
            cell(&drawn.place),
            cell(&User::all(&drawn.users)),
        ]
    });
    let header = ORDER_COLUMNS.map(|(name, _)| name.to_owned());
    for row in std::iter::once(header).chain(bought).chain(drawn) {
        writer.write_record(row).expect("memory takes every row");
    }
    writer.into_inner().expect("memory takes every row")
}

/// Rule for the pieces that are bought of each article beyond those needed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Spares {
    /// Pieces of each article.
    Count(u32),
    /// Per cent of what is needed of like values, as [`PERCENT_RULE`] says.
    Percent(f64),
}

/// Rounding of a share of spares, to stand behind `10 % ` (common practice, no source).
pub const PERCENT_RULE: &str = "of the total of like values, rounded to the nearest piece, and at least one where more than four are used";

/// More pieces than this of a value have at least one spare.
const WITHOUT_SPARE: u32 = 4;

/// A text says no number of spares.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error(
    "found `{found}`, expected a number of spares for each article such as `1`, or per cent such as `10%`"
)]
pub struct NoSpares {
    /// As it was written.
    pub found: String,
}

impl Spares {
    /// The spares for so many needed; none where none are.
    pub fn of(self, needed: u32) -> u32 {
        match self {
            _ if needed == 0 => 0,
            Self::Count(count) => count,
            Self::Percent(percent) => {
                let share = (f64::from(needed) * percent / 100.0).round() as u32;
                share.max(u32::from(percent > 0.0 && needed > WITHOUT_SPARE))
            }
        }
    }
}

impl FromStr for Spares {
    type Err = NoSpares;

    fn from_str(text: &str) -> Result<Self, NoSpares> {
        let none = || NoSpares {
            found: text.to_owned(),
        };
        match text.trim().strip_suffix('%') {
            Some(percent) => percent
                .trim()
                .parse()
                .ok()
                .filter(|percent| (0.0..=1000.0).contains(percent))
                .map(Self::Percent)
                .ok_or_else(none),
            None => match text.trim().parse() {
                Ok(count) if count <= 1000 => Ok(Self::Count(count)),
                _ => Err(none()),
            },
        }
    }
}

/// The part of a job that an item is for.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct User {
    /// Name of the job.
    pub job: String,
    pub designator: String,
}

impl User {
    /// Whether both are sections of one can, for which that item is bought once.
    fn shares(&self, item: &Item, other: &Self) -> bool {
        let can = can_of(&self.designator);
        matches!(item, Item::Words(_))
            && can.is_some()
            && can == can_of(&other.designator)
            && self.job == other.job
            && self.designator != other.designator
    }

    /// All of them: `amplifier C1, C2; receiver C9`. A part that stands there twice gets its number: `C1 (2)`.
    pub fn all(users: &[Self]) -> String {
        let jobs = Self::by_job(users);
        let jobs = jobs.map(|(job, parts)| format!("{job} {}", parts.join(", ")));
        jobs.collect::<Vec<_>>().join("; ")
    }

    /// The jobs, each with its parts; those of a job must stand together.
    pub fn by_job(users: &[Self]) -> impl Iterator<Item = (&str, Vec<String>)> {
        let jobs = users.chunk_by(|one, other| one.job == other.job);
        jobs.map(|of_job| {
            let parts = of_job.chunk_by(|one, other| one.designator == other.designator);
            let parts = parts.map(|of_part| match of_part {
                [one] => one.designator.clone(),
                several => format!("{} ({})", several[0].designator, several.len()),
            });
            (of_job[0].job.as_str(), parts.collect())
        })
    }
}

impl fmt::Display for User {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.job, self.designator)
    }
}

/// One item that one part of one job needs. A part that is replaced by two has two needs.
#[derive(Debug, Clone, PartialEq)]
pub struct Need {
    /// Part it is for.
    pub user: User,
    /// Article that is needed.
    pub item: Item,
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::books::ordering::stock::Stocked;
    use crate::engine::parts::Article;
    use crate::engine::quantity::Drawing;

    fn item(text: &str) -> Item {
        Item::Article(Article::parse(text, Drawing::default()).unwrap())
    }

    fn need(job: &str, designator: &str, text: &str) -> Need {
        Need {
            user: User {
                job: job.to_owned(),
                designator: designator.to_owned(),
            },
            item: item(text),
        }
    }

    fn stock(entries: &[(&str, u32, &str)]) -> Stock {
        let entries = entries.iter().map(|(text, count, place)| Stocked {
            item: item(text),
            count: *count,
            place: (*place).to_owned(),
        });
        Stock {
            entries: entries.collect(),
            ..Stock::default()
        }
    }

    /// The lines as text: count, article, what for.
    fn lines(list: &OrderList) -> Vec<String> {
        let users = |users: &[User]| {
            let users: Vec<String> = users.iter().map(ToString::to_string).collect();
            users.join(", ")
        };
        let bought = list
            .lines
            .iter()
            .map(|line| format!("{} x {}: {}", line.to_buy(), line.item, users(&line.users)));
        let drawn = list
            .drawn
            .iter()
            .map(|drawn| format!("{}: {}: {}", drawn.place, drawn.item, users(&drawn.users)));
        bought.chain(drawn).collect()
    }

    #[test]
    fn parts_of_several_jobs_are_merged_and_spares_added() {
        let needs = [
            need("amplifier", "C1", "47uF 450V electrolytic"),
            need("amplifier", "R3", "220k 1/2W film"),
            need("receiver", "C9", "47uF 450V electrolytic"),
        ];
        let list = OrderList::of(&needs, &Stock::default(), Spares::Count(1));
        assert_eq!(
            lines(&list),
            [
                "2 x 220 kΩ 0.5 W film: amplifier R3",
                "3 x 47 µF 450 V electrolytic: amplifier C1, receiver C9",
            ]
        );
    }

    #[test]
    fn a_little_more_voltage_is_bought_in_place_and_much_more_is_not() {
        let needs = [
            need("amplifier", "C1", "47uF 350V electrolytic"),
            need("amplifier", "C2", "47uF 450V electrolytic"),
            need("amplifier", "C3", "47uF 25V electrolytic"),
        ];
        let list = OrderList::of(&needs, &Stock::default(), Spares::Count(0));
        assert_eq!(
            lines(&list),
            [
                "2 x 47 µF 450 V electrolytic: amplifier C1, amplifier C2",
                "1 x 47 µF 25 V electrolytic: amplifier C3",
            ]
        );
    }

    #[test]
    fn the_drawer_serves_each_from_what_is_least_too_good() {
        let needs = [
            need("amplifier", "C1", "47nF 400V film"),
            need("amplifier", "C2", "47nF 630V film"),
            need("amplifier", "C3", "47nF 630V film"),
        ];
        let drawer = stock(&[
            ("47nF 630V film", 1, "drawer 3"),
            ("47nF 400V film", 5, "drawer 2"),
        ]);
        let list = OrderList::of(&needs, &drawer, Spares::Percent(10.0));
        assert_eq!(
            lines(&list),
            [
                "1 x 47 nF 630 V film: amplifier C3",
                "drawer 3: 47 nF 630 V film: amplifier C2",
                "drawer 2: 47 nF 400 V film: amplifier C1",
            ]
        );
    }

    #[test]
    fn spares_are_a_number_or_a_share_of_like_values() {
        assert_eq!("2".parse::<Spares>().unwrap().of(5), 2);
        assert_eq!("10%".parse::<Spares>().unwrap().of(5), 1);
        assert_eq!("10 %".parse::<Spares>().unwrap().of(20), 2);
        let share = |needed| "10%".parse::<Spares>().unwrap().of(needed);
        assert_eq!([0, 1, 4, 5, 14, 15, 31].map(share), [0, 0, 0, 1, 1, 2, 3]);
        assert_eq!("0%".parse::<Spares>().unwrap().of(9), 0);
        for text in ["", "-1", "few", "1.5", "-5%", "NaN%"] {
            assert!(text.parse::<Spares>().is_err(), "{text}");
        }
    }

    #[test]
    fn single_parts_get_no_spare_and_like_values_share_theirs() {
        let needs: Vec<Need> = (1..=3)
            .map(|n| need("amplifier", &format!("C{n}"), "47nF 400V film"))
            .chain((4..=5).map(|n| need("amplifier", &format!("C{n}"), "47nF 1000V film")))
            .chain([need("amplifier", "R1", "220k 1/2W film")])
            .collect();
        let list = OrderList::of(&needs, &Stock::default(), Spares::Percent(10.0));
        let spares: Vec<u32> = list.lines.iter().map(|line| line.spares).collect();
        assert_eq!(
            (spares.len(), spares.iter().sum::<u32>()),
            (3, 1),
            "{list:?}"
        );
        let spare = list.lines.iter().find(|line| line.spares > 0).unwrap();
        assert_eq!(spare.users[0].designator, "C4", "{list:?}");
    }

    #[test]
    fn users_are_told_by_job() {
        let user = |job: &str, designator: &str| User {
            job: job.to_owned(),
            designator: designator.to_owned(),
        };
        let users = [
            user("amplifier", "C1"),
            user("amplifier", "C1"),
            user("amplifier", "R3"),
            user("receiver", "C9"),
        ];
        assert_eq!(User::all(&users), "amplifier C1 (2), R3; receiver C9");
    }
}
