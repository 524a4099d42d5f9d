// Runs of walls: point after point, all of one construction.

import type { Change, Point } from '../live/protocol.ts';
import { level } from '../live/state.ts';
import { Constructions } from '../parts/constructions.tsx';
import { lineChange } from './areas.tsx';
import { many } from './many.ts';
import { materialFor, pick, thicknessOf } from './material.ts';

/** A run as the plan writes it: one line, its first point again at the end where it is closed. */
export function wallChange(
  points: Point[],
  closed: boolean,
  construction: string,
  on: number,
): Change {
  const [first] = points;
  const line = closed && first ? [...points, first] : points;
  return lineChange(line, false, { kind: 'wall', construction, level: on });
}

const Options = () => (
  <Constructions for="wall" value={materialFor('wall')} onChoose={(name) => pick('wall', name)} />
);

export const wallTool = many({
  name: 'wall',
  group: 'walls',
  words: 'toolWall',
  hint: 'hintWall',
  sort: () => 'line',
  closes: true,
  thick: () => thicknessOf(materialFor('wall')),
  missing: () => (materialFor('wall') ? null : 'chooseConstruction'),
  make: (points, closed) => [wallChange(points, closed, materialFor('wall') ?? '', level.value)],
  Options,
});
