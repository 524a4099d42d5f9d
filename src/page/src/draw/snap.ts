// To what the cross is drawn, and how that is called. The order is fixed: the start of the run,
// ends and corners, crossings, one line alone, the grid. Of equals the nearest, then the first in
// the plan.

import type { Point } from '../live/protocol.ts';
import type { Corner, Ground } from './ground.ts';
import { across, clean, dot, leftOf, minus, plus, same, size, way } from './vectors.ts';

/** What a place was drawn to. */
export type SnapTo =
  | 'start'
  | 'end'
  | 'corner'
  | 'wall'
  | 'edge'
  | 'below'
  | 'crossing'
  | 'square'
  | 'straight'
  | 'level'
  | 'parallel'
  | 'inLine'
  | 'withStart'
  | 'face'
  | 'frame'
  | 'room'
  | 'grid';

export interface Snap {
  at: Point;
  /** What it was drawn to, the most telling first. */
  to: SnapTo[];
  /** The feature that it stands on, if on one. */
  id?: string;
  /** Lines that show why. */
  guides: [Point, Point][];
}

export interface Wish {
  ground: Ground;
  /** Points that the sketch has already. */
  points: Point[];
  /** Whether the run may end on its first point. */
  closes: boolean;
  /** How near a thing must be, metres. */
  reach: number;
  /** Distance of the grid's lines, metres. */
  grid: number;
  /** What comes to the point from the other side, its last point nearest: of a corner moved. */
  other?: Point[];
  /** A direction that is asked for, and cannot be left. */
  along?: Point | null;
}

/** A line on which a place may stand. */
interface Line {
  from: Point;
  /** Unit vector. */
  along: Point;
  /** Where it ends both ways; a line without ends goes on. */
  ends?: [number, number];
  to: SnapTo;
  id?: string;
  below?: boolean;
}

/** Whether it is drawn on the plan; the others are shown as guides. */
const isPiece = ({ to }: Line): boolean => to === 'wall' || to === 'edge';

/** The nearest place of a line, and how far off it is. */
function onLine({ from, along, ends }: Line, raw: Point): { at: Point; off: number; on: number } {
  const free = dot(minus(raw, from), along);
  const on = ends ? Math.min(ends[1], Math.max(ends[0], free)) : free;
  const at = plus(from, along, on);
  return { at, off: size(minus(raw, at)), on };
}

/** Where two lines cross, within the ends that they have. */
function crossing(one: Line, other: Line): Point | null {
  const turn = across(one.along, other.along);
  if (Math.abs(turn) < 0.02) return null;
  const between = minus(other.from, one.from);
  const [on, off] = [across(between, other.along) / turn, across(between, one.along) / turn];
  const within = ({ ends }: Line, at: number) =>
    !ends || (at > ends[0] - 1e-6 && at < ends[1] + 1e-6);
  return within(one, on) && within(other, off) ? plus(one.from, one.along, on) : null;
}

function nearest<T>(list: T[], off: (one: T) => number, reach: number): T | null {
  let best: { one: T; off: number } | null = null;
  for (const one of list) {
    const is = off(one);
    // A hair nearer is no nearer: the first of the plan stays.
    if (is <= reach && (!best || is < best.off - 1e-6)) best = { one, off: is };
  }
  return best?.one ?? null;
}

/** Directions, and lines run on, that are looked at: a large plan must not slow the hand. */
const [PARALLEL_MOST, MOST_LINES] = [8, 40];
/** How far beyond a wall's ends its line still counts, metres. */
const RUN_ON_M = 3;
/** How far off a right direction a leg of fixed length may point, as a sine: 8 degrees. */
const TURN = Math.sin((8 * Math.PI) / 180);

/** The directions in which the leg to the point may go, by right; from both sides, if there are. */
const rays = (wish: Wish): Line[] => [
  ...raysFrom(wish),
  ...(wish.other ? raysFrom({ ...wish, points: wish.other }) : []),
];

function raysFrom({ points, ground, along }: Wish): Line[] {
  const from = points[points.length - 1];
  if (!from) return [];
  if (along) return [{ from, along, to: 'inLine' }];
  const list: Line[] = [];
  const before = points[points.length - 2];
  const last = before && way(before, from);
  if (last) {
    list.push({ from, along: leftOf(last), to: 'square' }, { from, along: last, to: 'straight' });
  }
  // A leg that sets off from a wall goes square to it, or on along it.
  for (const piece of ground.pieces.filter((one) => one.sort === 'wall' && !one.below)) {
    const u = way(piece.a, piece.b);
    if (!u || list.some((ray) => Math.abs(across(ray.along, u)) < 1e-4)) continue;
    const touches = onLine(lineOf(piece), from).off < 1e-3;
    if (touches && !last) list.push({ from, along: leftOf(u), to: 'square' });
    if (list.length < PARALLEL_MOST) list.push({ from, along: u, to: 'parallel' });
  }
  for (const u of [
    [1, 0],
    [0, 1],
  ] as Point[]) {
    if (list.every((ray) => Math.abs(across(ray.along, u)) > 1e-4)) {
      list.push({ from, along: u, to: 'level' });
    }
  }
  return list;
}

/**
 * The direction in which a leg of fixed length goes: a right one near by, else just as pointed;
 * and what it was drawn to.
 */
export function aimed(raw: Point, wish: Wish): { along: Point; to: SnapTo[] } | null {
  const last = wish.points[wish.points.length - 1];
  const pointed = last && way(last, raw);
  if (!pointed) return null;
  if (wish.along) return { along: wish.along, to: [] };
  const ray = nearest(rays(wish), (one) => Math.abs(across(one.along, pointed)), TURN);
  if (!ray) return { along: pointed, to: [] };
  const sense = dot(ray.along, pointed) < 0 ? -1 : 1;
  return { along: [ray.along[0] * sense, ray.along[1] * sense], to: [ray.to] };
}

function lineOf(piece: Ground['pieces'][number]): Line {
  const along = way(piece.a, piece.b) ?? [1, 0];
  const ends: [number, number] = [0, size(minus(piece.b, piece.a))];
  return { from: piece.a, along, ends, to: piece.sort, id: piece.id, below: piece.below };
}

/** A wall's line run on a little at both ends. */
function runOn({ from, along, ends, to, below }: Line): Line[] {
  if (below || to !== 'wall' || !ends) return [];
  return [{ from, along, ends: [-RUN_ON_M, ends[1] + RUN_ON_M], to: 'inLine' }];
}

/** The lines square to the run's first leg, and along it, through its start. */
function fromStart([first, second, third]: Point[]): Line[] {
  const along = first && second && third && way(first, second);
  if (!along) return [];
  return [leftOf(along), along].map((one): Line => ({ from: first, along: one, to: 'withStart' }));
}

const named = (to: SnapTo[], below?: boolean): SnapTo[] => (below ? [...to, 'below'] : to);

/** A place on a line alone: whole steps of the grid from where the line begins. */
function stepped(line: Line, on: number, grid: number): Point {
  const [first, last] = line.ends ?? [Number.NEGATIVE_INFINITY, Number.POSITIVE_INFINITY];
  const step = Math.min(last, Math.max(first, Math.round(on / grid) * grid));
  return clean(plus(line.from, line.along, step));
}

/** The place that is meant by one near by. */
export function snap(pointed: Point, wish: Wish): Snap {
  const { ground, points, closes, reach, grid, along } = wish;
  const last = points[points.length - 1];
  const raw =
    along && last ? plus(last, along, Math.max(0, dot(minus(pointed, last), along))) : pointed;
  const first = points[0];
  if (!along && closes && first && size(minus(raw, first)) <= reach) {
    return { at: first, to: ['start'], guides: [] };
  }
  const corner = along
    ? null
    : nearest<Corner>(ground.corners, ({ at }) => size(minus(raw, at)), reach);
  if (corner && !(last && same(corner.at, last))) {
    const { at, id } = corner;
    return { at, id, to: named([corner.sort], corner.below), guides: [] };
  }
  const pieces = ground.pieces.map(lineOf);
  const near = (line: Line) => onLine(line, raw).off <= reach;
  const ahead = rays(wish).filter(near);
  const walls = pieces.filter(near);
  const beyond = [...fromStart(points), ...pieces.flatMap(runOn)]
    .filter((line) => onLine(line, raw).off <= reach / 2)
    .filter((line) => !walls.some((one) => same(one.from, line.from)))
    .slice(0, MOST_LINES);
  return (
    crossed(raw, [ahead, walls, beyond], wish) ??
    alone(raw, along ? [ahead] : [walls, ahead, beyond], grid) ?? {
      at: clean([Math.round(raw[0] / grid) * grid, Math.round(raw[1] / grid) * grid]),
      to: ['grid'],
      guides: [],
    }
  );
}

/** The nearest crossing of two lines: of legs with walls first, then of walls, then of the rest. */
function crossed(raw: Point, [ahead, walls, beyond]: [Line[], Line[], Line[]], wish: Wish) {
  const last = wish.points[wish.points.length - 1];
  const all: [Line[], Line[]][] = [
    ...(wish.other ? ([[ahead, ahead]] as [Line[], Line[]][]) : []),
    [ahead, walls],
    [walls, walls],
    [ahead, beyond],
    [beyond, walls],
    [beyond, beyond],
  ];
  const pairs = wish.along ? all.filter(([some]) => some === ahead) : all;
  for (const [some, others] of pairs) {
    const found: Snap[] = [];
    for (const one of some) {
      for (const other of others) {
        const at = one === other ? null : crossing(one, other);
        if (!at || (last && same(at, last)) || (!isPiece(one) && same(at, one.from))) continue;
        const to = [one.to, other.to].filter((it, index, all) => all.indexOf(it) === index);
        const id = other.id ?? one.id;
        const guides = [one, other]
          .filter((line) => !isPiece(line))
          .map((line): [Point, Point] => [line.from, at]);
        const isCross = some === walls && others === walls;
        const names: SnapTo[] = isCross ? ['crossing'] : to;
        found.push({
          at: clean(at),
          to: named(names, one.below || other.below),
          guides,
          ...(id === undefined ? {} : { id }),
        });
      }
    }
    const best = nearest(found, (one) => size(minus(one.at, raw)), wish.reach);
    if (best) return best;
  }
  return null;
}

/** The nearest line by itself: a wall, then a leg's right direction, then a wall's line run on. */
function alone(raw: Point, inOrder: Line[][], grid: number): Snap | null {
  for (const lines of inOrder) {
    const line = nearest(lines, (one) => onLine(one, raw).off, Number.POSITIVE_INFINITY);
    if (!line) continue;
    const at = stepped(line, onLine(line, raw).on, grid);
    const guides: [Point, Point][] = isPiece(line) ? [] : [[line.from, at]];
    const id = line.id === undefined ? {} : { id: line.id };
    return { at, to: named([line.to], line.below), guides, ...id } satisfies Snap;
  }
  return null;
}

/** Distance of the grid's lines: 5 cm, or an inch. */
export const gridOf = (units: 'm' | 'ft'): number => (units === 'm' ? 0.05 : 0.0254);
