// Where the cross is, in words.

import type { Point } from '../live/protocol.ts';
import { level, plan } from '../live/state.ts';
import { roomAt } from '../things/spaces.ts';
import { type Key, say, sayLength } from '../words/words.ts';
import type { Snap, SnapTo } from './snap.ts';
import type { Cross, Tool } from './tool.ts';
import { minus } from './vectors.ts';

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
  withStart: 'snapWithStart',
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
  const name = value && roomAt(cross.at, value.features, level.value)?.properties.name;
  const room = typeof name === 'string' ? name : '';
  const away = last
    ? sayFrom(cross.at, last)
    : say('heldAt', { x: sayLength(cross.at[0]), y: sayLength(cross.at[1]) });
  const said = tool.say?.(cross) ?? '';
  // A length along one axis is said already.
  const more = said && away.startsWith(said) ? '' : said;
  return [room, away, more, saySnap(cross)].filter(Boolean).join(', ');
}
