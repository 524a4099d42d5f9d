// Lines that are pencilled, without the plan: which is near, and what goes with a wall.

import type { Point, Properties } from '../live/protocol.ts';

/** A wall or opening that the program sees in the picture. */
export interface Pencil {
  line: Point[];
  properties: Properties;
}

/** How far a place is from a line. */
export function distance([x, y]: Point, line: Point[]): number {
  let least = Number.POSITIVE_INFINITY;
  line.forEach(([ax, ay], index) => {
    const [bx, by] = line[index + 1] ?? [ax, ay];
    const [u, v] = [bx - ax, by - ay];
    const long = u * u + v * v;
    const share = long > 0 ? ((x - ax) * u + (y - ay) * v) / long : 0;
    const at = Math.min(1, Math.max(0, share));
    least = Math.min(least, Math.hypot(x - ax - at * u, y - ay - at * v));
  });
  return least;
}

/** How far an opening may be off the wall that it is in, metres. */
const OFF_M = 0.04;

/** Walls with the openings that are in them. */
export function inkedBy(walls: Pencil[], all: Pencil[]): Pencil[] {
  const openings = all.filter(({ properties }) => properties.kind === 'opening');
  const isIn = (one: Pencil) =>
    walls.some((wall) => one.line.every((at) => distance(at, wall.line) <= OFF_M));
  return [...walls, ...openings.filter(isIn)];
}

/** What the program sees, as the page has it. */
export function pencilsOf(features: unknown[]): Pencil[] {
  return features.flatMap((one) => {
    const { properties, geometry } = one as { properties?: Properties; geometry?: unknown };
    const { coordinates } = (geometry ?? {}) as { coordinates?: Point[] };
    return properties && Array.isArray(coordinates) && coordinates.length > 1
      ? [{ line: coordinates, properties }]
      : [];
  });
}
