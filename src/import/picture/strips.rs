//! Walls that are drawn with two lines: the strips between them, and how these hang together,
//! which furniture does not.
//!
//! Between every two level lines, or two upright ones, that follow one another as near as the faces
//! of a wall there is a strip. The inside of a wall runs on into the next one: at a corner or where
//! a partition begins no line closes it. What is drawn in a room is closed on all sides, or hangs
//! together with little else. So strips that run on into one another, or stand in one line across
//! an opening, make a net, and the large nets are walls, as is what reaches from wall to wall.

use geo::{Coord, Line};

use super::ink::Mask;
use crate::union::root;

/// Least and most between the two lines of a wall, metres (our own choice: a counter is deeper).
const APART_M: (f64, f64) = (0.035, 0.5);
/// Shortest strip, metres (our own choice).
const SHORT_M: f64 = 0.12;
/// Two strips on one line differ by this much at most, in place and in thickness, metres.
const SAME_M: f64 = 0.05;
/// A strip runs on into another by so much at least, metres (our own choice: wider than a line).
const INTO_M: f64 = 0.04;
/// One line of a wall goes on by no more than this where it ends, metres (our own choice).
const ON_M: f64 = 0.25;
/// What is so near to the end of a strip stands there, metres.
const TOUCH_M: f64 = 0.06;
/// Widest opening across which a wall goes on, metres (our own choice).
const OPENING_M: f64 = 3.0;
/// Least length of a net of walls, metres, and its least share of the longest one (our own choice).
const NET_M: f64 = 6.0;
const NET_SHARE: f64 = 0.3;
/// Least of it that is level and that is upright, metres, and as a share of it (our own choice).
const TWO_WAYS_M: f64 = 1.5;
const TWO_WAYS: f64 = 0.12;
/// Shortest partition between two walls, metres (our own choice).
const PARTITION_M: f64 = 0.4;
/// What is solid is the side of a wall and not its end where it is longer, metres (our own choice).
const FACE_M: f64 = 0.6;
/// Share of a strip's width that a line across it must cover to close it.
const CLOSED: f64 = 0.7;
/// Share of its inside that is ink where it is hatched (our own choice).
const HATCHED: f64 = 0.2;
const FILLED: f64 = 0.6;
/// The same of a line across hatching.
const CLOSED_HATCHED: f64 = 0.85;
/// Widest from one line of hatching to the next, metres (our own choice).
const PITCH_M: f64 = 0.15;
/// Most strips (our own choice: it bounds the time of a hostile picture).
const MOST: usize = 3_000;
/// Most looks at a neighbour (our own choice, as above).
const MOST_LOOKS: usize = 4_000_000;

/// A box: left, top, right, bottom, pixels.
type Area = [f64; 4];

/// How large things are in the picture.
#[derive(Clone, Copy)]
pub(super) struct Scale {
    /// Pixels to a metre.
    pub(super) to_a_metre: f64,
    /// Most that a thin line is wide, pixels.
    pub(super) line: f64,
}

/// What is between two lines.
#[derive(Clone, Copy)]
struct Strip {
    is_upright: bool,
    /// From where to where along its lines.
    from: f64,
    to: f64,
    /// Its two lines.
    low: f64,
    high: f64,
    /// How far it runs on before its start and behind its end until a line closes it, which may
    /// lie within it, or the next one in line begins; nothing where neither is within a wall's
    /// thickness.
    open: [Option<f64>; 2],
    /// Whether one of its lines goes on there, beside which it has nothing.
    goes_on: [bool; 2],
    /// How far that was looked for.
    reach: f64,
}

impl Strip {
    fn long(&self) -> f64 {
        self.to - self.from
    }

    fn area(&self, from: f64, to: f64) -> Area {
        if self.is_upright {
            [self.low, from, self.high, to]
        } else {
            [from, self.low, to, self.high]
        }
    }

    fn whole(&self) -> Area {
        self.area(self.from, self.to)
    }

    /// The strip with the way that it runs on.
    fn reached(&self) -> Area {
        let [before, behind] = self.open.map(|open| open.unwrap_or(0.0));
        self.area(self.from - before, self.to + behind)
    }
}

/// Whether two boxes share more than an edge of so many pixels.
fn meet(a: Area, b: Area, by: f64) -> bool {
    (0..2).all(|axis| a[axis + 2].min(b[axis + 2]) - a[axis].max(b[axis]) > by)
}

/// The boxes of walls that are drawn with two lines; `lines`: level and upright ones; `ink`: what
/// may close a strip; `solid`: walls that are known.
pub(super) fn walls(
    lines: &[Line<f64>],
    ink: &Mask,
    solid: &[Line<f64>],
    scale: Scale,
) -> Vec<Area> {
    let to_a_metre = scale.to_a_metre;
    let mut strips = strips(lines, to_a_metre);
    strips.sort_by(|a, b| b.long().total_cmp(&a.long()));
    strips.truncate(MOST);
    for strip in &mut strips {
        strip.reach = APART_M.1 * to_a_metre;
        strip.open = [-1.0, 1.0].map(|way| open(strip, way, ink, scale));
    }
    let next: Vec<[Option<f64>; 2]> = strips
        .iter()
        .map(|strip| [0, 1].map(|end| strip.open[end].or_else(|| next(strip, end, &strips))))
        .collect();
    strips.iter_mut().zip(next).for_each(|(strip, open)| strip.open = open);
    // Between a wall and what stands before it the paper is open to the room.
    strips.retain(|strip| (0..2).all(|end| strip.open[end].is_some() || !strip.goes_on[end]));
    let mut is_wall = large(&strips, &Nets::of(&strips, false, to_a_metre), solid, to_a_metre);
    let solid_m = long_m(solid, to_a_metre);
    if solid_m < NET_M && !is_wall.contains(&true) {
        // Each wall may be drawn as a box of its own.
        let alone = |strip: &&Strip| !is_second(strip, &strips, to_a_metre);
        strips = strips.iter().filter(alone).copied().collect();
        is_wall = large(&strips, &Nets::of(&strips, true, to_a_metre), solid, to_a_metre);
    }
    partitions(&strips, &mut is_wall, solid, to_a_metre);
    let walls = strips.iter().zip(&is_wall).filter(|(_, is_wall)| **is_wall);
    let walls: Vec<&Strip> = walls.map(|(strip, _)| strip).collect();
    walls.iter().flat_map(|strip| filled(strip, &walls, to_a_metre)).collect()
}

/// Strips between lines that follow one another.
fn strips(lines: &[Line<f64>], to_a_metre: f64) -> Vec<Strip> {
    let (least, most) = (APART_M.0 * to_a_metre, APART_M.1 * to_a_metre);
    let (short, on) = (SHORT_M * to_a_metre, ON_M * to_a_metre);
    let mut strips = Vec::new();
    let mut looks = 0;
    for is_upright in [false, true] {
        // Across, from, to.
        let mut own: Vec<(f64, f64, f64)> = lines
            .iter()
            .filter(|line| (line.dx().abs() < line.dy().abs()) == is_upright)
            .map(|line| {
                let turned = |at: Coord<f64>| if is_upright { (at.y, at.x) } else { (at.x, at.y) };
                let ((p, off), (q, then)) = (turned(line.start), turned(line.end));
                ((off + then) / 2.0, p.min(q), p.max(q))
            })
            .collect();
        own.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
        for (number, &(low, first, last)) in own.iter().enumerate() {
            // Stretches below which no line was met yet.
            let mut free = vec![(first, last)];
            for &(high, start, end) in &own[number + 1..] {
                looks += 1;
                if high - low > most || free.is_empty() || looks > MOST_LOOKS {
                    break;
                }
                let mut left = Vec::with_capacity(free.len() + 1);
                for (from, to) in free {
                    let (begin, stop) = (from.max(start), to.min(end));
                    if stop <= begin {
                        left.push((from, to));
                        continue;
                    }
                    if stop - begin >= short && high - low >= least {
                        strips.push(Strip {
                            is_upright,
                            from: begin,
                            to: stop,
                            low,
                            high,
                            open: [None; 2],
                            goes_on: [begin - first.min(start) > on, last.max(end) - stop > on],
                            reach: 0.0,
                        });
                    }
                    let rest = [(from, begin), (stop, to)];
                    left.extend(rest.into_iter().filter(|(from, to)| to - from >= short));
                }
                free = left;
            }
        }
    }
    strips
}

/// How far a strip runs on beyond an end until a line closes it, or until its hatching ends.
fn open(strip: &Strip, way: f64, ink: &Mask, scale: Scale) -> Option<f64> {
    let half_line = scale.line / 2.0;
    let (low, high) = (strip.low + half_line, strip.high - half_line);
    let middle = (strip.low + strip.high) / 2.0;
    let (low, high) = if high - low < 1.0 { (middle - 0.5, middle + 0.5) } else { (low, high) };
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "in the picture")]
    let whole = |at: f64| at.max(0.0) as usize;
    let across = whole(low)..whole(high).max(whole(low) + 1);
    // Which share of its width is ink there, or one pixel before.
    let covered = |at: f64| {
        let is_ink = |across: usize, at: f64| {
            let (column, row) =
                if strip.is_upright { (across, whole(at)) } else { (whole(at), across) };
            ink.is(column, row)
        };
        let dark = across.clone().filter(|it| is_ink(*it, at) || is_ink(*it, at - way));
        dark.count() as f64 / across.len() as f64
    };
    // A strip ends behind the line that closes it.
    let start = -(scale.line + 2.0).min(strip.long() / 2.0);
    let end = if way > 0.0 { strip.to } else { strip.from };
    let steps = strip.long().ceil().clamp(1.0, 200.0);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "1 to 200")]
    let inside = (0..steps as usize)
        .map(|step| covered(strip.from + strip.long() * (0.1 + 0.8 * (step as f64 + 0.5) / steps)));
    let hatched = inside.sum::<f64>() / steps;
    // Over the width of hatching, from one of its lines to the next.
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "some pixels")]
    let pitch = (PITCH_M * scale.to_a_metre).ceil().max(1.0) as usize;
    let mut last = std::collections::VecDeque::from(vec![hatched; pitch]);
    let mut off = start;
    let reach = strip.reach + if hatched < HATCHED { 0.0 } else { pitch as f64 };
    while off <= reach {
        let at = end + way * off;
        if at < 1.0 {
            return None;
        }
        let covered = covered(at);
        last.pop_front();
        last.push_back(covered);
        let mean = last.iter().sum::<f64>() / pitch as f64;
        // One line of hatching may cover all of a thin wall.
        let is_line = hatched < HATCHED || hatched < FILLED && across.len() > pitch;
        if is_line && covered >= if hatched < HATCHED { CLOSED } else { CLOSED_HATCHED } {
            return Some(off);
        }
        if hatched >= HATCHED && mean < hatched / 2.0 {
            return Some(off - pitch as f64 * 0.7);
        }
        off += 1.0;
    }
    None
}

/// How strips hang together.
struct Nets {
    /// The net to which each belongs.
    of: Vec<usize>,
    /// Whether each runs on into another one.
    is_open: Vec<bool>,
    /// Whether something stands at its start and its end: another one that it meets, or one in line
    /// with it.
    held: Vec<[bool; 2]>,
}

impl Nets {
    /// `boxes`: whether one that ends at the side of another hangs together with it.
    fn of(strips: &[Strip], boxes: bool, to_a_metre: f64) -> Self {
        let mut above: Vec<usize> = (0..strips.len()).collect();
        let mut is_open = vec![false; strips.len()];
        let mut held = vec![[false; 2]; strips.len()];
        let (same, touch) = (SAME_M * to_a_metre, TOUCH_M * to_a_metre);
        for (number, strip) in strips.iter().enumerate() {
            let reached = strip.reached();
            for (other_number, other) in strips.iter().enumerate().skip(number + 1) {
                let joined = if strip.is_upright != other.is_upright {
                    let mut abuts = false;
                    for (one, at, it) in [(strip, number, other), (other, other_number, strip)] {
                        for (side, end) in [one.from, one.to].into_iter().enumerate() {
                            let there = one.area(end - touch, end + touch);
                            let meets = meet(there, it.whole(), 1.0);
                            held[at][side] |= meets;
                            abuts |= meets;
                        }
                    }
                    let joined =
                        boxes && abuts || runs_into(strip, other, reached, INTO_M * to_a_metre);
                    is_open[number] |= joined;
                    is_open[other_number] |= joined;
                    joined
                } else {
                    let off = (strip.low - other.low).abs().max((strip.high - other.high).abs());
                    let apart = strip.from.max(other.from) - strip.to.min(other.to);
                    let joined = off <= same
                        && apart <= OPENING_M * to_a_metre
                        && !is_crossed(strip, other, strips);
                    if joined {
                        let is_behind = usize::from(other.from > strip.from);
                        held[number][is_behind] = true;
                        held[other_number][1 - is_behind] = true;
                    }
                    joined
                };
                if joined {
                    let (a, b) = (root(&mut above, number), root(&mut above, other_number));
                    above[a.max(b)] = a.min(b);
                }
            }
        }
        let of = (0..strips.len()).map(|number| root(&mut above, number)).collect();
        Self { of, is_open, held }
    }
}

/// Whether another strip crosses the way from one to the next in line.
fn is_crossed(strip: &Strip, other: &Strip, strips: &[Strip]) -> bool {
    let (from, to) = (strip.to.min(other.to), strip.from.max(other.from));
    strips.iter().any(|across| {
        across.is_upright != strip.is_upright
            && across.low >= from - 1.0
            && across.high <= to + 1.0
            && across.from < strip.low
            && across.to > strip.high
    })
}

/// Whether the insides of a level and an upright strip are one.
fn runs_into(strip: &Strip, other: &Strip, reached: Area, by: f64) -> bool {
    let meets = |a: Area, b: Area| meet(a, b, by);
    meets(reached, other.whole())
        || meets(other.reached(), strip.whole())
        || meets(reached, other.reached())
}

/// How long a net is, metres, level and upright.
fn lengths(strips: &[Strip], nets: &[usize], to_a_metre: f64) -> Vec<[f64; 2]> {
    let mut lengths = vec![[0.0; 2]; strips.len()];
    for (strip, net) in strips.iter().zip(nets) {
        lengths[*net][usize::from(strip.is_upright)] += strip.long() / to_a_metre;
    }
    lengths
}

/// How long walls are together of which both faces are known, metres.
fn long_m(faces: &[Line<f64>], to_a_metre: f64) -> f64 {
    faces.iter().map(|line| line.dx().hypot(line.dy())).sum::<f64>() / (2.0 * to_a_metre)
}

/// Whether a longer strip is beside one, with a line between them that is both's.
fn is_second(strip: &Strip, strips: &[Strip], to_a_metre: f64) -> bool {
    let near = 0.02 * to_a_metre;
    strips.iter().any(|other| {
        let shared = strip.to.min(other.to) - strip.from.max(other.from);
        let apart = (strip.low - other.high).abs().min((strip.high - other.low).abs());
        other.is_upright == strip.is_upright
            && apart <= near
            && shared > 0.5 * strip.long()
            && other.long() > strip.long()
    })
}

/// Which strips belong to nets that are large enough for walls.
fn large(strips: &[Strip], nets: &Nets, solid: &[Line<f64>], to_a_metre: f64) -> Vec<bool> {
    let lengths = lengths(strips, &nets.of, to_a_metre);
    let size = |net: usize| {
        let [level, upright] = lengths[net];
        let two_ways = level.min(upright) >= TWO_WAYS_M.max(TWO_WAYS * (level + upright));
        if two_ways { level + upright } else { 0.0 }
    };
    let longest = (0..strips.len()).map(size).fold(long_m(solid, to_a_metre), f64::max);
    // What only stands in line with a wall, with nothing behind it, is none.
    let is_bound = |number: usize| nets.is_open[number] || nets.held[number] == [true; 2];
    let is_large = |net: usize| size(net) >= NET_M.max(NET_SHARE * longest);
    (0..strips.len()).map(|number| is_large(nets.of[number]) && is_bound(number)).collect()
}

/// Takes strips for walls that reach from wall to wall.
fn partitions(strips: &[Strip], is_wall: &mut [bool], solid: &[Line<f64>], to_a_metre: f64) {
    let touch = TOUCH_M * to_a_metre;
    let at_solid = |strip: &Strip, end: f64| {
        let [left, top, right, bottom] = strip.area(end - touch, end + touch);
        solid.iter().any(|line| {
            // The end of a wall is no longer than that is thick: a window goes on from there.
            let is_across = (line.dx().abs() < line.dy().abs()) != strip.is_upright
                && line.dx().hypot(line.dy()) > FACE_M * to_a_metre;
            let own = [
                line.start.x.min(line.end.x) - 0.5,
                line.start.y.min(line.end.y) - 0.5,
                line.start.x.max(line.end.x) + 0.5,
                line.start.y.max(line.end.y) + 0.5,
            ];
            is_across && meet([left, top, right, bottom], own, 0.0)
        })
    };
    let (same, opening) = (SAME_M * to_a_metre, OPENING_M * to_a_metre);
    let in_line = |strip: &Strip, end: usize, other: &Strip| {
        let gap = if end == 0 { strip.from - other.to } else { other.from - strip.to };
        other.is_upright == strip.is_upright
            && (strip.low - other.low).abs().max((strip.high - other.high).abs()) <= same
            && (0.0..=opening).contains(&gap)
    };
    for _ in 0..4 {
        let known = is_wall.to_vec();
        let walls = || strips.iter().zip(&known).filter(|(_, known)| **known).map(|(one, _)| one);
        let may = |number: usize| {
            let strip = &strips[number];
            let [left, top, right, bottom] = strip.whole();
            let [x, y] = if strip.is_upright { [touch, 0.0] } else { [0.0, touch] };
            let beside = [left - x, top - y, right + x, bottom + y];
            !known[number]
                && strip.long() >= PARTITION_M * to_a_metre
                && !walls().any(|wall| {
                    wall.is_upright == strip.is_upright && meet(beside, wall.whole(), 1.0)
                })
        };
        let may: Vec<usize> = (0..strips.len()).filter(|number| may(*number)).collect();
        // Whether a wall stands at each end, or beyond openings at the end of the last in line.
        let mut held: Vec<[bool; 2]> = may
            .iter()
            .map(|number| {
                let strip = &strips[*number];
                [strip.from, strip.to].map(|end| {
                    let there = strip.area(end - touch, end + touch);
                    at_solid(strip, end)
                        || walls().any(|wall| {
                            wall.is_upright != strip.is_upright && meet(there, wall.whole(), 1.0)
                        })
                })
            })
            .collect();
        for _ in 0..4 {
            let before = held.clone();
            for (number, held) in may.iter().zip(&mut held) {
                for (end, is_held) in held.iter_mut().enumerate() {
                    let is_next = |(other, held): (&usize, &[bool; 2])| {
                        held[end] && in_line(&strips[*number], end, &strips[*other])
                    };
                    *is_held = *is_held || may.iter().zip(&before).any(is_next);
                }
            }
        }
        for (number, held) in may.into_iter().zip(held) {
            is_wall[number] = held == [true; 2];
        }
        if known == is_wall {
            return;
        }
    }
}

/// How far it is to the next strip in line; none is looked for farther off than walls are thick.
fn next(strip: &Strip, end: usize, strips: &[Strip]) -> Option<f64> {
    let ahead = strips.iter().filter(|other| {
        let shared = other.high.min(strip.high) - other.low.max(strip.low);
        other.is_upright == strip.is_upright && shared > 0.5 * (strip.high - strip.low)
    });
    let offs = ahead.map(|other| match end {
        0 => strip.from - other.to,
        _ => other.from - strip.to,
    });
    offs.filter(|off| (0.0..=strip.reach).contains(off)).min_by(f64::total_cmp)
}

/// The boxes of a wall: its strip, and how far it runs on into others, to the far line of one that
/// it meets.
fn filled(strip: &Strip, walls: &[&Strip], to_a_metre: f64) -> [Area; 2] {
    let near = 2.0 * TOUCH_M * to_a_metre;
    let mut own = *strip;
    for (end, open) in own.open.iter_mut().enumerate() {
        let Some(off) = open else { continue };
        let met = walls.iter().filter(|other| {
            let beside = (other.from - strip.high).max(strip.low - other.to);
            other.is_upright != strip.is_upright && beside <= near
        });
        let fars = met.map(|other| match end {
            0 => (strip.from - other.high, strip.from - other.low),
            _ => (other.low - strip.to, other.high - strip.to),
        });
        let fars =
            fars.filter(|(first, far)| first.abs() <= near && *off > *first && *off > far - near);
        if let Some(far) = fars.map(|(_, far)| far).min_by(f64::total_cmp) {
            *off = far;
        }
    }
    [own.whole(), own.reached()]
}
