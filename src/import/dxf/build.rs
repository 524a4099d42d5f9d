//! Walls and openings as pieces of a draft.

use std::collections::BTreeMap;

use geo::{Coord, InteriorPoint, Line, LineString, Polygon, Rect};

use super::axes::{Axis, stands};
use super::columns::{self, Column};
use super::faces::WallGroup;
use super::layers::{Role, Use};
use super::names::{self, Label};
use super::openings::Placed;
use super::sheet::{Closed, Sheet, Shell};
use super::stack::{self, Stack, Standing};
use crate::guess::{Guess, Guesses, PlanPoint};
use crate::line::{along, length, line_to_millimetre, seen_from};
use crate::taken::Taken;
use crate::{CEILING_M, DOOR, Draft, HEAD_M, Piece, SILL_M, Settings, WINDOW, What};
use plan::{Inside, Level, Plan, Wall, quoted};

/// How far beside the face of a wall is certainly in the room there, metres (our own choice).
const BESIDE_M: f64 = 0.15;

pub(super) struct House<'h> {
    pub(super) axes: &'h [Axis],
    pub(super) groups: &'h [WallGroup],
    pub(super) openings: &'h [Placed],
    pub(super) roles: &'h [Role<'h>],
    pub(super) settings: &'h Settings,
    pub(super) sheet: &'h Sheet,
    /// Ends of walls ahead of which nothing stands.
    pub(super) loose_ends: &'h [Coord<f64>],
    /// Hinges of doors, on walls or not.
    pub(super) hinges: &'h [Coord<f64>],
    /// What is written.
    pub(super) labels: &'h [Label],
    pub(super) columns: &'h [Column],
    /// Lines of stairs.
    pub(super) stairs: &'h [Line<f64>],
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

fn middle(line: Line<f64>) -> PlanPoint {
    PlanPoint::ground((line.start + line.end) * 0.5)
}

struct Stretch {
    axis: usize,
    from: f64,
    to: f64,
    line: Line<f64>,
    is_outside: bool,
    /// Its drawing on the sheet.
    drawing: Option<usize>,
}

/// Some groups of walls with their numbers, sizes and rooms.
fn listed(boxes: &[Rect<f64>], closed: &[Closed], which: &[usize]) -> String {
    const MOST: usize = 12;
    let group = |&at: &usize| {
        let (wide, deep, rooms) = (boxes[at].width(), boxes[at].height(), closed[at].rooms);
        let rooms = if rooms == 1 { "1 room".to_owned() } else { format!("{rooms} rooms") };
        format!("group {} ({wide:.1} by {deep:.1} m, {rooms})", at + 1)
    };
    let mut all: Vec<String> = which.iter().take(MOST).map(group).collect();
    if which.len() > MOST {
        all.push(format!("{} more", which.len() - MOST));
    }
    if all.is_empty() { "no group of walls".to_owned() } else { all.join(", ") }
}

/// The walls that are kept, and what those of each drawing on the sheet close off.
struct Site {
    stretches: Vec<Stretch>,
    closed: Vec<Closed>,
    kept: Vec<usize>,
    with_rooms: Vec<usize>,
    /// Walls of drawings without rooms, and loose pieces.
    left_out: usize,
    /// The rooms of what is kept.
    rooms: Vec<Polygon<f64>>,
}

impl House<'_> {
    /// The draft, with what was assumed; or what is wrong with the group that the user asks for.
    pub(super) fn draft(&self, guesses: &mut Guesses) -> Result<Draft, String> {
        let site = self.site()?;
        let stretches = &site.stretches;
        let mut draft = Draft { levels: vec![ground()], ..Draft::default() };
        draft.pieces.extend(stretches.iter().map(|stretch| self.wall(stretch)));
        let holds = |on: &Stretch, opening: &Placed| {
            on.axis == opening.axis && opening.from >= on.from - 1e-6 && opening.to <= on.to + 1e-6
        };
        let openings = self.openings.iter().filter_map(|opening| {
            Some((opening, stretches.iter().find(|stretch| holds(stretch, opening))?))
        });
        let mut taken = Taken::default();
        let (openings, over): (Vec<(&Placed, &Stretch)>, Vec<_>) =
            openings.partition(|(it, on)| {
                let base_m = if self.role(it, on).0 == Use::Window { SILL_M } else { 0.0 };
                taken.take(0, line_to_millimetre(self.line(it)), (base_m, HEAD_M))
            });
        let fix = "draw them in the plan if they are there";
        let over = over.iter().map(|(opening, _)| middle(self.line(opening))).collect();
        guesses.add_at("openings", "left out: another one is there", fix, over);
        draft.pieces.extend(openings.iter().map(|(opening, on)| self.opening(opening, on)));
        let is_kept = |at: Coord<f64>| {
            self.sheet.at(Line::new(at, at)).is_some_and(|drawing| site.kept.contains(&drawing))
        };
        draft.pieces.extend(columns::pieces(self.columns, self.axes, &is_kept, guesses));
        draft.pieces.extend(names::rooms(&site.rooms, self.labels));
        let mut first = Guesses::default();
        if let Some((open, ends)) = self.not_closed(&site) {
            let fix = "draw the walls there to one another, or map the layers that are missing";
            let ends = ends.into_iter().map(PlanPoint::ground);
            first.0.push(Guess::new("the outline", open.clone(), fix, 1).at(ends));
            draft.not_closed = Some(open);
        }
        self.tell_sheet(&site, &mut first);
        guesses.0.splice(0..0, first.0);
        self.tell(stretches, &openings, guesses);
        if !self.settings.stack.is_empty() {
            let walls = stretches.iter().map(|stretch| Standing {
                line: stretch.line,
                half_m: self.axes[stretch.axis].half_m(),
                is_outside: stretch.is_outside,
            });
            let walls = walls.collect();
            let (sheet, stairs) = (self.sheet, self.stairs);
            let stack = Stack { sheet, order: &site.kept, walls, rooms: &site.rooms, stairs };
            stack.lay(&mut draft, guesses);
        }
        Ok(draft)
    }

    /// Every wall that is kept, and whether it is an outside one: if just one of its sides is
    /// inside the building. Where the walls close off less than half of their outline, that asks
    /// the outline with its gaps bridged.
    fn site(&self) -> Result<Site, String> {
        let boxes = self.sheet.boxes();
        let stand = |(axis, _, line): (usize, usize, Line<f64>)| {
            let from = seen_from(self.axes[axis].line, line.start).0;
            let (to, drawing) = (from + length(line), self.sheet.at(line));
            Stretch { axis, from, to, line, is_outside: false, drawing }
        };
        let mut stretches: Vec<Stretch> = stands(self.axes).into_iter().map(stand).collect();
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
        let inside = Inside::new(&plan, &ground(), &|_| None);
        let rooms: Vec<&Polygon<f64>> = inside.rooms().collect();
        let mut lines: Vec<Vec<Line<f64>>> = vec![Vec::new(); boxes.len()];
        for stretch in &stretches {
            if let Some(drawing) = stretch.drawing {
                lines[drawing].push(stretch.line);
            }
        }
        let shells: Vec<Shell> = lines.into_iter().map(Shell::new).collect();
        let closed = shells.iter().zip(boxes);
        let closed: Vec<Closed> =
            closed.map(|(shell, whole)| shell.closed(*whole, &rooms, boxes.len())).collect();
        for stretch in &mut stretches {
            let Some(drawing) = stretch.drawing else { continue };
            let whole = length(stretch.line);
            let half = self.axes[stretch.axis].half_m() + BESIDE_M;
            let run = stretch.line.delta() / whole;
            let beside = Coord { x: -run.y, y: run.x } * half;
            let within = |at: Coord<f64>| match closed[drawing].is_closed() {
                true => inside.holds(at),
                false => shells[drawing].holds(at),
            };
            let one_sided = [0.2, 0.35, 0.5, 0.65, 0.8].into_iter().filter(|share| {
                let at = stretch.line.start + stretch.line.delta() * *share;
                within(at + beside) != within(at - beside)
            });
            stretch.is_outside = one_sided.count() >= 3;
        }
        let numbers = 0..boxes.len();
        let with_rooms: Vec<usize> = numbers.clone().filter(|at| closed[*at].rooms > 0).collect();
        let kept = match self.settings.group {
            Some(group) if (1..=boxes.len()).contains(&group) => vec![group - 1],
            Some(group) => {
                let all = listed(boxes, &closed, &numbers.collect::<Vec<_>>());
                return Err(format!("there is no group {group} of walls; there is {all}"));
            }
            None if !self.settings.stack.is_empty() => {
                stack::wanted(&self.settings.stack, boxes.len()).map_err(|what| {
                    format!(
                        "{what}; there is {}",
                        listed(boxes, &closed, &numbers.collect::<Vec<_>>())
                    )
                })?
            }
            None if with_rooms.is_empty() => numbers.collect(),
            None => vec![self.most_like_a_plan(&with_rooms, &closed)],
        };
        let before = stretches.len();
        let is_other = |one: &&Stretch| {
            let drawing = one.drawing.filter(|drawing| !kept.contains(drawing));
            drawing.is_some_and(|drawing| with_rooms.contains(&drawing))
        };
        let others = stretches.iter().filter(is_other).count();
        let is_chosen = self.settings.group.is_some() || !self.settings.stack.is_empty();
        if is_chosen || !with_rooms.is_empty() {
            // What the user maps is wanted wherever it stands.
            let is_mapped = |one: &Stretch| {
                let group = &self.groups[self.axes[one.axis].group];
                !is_chosen && group.construction.is_some()
            };
            let is_kept = |drawing| kept.contains(&drawing);
            stretches.retain(|one| is_mapped(one) || one.drawing.is_some_and(is_kept));
        }
        let rooms = rooms.into_iter().filter(|room| {
            let at = room.interior_point().map(|at| self.sheet.at(Line::new(at.0, at.0)));
            at.flatten().is_some_and(|drawing| kept.contains(&drawing))
        });
        let rooms = rooms.cloned().collect();
        let left_out = (before - stretches.len()).saturating_sub(others);
        Ok(Site { left_out, stretches, closed, kept, with_rooms, rooms })
    }

    /// Of the drawings with rooms the one that is most a floor plan: with the most rooms in which
    /// somebody can walk, as far as there are openings into them, then with the most openings. A
    /// roof has none, and an elevation no room but panes. Where leaves swing, people walk: they
    /// count as openings that give rooms, whether they were found in a wall or not.
    fn most_like_a_plan(&self, with_rooms: &[usize], closed: &[Closed]) -> usize {
        let mut openings = vec![0; closed.len()];
        for at in self.openings.iter().filter_map(|opening| self.sheet.at(self.line(opening))) {
            openings[at] += 1;
        }
        let mut doors = vec![0; closed.len()];
        for at in self.hinges.iter().filter_map(|&hinge| self.sheet.at(Line::new(hinge, hinge))) {
            doors[at] += 1;
        }
        let worth = |at: usize| {
            let rooms = closed[at].wide_rooms.min(2 * openings[at] + 4);
            (rooms + doors[at], openings[at])
        };
        let area = |at: usize| closed[at].rooms_m2;
        let better = |a: &usize, b: &usize| {
            worth(*a).cmp(&worth(*b)).then(area(*a).total_cmp(&area(*b))).then(b.cmp(a))
        };
        with_rooms.iter().copied().max_by(better).unwrap_or(0)
    }

    /// What is said of drawings whose walls close off less than half of what their outline holds,
    /// and where they end.
    fn not_closed(&self, site: &Site) -> Option<(String, Vec<Coord<f64>>)> {
        let open = site.kept.iter().filter(|drawing| !site.closed[**drawing].is_closed());
        let open: Vec<usize> = open.copied().collect();
        let of = |what: fn(&Closed) -> f64| {
            open.iter().map(|drawing| what(&site.closed[*drawing])).fold(0.0, |a, b| a + b)
        };
        let whole = of(|closed| closed.outline_m2);
        let at_ends = self.loose_ends.iter().filter(|end| {
            open.iter().any(|drawing| self.sheet.at(Line::new(**end, **end)) == Some(*drawing))
        });
        let mut ends: Vec<Coord<f64>> = at_ends.copied().collect();
        ends.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
        let most = ends.iter().take(6).map(|end| format!("({:.1}, {:.1})", end.x, end.y));
        let most = most.collect::<Vec<_>>().join(", ");
        let more =
            if ends.len() > 6 { format!(" and {} more", ends.len() - 6) } else { String::new() };
        let places = match ends.is_empty() {
            true => String::new(),
            false => format!("; walls end without meeting another at {most}{more}, in metres"),
        };
        (whole > 0.0).then(|| {
            let rooms = of(|closed| closed.rooms_m2);
            (format!("open: closed rooms cover {rooms:.0} of about {whole:.0} m²{places}"), ends)
        })
    }

    fn tell_sheet(&self, site: &Site, guesses: &mut Guesses) {
        let boxes = self.sheet.boxes();
        let is_chosen = self.settings.group.is_some() || !self.settings.stack.is_empty();
        if let ([kept], false) = (site.kept.as_slice(), is_chosen) {
            let of = &site.with_rooms;
            let others: Vec<usize> = of.iter().copied().filter(|at| at != kept).collect();
            let taken = format!(
                "only group {} is read, the one with the most rooms and openings; left out: {}",
                kept + 1,
                listed(boxes, &site.closed, &others)
            );
            let fix = "--group N reads another one, --stack N,N several as storeys of one house";
            guesses.add("drawings on one sheet", taken, fix, others.len());
        }
        let taken = "left out: elevations, sections, details, loose pieces";
        let fix = "--group N reads one group of walls alone";
        guesses.add("walls that belong to no rooms", taken, fix, site.left_out);
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
        let (meant, made) = self.role(opening, on);
        let (is_door, open) = (meant != Use::Window, meant == Use::Doorway);
        let construction = made.unwrap_or(if is_door { DOOR } else { WINDOW });
        let what = What::Opening {
            construction: construction.to_owned(),
            entry: is_door && on.is_outside,
            open,
            base_m: (!is_door).then_some(SILL_M),
            top_m: Some(HEAD_M),
        };
        let word = match meant {
            Use::Window => "window",
            Use::Doorway => "gap",
            _ => "door",
        };
        Piece::new(word, 0, self.line(opening), what)
    }

    fn role(&self, opening: &Placed, on: &Stretch) -> Role<'_> {
        match self.roles[opening.sign] {
            (Use::Panes, made) if on.is_outside => (Use::Window, made),
            (Use::Panes, made) => (Use::Door, made),
            role => role,
        }
    }

    fn line(&self, opening: &Placed) -> Line<f64> {
        let line = self.axes[opening.axis].line;
        Line::new(along(line, opening.from), along(line, opening.to))
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
            let roles = openings.iter().map(|(opening, on)| self.role(opening, on));
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
            .filter(|(opening, on)| on.is_outside && self.role(opening, on).0 != Use::Window);
        let fix = "in the plan, set \"entry\" to false for doors that nobody comes in by";
        guesses.add("doors in outside walls", "taken as ways in", fix, entries.count());
        let about = "gaps in walls";
        let taken = "taken as doorways without a leaf: nothing is drawn in them";
        let fix = "where there is a door, remove \"state\" in the plan";
        let gaps = openings.iter().map(|(opening, _)| opening);
        let gaps = gaps.filter(|opening| self.roles[opening.sign] == (Use::Doorway, None));
        let gaps = gaps.map(|opening| middle(self.line(opening))).collect();
        guesses.add_at(about, taken, fix, gaps);
        let fix = "export one storey at a time, or change \"levels\" in the plan";
        let is_one = usize::from(self.settings.stack.is_empty());
        guesses.add("levels", format!("one, {CEILING_M} m high"), fix, is_one);
    }
}
