//! Linear cuts: what every sufficient set of repeaters fulfils.

use super::flow::Reached;
use super::view::View;

/// Σ coefficient × (1 when the site is open) ≥ need, true of every sufficient set.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Cut {
    /// The sites with a coefficient above 0, ascending, each with it.
    pub sites: Vec<(usize, usize)>,
    pub need: usize,
}

impl Cut {
    /// What the cut still lacks with these sites open.
    pub fn lack(&self, open: &[bool]) -> usize {
        let have = self.sites.iter().filter(|(site, _)| open[*site]);
        self.need.saturating_sub(have.map(|(_, value)| value).sum())
    }

    /// The fewest free sites that give `lack`; `None` when all together do not.
    pub fn fewest(&self, lack: usize, free: impl Fn(usize) -> bool) -> Option<usize> {
        let free = self.sites.iter().filter(|(site, _)| free(*site));
        let mut values: Vec<usize> = free.map(|(_, value)| *value).collect();
        values.sort_unstable_by(|a, b| b.cmp(a));
        let mut sum = 0;
        let enough = values.iter().take_while(|value| {
            let short = sum < lack;
            sum += **value;
            short
        });
        let count = enough.count();
        (sum >= lack).then_some(count)
    }
}

/// For each sensor that needs a repeater: one of the sites that hear it is open (two, where one may
/// be lost). And for all these sensors together: the sites have room for them.
pub(super) fn first_cuts(view: &View) -> Vec<Cut> {
    let hear = |sensor: usize| {
        let sites = (0..view.sites()).filter(move |&site| view.hear(sensor, site).is_finite());
        sites.map(|site| (site, 1)).collect()
    };
    let cut = |&sensor: &usize| Cut { sites: hear(sensor), need: 1 + usize::from(view.lose_one) };
    let mut cuts: Vec<Cut> = view.needy.iter().map(cut).collect();
    if !cuts.is_empty() {
        let none = vec![false; view.sites()];
        let sensors = view.direct.iter().map(|weight| weight.is_infinite()).collect();
        let reached = Reached { sensors, entered: none.clone(), passed: none.clone() };
        add_cuts(view, &reached, &none, None, &mut cuts);
    }
    cuts
}

/// The cuts that a failed search for room gives, through a network of the sites in `open`, which
/// `lost` is not among.
pub(super) fn add_cuts(
    view: &View,
    reached: &Reached,
    open: &[bool],
    lost: Option<usize>,
    cuts: &mut Vec<Cut>,
) {
    let inside = reached.sensors.iter().filter(|inside| **inside).count();
    let heard_by = |site: usize| {
        view.heard[site].iter().filter(|(sensor, _)| reached.sensors[*sensor]).count()
    };
    // What the sensors and the sites on the near side reach, closed sites too.
    let mut near = reached.entered.clone();
    let mut relays = vec![false; view.sites()];
    for site in 0..view.sites() {
        near[site] |= !open[site] && heard_by(site) > 0;
        if view.is_home(site) {
            continue;
        }
        for next in view.options[site].iter().filter_map(|(onward, _)| onward.site()) {
            relays[next] = true;
            near[next] |= reached.passed[site];
        }
    }
    let able = |site: usize| {
        let able = if relays[site] { inside } else { heard_by(site) };
        (site, able.min(view.room[site]))
    };
    let stopping = (0..view.sites()).filter(|&site| near[site] && !reached.passed[site]);
    let mut sites: Vec<(usize, usize)> = stopping.map(able).filter(|(_, able)| *able > 0).collect();
    // So many of these sites must be open: the largest first, one more being lost.
    let spare = usize::from(view.lose_one);
    let mut values: Vec<usize> = sites.iter().map(|(_, able)| *able).collect();
    values.sort_unstable_by(|a, b| b.cmp(a));
    let (mut sum, mut need) = (0, spare);
    for value in values.iter().skip(spare) {
        if sum >= inside {
            break;
        }
        sum += value;
        need += 1;
    }
    let among = sites.iter().map(|(site, _)| (*site, 1)).collect();
    sites.retain(|(site, _)| Some(*site) != lost);
    let need = if sum >= inside { need } else { usize::MAX };
    for cut in [Cut { sites: among, need }, Cut { sites, need: inside }] {
        if !cuts.contains(&cut) {
            cuts.push(cut);
        }
    }
}
