// Where the cross is, in words.

import type { Feature, Point } from '../live/protocol.ts';
import { level, plan } from '../live/state.ts';
import { linesOf, pointOf } from '../plan/places.ts';
import { type Key, say, sayLength } from '../words/words.ts';
import type { Snap, SnapTo } from './snap.ts';
import type { Cross, Tool } from './tool.ts';
import { across, minus, size } from './vectors.ts';

const NAMES: Record<SnapTo, Key> = {
  start: 'snapStart',
  end: 'snapEnd',
  corner: 'snapCorner',
  wall: 'snapWall',
  edge: 'snapEdge',
  below: 'snapBelow',
  crossing: 'snapCrossing',
  square: 'snapSquare',
  straight: 'snapStraight',
  level: 'snapLevel',
  parallel: 'snapParallel',
  inLine: 'snapInLine',
  face: 'snapFace',
  frame: 'snapFrame',
  room: 'snapRoom',
  grid: 'snapGrid',
};

/** What a place was drawn to; of the grid nobody needs to hear. */
export const saySnap = ({ to }: Pick<Snap, 'to'>): string =>
  to
    .filter((one) => one !== 'grid')
    .map((one) => say(NAMES[one]))
    .join(', ');

/** Whether the straight way between two places goes through a wall. */
function isApart(one: Point, other: Point, walls: Feature[]): boolean {
  const side = (a: Point, b: Point, at: Point) => across(minus(b, a), minus(at, a));
  return walls.some((wall) =>
    linesOf(wall).some((line) =>
      line.slice(1).some((b, index) => {
        const a = line[index] as Point;
        return (
          side(a, b, one) * side(a, b, other) < 0 && side(one, other, a) * side(one, other, b) < 0
        );
      }),
    ),
  );
}

function isInside(at: Point, ring: Point[]): boolean {
  let inside = false;
  ring.forEach((a, index) => {
    const b = ring[(index + 1) % ring.length] as Point;
    const level = (at[1] - a[1]) / (b[1] - a[1] || 1);
    if (a[1] > at[1] !== b[1] > at[1] && at[0] < a[0] + (b[0] - a[0]) * level) inside = !inside;
  });
  return inside;
}

/** The name of the room in which a place is, as far as it can be seen from the room's own point. */
export function roomAt(at: Point, features: Feature[], number: number): string {
  const here = features.filter((one) => one.level === number);
  const walls = here.filter(({ kind }) => kind === 'wall');
  const rooms = here.filter(({ kind }) => kind === 'room');
  const seen = rooms.flatMap((room) => {
    const point = pointOf(room);
    const [ring] = linesOf(room);
    if (point) return isApart(at, point, walls) ? [] : [{ room, off: size(minus(at, point)) }];
    return ring && isInside(at, ring) ? [{ room, off: 0 }] : [];
  });
  seen.sort((one, other) => one.off - other.off);
  const name = seen[0]?.room.properties.name;
  return typeof name === 'string' ? name : '';
}

/** How far a place is from another: to the right and up, or left and down. */
export function sayFrom(at: Point, from: Point): string {
  const [x, y] = minus(at, from);
  const parts = [
    Math.abs(x) > 5e-4 ? say(x > 0 ? 'toRight' : 'toLeft', { by: sayLength(Math.abs(x)) }) : '',
    Math.abs(y) > 5e-4 ? say(y > 0 ? 'upBy' : 'downBy', { by: sayLength(Math.abs(y)) }) : '',
  ].filter(Boolean);
  return parts.length > 0 ? parts.join(', ') : say('onLast');
}

/** Where the cross is: room, way from the last point, and what it is drawn to. */
export function sayCross(cross: Cross, tool: Tool): string {
  const { value } = plan;
  const set = tool.points.value;
  const last = set[set.length - 1];
  const room = value ? roomAt(cross.at, value.features, level.value) : '';
  const away = last
    ? sayFrom(cross.at, last)
    : say('heldAt', { x: sayLength(cross.at[0]), y: sayLength(cross.at[1]) });
  return [room, away, tool.say?.(cross) ?? '', saySnap(cross)].filter(Boolean).join(', ');
}
