// The thing that is pointed at.

import type { Feature, Point } from '../live/protocol.ts';
import { linesOf, pointOf } from '../plan/places.ts';
import { USUAL_M } from '../plan/walls.ts';
import { against, legsOf, lengthOf } from './legs.ts';

/** The smaller before the larger. */
const ORDER = [
  'panel',
  'sensor',
  'keypad',
  'siren',
  'repeater',
  'outlet',
  'opening',
  'room',
  'wall',
  'stairs',
  'mountable',
  'obstacle',
  'roam',
  'slab',
];
/** Kinds that are meant by a place inside them, too; of others only the edge is. */
const SOLID = new Set(['obstacle']);

/** How far a place is from a line of corners, metres. */
function offLine(at: Point, line: Point[]): number {
  return line.slice(1).reduce((least, b, index) => {
    const a = line[index] as Point;
    const [dx, dy] = [b[0] - a[0], b[1] - a[1]];
    const square = dx * dx + dy * dy;
    const along = square > 0 ? ((at[0] - a[0]) * dx + (at[1] - a[1]) * dy) / square : 0;
    const share = Math.min(1, Math.max(0, along));
    return Math.min(least, Math.hypot(at[0] - a[0] - dx * share, at[1] - a[1] - dy * share));
  }, Number.POSITIVE_INFINITY);
}

/** Whether a place is in a ring. */
export function isIn([x, y]: Point, ring: Point[]): boolean {
  let inside = false;
  ring.forEach(([x1, y1], at) => {
    const [x2, y2] = ring[(at + 1) % ring.length] as Point;
    if (y1 > y !== y2 > y && x < x1 + ((y - y1) / (y2 - y1)) * (x2 - x1)) inside = !inside;
  });
  return inside;
}

/** How far a place is from a thing, metres: 0 on it. */
function off(at: Point, feature: Feature): number {
  const point = pointOf(feature);
  if (point) return Math.hypot(at[0] - point[0], at[1] - point[1]);
  const lines = linesOf(feature);
  if (feature.kind === 'wall') {
    return legsOf([feature], feature.level).reduce((least, leg) => {
      const { along, left } = against(leg, at);
      const past = Math.max(-along, along - lengthOf(leg), 0);
      const beside = Math.max(Math.abs(left) - leg.thick / 2, 0);
      return Math.min(least, Math.hypot(past, beside));
    }, Number.POSITIVE_INFINITY);
  }
  if (SOLID.has(feature.kind) && lines[0] && isIn(at, lines[0])) return 0;
  const edge = Math.min(...lines.map((line) => offLine(at, line)));
  return Math.max(
    0,
    edge - (feature.kind === 'opening' ? (feature.thickness_m ?? USUAL_M) / 2 : 0),
  );
}

/** How much farther a thing may be than a larger one and still be meant, of the reach. */
const SMALLER = 0.5;

/**
 * The thing of a level that is meant by a place, at most `reach` off: the nearest, of those that
 * are about as near the smallest.
 */
export function thingAt(
  at: Point,
  features: Feature[],
  level: number,
  reach: number,
): Feature | null {
  let best: { score: number; feature: Feature } | null = null;
  for (const feature of features) {
    const rank = ORDER.indexOf(feature.kind);
    if (feature.level !== level || rank < 0 || !feature.geometry) continue;
    const away = off(at, feature);
    if (away > reach) continue;
    const score = away + (reach * SMALLER * rank) / ORDER.length;
    if (!best || score < best.score) best = { score, feature };
  }
  return best?.feature ?? null;
}
