//! A level as a person walks it: what is in the way, the doorways, what is out of doors.

use super::index::Index;
use super::outside::Outside;
use super::ring::{Doorway, is_gap_on, rings_of};
use super::settings::{MAX_ENTRIES, MAX_SIDES, WalkError, WalkSettings};
use plan::{Opening, Plan};
use trace::{Point, norm};

#[derive(Debug, Clone)]
pub(super) struct Storey {
    pub level: i32,
    pub index: Index,
    pub outside: Outside,
    /// Doorways between two places indoors.
    pub doorways: Vec<Doorway>,
}

/// A doorway by which people come in.
#[derive(Debug, Clone)]
pub(super) struct EntryDoor {
    pub id: String,
    pub storey: usize,
    pub doorway: Doorway,
    /// Sides of the doorway that are not out of doors: 1 to the left of its wall, −1 to the right.
    pub sides: Vec<f64>,
}

/// A flight of stairs between two of the storeys.
#[derive(Debug, Clone)]
pub(super) struct Flight {
    pub storeys: [usize; 2],
    pub line: Vec<Point>,
    /// Length in space: line in plan and difference of the floors, as one slope.
    pub length_m: f64,
}

impl Flight {
    pub fn ends(&self) -> Option<[Point; 2]> {
        Some([*self.line.first()?, *self.line.last()?])
    }
}

#[derive(Debug, Clone)]
pub(super) struct Building {
    pub storeys: Vec<Storey>,
    pub entries: Vec<EntryDoor>,
    pub flights: Vec<Flight>,
}

impl Building {
    pub fn new(
        plan: &Plan,
        settings: &WalkSettings,
        passable: &dyn Fn(&Opening) -> bool,
    ) -> Result<Self, WalkError> {
        let number_of = |level: i32| plan.levels.iter().position(|l| l.number == level);
        let flights: Vec<Flight> = plan
            .stairs
            .iter()
            .filter_map(|stairs| {
                let storeys = [number_of(stairs.level)?, number_of(stairs.to_level)?];
                let rise = plan.levels[storeys[1]].floor_m - plan.levels[storeys[0]].floor_m;
                let line = stairs.line.0.clone();
                let run: f64 = line.windows(2).map(|pair| norm(pair[1] - pair[0])).sum();
                (!line.is_empty()).then_some(Flight { storeys, line, length_m: run.hypot(rise) })
            })
            .collect();

        let (entering, ways): (Vec<&Opening>, Vec<&Opening>) = plan
            .openings
            .iter()
            .filter(|opening| opening.entry || passable(opening))
            .partition(|opening| opening.entry);
        WalkError::unless_at_most("entries", entering.len(), MAX_ENTRIES)?;

        let mut storeys = Vec::with_capacity(plan.levels.len());
        let mut entries = Vec::new();
        let mut sides = 0;
        for (number, level) in plan.levels.iter().enumerate() {
            let here: Vec<(&Opening, Doorway)> = ways
                .iter()
                .filter(|opening| is_gap_on(plan, opening, level))
                .filter_map(|opening| Some((*opening, Doorway::of(plan, opening)?)))
                .collect();
            let doors: Vec<(&Opening, Doorway)> = entering
                .iter()
                .filter(|opening| {
                    let wall = plan.walls.get(opening.wall);
                    wall.is_some_and(|wall| wall.level == level.number)
                })
                .filter_map(|opening| Some((*opening, Doorway::of(plan, opening)?)))
                .collect();
            let all: Vec<Doorway> = here.iter().chain(&doors).map(|(_, way)| *way).collect();
            let feet: Vec<Point> = flights
                .iter()
                .filter_map(|flight| Some((flight.storeys, flight.ends()?)))
                .flat_map(|(storeys, ends)| storeys.into_iter().zip(ends))
                .filter(|(storey, _)| *storey == number)
                .map(|(_, end)| end)
                .collect();
            let outside = Outside::new(plan, level, &all, &feet);
            // A door to the outside stays shut: nobody walks out of the house and in again.
            let (gaps, doorways): (Vec<&Opening>, Vec<Doorway>) = here
                .iter()
                .filter(|(_, way)| [1.0, -1.0].iter().all(|s| !outside.is_out_beside(way, *s)))
                .copied()
                .unzip();
            let rings = rings_of(plan, level, settings, &gaps);
            sides += rings.iter().map(|ring| ring.points.len()).sum::<usize>();
            WalkError::unless_at_most("sides of walls and obstacles", sides, MAX_SIDES)?;
            entries.extend(doors.iter().map(|(opening, doorway)| {
                EntryDoor {
                    id: opening.id.clone(),
                    storey: number,
                    doorway: *doorway,
                    sides: [1.0, -1.0]
                        .into_iter()
                        .filter(|side| !outside.is_out_beside(doorway, *side))
                        .collect(),
                }
            }));
            storeys.push(Storey {
                level: level.number,
                index: Index::new(rings, settings.half_width_m),
                outside,
                doorways,
            });
        }
        Ok(Self { storeys, entries, flights })
    }
}
