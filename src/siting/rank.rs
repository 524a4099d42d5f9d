//! Which spots no other beats, and in which order they are offered.

use geo::Coord;

/// What a spot is worth. Where a figure cannot be known for any spot (no entry, no outlet) it is
/// `None` for all and plays no part; for one spot alone it counts as worst.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Objectives {
    /// Devices that would be failing.
    pub failing: usize,
    /// Devices that would not be sound, those that would be failing included.
    pub not_sound: usize,
    /// Chance that any supervised device has a fault in a year.
    pub any_fault_per_year: f64,
    /// Walk from the farthest entry, seconds.
    pub walk_s: Option<f64>,
    /// Wire from the nearest outlet, metres.
    pub wire_m: Option<f64>,
}

/// How much each of the three counts among spots that no other beats.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Weights {
    /// The chance of a fault.
    pub reliability: f64,
    /// The walk.
    pub walk: f64,
    /// The wire.
    pub wire: f64,
}

impl Default for Weights {
    fn default() -> Self {
        Self { reliability: 1.0, walk: 1.0, wire: 1.0 }
    }
}

/// Finest differences that count: what lies below is not known so well, and would put a spot before
/// its neighbour for a millimetre of wire. One in ten thousand of chance, a tenth of a second, a
/// tenth of a metre.
const STEPS: [f64; 3] = [1e-4, 0.1, 0.1];

/// The three figures in steps of [`STEPS`]; less is better.
#[must_use]
fn figures(worth: &Objectives) -> [i64; 3] {
    let values = [Some(worth.any_fault_per_year), worth.walk_s, worth.wire_m];
    let known = |value: &f64| value.is_finite();
    std::array::from_fn(|n| {
        let value = values[n].filter(known);
        value.map_or(i64::MAX, |value| (value / STEPS[n]).round() as i64)
    })
}

/// Whether `a` is at least as good as `b` in all three and better in one.
fn beats(a: [i64; 3], b: [i64; 3]) -> bool {
    a != b && a.iter().zip(&b).all(|(a, b)| a <= b)
}

impl Objectives {
    /// Whether every device would be sound.
    #[must_use]
    pub const fn keeps_all(&self) -> bool {
        self.not_sound == 0
    }

    /// What it loses: fewer failing devices come first, then fewer that are not sound.
    const fn losses(&self) -> (usize, usize) {
        (self.failing, self.not_sound)
    }
}

/// For each spot, whether no other beats it. Only the spots that lose the fewest devices are
/// compared (none, where some spots keep all): the others are beaten by losing more.
#[must_use]
pub fn unbeaten(objectives: &[Objectives]) -> Vec<bool> {
    let least = objectives.iter().map(Objectives::losses).min();
    let mut order: Vec<(usize, [i64; 3])> = objectives
        .iter()
        .enumerate()
        .filter(|(_, worth)| Some(worth.losses()) == least)
        .map(|(number, worth)| (number, figures(worth)))
        .collect();
    // Whatever beats a spot comes before it, so only the front so far need be asked.
    order.sort_by_key(|(number, figures)| (*figures, *number));
    let mut front = vec![false; objectives.len()];
    let mut best: Vec<[i64; 3]> = Vec::new();
    for (number, figures) in order {
        if !best.iter().any(|other| beats(*other, figures)) {
            if best.last() != Some(&figures) {
                best.push(figures);
            }
            front[number] = true;
        }
    }
    front
}

/// The order in which spots are offered, best first: those that keep every device before the
/// others, and of the others those that lose fewer; among equals those that no other beats; among
/// those by the weighted sum of the three figures, each as a part of its range over the unbeaten;
/// then by chance, walk, wire and number. The rest go by the same sum over the range of all.
#[must_use]
pub fn ranking(objectives: &[Objectives], weights: Weights) -> Vec<usize> {
    let front = unbeaten(objectives);
    let weights = [weights.reliability, weights.walk, weights.wire];
    let range_over = |members: &dyn Fn(usize) -> bool| {
        let mut ranges = [(i64::MAX, i64::MIN); 3];
        for member in (0..objectives.len()).filter(|n| members(*n)) {
            for (range, value) in ranges.iter_mut().zip(figures(&objectives[member])) {
                if value != i64::MAX {
                    *range = (range.0.min(value), range.1.max(value));
                }
            }
        }
        ranges
    };
    let (best, all) = (range_over(&|n| front[n]), range_over(&|_| true));
    let scores: Vec<f64> = (0..objectives.len())
        .map(|n| score(figures(&objectives[n]), if front[n] { best } else { all }, weights))
        .collect();
    let mut order: Vec<usize> = (0..objectives.len()).collect();
    order.sort_by(|a, b| {
        let tier = |n: usize| (objectives[n].losses(), !front[n]);
        tier(*a)
            .cmp(&tier(*b))
            .then(scores[*a].total_cmp(&scores[*b]))
            .then(figures(&objectives[*a]).cmp(&figures(&objectives[*b])))
            .then(finest(&objectives[*a]).total_cmp(&finest(&objectives[*b])))
            .then(a.cmp(b))
    });
    order
}

/// The chance in parts of a billion: what differs by less differs by rounding alone.
fn finest(worth: &Objectives) -> f64 {
    (worth.any_fault_per_year * 1e9).round()
}

fn score(figures: [i64; 3], ranges: [(i64, i64); 3], weights: [f64; 3]) -> f64 {
    let parts = figures.iter().zip(ranges).zip(weights);
    parts
        .map(|((value, (low, high)), weight)| match high.checked_sub(low) {
            // Known for none: it plays no part.
            None => 0.0,
            Some(_) if low > high => 0.0,
            Some(_) if *value == i64::MAX => weight * 1e3,
            Some(range) => weight * (*value - low) as f64 / (range.max(1)) as f64,
        })
        .sum()
}

/// The first `count` of a ranking that lie at least `apart_m` from every one chosen before, on
/// another level by any distance.
#[must_use]
pub fn well_apart(
    ranking: &[usize],
    places: &[(i32, Coord<f64>)],
    count: usize,
    apart_m: f64,
) -> Vec<usize> {
    let mut chosen: Vec<usize> = Vec::with_capacity(count.min(ranking.len()));
    for candidate in ranking {
        if chosen.len() >= count {
            break;
        }
        let Some((level, place)) = places.get(*candidate) else {
            continue;
        };
        let crowded = chosen
            .iter()
            .filter_map(|n| places.get(*n))
            .any(|(other, p)| other == level && (p.x - place.x).hypot(p.y - place.y) < apart_m);
        if !crowded {
            chosen.push(*candidate);
        }
    }
    chosen
}
