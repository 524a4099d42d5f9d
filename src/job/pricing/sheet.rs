//! The lines of a quote and their sums.

use std::collections::BTreeMap;

use rust_decimal::Decimal;

use super::business::{Business, TaxOn};
use super::decimal::rounded;
use super::prices::{PriceList, PriceRow, item_key};
use input::{Diagnostic, MAX_LISTED, nearest, quoted};
use plan::{Device, DeviceKind, Plan};

/// Devices of one sort.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Wanted {
    /// What the price list may call them, the best name first.
    pub items: Vec<String>,
    /// Their names.
    pub names: Vec<String>,
}

/// A line of a quote.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// What the item is called in plan and price list, the best name first; empty for labour.
    pub items: Vec<String>,
    /// What the price list says that the customer reads.
    pub description: Option<String>,
    /// How many; of labour the hours.
    pub quantity: Decimal,
    /// Its price, if there is a price list.
    pub price: Option<Amount>,
}

/// The price of a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Amount {
    /// Price of one, without tax.
    pub unit: Decimal,
    /// Price of the line, without tax, rounded.
    pub amount: Decimal,
    /// Tax on the line, rounded, where it is worked out line by line.
    pub tax: Option<Decimal>,
}

/// The sums of a quote.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Sums {
    /// All lines.
    pub subtotal: Decimal,
    /// The tax.
    pub tax: Decimal,
    /// Both.
    pub total: Decimal,
}

/// The lines of a quote, and their sums where there are prices.
#[derive(Debug, Clone, PartialEq)]
pub struct Sheet {
    /// The lines.
    pub lines: Vec<Line>,
    /// The sums.
    pub sums: Option<Sums>,
}

/// What a price list may call a device: the sort that the plan gives it; else its kind and role,
/// and its kind alone.
#[must_use]
pub fn item_of(device: &Device) -> Vec<String> {
    let kind = device.kind.word().to_owned();
    match (&device.device, &device.role) {
        (Some(sort), _) => vec![item_key(sort)],
        (None, Some(role)) => vec![item_key(&format!("{kind} {role}")), kind],
        (None, None) => vec![kind],
    }
}

/// The devices of a plan by sort: panels, keypads, sirens, sensors, repeaters; sensors in the order
/// in which the plan has the first of each sort.
#[must_use]
pub fn wanted(plan: &Plan) -> Vec<Wanted> {
    let order = [
        DeviceKind::Panel,
        DeviceKind::Keypad,
        DeviceKind::Siren,
        DeviceKind::Sensor,
        DeviceKind::Repeater,
    ];
    let mut all: Vec<Wanted> = Vec::new();
    let mut places = BTreeMap::new();
    for kind in order {
        for device in plan.devices.iter().filter(|device| device.kind == kind) {
            let items = item_of(device);
            let place = *places.entry(items.clone()).or_insert(all.len());
            if place == all.len() {
                all.push(Wanted { items, names: Vec::new() });
            }
            all[place].names.push(device.name.clone());
        }
    }
    all
}

/// The lines without prices, to be filled in by hand.
#[must_use]
pub fn unpriced(wanted: &[Wanted]) -> Sheet {
    let lines = wanted.iter().map(|wanted| Line {
        items: wanted.items.clone(),
        description: None,
        quantity: Decimal::from(wanted.names.len()),
        price: None,
    });
    Sheet { lines: lines.collect(), sums: None }
}

/// The lines with their prices, those of the list with a quantity of their own (more of an item at
/// the same price is one line), labour, and the sums.
///
/// # Errors
/// A fault for every sort of device that the list has no price for; one if the sums are beyond all
/// measure.
pub fn priced(
    wanted: &[Wanted],
    list: &PriceList,
    business: &Business,
) -> Result<Sheet, Vec<Diagnostic>> {
    let mut faults = Vec::new();
    let mut more = 0;
    let mut rows: Vec<(Vec<String>, &PriceRow, Decimal)> = Vec::new();
    for wanted in wanted {
        let mut tried = wanted.items.iter();
        let rows_for = || list.rows.iter().filter(|row| row.quantity.is_none());
        match tried.find_map(|item| rows_for().find(|row| row.item == *item)) {
            Some(row) => {
                rows.push((wanted.items.clone(), row, Decimal::from(wanted.names.len())));
            }
            None if faults.len() < MAX_LISTED => faults.push(missing(wanted, list)),
            None => more += 1,
        }
    }
    if more > 0 {
        let what = format!("and {more} more items that have no price");
        faults.push(Diagnostic::at(&list.file, (0, 0), what, "add a row for each of them"));
    }
    if !faults.is_empty() {
        return Err(faults);
    }
    for row in &list.rows {
        if let Some(quantity) = row.quantity {
            // More of what the plan has, at the same price, is one line with it.
            let known = rows.iter_mut().find(|(items, other, _)| {
                items.first() == Some(&row.item)
                    && (other.unit_price, other.hours) == (row.unit_price, row.hours)
            });
            match known {
                Some((.., count)) => *count = count.checked_add(quantity).unwrap_or(Decimal::MAX),
                None => rows.push((vec![row.item.clone()], row, quantity)),
            }
        }
    }
    added_up(&rows, business).ok_or_else(|| {
        let what = "the sum of the quote is too large";
        vec![Diagnostic::at(&list.file, (0, 0), what, "check prices and quantities")]
    })
}

/// Works out every line and the sums; `None` where a number is beyond 28 digits.
fn added_up(rows: &[(Vec<String>, &PriceRow, Decimal)], business: &Business) -> Option<Sheet> {
    let places = business.currency.decimals;
    let tax_of = |amount: Decimal| {
        let tax = amount.checked_mul(business.tax.rate)?;
        Some(rounded(tax.checked_div(Decimal::ONE_HUNDRED)?, places))
    };
    let price = |unit: Decimal, quantity: Decimal| {
        let amount = rounded(unit.checked_mul(quantity)?, places);
        let tax = match business.tax.on {
            TaxOn::Total => None,
            TaxOn::Lines => Some(tax_of(amount)?),
        };
        Some(Amount { unit, amount, tax })
    };
    let mut hours = Decimal::ZERO;
    let mut lines = Vec::with_capacity(rows.len() + 1);
    for (items, row, quantity) in rows {
        hours = hours.checked_add(row.hours.checked_mul(*quantity)?)?;
        lines.push(Line {
            items: items.clone(),
            description: row.description.clone(),
            quantity: *quantity,
            price: Some(price(row.unit_price, *quantity)?),
        });
    }
    if !hours.is_zero() {
        lines.push(Line {
            items: Vec::new(),
            description: None,
            quantity: hours,
            price: Some(price(business.hourly_rate, hours)?),
        });
    }
    let (mut subtotal, mut line_taxes) =
        (rounded(Decimal::ZERO, places), rounded(Decimal::ZERO, places));
    for amount in lines.iter().filter_map(|line| line.price) {
        subtotal = subtotal.checked_add(amount.amount)?;
        line_taxes = line_taxes.checked_add(amount.tax.unwrap_or_default())?;
    }
    let tax = match business.tax.on {
        TaxOn::Total => tax_of(subtotal)?,
        TaxOn::Lines => line_taxes,
    };
    let sums = Sums { subtotal, tax, total: subtotal.checked_add(tax)? };
    Some(Sheet { lines, sums: Some(sums) })
}

/// The fault for devices without a price.
fn missing(wanted: &Wanted, list: &PriceList) -> Diagnostic {
    const MOST: usize = 3;
    let item = wanted.items.first().map_or("", String::as_str);
    let names: Vec<String> = wanted.names.iter().take(MOST).map(|name| quoted(name)).collect();
    let more = match wanted.names.len().saturating_sub(MOST) {
        0 => String::new(),
        more => format!(" and {more} more"),
    };
    let known = list.rows.iter().filter(|row| row.quantity.is_none());
    let near = nearest(item, known.map(|row| row.item.as_str()).collect::<Vec<_>>());
    let near =
        near.map_or_else(String::new, |near| format!("is {} meant for it? else ", quoted(near)));
    // A row with a quantity is a line of its own, whatever the plan has.
    let extra = list.rows.iter().find(|row| row.item == item);
    let extra = extra.map_or_else(String::new, |row| {
        let line = row.line;
        format!("line {line} has a quantity, so it is charged by itself; ")
    });
    let or = match wanted.items.get(1) {
        Some(other) => format!(" (or for {})", quoted(other)),
        None => String::new(),
    };
    Diagnostic::at(
        &list.file,
        (0, 0),
        format!(
            "the price list has no item {}{or}, of which the plan has {}: {}{more}",
            quoted(item),
            wanted.names.len(),
            names.join(", ")
        ),
        format!("{extra}{near}add a row with item, unit price and hours"),
    )
}
