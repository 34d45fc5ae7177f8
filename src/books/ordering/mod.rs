//! What is to be bought for the parts of several jobs: merged, less what lies in the drawer, with spares.
//!
//! Pure: takes needs and the text of a stock file, opens none.

mod does_for;
mod item;
mod need;
mod order_list;
mod sheet;
mod spares;
mod stock;
mod wanted;

pub use item::Item;
pub use need::{Need, User};
pub use order_list::{Line, OrderList};
pub use sheet::{ORDER_COLUMNS, sheet};
pub use spares::Spares;
pub use stock::{STOCK_COLUMNS, Stock};
pub use wanted::{Doubt, OnOrder, Unknown, Wanted};
