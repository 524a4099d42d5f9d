//! Forecasts of links that were not read, from a few that were.
//!
//! Some links of a data set are drawn as readings, the model and two simple laws are fitted to
//! them, and the levels of all other links are predicted. The transmit power is not known, so the
//! model's site offset is as good as unknown beforehand, and without readings the mean of what is
//! left is taken off for all alike.

use std::io::Write;

use drillonce::diagnose::{
    Air, Channel, ChannelKey, Factor, Prior, Receiver, SCALE_SIGMA, Seen, WALLS_MOST, fit,
};
use drillonce::forecast::{FadeMoments, Model, SHADOWING_SIGMA, SITE_SIGMA, SPOT_SIGMA};
use drillonce::radio::{self, Polarisation};
use drillonce::units::{Db, Dbm, PowerRatio};
use nalgebra::{DMatrix, DVector};
use rayon::prelude::*;

use super::Diagnostic;
use super::fit::{mean, rms};

/// How many readings.
pub const COUNTS: [usize; 3] = [0, 5, 20];

/// Draws of readings for each count.
const DRAWS: u64 = 200;

/// Half the width of an interval that holds 80 % of a normal distribution, standard deviations.
const NORMAL_80: f64 = 1.281_551_565_544_6;

/// Standard deviation of a site offset that holds an unknown power, dB.
const UNKNOWN_POWER: Db = Db(30.0);

/// Decay of level with distance in residences: 28 dB a decade (ITU-R P.1238, older editions, the
/// row of 1.8-2 GHz; seen in a secondary source).
pub const RESIDENTIAL_EXPONENT: f64 = 2.8;

/// The same in offices: 30 dB a decade (as above).
pub const OFFICE_EXPONENT: f64 = 3.0;

/// Losses of heavy and light walls beside free space, dB (COST 231 multi-wall model, 1.8 GHz; seen
/// in a secondary source).
pub const COST_231: [f64; 2] = [6.9, 3.4];

/// One link that was measured.
#[derive(Debug, Clone)]
pub struct Measured {
    /// Measured level, dB to an unknown power.
    pub level: f64,
    /// Which of several offsets it has.
    pub set: usize,
    /// Which receiver.
    pub receiver: usize,
    /// Where the transmitter stood, metres.
    pub place: [f64; 3],
    /// Distance, metres.
    pub distance_m: f64,
    /// Walls that the data count: heavy ones, light ones.
    pub walls: [f64; 2],
    /// Level that our model predicts for a power of 0 dBm.
    pub predicted: f64,
    /// What each construction costs it, dB for each unit of scale.
    pub slopes: Vec<f64>,
}

/// A data set.
#[derive(Debug)]
pub struct Survey<'a> {
    /// For people.
    pub title: &'a str,
    /// Its links.
    pub links: Vec<Measured>,
    /// The constructions that the model takes, with the standard deviation of the scale of each.
    pub constructions: Vec<(String, f64)>,
    /// Decay of level with distance that is published for such a site.
    pub exponent: f64,
    /// Published losses of a heavy and a light wall, dB.
    pub wall_losses: [f64; 2],
    /// Link whose receiver the readings are taken for.
    pub link: &'a str,
    /// Counts of readings that the set is large enough for.
    pub counts: &'a [usize],
}

/// A construction with the standard deviation of its scale as the program takes it, at a link's
/// frequency.
pub fn sigma_of(name: &str, link: &str) -> Result<(String, f64), Diagnostic> {
    let built = radio::construction(name).ok_or("no such construction")?;
    let frequency = radio::link(link).ok_or("no such link")?.frequency;
    let slab =
        radio::slab_response(&built.slab_layers(frequency), frequency, 1.0, Polarisation::Mean);
    let loss = slab.transmittance.to_loss() + built.excess.mean;
    let share = built.excess.spread.0 / loss.0.max(1e-3);
    Ok((name.to_owned(), share.clamp(SCALE_SIGMA.0, SCALE_SIGMA.1)))
}

/// A law: what is known of each link, and the columns whose factors are fitted.
type Law<'a> = (&'a str, Vec<f64>, Vec<Vec<f64>>);

/// Prints the errors.
pub fn compare(survey: &Survey<'_>, out: &mut impl Write) -> Result<(), Diagnostic> {
    write!(out, "### {}\n\n| forecast |", survey.title)?;
    for count in survey.counts {
        write!(out, " {count} readings |")?;
    }
    writeln!(out, "\n| --- |{}", " --- |".repeat(survey.counts.len()))?;
    for law in laws(survey) {
        write!(out, "| {} |", law.0)?;
        for count in survey.counts {
            let error = held_out(survey, *count, &|read| least_squares(survey, &law, read))?;
            if error.is_nan() {
                write!(out, " – |")?;
            } else {
                write!(out, " {error:.2} |")?;
            }
        }
        writeln!(out)?;
    }
    let ours = Ours::new(survey)?;
    write!(out, "| **the model, calibrated** |")?;
    for count in survey.counts {
        let error = held_out(survey, *count, &|read| ours.predicted(read))?;
        write!(out, " {error:.2} |")?;
    }
    write!(out, "\n| its 80 % intervals hold, without / with the luck of a spot |")?;
    for count in survey.counts {
        if *count == 0 {
            write!(out, " – |")?;
            continue;
        }
        let [means, spots] = held(survey, *count, &ours)?;
        write!(out, " {means:.1} / {spots:.1} % |")?;
    }
    writeln!(out, "\n")?;
    Ok(())
}

fn laws<'a>(survey: &Survey<'_>) -> Vec<Law<'a>> {
    let column = |of: &dyn Fn(&Measured) -> f64| survey.links.iter().map(of).collect::<Vec<f64>>();
    let nothing = column(&|_| 0.0);
    let distance = column(&|link| -10.0 * link.distance_m.log10());
    let published = column(&|link| -10.0 * survey.exponent * link.distance_m.log10());
    let walls = [0, 1].map(|sort| column(&|link| -link.walls[sort]));
    let counted = column(&|link| {
        let walls = link.walls.iter().zip(survey.wall_losses);
        let lost: f64 = walls.map(|(count, loss)| count * loss).sum();
        -20.0 * link.distance_m.log10() - lost
    });
    let mut sorts: Vec<Vec<f64>> = walls.into_iter().collect();
    sorts.retain(|column| column.iter().any(|count| *count != 0.0));
    let mut both = vec![distance.clone()];
    both.extend(sorts.clone());
    let mut laws = vec![
        ("log-distance, published exponent", published, vec![]),
        ("log-distance, fitted", nothing.clone(), vec![distance]),
    ];
    if !sorts.is_empty() {
        laws.push(("free space and walls, published losses", counted, vec![]));
        laws.push(("log-distance and walls, fitted", nothing, both));
    }
    laws
}

/// Foretells all links from those that are read.
type Foretelling<'f> = dyn Fn(&[usize]) -> Result<Vec<f64>, Diagnostic> + Sync + 'f;

/// Root mean square error over all links not read, over all draws. `forecast` gets the links that
/// are read and predicts all; a law that cannot without readings gives none.
fn held_out(
    survey: &Survey<'_>,
    count: usize,
    forecast: &Foretelling<'_>,
) -> Result<f64, Diagnostic> {
    let links = &survey.links;
    let draws = if count == 0 { 1 } else { DRAWS };
    let errors: Vec<Vec<f64>> = (0..draws)
        .into_par_iter()
        .map(|seed| {
            let read = drawn(seed, count, links.len());
            let predicted = forecast(&read)?;
            let unread = (0..links.len()).filter(|number| !read.contains(number));
            let mut off: Vec<f64> = unread.map(|n| links[n].level - predicted[n]).collect();
            if count == 0 {
                centred(&mut off, links);
            }
            Ok(off)
        })
        .collect::<Result<_, Diagnostic>>()?;
    Ok(rms(&errors.concat()))
}

/// How often the 80 % intervals of links not read hold what was measured there, over all draws, per
/// cent: those of the mean over some spots, and those of a single spot.
fn held(survey: &Survey<'_>, count: usize, ours: &Ours<'_>) -> Result<[f64; 2], Diagnostic> {
    let links = &survey.links;
    let shares: Vec<[f64; 2]> = (0..DRAWS)
        .into_par_iter()
        .map(|seed| {
            let read = drawn(seed, count, links.len());
            let after = ours.after(&read);
            let unread = || (0..links.len()).filter(|number| !read.contains(number));
            let share = |spot: f64| {
                let held = unread().filter(|n| {
                    let (mean, variance) = after[*n];
                    let half = NORMAL_80 * (variance + spot * spot).sqrt();
                    (links[*n].level - mean).abs() <= half
                });
                held.count() as f64 / unread().count() as f64
            };
            Ok([share(0.0), share(SPOT_SIGMA.0)])
        })
        .collect::<Result<_, Diagnostic>>()?;
    Ok([0, 1].map(|i| 100.0 * mean(&shares.iter().map(|s| s[i]).collect::<Vec<f64>>())))
}

/// Takes the mean of each set off.
fn centred(off: &mut [f64], links: &[Measured]) {
    let sets = links.iter().map(|link| link.set).max().unwrap_or(0);
    for set in 0..=sets {
        let own = || links.iter().enumerate().filter(|(_, link)| link.set == set);
        let middle = mean(&own().map(|(n, _)| off[n]).collect::<Vec<f64>>());
        own().for_each(|(n, _)| off[n] -= middle);
    }
}

/// So many different numbers below `all`, by Lehmer's generator.
fn drawn(seed: u64, count: usize, all: usize) -> Vec<usize> {
    let mut state = (u128::from(seed + 1) << 1) | 1;
    let mut next = || {
        state = state.wrapping_mul(0xda94_2042_e4dd_58b5);
        (state >> 64) as u64
    };
    // The first few depend on the seed too plainly.
    for _ in 0..20 {
        next();
    }
    let mut chosen = Vec::new();
    while chosen.len() < count {
        let number = (next() % all as u64) as usize;
        if !chosen.contains(&number) {
            chosen.push(number);
        }
    }
    chosen
}

/// A law with an offset for each set and its factors by least squares over the readings; factors
/// that the readings do not determine are left at the least that fits. A law with factors predicts
/// nothing without readings.
fn least_squares(
    survey: &Survey<'_>,
    (_, known, columns): &Law<'_>,
    read: &[usize],
) -> Result<Vec<f64>, Diagnostic> {
    let links = &survey.links;
    if read.is_empty() {
        let tells = columns.is_empty();
        return Ok(if tells { known.clone() } else { vec![f64::NAN; links.len()] });
    }
    let sets = links.iter().map(|link| link.set).max().unwrap_or(0) + 1;
    // A set without a reading takes the offset of one that has some.
    let is_read = |set: usize| read.iter().any(|n| links[*n].set == set);
    let known_set = (0..sets).find(|set| is_read(*set)).unwrap_or(0);
    let set_of = |row: usize| {
        let own = links[row].set;
        if is_read(own) { own } else { known_set }
    };
    let entry = |row: usize, column: usize| {
        if column < sets {
            f64::from(u8::from(set_of(row) == column))
        } else {
            columns[column - sets][row]
        }
    };
    let wide = sets + columns.len();
    let matrix = DMatrix::from_fn(read.len(), wide, |row, column| entry(read[row], column));
    let wanted = DVector::from_fn(read.len(), |row, _| links[read[row]].level - known[read[row]]);
    let factors = matrix.svd(true, true).solve(&wanted, 1e-9)?;
    let all = (0..links.len()).map(|row| {
        let fitted: f64 = (0..wide).map(|c| factors[c] * entry(row, c)).sum();
        known[row] + fitted
    });
    Ok(all.collect())
}

/// Our model of a survey.
struct Ours<'a> {
    survey: &'a Survey<'a>,
    prior: Prior,
    channels: Vec<Channel>,
}

impl<'a> Ours<'a> {
    fn new(survey: &'a Survey<'a>) -> Result<Self, Diagnostic> {
        let square = |x: Db| x.0 * x.0;
        let link = radio::link(survey.link).ok_or("no such link")?;
        let model = Model::default();
        let fades = FadeMoments::new(&model);
        let receiver = Receiver::new(&link, (model.fading(PowerRatio(0.0)), &fades), model.noise);
        let count = survey.constructions.len();
        // An offset for each set is a construction of loss zero or one, beside the common one.
        let sets = survey.links.iter().map(|link| link.set).max().unwrap_or(0);
        let sigma = |i: usize| {
            let own = survey.constructions.get(i).map(|(_, sigma)| *sigma);
            own.unwrap_or(UNKNOWN_POWER.0)
        };
        let wide = count + sets;
        let scale_covariance =
            DMatrix::from_fn(wide, wide, |a, b| if a == b { sigma(a) * sigma(a) } else { 0.0 });
        let prior = Prior {
            site_offset: Db(0.0),
            site_sigma: UNKNOWN_POWER,
            constructions: (0..wide).map(|i| i.to_string()).collect(),
            scales: DVector::repeat(wide, 1.0),
            scale_covariance,
            places: survey.links.iter().map(|link| link.place).collect(),
        };
        // The parts of the static spread as for a device whose power is known; the transmitter is
        // the same in all links.
        let left = square(SHADOWING_SIGMA) - square(SITE_SIGMA);
        let channels = survey.links.iter().enumerate().map(|(device, link)| {
            let walls: f64 = link
                .slopes
                .iter()
                .zip(&survey.constructions)
                .map(|(slope, (_, sigma))| (slope * sigma).powi(2))
                .sum();
            let share = (WALLS_MOST * left / walls.max(1e-9)).sqrt().min(1.0);
            let mut slopes: Vec<f64> = link.slopes.iter().map(|slope| slope * share).collect();
            slopes.extend((1..=sets).map(|set| f64::from(u8::from(link.set == set))));
            Channel {
                key: ChannelKey::as_found(device, link.receiver),
                level: Dbm(link.predicted),
                slopes,
                shadow_sigma: Db((left - share * share * walls).max(0.0).sqrt()),
                spot_sigma: SPOT_SIGMA,
                own_sigma: Db(0.0),
                receiver: receiver.clone(),
            }
        });
        Ok(Self { channels: channels.collect(), survey, prior })
    }

    /// Levels of all links.
    fn predicted(&self, read: &[usize]) -> Result<Vec<f64>, Diagnostic> {
        if read.is_empty() {
            return Ok(self.survey.links.iter().map(|link| link.predicted).collect());
        }
        Ok(self.after(read).into_iter().map(|(mean, _)| mean).collect())
    }

    /// Mean and variance of the level of all links, without the luck of the spot, given the read
    /// ones.
    fn after(&self, read: &[usize]) -> Vec<(f64, f64)> {
        let factors: Vec<Factor> = read
            .iter()
            .map(|n| {
                let seen = Seen::Level(Dbm(self.survey.links[*n].level));
                Factor::new(&self.channels[*n].receiver, Air::QUIET, &[seen])
            })
            .collect();
        let factors: Vec<(usize, &Factor)> = read.iter().copied().zip(&factors).collect();
        let found = fit(&self.prior, &self.channels, &factors);
        let spot = SPOT_SIGMA.0.powi(2);
        let all = (0..self.channels.len()).map(|number| {
            let level = found.estimate(found.layout.channel(number));
            (level.mean, (level.sigma.powi(2) - spot).max(0.0))
        });
        all.collect()
    }
}
