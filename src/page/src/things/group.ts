// Several things moved, mirrored, copied or taken out at once, as the changes of one edit.

import type { Change, Feature, Geometry, Point } from '../live/protocol.ts';
import { linesOf, middleOf, pointOf } from '../plan/places.ts';
import { tidy } from '../plan/walls.ts';
import { freeId, freeNumber, idsOf } from './free.ts';
import { endsOf, hangingOn, hostOf, legsOf, standOn, widthOf } from './legs.ts';

/** Where a place goes. */
export type Way = (at: Point) => Point;

export const by =
  ([dx, dy]: Point): Way =>
  ([x, y]) =>
    tidy([x + dx, y + dy]);

/** Left and right exchanged, or up and down, about the middle of a box. */
export function mirrorOf([x0, y0, x1, y1]: Box, axis: 'across' | 'up'): Way {
  return ([x, y]) => tidy(axis === 'across' ? [x0 + x1 - x, y] : [x, y0 + y1 - y]);
}

export type Box = [number, number, number, number];

/** The box round things; nothing round none. */
export function boxOf(features: Feature[]): Box | null {
  const places = features.flatMap((one) => {
    const at = pointOf(one);
    return at ? [at] : linesOf(one).flat();
  });
  if (places.length === 0) return null;
  const [xs, ys] = [places.map(([x]) => x), places.map(([, y]) => y)];
  return [Math.min(...xs), Math.min(...ys), Math.max(...xs), Math.max(...ys)];
}

/** The chosen things with what hangs on them, in the plan's order. */
export function withHanging(ids: ReadonlySet<string>, features: Feature[]): Feature[] {
  const all = new Set([...ids, ...hangingOn(ids, features)]);
  return features.filter(({ id }) => all.has(id));
}

/** Coordinates of any depth, each place led its way. */
function led(coordinates: unknown, way: Way): unknown {
  if (!Array.isArray(coordinates)) return coordinates;
  const [x, y, ...rest] = coordinates as unknown[];
  return typeof x === 'number' && typeof y === 'number'
    ? [...way([x, y]), ...rest]
    : coordinates.map((one) => led(one, way));
}

export const ledGeometry = (geometry: Geometry, way: Way): Geometry =>
  ({ type: geometry.type, coordinates: led(geometry.coordinates, way) }) as Geometry;

const asGeoJson = (feature: Feature, geometry: Geometry, properties = feature.properties) => ({
  type: 'Feature',
  id: feature.id,
  geometry,
  properties,
});

/** What moves one thing. */
function moved(feature: Feature, way: Way): Change[] {
  const { geometry, id } = feature;
  if (!geometry) return [];
  const at = pointOf(feature);
  if (at) return [{ do: 'move', id, to: way(at) }];
  const [line, ...holes] = linesOf(feature);
  const isPlain = geometry.type === 'LineString' || geometry.type === 'Polygon';
  if (line && holes.length === 0 && isPlain) {
    return [{ do: 'shape', id, coordinates: line.map(way) }];
  }
  // A shape has one outer ring: what has holes or parts is written anew.
  return [
    { do: 'remove', id },
    { do: 'add', feature: asGeoJson(feature, ledGeometry(geometry, way)) },
  ];
}

/** What moves things. */
export const movedAll = (features: Feature[], way: Way): Change[] =>
  features.flatMap((feature) => moved(feature, way));

/** What takes things out. */
export const removedAll = (features: Feature[]): Change[] =>
  features.map(({ id }) => ({ do: 'remove', id }));

/** Whether a thing is an opening that is copied without its wall. */
function isLoose(feature: Feature, copied: Feature[], all: Feature[]): boolean {
  if (feature.kind !== 'opening') return false;
  const host = hostOf(feature, legsOf(all, feature.level));
  return !copied.some(({ id }) => id === host?.id);
}

/** The nearest place on a wall with room for another opening like this one. */
function besideItself(opening: Feature, all: Feature[]): Geometry | null {
  const ends = endsOf(opening);
  if (!ends) return null;
  const openings = all.filter(({ kind }) => kind === 'opening');
  const legs = legsOf(all, opening.level);
  const on = standOn(middleOf(ends), widthOf(opening), legs, openings, BESIDE_M);
  return on && { type: 'LineString', coordinates: on.line };
}

/** How near a wall must be on which a copied opening may stand, metres. */
const BESIDE_M = 0.3;

/**
 * What adds copies, and the ids that they get. A device gets a free number and no transmitter's
 * number, for each belongs to one device; a plan has one panel, which is not copied. An opening
 * without its wall is copied to where there is room.
 */
export function copiedAll(
  copied: Feature[],
  all: Feature[],
  way: Way,
): { changes: Change[]; ids: string[] } {
  const taken = idsOf(all);
  const numbered = [...all];
  const changes: Change[] = [];
  const ids: string[] = [];
  for (const feature of copied) {
    if (!feature.geometry || feature.kind === 'panel') continue;
    const id = freeId(feature.id, taken);
    const properties = { ...feature.properties };
    delete properties.serial;
    if (typeof properties.number === 'number') {
      properties.number = freeNumber(numbered);
    }
    const geometry = isLoose(feature, copied, all)
      ? besideItself(feature, numbered)
      : ledGeometry(feature.geometry, way);
    if (!geometry) continue;
    numbered.push({ ...feature, id, geometry, properties });
    taken.add(id);
    ids.push(id);
    changes.push({ do: 'add', feature: asGeoJson({ ...feature, id }, geometry, properties) });
  }
  return { changes, ids };
}
