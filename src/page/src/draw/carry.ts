// What goes along when the corners of a wall or an area move: walls that meet it, floors that end
// at its corners, openings on it, and things at its face. Pure: plan in, changes out.

import type { Change, Feature, Point } from '../live/protocol.ts';
import { linesOf, pointOf } from '../plan/places.ts';
import { axes, USUAL_M } from '../plan/walls.ts';
import { against, hangingOn, type Leg, lengthOf, placeAlong, spanOn } from '../things/legs.ts';
import { clean, minus, plus, same, size } from './vectors.ts';

/** How near corners are to be one, and an end to be on a wall, metres. */
const [ONE_M, ON_M] = [0.01, 0.05];

/** A line before and after, corner by corner. */
interface Moved {
  feature: Feature;
  was: Point[];
  now: Point[];
}

const near = (a: Point, b: Point): boolean => size(minus(a, b)) < ONE_M;

/** The legs of a line, as things on it see them. */
const legAt = ({ feature, was, now }: Moved, at: number): { old: Leg; fresh: Leg } | null => {
  const [a, b, na, nb] = [was[at], was[at + 1], now[at], now[at + 1]];
  if (!a || !b || !na || !nb || same(a, b) || same(na, nb)) return null;
  const like = { id: feature.id, thick: feature.thickness_m ?? USUAL_M, level: feature.level };
  return { old: { ...like, a, b }, fresh: { ...like, a: na, b: nb } };
};

const legsOf = (moved: Moved) =>
  moved.was.slice(1).flatMap((_, at) => {
    const legs = legAt(moved, at);
    return legs ? [legs] : [];
  });

/** How far along the new leg a place is that was so far along the old: it keeps to the end that
 * moves less, and stays on the leg. */
function alongNow(
  along: number,
  { old, fresh }: { old: Leg; fresh: Leg },
  [atStart, atEnd]: [number, number],
): number {
  const [before, after] = [lengthOf(old), lengthOf(fresh)];
  const byStart = size(minus(fresh.a, old.a)) <= size(minus(fresh.b, old.b)) + 1e-9;
  const wished = byStart ? along : after - (before - along);
  const [low, high] = [atStart, after - atEnd];
  return low > high ? (low + high) / 2 : Math.min(high, Math.max(low, wished));
}

/** A place at a leg, carried with it; `clear` of its start and its end. */
function carriedPlace(
  at: Point,
  legs: { old: Leg; fresh: Leg },
  clear: [number, number] = [0, 0],
): Point {
  const { along, left } = against(legs.old, at);
  const length = lengthOf(legs.old);
  // What is past an end stays so far past it.
  const past = along < 0 ? along : Math.max(0, along - length);
  return clean(placeAlong(legs.fresh, alongNow(along - past, legs, clear) + past, left));
}

/** How far from a corner a place at so far off the way out of it is as near to the way in: nearer
 * to the corner it is of the other wall. Nothing on the outside of the corner. */
function beforeCorner(out: Point, back: Point, left: number): number {
  const [turn, same] = [out[0] * back[1] - out[1] * back[0], out[0] * back[0] + out[1] * back[1]];
  if (turn * left <= 0) return 0;
  // By the tangent of half the angle between the two.
  return (Math.abs(left) * (1 + same)) / Math.abs(turn);
}

/** Whether a place is on the middle line of a leg. */
function isOn({ old }: { old: Leg }, at: Point): boolean {
  const { along, left } = against(old, at);
  return Math.abs(left) <= ON_M && along > -ON_M && along < lengthOf(old) + ON_M;
}

/** Another line with what meets the moved one carried along; `null` where nothing does. */
function follows(feature: Feature, moved: Moved): Moved | null {
  const [was] = linesOf(feature);
  const { type } = feature.geometry ?? {};
  if (!was || (type !== 'LineString' && type !== 'Polygon')) return null;
  const isWall = feature.kind === 'wall';
  const now = was.map((corner, at): Point => {
    const met = moved.was.findIndex((one) => near(one, corner));
    const to = moved.now[met];
    if (to) return plus(to, minus(corner, moved.was[met] as Point));
    const isEnd = isWall && (at === 0 || at === was.length - 1);
    const legs = isEnd && legsOf(moved).find((one) => isOn(one, corner));
    return legs ? carriedPlace(corner, legs) : corner;
  });
  const isSame = now.every((corner, at) => same(corner, was[at] as Point));
  return isSame ? null : { feature, was, now: now.map(clean) };
}

/** The wall and all that moves with it, each once, from the nearest on. */
function allMoved(first: Moved, features: Feature[]): Moved[] {
  const list = [first];
  const seen = new Set([first.feature.id]);
  const isWall = first.feature.kind === 'wall';
  const others = features.filter(
    ({ kind, level }) => level === first.feature.level && (kind === 'wall' || kind === 'slab'),
  );
  for (let at = 0; isWall && at < list.length; at += 1) {
    const moved = list[at] as Moved;
    if (moved.feature.kind !== 'wall') continue;
    for (const feature of others) {
      if (seen.has(feature.id)) continue;
      const next = follows(feature, moved);
      if (!next) continue;
      seen.add(feature.id);
      list.push(next);
    }
  }
  return list;
}

const shape = ({ feature, now }: Moved): Change => ({
  do: 'shape',
  id: feature.id,
  coordinates: now,
});

/** What hangs on a wall that has moved. */
function hung(moved: Moved, features: Feature[]): Change[] {
  const ids = new Set(hangingOn(new Set([moved.feature.id]), features));
  const legs = legsOf(moved);
  return features.flatMap((feature): Change[] => {
    if (!ids.has(feature.id)) return [];
    const { id } = feature;
    const at = pointOf(feature);
    if (at) {
      const to = carriedAt(at, legs);
      return to && !same(to, at) ? [{ do: 'move', id, to }] : [];
    }
    const on = legs.find(({ old }) => spanOn(old, feature));
    const span = on && spanOn(on.old, feature);
    if (!on || !span) return [];
    const half = (span[1] - span[0]) / 2;
    const middle = alongNow((span[0] + span[1]) / 2, on, [half, half]);
    // It keeps the sense in which it was drawn.
    const [line] = linesOf(feature);
    const forth = against(on.old, line?.[0] as Point).along < span[0] + half;
    const ends = [middle - half, middle + half].map((one) => clean(placeAlong(on.fresh, one)));
    const coordinates = forth ? ends : ends.reverse();
    const isSame = coordinates.every((one, end) => same(one, line?.[end] as Point));
    return isSame ? [] : [{ do: 'shape', id, coordinates }];
  });
}

/** A thing at the face of the nearest leg, carried with it: it stays on its own side of where the
 * leg and the next one are equally near, or a corner that closes in would give it to the other. */
function carriedAt(at: Point, legs: { old: Leg; fresh: Leg }[]): Point | null {
  let best: { off: number; legs: { old: Leg; fresh: Leg } } | null = null;
  for (const one of legs) {
    const { along, left } = against(one.old, at);
    const length = lengthOf(one.old);
    const off = Math.hypot(left, Math.max(0, -along, along - length));
    if (!best || off < best.off - 1e-9) best = { off, legs: one };
  }
  if (!best) return null;
  const { fresh, old } = best.legs;
  const { left } = against(old, at);
  const [way] = axes(fresh);
  const clear = (corner: Point, out: Point, side: number) => {
    const meets = legs.flatMap(({ fresh: other }) => {
      if (other === fresh) return [];
      const [on] = axes(other);
      if (near(other.a, corner)) return [on];
      return near(other.b, corner) ? [[-on[0], -on[1]] as Point] : [];
    });
    const most = Math.max(0, ...meets.map((back) => beforeCorner(out, back, side)));
    // Between walls that hardly open there is no such place on the leg.
    return Math.min(most, lengthOf(fresh) / 2);
  };
  return carriedPlace(at, best.legs, [
    clear(fresh.a, way, left),
    clear(fresh.b, [-way[0], -way[1]], -left),
  ]);
}

/** The changes of one edit that give a feature other corners: as many as before. */
export function reshaped(id: string, now: Point[], features: Feature[], alone = false): Change[] {
  const feature = features.find((one) => one.id === id);
  const [was] = feature ? linesOf(feature) : [];
  if (!feature || !was || now.length !== was.length) return [];
  if (now.every((corner, at) => same(corner, was[at] as Point))) return [];
  const first: Moved = { feature, was, now };
  if (alone) return [shape(first), ...(feature.kind === 'wall' ? hung(first, features) : [])];
  const all = allMoved(first, features);
  const walls = all.filter((one) => one.feature.kind === 'wall');
  // Each thing hangs on one wall only.
  const done = new Set<string>();
  const hanging = walls
    .flatMap((moved) => hung(moved, features))
    .filter((change) => {
      const of = 'id' in change ? change.id : '';
      if (done.has(of)) return false;
      done.add(of);
      return true;
    });
  return [...all.map(shape), ...hanging];
}

/** Whether a line is closed: its last corner is its first. */
export const isClosed = (line: Point[]): boolean =>
  line.length > 3 && same(line[0] as Point, line[line.length - 1] as Point);

/** A line with one corner elsewhere; of a closed one, its first and last are one. */
export function withCorner(line: Point[], at: number, to: Point): Point[] {
  const last = line.length - 1;
  const isSeam = isClosed(line) && (at === 0 || at === last);
  return line.map((corner, index) =>
    index === at || (isSeam && (index === 0 || index === last)) ? to : corner,
  );
}

/** A line with one leg moved: both its corners. */
export function withLeg(line: Point[], at: number, by: Point): Point[] {
  const [a, b] = [line[at] as Point, line[at + 1] as Point];
  return withCorner(withCorner(line, at, clean(plus(a, by))), at + 1, clean(plus(b, by)));
}
