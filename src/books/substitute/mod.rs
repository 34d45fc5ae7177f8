//! Substitutes for a part: preferred values, voltage, power, safety class, materials, and pairs in series or in parallel.
//!
//! Pure: opens no file, no port, no clock, and never looks at a measurement. What is on sale is a table, [`Goods`], that a job
//! may have of its own. What safety asks is never undercut: rather no answer than one that does not do, and then the reason.
//!
//! ```
//! use probewright::face::engine::parts::Article;
//! use probewright::face::engine::quantity::Drawing;
//! use probewright::face::books::substitute::{Goods, Want, substitutes};
//!
//! let article = Article::parse("32uF 450V electrolytic", Drawing::default())?;
//! let answer = substitutes(&Want::of_article(&article), &Goods::default(), 3);
//! assert!(answer.choices[0].to_string().starts_with("33 µF 450 V"));
//! # Ok::<(), probewright::face::engine::parts::ArticleError>(())
//! ```

mod answer;
mod arrangement;
mod at_mains;
mod candidate;
mod goods;
mod need;
mod search;
mod want;

pub use answer::{Answer, Substitute};
pub use arrangement::{Arrangement, Combination, Share};
pub use at_mains::AtMains;
pub use goods::Goods;
pub use search::{nearest_pairs, substitutes};
pub use want::{CannotSubstitute, Want};
