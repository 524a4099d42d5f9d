//! What a quote is made from.

use document::Figure;
use forecast::{Assessment, DeviceResult, Finding, Site};
use job::pricing::{Business, Image, Sheet};
use plan::{Device, DeviceKind, Level};
use rust_decimal::Decimal;
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
    /// Its number, by which both sides name it.
    pub number: &'a str,
    /// The last day on which it holds, if there is one.
    pub valid_until: Option<Date>,
    /// What it costs.
    pub sheet: &'a Sheet,
    /// How much of the total is for the repeaters, with fitting and tax; `None` without prices, or
    /// without repeaters.
    pub repeaters_price: Option<Decimal>,
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
    /// Whether the technical appendix is wanted.
    pub appendix: bool,
}

/// A repeater that the plan does not have yet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewRepeater {
    /// Its id.
    pub id: String,
    /// The mains outlet that it is plugged into.
    pub outlet: Option<String>,
}

/// The pictures of a level. The key has words of the document's language; the others have none but
/// the plan's own names.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LevelPictures {
    /// The level's number.
    pub level: i32,
    /// The plan with rooms and all devices, coloured by how well a sensor is heard as quoted.
    pub plan: Image,
    /// Coverage without any repeater and with all, where they change anything on the level.
    pub pair: Option<[Image; 2]>,
    /// Whether these two stand side by side: each is then half as wide as the page.
    pub abreast: bool,
    /// What colours and shapes mean.
    pub key: Image,
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

    /// Whether some device fails all the same: then nobody is to sign it.
    pub(super) fn is_draft(&self) -> bool {
        self.with.any_failing()
    }

    /// A sum with its currency, where a business has one.
    pub(super) fn money(&self, value: Decimal) -> Option<String> {
        let currency = &self.business?.currency;
        Some(self.words.money(value, currency.decimals, &currency.code))
    }

    pub(super) fn level(&self, number: i32) -> Option<&Level> {
        self.site.plan.level(number)
    }

    pub(super) fn level_name(&self, number: i32) -> &str {
        self.level(number).map_or("", |level| level.name.as_str())
    }
}
