//! [`OrderList`]: what is to be bought and what is to be taken from the drawer.

use super::{Item, Need, Spares, Stock, User};

/// Pieces to be bought.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// What.
    pub item: Item,
    /// What it is for, one entry for each piece.
    pub users: Vec<User>,
    /// How many more than needed.
    pub spares: u32,
}

/// Pieces to be taken from the drawer.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawn {
    /// What lies there.
    pub item: Item,
    /// Where.
    pub place: String,
    /// What it is for, one entry for each piece.
    pub users: Vec<User>,
}

/// What is to be bought and what is to be taken from the drawer.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct OrderList {
    /// To be bought, by kind and value.
    pub lines: Vec<Line>,
    /// To be taken from the drawer, in the order of the stock file.
    pub drawn: Vec<Drawn>,
}

impl Line {
    /// How many are needed.
    pub fn needed(&self) -> u32 {
        u32::try_from(self.users.len()).unwrap_or(u32::MAX)
    }

    /// How many are to be bought.
    pub fn to_buy(&self) -> u32 {
        self.needed().saturating_add(self.spares)
    }
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
            match from_drawer(&need.item, stock, &left) {
                Some(place) => {
                    left[place] -= 1;
                    taken[place].push(need.user.clone());
                }
                None => list.buy(need),
            }
        }
        for line in &mut list.lines {
            line.users.sort();
            line.spares = spares.of(line.needed());
        }
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
                "2 x 47 nF 630 V film: amplifier C3",
                "drawer 3: 47 nF 630 V film: amplifier C2",
                "drawer 2: 47 nF 400 V film: amplifier C1",
            ]
        );
    }
}
