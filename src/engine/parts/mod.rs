//! The parts list: kinds, ratings, materials, roles; reading it and checking it.
//!
//! Pure: takes the text of a file, opens none.

mod article;
mod cells;
mod choice;
mod conduction;
mod damage;
mod default_tolerance;
mod header;
mod kind;
mod law;
mod list;
mod material;
mod optional_cell;
mod part;
mod partners;
mod row;
mod selection;
mod sheet;
mod step;

use header::Header;
use row::Row;

pub use article::{Article, ArticleError};
pub use choice::Choice;
pub use conduction::default_limit;
pub use default_tolerance::default_tolerance;
pub use kind::Kind;
pub use law::Law;
pub use list::{ListSettings, PartsList, read};
pub use material::Material;
pub use part::{Part, ToleranceOrigin};
pub use partners::Partners;
pub use selection::{Selection, SelectionError};
pub use sheet::Sheet;
pub use step::Step;
