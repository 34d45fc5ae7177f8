//! [`OnSale`]: what the files of a job say about substitutes for its parts.

use anyhow::Result;

use crate::books::job::Folder;
use crate::books::ledger::Book;
use crate::books::ordering::Item;
use crate::books::substitute::{CannotSubstitute, Goods, Want, substitutes};
use crate::engine::judge::Policy;
use crate::engine::judge::safety::Places;
use crate::engine::parts::{Article, Part};

/// The policy of a job and the goods that are on sale for it.
pub(crate) struct OnSale {
    policy: Policy,
    /// What is on sale.
    pub(crate) goods: Goods,
}

impl OnSale {
    /// Reads `policy.toml` and `goods.toml` of the job, or takes those that come with the program.
    ///
    /// # Errors
    /// If one is there and cannot be used.
    pub(crate) fn open(folder: &Folder) -> Result<Self> {
        let policy = Policy::of_job(&folder.read_policy()?)?;
        let goods = Goods::parse(&folder.read_goods()?)?;
        Ok(Self { policy, goods })
    }

    /// What is wanted in place of a part.
    ///
    /// # Errors
    /// If the list does not say enough about it.
    pub(crate) fn want(&self, part: &Part, book: &Book) -> Result<Want, CannotSubstitute> {
        let (list, settings) = (&book.list.parts, &book.settings);
        let places = Places::of(list, settings.mains, settings.chassis);
        Want::of_part(part, list, &self.policy, &places)
    }

    /// The articles of the best substitute for a part, or why there is none.
    ///
    /// # Errors
    /// The reason, in words.
    pub(crate) fn best(&self, part: &Part, book: &Book) -> Result<Vec<Article>, String> {
        let want = self.want(part, book).map_err(|error| error.to_string())?;
        let answer = substitutes(&want, &self.goods, 1);
        let best = answer.choices.into_iter().next();
        best.map(|best| best.articles)
            .ok_or_else(|| answer.warnings.join("; "))
    }

    /// Why `items` may not be bought for a part: at the mains nothing goes in that has not the class its place needs, and
    /// nothing is bought for a place that is not known. `None` if they may.
    pub(crate) fn bars(&self, part: &Part, book: &Book, items: &[Item]) -> Option<String> {
        let at = match self.want(part, book) {
            Ok(want) => want.at_mains.filter(|at| at.place.is_some())?,
            Err(CannotSubstitute::NotByValue { .. }) => return None,
            Err(unknown) => return Some(unknown.to_string()),
        };
        match items {
            [Item::Article(article)] => {
                let why = at.bars(&article.rating)?;
                Some(format!("{article} may not go in there: {why}"))
            }
            _ => Some("at the mains one part of the right class goes in, not several".to_owned()),
        }
    }

    /// What speaks against putting `items` in place of a part. Of a pair it is not looked for, since each takes a share only.
    pub(crate) fn lacks(&self, part: &Part, book: &Book, items: &[Item]) -> Vec<String> {
        let [Item::Article(article)] = items else {
            return Vec::new();
        };
        match self.want(part, book) {
            Ok(want) => want.lacks(article),
            Err(CannotSubstitute::NotByValue { .. }) => Vec::new(),
            Err(unknown) => vec![unknown.to_string()],
        }
    }
}
