//! A quote for the customer, as a document: what goes where, whether it will be heard, what it costs.
//!
//! The pages for the customer have no decibels and no word of the trade that a home owner does not
//! know; the technical appendix has the whole ledger.

use super::blocks::{heading, paragraph};
use super::quote_devices::devices;
use super::quote_ledger::ledger;
use super::quote_price::prices;
use super::quote_signal::{coverage, places};
use document::{Block, Document, Figure, Form};
use forecast::{Assessment, DeviceResult, Finding, Site};
use job::pricing::{Business, Sheet};
use plan::{Device, DeviceKind, Level};
use siting::cover::Proof;
use words::{Date, Words};

/// Everything that a quote is made from.
#[derive(Debug, Clone, Copy)]
pub struct Quote<'a> {
    /// The words.
    pub words: &'a Words,
    /// The day of the quote.
    pub date: Date,
    /// Who makes it; without, there is room to fill that in by hand.
    pub business: Option<&'a Business>,
    /// What it costs.
    pub sheet: &'a Sheet,
    /// The site with all repeaters, those of the plan and the new ones.
    pub site: &'a Site<'a>,
    /// The forecast without any repeater; `None` where there is none at all.
    pub without: Option<&'a Assessment>,
    /// The forecast with all repeaters.
    pub with: &'a Assessment,
    /// The repeaters that the plan does not have yet.
    pub new: &'a [NewRepeater],
    /// How far it is proven that fewer new ones do not do.
    pub proof: Proof,
    /// Pictures of the levels.
    pub pictures: &'a [LevelPictures],
}

/// A repeater that the plan does not have yet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewRepeater {
    /// Its id.
    pub id: String,
    /// The mains outlet that it is plugged into.
    pub outlet: Option<String>,
}

/// A picture: PNG.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Image {
    /// The file.
    pub png: Vec<u8>,
    /// Pixels across.
    pub width: u32,
    /// Pixels down.
    pub height: u32,
}

/// The pictures of a level. The key has words of the document's language; the others have none but the
/// plan's own names.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LevelPictures {
    /// The level's number.
    pub level: i32,
    /// The plan with the panel and all devices.
    pub plan: Image,
    /// Coverage without any repeater, where there are repeaters.
    pub without: Option<Image>,
    /// Coverage with all repeaters.
    pub with: Image,
    /// Whether these two stand side by side: each is then half as wide as the page.
    pub abreast: bool,
    /// What colours and shapes of the coverage pictures mean.
    pub key: Image,
}

/// The quote as a document.
#[must_use]
pub fn quote(quote: &Quote<'_>) -> Document {
    let words = quote.words;
    let plan = quote.site.plan;
    let mut blocks = cover(quote);
    blocks.push(Block::PageBreak);
    blocks.extend(places(quote));
    blocks.extend(coverage(quote));
    blocks.extend(devices(quote));
    blocks.extend(prices(quote));
    blocks.extend(closing(quote));
    blocks.push(Block::PageBreak);
    blocks.extend(ledger(quote));
    Document {
        title: format!("{}: {}", words.quote_title(), plan.name),
        language: words.language.tag().to_owned(),
        author: quote.business.map(|b| b.name.clone()).unwrap_or_default(),
        date: quote.date.to_string(),
        footer: words.quote_footer(&plan.name, &words.date(quote.date)),
        page_of: words.page_of(),
        blocks,
    }
}

pub(super) fn figure(image: &Image, alt: String, caption: String) -> Figure {
    Figure { png: image.png.clone(), width: image.width, height: image.height, alt, caption }
}

impl Quote<'_> {
    /// The devices of a forecast that the customer asked for: repeaters are means, not ends.
    pub(super) fn asked(assessment: &Assessment) -> impl Iterator<Item = &DeviceResult> {
        let all = assessment.sensors.iter().chain(&assessment.two_way);
        all.filter(|result| result.device.kind != DeviceKind::Repeater)
    }

    /// Those of them that are not heard reliably.
    pub(super) fn missing(assessment: &Assessment) -> Vec<&DeviceResult> {
        let asked = Self::asked(assessment);
        asked.filter(|r| r.finding != Finding::Sound).collect()
    }

    /// The forecast without repeaters, which is the other one where there are none.
    pub(super) fn bare(&self) -> &Assessment {
        self.without.unwrap_or(self.with)
    }

    /// All repeaters, those of the plan and the new ones.
    pub(super) fn repeaters(&self) -> impl Iterator<Item = &Device> {
        let devices = self.site.plan.devices.iter();
        devices.filter(|device| device.kind == DeviceKind::Repeater)
    }

    /// The name of a level.
    pub(super) fn level_name(&self, number: i32) -> &str {
        let level = self.site.plan.level(number);
        level.map_or("", |level: &Level| level.name.as_str())
    }
}

/// The first page: no decibels, no pictures but the logo.
fn cover(quote: &Quote<'_>) -> Vec<Block> {
    let words = quote.words;
    let mut blocks = Vec::new();
    let logo = quote.business.and_then(|business| {
        let logo = business.logo.as_ref()?;
        Some((logo, words.quote_logo(&business.name)))
    });
    if let Some((logo, alt)) = logo {
        blocks.push(Block::Figures(vec![Figure {
            png: logo.png.clone(),
            width: logo.width,
            height: logo.height,
            alt,
            caption: String::new(),
        }]));
    }
    blocks.push(heading(1, words.quote_title()));
    let mut facts = vec![
        (words.quote_site(), quote.site.plan.name.clone()),
        (words.quote_date(), words.date(quote.date)),
    ];
    if let Some(business) = quote.business {
        let until = quote.date.after(business.validity_days);
        facts.push((words.quote_valid_until(), words.date(until)));
    }
    let devices = Quote::asked(quote.with).count();
    facts.push((words.quote_devices_count(), devices.to_string()));
    if let (Some(business), Some(sums)) = (quote.business, quote.sheet.sums) {
        let currency = &business.currency;
        let total = words.money(sums.total, currency.decimals, &currency.code);
        facts.push((words.quote_price_total(), total));
    }
    blocks.push(Block::Facts(facts));
    blocks.push(heading(3, words.quote_in_short()));
    blocks.push(paragraph(in_short(quote)));
    blocks.extend(left_over(quote));
    blocks.extend(incomplete(quote));
    blocks.push(heading(3, words.quote_installer()));
    match quote.business {
        Some(business) => {
            let mut facts = vec![
                (words.quote_name(), business.name.clone()),
                (words.quote_address(), business.address.join(", ")),
            ];
            for (label, value) in [
                (words.quote_licence(), &business.licence),
                (words.quote_phone(), &business.phone),
                (words.quote_email(), &business.email),
            ] {
                facts.extend(value.clone().map(|value| (label, value)));
            }
            blocks.push(Block::Facts(facts));
        }
        None => {
            blocks.push(Block::Form(Form::Lines { label: words.quote_installer_blank(), count: 3 }))
        }
    }
    blocks.push(Block::Form(Form::Lines { label: words.quote_customer(), count: 3 }));
    blocks
}

/// Whether a repeater is needed, in a sentence or two.
fn in_short(quote: &Quote<'_>) -> String {
    let words = quote.words;
    let missing = Quote::missing(quote.bare()).len().to_string();
    let count = Quote::asked(quote.with).count().to_string();
    let repeaters = quote.repeaters().count();
    if !Quote::missing(quote.with).is_empty() {
        words.quote_short_left()
    } else if repeaters == 0 {
        words.quote_short_none()
    } else if Quote::missing(quote.bare()).is_empty() {
        words.quote_short_reserve()
    } else if repeaters == 1 {
        words.quote_short_needed(&missing, &count)
    } else {
        words.quote_short_needed_many(&missing, &count, &repeaters.to_string())
    }
}

/// What will not be heard, so that nobody signs without knowing.
fn left_over(quote: &Quote<'_>) -> Option<Block> {
    let words = quote.words;
    let left = Quote::missing(quote.with);
    let mut lines: Vec<String> = left
        .iter()
        .map(|result| {
            let device = &result.device;
            words.quote_left_device(&device.name, quote.level_name(device.level))
        })
        .collect();
    lines.push(words.quote_left_mend());
    (!left.is_empty()).then(|| Block::Notice { title: words.quote_left_title(), lines })
}

/// What is still to be filled in by hand.
fn incomplete(quote: &Quote<'_>) -> Option<Block> {
    let words = quote.words;
    let mut lines = Vec::new();
    if quote.business.is_none() {
        lines.push(words.quote_incomplete_business());
    }
    if quote.sheet.sums.is_none() {
        lines.push(words.quote_incomplete_prices());
    }
    (!lines.is_empty()).then(|| Block::Notice { title: words.quote_incomplete(), lines })
}

/// What the quote assumes and leaves out, what to keep in mind, and the signatures.
fn closing(quote: &Quote<'_>) -> Vec<Block> {
    let words = quote.words;
    let mut blocks = vec![
        heading(2, words.quote_assumes()),
        Block::List(vec![
            words.quote_assumes_plan(),
            words.quote_assumes_test(),
            words.quote_assumes_outlet(),
            words.quote_assumes_later(),
        ]),
        heading(2, words.quote_excludes()),
        Block::List(vec![
            words.quote_excludes_mains(),
            words.quote_excludes_walls(),
            words.quote_excludes_monitoring(),
            words.quote_excludes_portable(),
            words.quote_excludes_permits(),
        ]),
    ];
    let terms = quote.business.map(|business| business.terms.clone());
    if let Some(terms) = terms.filter(|terms| !terms.is_empty()) {
        blocks.push(heading(2, words.quote_terms()));
        blocks.push(Block::List(terms));
    }
    blocks.push(Block::Notice {
        title: words.quote_cautions(),
        lines: vec![
            words.quote_caution_life(),
            words.quote_caution_drill(),
            words.quote_caution_alarm(),
        ],
    });
    blocks.push(heading(3, words.quote_accepted()));
    blocks.push(Block::Form(Form::Signatures(vec![
        words.quote_sign_customer(),
        words.quote_sign_installer(),
    ])));
    blocks
}
