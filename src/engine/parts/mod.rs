//! The parts list: kinds, ratings, materials, roles; reading it and checking it.
//!
//! Pure: takes the text of a file, opens none.

mod article;
mod cells;
mod choice;
mod conduction;
mod damage;
mod decimal_mark;
mod default_tolerance;
mod encoding;
mod header;
mod kind;
mod largest;
mod law;
mod limits;
mod lines;
mod list;
mod list_error;
mod list_remark;
mod load;
mod material;
mod optional_cell;
mod part;
mod partners;
mod row;
mod selection;
mod separator;
mod sheet;
mod step;

pub(crate) use encoding::decode;
use header::Header;
pub(crate) use lines::{Lines, unclosed_quote};
pub(crate) use list::{is_remark, records};
use row::Row;
pub(crate) use separator::first_line;

pub use article::{Article, ArticleError};
pub use choice::{Choice, UnknownChoice};
pub use conduction::default_limit;
pub use decimal_mark::DecimalMark;
pub use default_tolerance::default_tolerance;
pub use encoding::TextEncoding;
pub use kind::Kind;
pub use law::Law;
pub use list::{ListSettings, PartsList, read};
pub use list_error::{ListError, ListErrors, Problem};
pub use list_remark::ListRemark;
pub use material::Material;
pub use part::{Part, ToleranceOrigin};
pub use partners::Partners;
pub use selection::{Selection, SelectionError};
pub use separator::Separator;
pub use sheet::Sheet;
pub use step::Step;
