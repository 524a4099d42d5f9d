//! What a job costs: who offers it, at what prices, and the sums.
//!
//! # Arithmetic
//! All amounts are exact decimal numbers; none goes through a binary fraction. A line is quantity ×
//! unit price, rounded to the smallest unit of the currency, half a unit away from zero (commercial
//! rounding). The subtotal is the sum of the rounded lines. The tax is a percentage of the
//! subtotal, rounded once, or of each rounded line, rounded line by line and then added up, as the
//! business file says. The total is subtotal and tax. Hours of all lines are added up exactly and
//! make one line at the hourly rate.

mod business;
mod currency;
mod decimal;
mod logo;
mod prices;
mod sheet;

pub use business::{Business, Tax, TaxOn, business_of, read_business};
pub use currency::{Currency, currency};
pub use logo::Image;
pub use prices::{PriceList, PriceRow, prices_of, read_prices};
pub use sheet::{Amount, Line, Sheet, Sums, Wanted, item_of, priced, unpriced, wanted};

/// Largest business file or price list that is read, bytes (our own choice).
pub const MAX_TEXT_BYTES: usize = 1 << 20;

/// Largest logo that is read, bytes (our own choice).
pub const MAX_LOGO_BYTES: usize = 4 << 20;

/// How to fix a business file or price list that is too large.
const SMALLER: &str = "check that it is the right file, or make it smaller";
