//! Articles to buy for the parts of several jobs: merged, less what lies in the drawer, with spares.
//!
//! Pure: takes needs and the text of a stock file, opens none.

mod item;
mod order_list;
mod stock;

pub use item::{Doubt, Item, OnOrder, Unknown, Wanted};
pub use order_list::{
    Drawn, Line, Need, ORDER_COLUMNS, OrderList, PERCENT_RULE, Spares, User, sheet,
};
pub use stock::{STOCK_COLUMNS, Stock};
