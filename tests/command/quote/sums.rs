//! Prices against sums worked out by hand.

use drillonce::job::pricing::{
    Amount, Business, Sheet, priced, read_business, read_prices, unpriced, wanted,
};
use drillonce::plan::{Device, DeviceKind, Plan};

use super::folder;

fn device(kind: DeviceKind, sort: Option<&str>, role: Option<&str>) -> Device {
    Device {
        device: sort.map(str::to_owned),
        role: role.map(str::to_owned),
        name: "one".to_owned(),
        ..Device::bare(kind, 0)
    }
}

fn plan(devices: &[(DeviceKind, Option<&str>, Option<&str>)]) -> Plan {
    let devices = devices.iter();
    Plan {
        devices: devices.map(|(kind, sort, role)| device(*kind, *sort, *role)).collect(),
        ..Plan::default()
    }
}

/// A business with this currency, tax rate and base, and hourly rate.
fn business(currency: &str, rate: &str, on: &str, hourly: &str) -> Business {
    let text = format!(
        "name = \"N\"\naddress = \"A\"\ncurrency = \"{currency}\"\nvalidity_days = 30\n\
         hourly_rate = {hourly}\n[tax]\nname = \"T\"\nrate = {rate}\non = \"{on}\"\n"
    );
    let folder = folder(&[("b.toml", text.as_bytes())]);
    read_business(&folder.path().join("b.toml")).unwrap()
}

fn sheet(plan: &Plan, prices: &str, business: &Business) -> Sheet {
    let folder = folder(&[("p.csv", prices.as_bytes())]);
    let list = read_prices(&folder.path().join("p.csv")).unwrap();
    priced(&wanted(plan), &list, business).unwrap()
}

/// Subtotal, tax and total as text.
fn sums(sheet: &Sheet) -> [String; 3] {
    let sums = sheet.sums.unwrap();
    [sums.subtotal, sums.tax, sums.total].map(|value| value.to_string())
}

fn amounts(sheet: &Sheet) -> Vec<String> {
    let prices = sheet.lines.iter().filter_map(|line| line.price);
    prices.map(|Amount { amount, .. }| amount.to_string()).collect()
}

const SENSORS: [(DeviceKind, Option<&str>, Option<&str>); 5] = [
    (DeviceKind::Panel, None, None),
    (DeviceKind::Sensor, Some("contact"), Some("perimeter")),
    (DeviceKind::Sensor, Some("smoke"), Some("fire")),
    (DeviceKind::Sensor, Some("contact"), Some("entry-exit")),
    (DeviceKind::Sensor, Some("contact"), None),
];

#[test]
fn a_whole_sheet_by_hand() {
    // 1 × 200.00 = 200.00; 3 × 31.95 = 95.85; 1 × 61.805 = 61.805, rounded 61.81 (half a cent up);
    // extra 38 × 0.655 = 24.89. Hours 1.5 + 3 × 0.2 + 0.25 = 2.35; × 68 = 159.80.
    // Subtotal 200.00 + 95.85 + 61.81 + 24.89 + 159.80 = 542.35. Tax 8.25 % = 44.743875 → 44.74.
    let prices = "item,unit price,hours,quantity\npanel,200,1.5,\ncontact,31.95,0.2,\n\
                  smoke,61.805,0.25,\ntravel,0.655,,38\n";
    let sheet = sheet(&plan(&SENSORS), prices, &business("USD", "8.25", "total", "68"));
    assert_eq!(amounts(&sheet), ["200.00", "95.85", "61.81", "24.89", "159.80"]);
    assert_eq!(sums(&sheet), ["542.35", "44.74", "587.09"]);
    // Devices, then what the list alone has, then labour, which has no item.
    let items: Vec<&str> =
        sheet.lines.iter().map(|line| line.items.first().map_or("", String::as_str)).collect();
    assert_eq!(items, ["panel", "contact", "smoke", "travel", ""]);
    assert_eq!(sheet.lines[1].quantity.to_string(), "3");
}

#[test]
fn tax_on_lines_differs_from_tax_on_the_total() {
    // Three lines of 0.25 at 10 %: 0.025 each, rounded 0.03, 0.09 in all; on the total 0.075 →
    // 0.08.
    let three = plan(&[
        (DeviceKind::Sensor, Some("a"), None),
        (DeviceKind::Sensor, Some("b"), None),
        (DeviceKind::Sensor, Some("c"), None),
    ]);
    let prices = "item,price\na,0.25\nb,0.25\nc,0.25\n";
    let lines = sheet(&three, prices, &business("EUR", "10", "lines", "0"));
    assert_eq!(sums(&lines), ["0.75", "0.09", "0.84"]);
    assert_eq!(lines.lines[0].price.unwrap().tax.unwrap().to_string(), "0.03");
    let total = sheet(&three, prices, &business("EUR", "10", "total", "0"));
    assert_eq!(sums(&total), ["0.75", "0.08", "0.83"]);
    assert_eq!(total.lines[0].price.unwrap().tax, None);
}

#[test]
fn currencies_with_no_and_with_three_decimals() {
    let one = plan(&[(DeviceKind::Panel, None, None)]);
    // 1234.5 → 1235; 19 % of 1235 = 234.65 → 235.
    let pesos = sheet(&one, "item,price\npanel,1234.5\n", &business("CLP", "19", "total", "0"));
    assert_eq!(sums(&pesos), ["1235", "235", "1470"]);
    // 1.2345 → 1.235 (half away from zero); 5 % of 1.235 = 0.06175 → 0.062.
    let dinars = sheet(&one, "item,price\npanel,1.2345\n", &business("KWD", "5", "total", "0"));
    assert_eq!(sums(&dinars), ["1.235", "0.062", "1.297"]);
}

#[test]
fn binary_fractions_do_not_creep_in() {
    // 0.1 + 0.2 in binary is not 0.3; and 1.005 in binary lies below the half.
    let two = plan(&[(DeviceKind::Sensor, Some("a"), None), (DeviceKind::Sensor, Some("b"), None)]);
    let sheet = sheet(&two, "item,price\na,0.1\nb,1.005\n", &business("EUR", "0", "total", "0"));
    assert_eq!(amounts(&sheet), ["0.10", "1.01"]);
    assert_eq!(sums(&sheet), ["1.11", "0.00", "1.11"]);
}

#[test]
fn an_item_is_the_sort_else_kind_and_role_else_the_kind() {
    let mixed = plan(&[
        (DeviceKind::Sensor, None, Some("perimeter")),
        (DeviceKind::Sensor, None, Some("fire")),
        (DeviceKind::Sensor, None, None),
        (DeviceKind::Sensor, Some("Glass Break"), Some("perimeter")),
        (DeviceKind::Keypad, None, None),
    ]);
    let prices =
        "Item;Unit Price\nsensor;10,00\nSENSOR fire;20,00\nglass_break;30,00\nkeypad;40,00\n";
    let sheet = sheet(&mixed, prices, &business("EUR", "0", "total", "0"));
    let rows: Vec<(String, String)> = sheet
        .lines
        .iter()
        .map(|line| (line.items[0].clone(), line.price.unwrap().amount.to_string()))
        .collect();
    let expected = [
        ("keypad", "40.00"),
        ("sensor-perimeter", "10.00"),
        ("sensor-fire", "20.00"),
        ("sensor", "10.00"),
        ("glass-break", "30.00"),
    ];
    let expected = expected.map(|(item, amount)| (item.to_owned(), amount.to_owned()));
    assert_eq!(rows, expected);
}

#[test]
fn both_ways_of_writing_a_list_give_the_same() {
    let business = business("EUR", "21", "lines", "38.5");
    let points =
        "item,unit price,hours\npanel,\"1,245.50\",1.5\ncontact,27.95,0.2\nsmoke,52.80,0.3\n";
    let commas = "\u{feff}concepto;precio unitario;horas\r\npanel;1.245,50;1,5\r\n# a remark\r\n\
                  contact;27,95;0,2\r\n\r\nsmoke;52,80;0,3\r\n";
    let tabs = "price\titem\thours\n1245.50\tpanel\t1.5\n27.95\tcontact\t.2\n";
    let (points, commas) =
        (sheet(&plan(&SENSORS), points, &business), sheet(&plan(&SENSORS), commas, &business));
    assert_eq!(points, commas);
    // 1245.50 + 83.85 + 52.80 + 2.4 h × 38.50 = 92.40 → 1474.55; tax 261.56 (261.555) + 17.61
    // (17.6085) + 11.09 (11.088) + 19.40 (19.404) = 309.66.
    assert_eq!(sums(&points), ["1474.55", "309.66", "1784.21"]);
    let folder = folder(&[("p.csv", tabs.as_bytes())]);
    assert!(read_prices(&folder.path().join("p.csv")).is_err(), "a number begins with a digit");
}

#[test]
fn without_prices_there_are_lines_and_no_sums() {
    let sheet = unpriced(&wanted(&plan(&SENSORS)));
    assert_eq!(sheet.sums, None);
    assert_eq!(sheet.lines.len(), 3);
    assert!(sheet.lines.iter().all(|line| line.price.is_none()));
}
