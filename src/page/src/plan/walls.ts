// Walls as bodies of their thickness, and the faces of them against which a thing hangs.

import type { Feature, Point } from '../live/protocol.ts';
import { linesOf } from './places.ts';

/** A straight piece of a wall: its middle line and thickness, metres. */
export interface Body {
  a: Point;
  b: Point;
  thick: number;
  class: string;
  /** The feature that it belongs to. */
  id: string;
}

/** How near two ends are to be one corner, metres. */
const CORNER_M = 0.05;
/** Thickness where the plan does not say one, metres. */
export const USUAL_M = 0.1;

export const distance = (one: Point, other: Point): number =>
  Math.hypot(other[0] - one[0], other[1] - one[1]);

/** Unit vectors along and across. */
export function axes({ a, b }: { a: Point; b: Point }): [Point, Point] {
  const length = distance(a, b);
  if (length === 0)
    return [
      [1, 0],
      [0, 1],
    ];
  const along: Point = [(b[0] - a[0]) / length, (b[1] - a[1]) / length];
  return [along, [-along[1], along[0]]];
}

/** The pieces of walls, run on at corners so that no notch is left. */
export function bodiesOf(walls: Feature[]): Body[] {
  const plain = walls.flatMap((wall) =>
    linesOf(wall).flatMap((line) =>
      line.slice(1).map(
        (b, at): Body => ({
          a: line[at] as Point,
          b,
          thick: wall.thickness_m ?? USUAL_M,
          class: wall.class ?? 'light',
          id: wall.id,
        }),
      ),
    ),
  );
  const endsNear = byPlace(plain);
  return plain.map((body) => {
    const [along] = axes(body);
    const runOn = (end: Point) =>
      endsNear(end).reduce((most, other) => {
        const near = [other.a, other.b].map((one) => distance(one, end) < CORNER_M);
        const [way] = axes(other);
        const turns = Math.abs(along[0] * way[1] - along[1] * way[0]) > 0.3;
        return near[0] !== near[1] && turns ? Math.max(most, other.thick / 2) : most;
      }, 0);
    const [before, after] = [runOn(body.a), runOn(body.b)];
    return {
      ...body,
      a: [body.a[0] - along[0] * before, body.a[1] - along[1] * before],
      b: [body.b[0] + along[0] * after, body.b[1] + along[1] * after],
    };
  });
}

/** Finds bodies that may have an end within a corner of a place, and some that have none. */
function byPlace(bodies: Body[]): (at: Point) => Body[] {
  const cells = new Map<string, Set<Body>>();
  const cell = (value: number) => Math.floor(value / CORNER_M);
  for (const body of bodies) {
    for (const [x, y] of [body.a, body.b]) {
      const key = `${cell(x)} ${cell(y)}`;
      cells.set(key, (cells.get(key) ?? new Set()).add(body));
    }
  }
  const steps = [-1, 0, 1];
  return ([x, y]) => {
    const keys = steps.flatMap((i) => steps.map((j) => `${cell(x) + i} ${cell(y) + j}`));
    return [...new Set(keys.flatMap((key) => [...(cells.get(key) ?? [])]))];
  };
}

/** The corners of a body, grown by `by` on every side. */
export function outline(body: Pick<Body, 'a' | 'b' | 'thick'>, by = 0): Point[] {
  const [u, n] = axes(body);
  const half = body.thick / 2 + by;
  const at = (end: Point, along: number, across: number): Point => [
    end[0] + u[0] * along + n[0] * across,
    end[1] + u[1] * along + n[1] * across,
  ];
  return [
    at(body.a, -by, -half),
    at(body.b, by, -half),
    at(body.b, by, half),
    at(body.a, -by, half),
  ];
}

/** A gap of a wall: as thick as the wall that it stands in. */
export function gapOf(opening: Feature, bodies: Body[]): Body | null {
  const [line] = linesOf(opening);
  const [a, b] = [line?.[0], line?.[line.length - 1]];
  if (!a || !b) return null;
  const middle: Point = [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
  const host = bodies.find((body) => {
    const [along, off] = place(body, middle);
    return off < 0.06 && along > 0 && along < distance(body.a, body.b);
  });
  const thick = host?.thick ?? opening.thickness_m ?? USUAL_M;
  return { a, b, thick, class: opening.class ?? 'door', id: opening.id };
}

/** How far along a body a place is, and how far off its middle line, metres. */
function place(body: Body, at: Point): [number, number] {
  const [u, n] = axes(body);
  const [x, y] = [at[0] - body.a[0], at[1] - body.a[1]];
  return [x * u[0] + y * u[1], Math.abs(x * n[0] + y * n[1])];
}

/** A place in whole millimetres, as plans are written. */
export const tidy = (at: Point): Point => [
  Math.round(at[0] * 1000) / 1000,
  Math.round(at[1] * 1000) / 1000,
];

/** How far in front of a wall's face the middle of a thing on it is, metres. */
export const STAND_OFF_M = 0.02;

/**
 * Where a thing at `at` hangs: in front of the nearest wall face within `reach`, on the side on
 * which it is; `null` if there is none.
 */
export function hang(at: Point, bodies: Body[], reach: number): Point | null {
  let best: { off: number; to: Point } | null = null;
  for (const body of bodies) {
    const [u, n] = axes(body);
    const [along, off] = place(body, at);
    if (along < 0 || along > distance(body.a, body.b)) continue;
    const face = body.thick / 2 + STAND_OFF_M;
    const gap = Math.abs(off - face);
    if (gap > reach && off > face) continue;
    const [x, y] = [at[0] - body.a[0], at[1] - body.a[1]];
    const side = x * n[0] + y * n[1] < 0 ? -face : face;
    const to: Point = [
      body.a[0] + u[0] * along + n[0] * side,
      body.a[1] + u[1] * along + n[1] * side,
    ];
    if (!best || gap < best.off) best = { off: gap, to };
  }
  return best ? tidy(best.to) : null;
}
