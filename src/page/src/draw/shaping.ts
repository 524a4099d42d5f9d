// A corner or a leg of the chosen wall or area in the hand: tried on the way, set as one edit.

import { computed, effect, signal } from '@preact/signals';
import { drop } from '../live/hold.ts';
import type { Feature, Point } from '../live/protocol.ts';
import { chosen, edit, giveUp, level, plan, sketch, spoken } from '../live/state.ts';
import { linesOf } from '../plan/places.ts';
import { say } from '../words/words.ts';
import { isClosed, reshaped, withCorner, withLeg } from './carry.ts';
import { groundOf } from './ground.ts';
import { below, cross, tool } from './pen.ts';
import { gridOf, type Snap, snap } from './snap.ts';
import { clean, dot, leftOf, minus, plus, same, way } from './vectors.ts';
import { sayFrom, saySnap } from './where.ts';

/** What is taken hold of: a corner, or a leg by its middle. */
export interface Part {
  sort: 'corner' | 'leg';
  at: number;
}

interface Shaping {
  id: string;
  part: Part;
  /** The features as they were, and the line. */
  features: Feature[];
  was: Point[];
  now: Point[];
  /** Where it was taken, and where it is. */
  from: Point;
  to: Point;
  snap: Snap | null;
  /** Whether nothing else goes along. */
  alone: boolean;
}

const SHAPED = new Set(['wall', 'slab', 'obstacle', 'roam', 'mountable', 'stairs', 'room']);

export const shaping = signal<Shaping | null>(null);

/** The chosen feature, if it has corners that can be moved now. */
export const shapely = computed((): { feature: Feature; line: Point[] } | null => {
  const feature = plan.value?.features.find(({ id }) => id === chosen.value);
  const { type } = feature?.geometry ?? {};
  const isIdle = !tool.value || tool.value.group === 'change';
  if (!feature || !isIdle || !SHAPED.has(feature.kind) || feature.level !== level.value)
    return null;
  const [line] = linesOf(feature);
  return line && (type === 'LineString' || type === 'Polygon') ? { feature, line } : null;
});

/** The parts that can be taken hold of: every corner once, every leg. */
export function partsOf(line: Point[]): Part[] {
  const corners = isClosed(line) ? line.length - 1 : line.length;
  return [
    ...line.slice(0, corners).map((_, at): Part => ({ sort: 'corner', at })),
    ...line.slice(1).map((_, at): Part => ({ sort: 'leg', at })),
  ];
}

/** Where a part is taken hold of. */
export function placeOfPart(line: Point[], { sort, at }: Part): Point {
  const [a, b] = [line[at] ?? [0, 0], line[at + 1] ?? line[at] ?? [0, 0]] as [Point, Point];
  return sort === 'corner' ? a : [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
}

export function takePart(part: Part, byKeys: boolean): boolean {
  const { value } = shapely;
  if (!value || !plan.value) return false;
  drop();
  const from = placeOfPart(value.line, part);
  const { features } = plan.value;
  const line = value.line;
  shaping.value = {
    id: value.feature.id,
    part,
    features,
    was: line,
    now: line,
    from,
    to: from,
    snap: null,
    alone: false,
  };
  if (byKeys) spoken.value = say('partHeld');
  return true;
}

/** The corners on both sides of a corner, the nearest last. */
function sides(line: Point[], at: number): [Point[], Point[]] {
  const corners = isClosed(line) ? line.slice(0, -1) : line;
  const count = corners.length;
  const get = (index: number): Point[] => {
    const one = isClosed(line) ? corners[(index + count) % count] : corners[index];
    return one ? [one] : [];
  };
  return [
    [...get(at - 2), ...get(at - 1)],
    [...get(at + 2), ...get(at + 1)],
  ];
}

/** Where a leg comes to stand: moved square to itself, its middle on the grid or on a line. */
function legTo({ was, part, from }: Shaping, raw: Point, found: Snap): { by: Point; to: Point } {
  const along = way(was[part.at] as Point, was[part.at + 1] as Point);
  const square = along ? leftOf(along) : ([0, 1] as Point);
  const target = found.to.includes('grid') ? raw : found.at;
  const off = dot(minus(target, from), square);
  const grid = gridOf(plan.value?.units ?? 'm');
  const far = found.to.includes('grid') ? Math.round(off / grid) * grid : off;
  const by = clean([square[0] * far, square[1] * far]);
  return { by, to: clean(plus(from, by)) };
}

/** Moves it to where `raw` points. `free`: to nothing else, and with nothing else. */
export function partTo(raw: Point, reach: number, free: boolean): void {
  const { value } = shaping;
  if (!value) return;
  const { was, part, features, id } = value;
  const moved = new Set([id]);
  const ground = groundOf(features, level.value, below.value, moved);
  const grid = gridOf(plan.value?.units ?? 'm');
  const [points, other] = part.sort === 'corner' ? sides(was, part.at) : [[], []];
  const wish = { ground, points, other, closes: false, reach: free ? 0 : reach, grid };
  // What meets the part moves with it: it is nothing to be drawn to.
  const met = ground.corners.filter((one) => same(one.at, value.from)).map((one) => one.id);
  const rest = new Set(met);
  wish.ground = {
    pieces: ground.pieces.filter((one) => !rest.has(one.id)),
    corners: ground.corners.filter((one) => !rest.has(one.id)),
  };
  const found: Snap = free ? { at: clean(raw), to: [], guides: [] } : snap(raw, wish);
  const leg = part.sort === 'leg' ? legTo(value, raw, found) : null;
  const now = leg ? withLeg(was, part.at, leg.by) : withCorner(was, part.at, found.at);
  const to = leg?.to ?? found.at;
  shaping.value = { ...value, now, to, snap: found, alone: free };
  cross.value = { ...found, at: to, raw: to, resolution: 0.01 };
  sketch(reshaped(id, now, features, free));
}

/** Moves it by metres; keys say where it is then. */
export function partBy(by: Point, free: boolean): void {
  const { value } = shaping;
  if (!value) return;
  partTo(plus(value.to, by), free ? 0 : 0.045, free);
  const { to, snap: found } = shaping.value ?? value;
  spoken.value = [sayFrom(to, value.from), found ? saySnap(found) : ''].filter(Boolean).join(', ');
}

/** Leaves it where it is: one edit. */
export function setPart(): void {
  const { value } = shaping;
  if (!value) return;
  shaping.value = null;
  cross.value = null;
  const changes = reshaped(value.id, value.now, value.features, value.alone);
  if (changes.length > 0) edit(changes);
  else giveUp();
  spoken.value = say('partSet');
}

/** Puts it back. */
export function dropPart(): void {
  if (!shaping.value) return;
  shaping.value = null;
  cross.value = null;
  giveUp();
  spoken.value = say('partBack');
}

/** Takes a corner out; adds one in the middle of a leg. One edit. */
export function changeCorners(part: Part): void {
  const { value } = shapely;
  if (!value) return;
  const { line, feature } = value;
  const closed = isClosed(line);
  const open = closed ? line.slice(0, -1) : line;
  const corners =
    part.sort === 'leg'
      ? [...open.slice(0, part.at + 1), clean(placeOfPart(line, part)), ...open.slice(part.at + 1)]
      : open.filter((_, at) => at !== part.at);
  if (corners.length < (closed ? 3 : 2)) {
    spoken.value = say('fewCorners');
    return;
  }
  const first = corners[0] as Point;
  edit([{ do: 'shape', id: feature.id, coordinates: closed ? [...corners, first] : corners }]);
}

// What can no longer be seen is put back: another level, a tool taken up, the thing removed.
effect(() => {
  if (!shapely.value && shaping.peek()) dropPart();
});
