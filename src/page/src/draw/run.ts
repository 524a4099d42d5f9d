// A run of points being set: its legs, what the next leg is asked to be, and where it ends.

import type { Point } from '../live/protocol.ts';
import { aimed, type Snap, snap, type Wish } from './snap.ts';
import { clean, leftOf, minus, plus, same, size, turned, way } from './vectors.ts';

/** The direction that was asked for, seen along the last leg, or for the first leg on the plan. */
export type Turn =
  | 'pointed'
  | 'straight'
  | 'left'
  | 'right'
  | 'back'
  | 'up'
  | 'down'
  | { degrees: number };

export interface Leg {
  turn: Turn;
  /** The length that was typed, metres. */
  length: number | null;
}

export const FREE: Leg = { turn: 'pointed', length: null };

/** The direction of the last leg; of the first, to the right. */
export function lastWay(points: Point[]): Point {
  const [before, last] = [points[points.length - 2], points[points.length - 1]];
  return (before && last && way(before, last)) ?? [1, 0];
}

/** The direction that a turn means; `null` if it follows the pointer. */
export function wayOf(turn: Turn, points: Point[]): Point | null {
  const ahead = lastWay(points);
  if (typeof turn === 'object') return turned(ahead, turn.degrees);
  const isFirst = points.length < 2;
  const left = leftOf(ahead);
  switch (turn) {
    case 'pointed':
      return null;
    case 'straight':
      return ahead;
    // Of the first leg left and right are those of the screen.
    case 'left':
      return isFirst ? [-1, 0] : left;
    case 'right':
      return isFirst ? [1, 0] : [-left[0] + 0, -left[1] + 0];
    case 'back':
      return [-ahead[0] + 0, -ahead[1] + 0];
    case 'up':
      return [0, 1];
    case 'down':
      return [0, -1];
  }
}

/** Turns that can be asked for: before there is a leg, those of the plan. */
export const turnsOf = (points: Point[]): Exclude<Turn, object>[] =>
  points.length < 2
    ? ['pointed', 'right', 'left', 'up', 'down']
    : ['pointed', 'straight', 'left', 'right', 'back'];

/** Where the next point stands when `raw` is pointed at. */
export function next(raw: Point, leg: Leg, wish: Wish): Snap {
  const { points } = wish;
  const last = points[points.length - 1];
  const along = last ? wayOf(leg.turn, points) : null;
  if (last && leg.length !== null) {
    const found = aimed(raw, { ...wish, along }) ?? { along: lastWay(points), to: [] };
    const at = clean(plus(last, found.along, leg.length));
    return { at, to: found.to, guides: [] };
  }
  // Free of everything, but for what was asked.
  if (wish.reach === 0 && !along) return { at: clean(raw), to: [], guides: [] };
  return snap(raw, { ...wish, along });
}

/** Points with one more; one that is where the last stands changes nothing. */
export function withPoint(points: Point[], at: Point): Point[] {
  const last = points[points.length - 1];
  return last && same(last, at) ? points : [...points, at];
}

/** How near its start a run is closed, metres: what typed lengths leave over. */
const CLOSED_M = 0.002;

/** Whether a point at `at` closes the run. */
export const closesAt = (points: Point[], at: Point): boolean =>
  points.length >= 3 && size(minus(points[0] as Point, at)) < CLOSED_M;

/** The corners of a box by two of them, counter-clockwise from the lower left. */
export function box(one: Point, other: Point): Point[] {
  const [x0, x1] = [Math.min(one[0], other[0]), Math.max(one[0], other[0])];
  const [y0, y1] = [Math.min(one[1], other[1]), Math.max(one[1], other[1])];
  return [
    [x0, y0],
    [x1, y0],
    [x1, y1],
    [x0, y1],
  ];
}

/** Area inside a ring, square metres. */
export function areaOf(ring: Point[]): number {
  const twice = ring.reduce((sum, [x, y], at) => {
    const [nx, ny] = ring[(at + 1) % ring.length] as Point;
    return sum + x * ny - nx * y;
  }, 0);
  return Math.abs(twice) / 2;
}
