//! Walls and openings as pieces of a draft.

use std::collections::BTreeMap;

use geo::{Contains as _, Coord, Line, LineString, Point};

use super::axes::Axis;
use super::faces::WallGroup;
use super::layers::{Role, Use};
use super::openings::Placed;
use crate::guess::Guesses;
use crate::line::{along, length};
use crate::{CEILING_M, DOOR, Draft, HEAD_M, Piece, SILL_M, Settings, WINDOW, What};
use plan::{Level, Plan, Rooms, Wall, quoted};

/// How far beside the face of a wall is certainly in the room there, metres (our own choice).
const BESIDE_M: f64 = 0.15;

pub(super) struct House<'h> {
    pub(super) axes: &'h [Axis],
    pub(super) groups: &'h [WallGroup],
    pub(super) openings: &'h [Placed],
    pub(super) roles: &'h [Role<'h>],
    pub(super) settings: &'h Settings,
}

fn ground() -> Level {
    Level {
        number: 0,
        name: "Ground".to_owned(),
        floor_m: 0.0,
        ceiling_m: CEILING_M,
        is_over_air: false,
    }
}

struct Stretch {
    axis: usize,
    from: f64,
    to: f64,
    line: Line<f64>,
    is_outside: bool,
}

impl House<'_> {
    /// The draft, with what was assumed.
    pub(super) fn draft(&self, guesses: &mut Guesses) -> Draft {
        let stretches = self.stretches();
        let mut draft = Draft { levels: vec![ground()], ..Draft::default() };
        draft.pieces.extend(stretches.iter().map(|stretch| self.wall(stretch)));
        let holds = |on: &Stretch, opening: &Placed| {
            on.axis == opening.axis && opening.from >= on.from - 1e-6 && opening.to <= on.to + 1e-6
        };
        let openings = self.openings.iter().filter_map(|opening| {
            Some((opening, stretches.iter().find(|stretch| holds(stretch, opening))?))
        });
        let openings: Vec<(&Placed, &Stretch)> = openings.collect();
        draft.pieces.extend(openings.iter().map(|(opening, on)| self.opening(opening, on)));
        self.tell(&stretches, &openings, guesses);
        draft
    }

    /// Every wall, and whether it is an outside one: if just one of its sides is a room.
    fn stretches(&self) -> Vec<Stretch> {
        let mut stretches: Vec<Stretch> = Vec::new();
        for (number, axis) in self.axes.iter().enumerate() {
            stretches.extend(axis.spans.iter().map(|&(from, to)| Stretch {
                axis: number,
                from,
                to,
                line: Line::new(along(axis.line, from), along(axis.line, to)),
                is_outside: false,
            }));
        }
        let walls = stretches.iter().map(|stretch| Wall {
            id: String::new(),
            level: 0,
            construction: String::new(),
            thickness_mm: Some(self.axes[stretch.axis].half_m() * 2e3),
            line: LineString::new(vec![stretch.line.start, stretch.line.end]),
            base_m: 0.0,
            top_m: CEILING_M,
        });
        let plan = Plan { levels: vec![ground()], walls: walls.collect(), ..Plan::default() };
        let rooms = Rooms::new(&plan, &|_| None);
        let in_room =
            |at: Coord<f64>| rooms.at(0, at).is_some_and(|room| room.outline.contains(&Point(at)));
        for stretch in &mut stretches {
            let whole = length(stretch.line);
            let half = self.axes[stretch.axis].half_m() + BESIDE_M;
            let run = stretch.line.delta() / whole;
            let beside = Coord { x: -run.y, y: run.x } * half;
            let one_sided = [0.2, 0.35, 0.5, 0.65, 0.8].into_iter().filter(|share| {
                let at = stretch.line.start + stretch.line.delta() * *share;
                in_room(at + beside) != in_room(at - beside)
            });
            stretch.is_outside = one_sided.count() >= 3;
        }
        stretches
    }

    fn construction(&self, stretch: &Stretch) -> &str {
        let mapped = self.groups[self.axes[stretch.axis].group].construction.as_deref();
        mapped.unwrap_or_else(|| {
            if stretch.is_outside { self.settings.outside() } else { self.settings.inside() }
        })
    }

    fn wall(&self, stretch: &Stretch) -> Piece {
        let what = What::Wall {
            construction: self.construction(stretch).to_owned(),
            thickness_mm: self.axes[stretch.axis].thickness_m.map(|metres| metres * 1e3),
            base_m: None,
            top_m: None,
        };
        Piece::new("", 0, stretch.line, what)
    }

    fn opening(&self, opening: &Placed, on: &Stretch) -> Piece {
        let line = self.axes[opening.axis].line;
        let (meant, made) = self.roles[opening.sign];
        let (is_door, open) = (meant != Use::Window, meant == Use::Doorway);
        let construction = made.unwrap_or(if is_door { DOOR } else { WINDOW });
        let what = What::Opening {
            construction: construction.to_owned(),
            entry: is_door && on.is_outside,
            open,
            base_m: (!is_door).then_some(SILL_M),
            top_m: Some(HEAD_M),
        };
        let line = Line::new(along(line, opening.from), along(line, opening.to));
        let word = match meant {
            Use::Window => "window",
            Use::Doorway => "gap",
            _ => "door",
        };
        Piece::new(word, 0, line, what)
    }

    fn tell(&self, stretches: &[Stretch], openings: &[(&Placed, &Stretch)], guesses: &mut Guesses) {
        let mut by_kind: BTreeMap<(bool, usize), Vec<f64>> = BTreeMap::new();
        for stretch in stretches {
            let axis = &self.axes[stretch.axis];
            if self.groups[axis.group].construction.is_none() {
                let drawn_mm = by_kind.entry((!stretch.is_outside, axis.group)).or_default();
                drawn_mm.push(axis.thickness_m.unwrap_or(0.0) * 1e3);
            }
        }
        for ((inside, group), mut drawn_mm) in by_kind {
            drawn_mm.sort_by(f64::total_cmp);
            let median = drawn_mm[drawn_mm.len() / 2];
            let (where_, name) = match inside {
                true => ("inside", self.settings.inside()),
                false => ("outside", self.settings.outside()),
            };
            let drawn = match median > 0.0 {
                true => format!("{median:.0} mm thick (median)"),
                false => "without thickness".to_owned(),
            };
            let about = format!("{where_} walls of layer {}", quoted(&self.groups[group].layer));
            let mm = self.settings.thickness_m(name) * 1e3;
            let taken = format!("taken as {name}, {mm:.0} mm; drawn {drawn}");
            let fix = format!("--{where_} CONSTRUCTION, or --map LAYER=CONSTRUCTION");
            guesses.add(about, taken, fix, drawn_mm.len());
        }
        let plain = |meant: Use| {
            let roles = openings.iter().map(|(opening, _)| self.roles[opening.sign]);
            roles.filter(|role| *role == (meant, None)).count()
        };
        let taken = format!("taken as {DOOR}, {HEAD_M} m high");
        let fix = "--map DOORS=door-hollow";
        guesses.add("doors", taken, fix, plain(Use::Door));
        let taken = format!("taken as {WINDOW}, from {SILL_M} to {HEAD_M} m");
        let fix = "--map WINDOWS=glass-triple-coated; heights in the plan";
        guesses.add("windows", taken, fix, plain(Use::Window));
        let entries = openings
            .iter()
            .filter(|(opening, on)| on.is_outside && self.roles[opening.sign].0 != Use::Window);
        let fix = "in the plan, set \"entry\" to false for doors that nobody comes in by";
        guesses.add("doors in outside walls", "taken as ways in", fix, entries.count());
        let about = "gaps in walls";
        let taken = "taken as doorways without a leaf: nothing is drawn in them";
        let fix = "where there is a door, remove \"state\" in the plan";
        guesses.add(about, taken, fix, plain(Use::Doorway));
        let fix = "export one storey at a time, or change \"levels\" in the plan";
        guesses.add("levels", format!("one, {CEILING_M} m high"), fix, 1);
    }
}
