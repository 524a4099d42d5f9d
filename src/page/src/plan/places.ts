// Where features are.

import type { Feature, Point } from '../live/protocol.ts';

/** Kinds of features that are marks over the plan and no part of its drawing. */
export const MARKED = new Set(['panel', 'sensor', 'keypad', 'siren', 'repeater']);

/** The lines of a feature: of a wall or an opening, one; of an area, its rings. */
export function linesOf({ geometry }: Feature): Point[][] {
  switch (geometry?.type) {
    case 'LineString':
      return [geometry.coordinates as Point[]];
    case 'MultiLineString':
    case 'Polygon':
      return geometry.coordinates as Point[][];
    case 'MultiPolygon':
      return geometry.coordinates.flat() as Point[][];
    default:
      return [];
  }
}

/** Middle of a line's box. */
export function middleOf(line: Point[]): Point {
  const [xs, ys] = [line.map(([x]) => x), line.map(([, y]) => y)];
  return [(Math.min(...xs) + Math.max(...xs)) / 2, (Math.min(...ys) + Math.max(...ys)) / 2];
}

/** Where a point feature is. */
export function pointOf({ geometry }: Feature): Point | null {
  if (geometry?.type !== 'Point') return null;
  const [x, y] = geometry.coordinates;
  return x === undefined || y === undefined ? null : [x, y];
}

/** Where any feature is, near enough to point at it. */
export function placeOf(feature: Feature): Point | null {
  const [line] = linesOf(feature);
  return pointOf(feature) ?? (line && line.length > 0 ? middleOf(line) : null);
}
