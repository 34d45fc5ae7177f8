//! The parts list: kinds, ratings, materials, roles; reading it and checking it.
//!
//! Pure: takes the text of a file, opens none.

mod article;
mod cans;
mod cells;
mod conduction;
mod defaults;
mod header;
mod kind;
mod list;
mod optional_cell;
mod part;
mod row;
mod sections;
mod selection;
mod step;
mod title;
mod wording;

use header::Header;
use row::Row;

pub use article::{Article, ArticleError};
pub use cans::split_cans;
pub use conduction::{limit_by_rating, unfit_fuse};
pub use defaults::default_tolerance;
pub use header::columns;
pub use kind::{Kind, Law, Material};
pub use list::{ListSettings, PartsList, read};
pub use optional_cell::Sheet;
pub use part::{Choice, Part, Partners, ToleranceOrigin};
pub use sections::{Can, can_of};
pub use selection::{Selection, SelectionError, by_group, is_at};
pub use step::Step;
pub use title::Title;
pub use wording::{Known, Wording, WordingError};
