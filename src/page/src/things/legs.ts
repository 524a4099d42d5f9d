// The straight legs of walls along their middle: what stands on them, and where there is room.

import type { Feature, Point } from '../live/protocol.ts';
import { linesOf, pointOf } from '../plan/places.ts';
import { axes, distance, STAND_OFF_M, tidy, USUAL_M } from '../plan/walls.ts';

/** A straight piece of a wall's middle line. */
export interface Leg {
  id: string;
  a: Point;
  b: Point;
  thick: number;
  level: number;
}

/** How far off the middle of its wall an opening may be, metres: the format's own limit. */
const ON_WALL_M = 0.05;
/** What is kept free beside corners and other openings, metres (our own choice). */
const CLEAR_M = 0.05;
/** How far in front of a face what hangs on it may be, metres (our own choice). */
const HANGS_M = 0.12;

export const legsOf = (features: Feature[], level: number): Leg[] =>
  features
    .filter((one) => one.kind === 'wall' && one.level === level)
    .flatMap((wall) =>
      linesOf(wall).flatMap((line) =>
        line.slice(1).flatMap((b, at): Leg[] => {
          const a = line[at] as Point;
          const { id, thickness_m: thick = USUAL_M } = wall;
          return distance(a, b) > 0 ? [{ id, a, b, thick, level }] : [];
        }),
      ),
    );

/** A place against a leg: metres along it, and to its left of it. */
export function against({ a, b }: Leg, [x, y]: Point): { along: number; left: number } {
  const [u, n] = axes({ a, b });
  const [dx, dy] = [x - a[0], y - a[1]];
  return { along: dx * u[0] + dy * u[1], left: dx * n[0] + dy * n[1] };
}

/** The place so far along a leg and to its left. */
export function placeAlong({ a, b }: Leg, along: number, left = 0): Point {
  const [u, n] = axes({ a, b });
  return [a[0] + u[0] * along + n[0] * left, a[1] + u[1] * along + n[1] * left];
}

export const lengthOf = ({ a, b }: Leg): number => distance(a, b);

/** The ends of an opening's line. */
export function endsOf(opening: Feature): [Point, Point] | null {
  const [line] = linesOf(opening);
  const [a, b] = [line?.[0], line?.[line.length - 1]];
  return a && b ? [a, b] : null;
}

export const widthOf = (opening: Feature): number => {
  const ends = endsOf(opening);
  return ends ? distance(ends[0], ends[1]) : 0;
};

/** From where to where an opening is on a leg; nothing if it is not on it. */
export function spanOn(leg: Leg, opening: Feature): [number, number] | null {
  const ends = endsOf(opening);
  if (!ends || opening.level !== leg.level) return null;
  const [one, other] = ends.map((end) => against(leg, end));
  if (!one || !other || Math.max(Math.abs(one.left), Math.abs(other.left)) > ON_WALL_M) return null;
  const [from, to] = [Math.min(one.along, other.along), Math.max(one.along, other.along)];
  return from > -ON_WALL_M && to < lengthOf(leg) + ON_WALL_M ? [from, to] : null;
}

/** The leg that an opening stands on. */
export const hostOf = (opening: Feature, legs: Leg[]): Leg | null =>
  legs.find((leg) => spanOn(leg, opening)) ?? null;

/** Whether a place is in the body of a leg. */
function touches(leg: Leg, at: Point): boolean {
  const { along, left } = against(leg, at);
  const isBeside = Math.abs(left) <= leg.thick / 2 + ON_WALL_M;
  return isBeside && along > -ON_WALL_M && along < lengthOf(leg) + ON_WALL_M;
}

/** What is taken of a leg: its ends in other walls, walls that meet it, openings. */
function takenOf(leg: Leg, legs: Leg[], openings: Feature[]): [number, number][] {
  const length = lengthOf(leg);
  const taken: [number, number][] = [
    [Number.NEGATIVE_INFINITY, 0],
    [length, Number.POSITIVE_INFINITY],
  ];
  for (const other of legs) {
    if (other === leg) continue;
    const [[u], [v]] = [axes(leg), axes(other)];
    if (Math.abs(u[0] * v[1] - u[1] * v[0]) < 0.3) continue;
    const meets = [other.a, other.b].filter((end) => touches(leg, end));
    const ends = [leg.a, leg.b].filter((end) => touches(other, end));
    for (const place of [...meets, ...ends]) {
      const { along } = against(leg, place);
      taken.push([along - other.thick / 2, along + other.thick / 2]);
    }
  }
  for (const opening of openings) {
    const span = spanOn(leg, opening);
    if (span) taken.push(span);
  }
  return taken.sort((one, other) => one[0] - other[0]);
}

/** The middle nearest to `along` at which `width` fits between what is taken. */
function fit(taken: [number, number][], along: number, width: number): number | null {
  let best: number | null = null;
  let from = Number.NEGATIVE_INFINITY;
  for (const [start, end] of taken) {
    const [low, high] = [from + CLEAR_M + width / 2, start - CLEAR_M - width / 2];
    if (Number.isFinite(low) && low <= high + 1e-9) {
      const middle = Math.min(Math.max(along, low), high);
      if (best === null || Math.abs(middle - along) < Math.abs(best - along)) best = middle;
    }
    from = Math.max(from, end);
  }
  return best;
}

export interface OnWall {
  leg: Leg;
  line: [Point, Point];
}

/**
 * Where an opening of `width` whose middle is wished at `at` comes to stand: on the middle line of
 * the wall within `reach` on which it moves least, clear of corners and of other openings.
 */
export function standOn(
  at: Point,
  width: number,
  legs: Leg[],
  openings: Feature[],
  reach: number,
): OnWall | null {
  let best: { off: number; leg: Leg; middle: number } | null = null;
  for (const leg of legs) {
    const { along, left } = against(leg, at);
    const nearest = Math.min(Math.max(along, 0), lengthOf(leg));
    const away = Math.hypot(left, along - nearest);
    if (away > reach || (best && away >= best.off)) continue;
    const middle = fit(takenOf(leg, legs, openings), along, width);
    if (middle === null) continue;
    const off = Math.hypot(left, along - middle);
    if (!best || off < best.off) best = { off, leg, middle };
  }
  if (!best) return null;
  const { leg, middle } = best;
  const ends = [middle - width / 2, middle + width / 2].map((one) => tidy(placeAlong(leg, one)));
  return { leg, line: ends as [Point, Point] };
}

/** The place beside an opening's frame that is nearest to `at`: which end, and which face. */
export function atFrame(
  at: Point,
  openings: Feature[],
  legs: Leg[],
  reach: number,
  isInside: (place: Point) => boolean,
): { opening: Feature; to: Point } | null {
  let best: { off: number; opening: Feature; to: Point } | null = null;
  for (const opening of openings) {
    const leg = hostOf(opening, legs);
    const span = leg && spanOn(leg, opening);
    if (!leg || !span) continue;
    const { along, left } = against(leg, at);
    // From the wall's face, or its body, to the opening in it.
    const before = Math.max(Math.abs(left) - leg.thick / 2 - STAND_OFF_M, 0);
    const off = Math.hypot(before, Math.max(span[0] - along, along - span[1], 0));
    if (off > reach || (best && off >= best.off)) continue;
    const end = Math.abs(along - span[0]) < Math.abs(along - span[1]) ? span[0] : span[1];
    const face = leg.thick / 2 + STAND_OFF_M;
    const deep = leg.thick / 2 + 0.25;
    const [inLeft, inRight] = [deep, -deep].map((side) => isInside(placeAlong(leg, end, side)));
    // In an outside wall a contact is on the inside, wherever the finger is.
    const side = inLeft === inRight ? (left < 0 ? -1 : 1) : inLeft ? 1 : -1;
    best = { off, opening, to: tidy(placeAlong(leg, end, side * face)) };
  }
  return best;
}

/** What hangs on walls: openings on them, and things at their faces. */
export function hangingOn(ids: ReadonlySet<string>, features: Feature[]): string[] {
  const levels = new Set(features.filter(({ id }) => ids.has(id)).map(({ level }) => level));
  const legs = [...levels].flatMap((level) => legsOf(features, level));
  const moved = legs.filter(({ id }) => ids.has(id));
  return features.flatMap((feature) => {
    if (ids.has(feature.id)) return [];
    const at = pointOf(feature);
    const hangs =
      feature.kind === 'opening'
        ? moved.some((leg) => spanOn(leg, feature))
        : at !== null && feature.kind !== 'room' && nearestFace(at, feature.level, legs, ids);
    return hangs ? [feature.id] : [];
  });
}

/** Whether the nearest wall face of a place is one of certain walls. */
function nearestFace(at: Point, level: number, legs: Leg[], ids: ReadonlySet<string>): boolean {
  let best = { gap: HANGS_M, id: '' };
  for (const leg of legs) {
    if (leg.level !== level) continue;
    const { along, left } = against(leg, at);
    const past = Math.max(-along, along - lengthOf(leg), 0);
    const gap = Math.hypot(past, Math.max(Math.abs(left) - leg.thick / 2, 0));
    if (gap < best.gap) best = { gap, id: leg.id };
  }
  return ids.has(best.id);
}

/** How near an opening a contact belongs to it, metres (our own choice). */
const BELONGS_M = 0.4;
/** Sensors that sit at an opening's frame. */
const AT_FRAME: ReadonlySet<unknown> = new Set(['contact', 'shock']);

/** The contacts of an opening. */
export function contactsOf(opening: Feature, features: Feature[]): Feature[] {
  const leg = hostOf(opening, legsOf(features, opening.level));
  const span = leg && spanOn(leg, opening);
  if (!leg || !span) return [];
  return features.filter((one) => {
    const at = pointOf(one);
    if (!at || one.level !== opening.level || !AT_FRAME.has(one.properties.device)) return false;
    const { along, left } = against(leg, at);
    const before = Math.max(Math.abs(left) - leg.thick / 2, 0);
    return Math.hypot(before, Math.max(span[0] - along, along - span[1], 0)) < BELONGS_M;
  });
}

/** Where a thing at an opening goes that now stands elsewhere: as far from its middle and face. */
export function carriedAlong(at: Point, from: OnWall, to: OnWall): Point {
  const middle = ({ leg, line }: OnWall) =>
    (against(leg, line[0]).along + against(leg, line[1]).along) / 2;
  const { along, left } = against(from.leg, at);
  const face = (Math.abs(left) - from.leg.thick / 2 + to.leg.thick / 2) * Math.sign(left);
  return tidy(placeAlong(to.leg, middle(to) + along - middle(from), face));
}
