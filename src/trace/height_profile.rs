//! How a path's height runs over its length: straight, or folded at floors and ceilings.

use super::floors::Floors;
use super::screen::TOUCH_M;

/// How near to a turn, as a fraction of the path, a place is taken for the turn itself.
const TURN: f64 = 1e-9;

/// A stretch over which the height runs evenly.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HeightLeg {
    /// Fraction of the path at which it begins.
    pub from_t: f64,
    /// Fraction of the path at which it ends.
    pub to_t: f64,
    /// Height at its beginning, metres above the plan's zero.
    pub from_z: f64,
    /// Height at its end, metres above the plan's zero.
    pub to_z: f64,
}

/// Floors that the path meets.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FloorEvent {
    /// The sheet of those at this height, see [`Floors::each_over`].
    pub sheet: u32,
    /// Fraction of the path at which it is met.
    pub t: f64,
    /// Whether the path is reflected there; otherwise it passes through where a floor extends.
    pub bounce: bool,
}

/// The height of a path over the fraction of its length, with the floors that it meets.
#[derive(Debug, Clone, PartialEq)]
pub struct HeightProfile {
    /// Its stretches in order.
    pub legs: Vec<HeightLeg>,
    /// The floors met, in order.
    pub events: Vec<FloorEvent>,
    /// Height gained and lost altogether, metres: the rise of the unfolded path.
    pub travel: f64,
    /// Number of reflections at floors.
    pub order: u8,
}

impl HeightProfile {
    /// All ways from one height to another with at most `order` reflections at floors, the
    /// straight one first.
    #[must_use]
    pub fn all(floors: &Floors, from_z: f64, to_z: f64, order: u8) -> Vec<Self> {
        let mut height_profiles = Vec::new();
        let mut chain = Vec::new();
        for bounces in 0..=order {
            extend(floors, from_z, to_z, bounces, &mut chain, &mut height_profiles);
        }
        height_profiles
    }

    /// The straight way from one height to another.
    #[must_use]
    pub fn straight(floors: &Floors, from_z: f64, to_z: f64) -> Self {
        Self::folded(floors, from_z, to_z, &[]).unwrap_or(Self {
            legs: vec![HeightLeg { from_t: 0.0, to_t: 1.0, from_z, to_z }],
            events: Vec::new(),
            travel: (to_z - from_z).abs(),
            order: 0,
        })
    }

    fn folded(floors: &Floors, from_z: f64, to_z: f64, chain: &[u32]) -> Option<Self> {
        let mut heights = vec![from_z];
        for sheet in chain {
            heights.push(floors.height(*sheet)?);
        }
        heights.push(to_z);
        let rises: Vec<f64> = heights.windows(2).map(|pair| pair[1] - pair[0]).collect();
        // A reflection turns the path back: up into a ceiling, down from it.
        let turns = rises.windows(2).all(|pair| pair[0] * pair[1] < 0.0);
        let long_enough = chain.is_empty() || rises.iter().all(|rise| rise.abs() > TOUCH_M);
        if !turns || !long_enough {
            return None;
        }
        let travel: f64 = rises.iter().map(|rise| rise.abs()).sum();
        let mut legs = Vec::with_capacity(rises.len());
        let mut events = Vec::new();
        let mut gone = 0.0;
        for (number, rise) in rises.iter().enumerate() {
            let fraction = |metres: f64| if travel > 0.0 { metres / travel } else { 1.0 };
            let last = number + 1 == rises.len();
            let leg = HeightLeg {
                from_t: if number == 0 { 0.0 } else { fraction(gone) },
                to_t: if last { 1.0 } else { fraction(gone + rise.abs()) },
                from_z: heights[number],
                to_z: heights[number + 1],
            };
            gone += rise.abs();
            events.extend(leg.floors_passed(floors));
            if let Some(sheet) = chain.get(number) {
                events.push(FloorEvent { sheet: *sheet, t: leg.to_t, bounce: true });
            }
            legs.push(leg);
        }
        let order = u8::try_from(chain.len()).ok()?;
        Some(Self { legs, events, travel, order })
    }

    /// Height at a fraction of the path, metres above the plan's zero.
    #[inline]
    #[must_use]
    pub fn height_at(&self, t: f64) -> f64 {
        let leg = self.leg_at(t);
        let span = leg.to_t - leg.from_t;
        if span <= 0.0 {
            return leg.from_z;
        }
        leg.from_z + (leg.to_z - leg.from_z) * ((t - leg.from_t) / span)
    }

    /// How much higher it ends than it begins, metres.
    #[inline]
    #[must_use]
    pub fn rise(&self) -> f64 {
        match (self.legs.first(), self.legs.last()) {
            (Some(first), Some(last)) => last.to_z - first.from_z,
            _ => 0.0,
        }
    }

    /// +1 where the path rises (or is level) at a fraction of its length, −1 where it falls.
    #[inline]
    #[must_use]
    pub fn direction_at(&self, t: f64) -> f64 {
        let leg = self.leg_at(t);
        if leg.to_z < leg.from_z { -1.0 } else { 1.0 }
    }

    /// Whether the path rises to a turn at a fraction of its length: it bounces off a ceiling.
    #[must_use]
    pub fn rises_to(&self, t: f64) -> bool {
        let before = self.legs.iter().rev().find(|leg| leg.from_t < t - TURN);
        before.is_some_and(|leg| leg.to_z > leg.from_z)
    }

    /// The leg at a fraction of the path; at a turn the longer of the two, from whichever end the
    /// path comes.
    #[inline]
    fn leg_at(&self, t: f64) -> &HeightLeg {
        let mut chosen = &self.legs[0];
        for leg in &self.legs[1..] {
            let past = t - leg.from_t;
            let is_longer = || leg.to_t - leg.from_t > chosen.to_t - chosen.from_t;
            if past > TURN || (past > -TURN && is_longer()) {
                chosen = leg;
            }
        }
        chosen
    }

    /// Lowest and highest height on the way, metres.
    #[must_use]
    pub fn extent(&self) -> (f64, f64) {
        self.legs.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), leg| {
            (low.min(leg.from_z).min(leg.to_z), high.max(leg.from_z).max(leg.to_z))
        })
    }
}

impl HeightLeg {
    fn floors_passed(&self, floors: &Floors) -> Vec<FloorEvent> {
        let rise = self.to_z - self.from_z;
        let mut passed: Vec<FloorEvent> = floors
            .heights()
            .filter(|(_, height)| {
                let (below, above) = (height - self.from_z, self.to_z - height);
                below * above > 0.0 && below.abs() > TOUCH_M && above.abs() > TOUCH_M
            })
            .map(|(sheet, height)| FloorEvent {
                sheet,
                t: self.from_t + (height - self.from_z) / rise * (self.to_t - self.from_t),
                bounce: false,
            })
            .collect();
        passed.sort_by(|a, b| a.t.total_cmp(&b.t).then(a.sheet.cmp(&b.sheet)));
        passed
    }
}

fn extend(
    floors: &Floors,
    from_z: f64,
    to_z: f64,
    bounces: u8,
    chain: &mut Vec<u32>,
    height_profiles: &mut Vec<HeightProfile>,
) {
    if bounces == 0 {
        height_profiles.extend(HeightProfile::folded(floors, from_z, to_z, chain));
        return;
    }
    for (sheet, _) in floors.heights() {
        if chain.last() == Some(&sheet) {
            continue;
        }
        chain.push(sheet);
        extend(floors, from_z, to_z, bounces - 1, chain, height_profiles);
        chain.pop();
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::screen::{Floor, Part};
    use approx::assert_relative_eq;
    use geo::polygon;

    fn floor(height: f64) -> Floor {
        Floor {
            height,
            underside: height,
            is_tight: false,
            over_air: false,
            outline: polygon![(x: 0.0, y: 0.0), (x: 9.0, y: 0.0), (x: 9.0, y: 9.0)],
            part: Part { surface: 0, feature: 0 },
        }
    }

    #[test]
    fn a_bounce_off_the_ceiling_divides_the_path_by_height() {
        let height_profiles = HeightProfile::all(&Floors::new(vec![floor(2.4)]), 1.4, 2.0, 1);
        assert_eq!(height_profiles.len(), 2);
        let bounced = &height_profiles[1];
        assert_relative_eq!(bounced.travel, 1.4, epsilon = 1e-12);
        assert_relative_eq!(bounced.events[0].t, 1.0 / 1.4, epsilon = 1e-12);
        assert_relative_eq!(bounced.height_at(0.5), 1.4 + 0.7, epsilon = 1e-12);
        assert_relative_eq!(bounced.height_at(1.0), 2.0, epsilon = 1e-12);
    }

    #[test]
    fn floor_and_ceiling_in_turn() {
        let height_profiles =
            HeightProfile::all(&Floors::new(vec![floor(0.0), floor(2.4)]), 1.0, 1.5, 2);
        let orders: Vec<u8> =
            height_profiles.iter().map(|height_profile| height_profile.order).collect();
        assert_eq!(orders, [0, 1, 1, 2, 2]);
        assert_relative_eq!(height_profiles[3].travel, 1.0 + 2.4 + 0.9, epsilon = 1e-12);
        for height_profile in &height_profiles {
            for event in height_profile.events.iter().filter(|event| event.bounce) {
                let is_ceiling = height_profile.height_at(event.t) > 1.2;
                assert_eq!(height_profile.rises_to(event.t), is_ceiling, "{height_profile:?}");
            }
        }
    }

    #[test]
    fn a_floor_between_two_storeys_is_passed_and_mirrors_neither() {
        let height_profiles = HeightProfile::all(&Floors::new(vec![floor(2.6)]), 1.0, 4.0, 1);
        assert_eq!(height_profiles.len(), 1);
        assert_eq!(height_profiles[0].events.len(), 1);
        assert_relative_eq!(height_profiles[0].events[0].t, 1.6 / 3.0, epsilon = 1e-12);
    }
}
