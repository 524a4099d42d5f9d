//! `drillonce catalogue`: the constructions with their loss at each band, and the links.

use std::fmt::Write as _;

use clap::Args;

use super::error::CommandError;
use super::frame::Answer;
use radio::{self, Construction, NoiseEnvironment, Polarisation, SlabTable};
use report::table;
use units::{Db, Hertz, PowerRatio};
use words::Words;

/// Bands of the table, MHz.
const BANDS_MHZ: [f64; 6] = [319.5, 345.0, 433.92, 868.3, 915.0, 2440.0];

/// A loss beyond this is printed as the cap that `check` puts on one wall.
const CAP: Db = forecast::WALL_CAP;

#[derive(Debug, Args)]
pub(crate) struct CatalogueOptions {
    /// Show the source of every value
    #[arg(long)]
    sources: bool,
}

pub(crate) fn run(options: &CatalogueOptions) -> Result<Answer, CommandError> {
    let mut text = format!(
        "Loss straight through one wall, dB: ideal slab + usual excess (spread).\n\
         * figures of a layer are extrapolated below the range of their table at this band.\n\
         > at least: cut off at {CAP}, because waves leak round and through the joints.\n\n\
         {}\n\n",
        constructions()
    );
    if options.sources {
        sources(&mut text);
    }
    let _ = writeln!(
        text,
        "Links. Limit: the regulator's, as EIRP; in the US rows a mean over 0.1 s, which short\n\
         bursts may exceed. Usual: EIRP during a burst. Needed: the larger of the sensitivity and\n\
         the noise plus its signal-to-noise ratio, among houses.\n\n{}",
        links()
    );
    if options.sources {
        for link in radio::links() {
            let _ = writeln!(text, "\n{}", link.name);
            let from = &link.sources;
            for (what, source) in [
                ("frequency", from.frequency),
                ("regulator's limit", from.regulatory_limit),
                ("usual power", from.eirp),
                ("sensitivity", from.sensitivity),
                ("bandwidth", from.bandwidth),
                ("noise figure", from.noise_figure),
                ("signal-to-noise ratio", from.snr_needed),
                ("bursts", from.bursts),
                ("check-in", from.checkin),
                ("window", from.window),
                ("panel to device", from.downlink),
            ] {
                let _ = writeln!(text, "  {what}: {source}");
            }
        }
    } else {
        let _ =
            writeln!(text, "\n`drillonce catalogue --sources` says where every value comes from.");
    }
    Ok(Answer { text, ..Answer::default() })
}

fn constructions() -> String {
    let bands = BANDS_MHZ.map(|mhz| mhz.to_string()).join("|");
    let heads = format!("construction|mm|{bands}|excess|what it is");
    let rows = radio::catalogue().iter().map(|construction| {
        let thickness_mm = construction.thickness().0 * 1000.0;
        let excess = &construction.excess;
        let mut row = vec![construction.name.to_owned(), format!("{thickness_mm:.0}")];
        row.extend(BANDS_MHZ.map(|mhz| slab_loss(construction, Hertz::from_mhz(mhz))));
        row.push(format!("{:.1} ({:.1})", excess.mean.0, excess.spread.0));
        row.extend(Words::default().term("layers", construction.name));
        row
    });
    table(None, &heads, &[1, 2, 3, 4, 5, 6, 7, 8], rows)
}

fn slab_loss(construction: &Construction, frequency: Hertz) -> String {
    let table = SlabTable::new(&construction.slab_layers(frequency), frequency, Polarisation::Mean);
    let loss = PowerRatio(table.transmittance(1.0)).to_loss();
    let doubt = if construction.extrapolated_materials(frequency).is_empty() { "" } else { "*" };
    if loss.0 > CAP.0 { format!(">{:.0}{doubt}", CAP.0) } else { format!("{:.1}{doubt}", loss.0) }
}

fn sources(text: &mut String) {
    for construction in radio::catalogue() {
        let _ = writeln!(
            text,
            "{}\n  layers: {}\n  excess: {}",
            construction.name, construction.source, construction.excess.source
        );
        let outside: Vec<&str> = construction.extrapolated_materials(Hertz::from_mhz(433.92));
        if !outside.is_empty() {
            let _ = writeln!(text, "  extrapolated at 433.92 MHz: {}", outside.join(", "));
        }
    }
    let _ = writeln!(text, "\nMaterials");
    for material in radio::materials() {
        let _ = writeln!(text, "  {}: {}", material.name, material.source);
    }
    let _ = writeln!(text);
}

fn links() -> String {
    let heads = "link|region|MHz|limit dBm|usual dBm|sensitivity dBm|needed dBm|kHz|check-in min|\
                 window min|bursts";
    let rows = radio::links().iter().map(|link| {
        [
            link.name.clone(),
            link.region.to_string(),
            link.frequency.mhz().to_string(),
            format!("{:.1}", link.regulatory_limit.0),
            format!("{:.1}", link.eirp.0),
            format!("{:.0}", link.sensitivity.0),
            format!("{:.1}", link.level_needed(NoiseEnvironment::Residential).0),
            format!("{:.0}", link.bandwidth_khz),
            format!("{:.0}", link.checkin_min),
            format!("{:.0}", link.window_min),
            link.bursts.to_string(),
        ]
    });
    let default = format!("\n\nA plan without a link uses {}.", radio::DEFAULT_LINK);
    table(None, heads, &[2, 3, 4, 5, 6, 7, 8, 9, 10], rows) + &default
}
