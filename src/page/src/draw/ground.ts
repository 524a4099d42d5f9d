// What a level offers to be drawn to: its lines and corners, and those of the level below.

import type { Feature, Level, Point } from '../live/protocol.ts';
import { linesOf } from '../plan/places.ts';
import { same } from './vectors.ts';

/** A straight piece of a line of the plan. */
export interface Piece {
  a: Point;
  b: Point;
  id: string;
  sort: 'wall' | 'edge';
  /** Whether it is of the level below. */
  below: boolean;
}

/** An end or corner of such a line. */
export interface Corner {
  at: Point;
  id: string;
  sort: 'end' | 'corner';
  below: boolean;
}

export interface Ground {
  pieces: Piece[];
  corners: Corner[];
}

export const BARE: Ground = { pieces: [], corners: [] };

/** Kinds of areas and lines whose edges others are drawn along. */
const EDGED = new Set(['slab', 'obstacle', 'roam', 'mountable', 'stairs']);

/** The level under another, if there is one. */
export function levelBelow(levels: Level[], level: number): number | null {
  const floor = levels.find(({ number }) => number === level)?.floor_m;
  if (floor === undefined) return null;
  const under = levels.filter((one) => one.number !== level && one.floor_m < floor);
  under.sort((one, other) => other.floor_m - one.floor_m);
  return under[0]?.number ?? null;
}

function add(ground: Ground, feature: Feature, below: boolean): void {
  const { id, kind } = feature;
  if (kind !== 'wall' && (below || !EDGED.has(kind))) return;
  for (const line of linesOf(feature)) {
    const [first, last] = [line[0], line[line.length - 1]];
    const closed = first && last && line.length > 2 && same(first, last);
    line.forEach((at, index) => {
      const b = line[index + 1];
      const sort = kind === 'wall' ? 'wall' : 'edge';
      if (b && !same(at, b)) ground.pieces.push({ a: at, b, id, sort, below });
      if (closed && index === line.length - 1) return;
      const isEnd = kind === 'wall' && !closed && (index === 0 || index === line.length - 1);
      ground.corners.push({ at, id, sort: isEnd ? 'end' : 'corner', below });
    });
  }
}

/** What a level offers; what is left out is being moved itself. */
export function groundOf(
  features: Feature[],
  level: number,
  below: number | null,
  without: ReadonlySet<string> = new Set(),
): Ground {
  const ground: Ground = { pieces: [], corners: [] };
  const of = (number: number) =>
    features.filter((one) => one.level === number && !without.has(one.id));
  for (const feature of of(level)) add(ground, feature, false);
  if (below !== null) for (const feature of of(below)) add(ground, feature, true);
  return ground;
}
