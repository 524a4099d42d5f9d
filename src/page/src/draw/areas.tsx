// Floors, stairs, obstacles, and areas for portable transmitters and for the panel.

import { type Signal, signal } from '@preact/signals';
import type { Change, Feature, Geometry, Point, Properties, UsedFor } from '../live/protocol.ts';
import { level, plan, spoken } from '../live/state.ts';
import { Constructions } from '../parts/constructions.tsx';
import { linesOf } from '../plan/places.ts';
import { hang } from '../plan/walls.ts';
import { isIn } from '../things/hit.ts';
import { type Key, say } from '../words/words.ts';
import { bodiesHere } from './bodies.ts';
import { type Many, many, type Sort } from './many.ts';
import { materialFor, pick } from './material.ts';
import { FREE, next } from './run.ts';
import type { Snap } from './snap.ts';
import type { Reach } from './tool.ts';

/** A line or an area as the plan writes it: a ring ends on its first point. */
export function lineChange(points: Point[], closed: boolean, properties: Properties): Change {
  const ring = [...points, ...points.slice(0, 1)];
  const geometry: Geometry = closed
    ? { type: 'Polygon', coordinates: [ring] }
    : { type: 'LineString', coordinates: points };
  return { do: 'add', feature: { type: 'Feature', geometry, properties } };
}

const SORTS: Record<Sort, Key> = { box: 'byBox', ring: 'byRing', line: 'byLine' };

/** How an area is drawn: by two corners, or point after point. */
function DrawnAs({ sort, from, name }: { sort: Signal<Sort>; from: Sort[]; name: string }) {
  return (
    <fieldset class="switch">
      <legend class="aloud">{say('outlineBy')}</legend>
      {from.map((one) => (
        <label key={one}>
          <input
            type="radio"
            name={`sort-${name}`}
            checked={sort.value === one}
            onChange={() => {
              sort.value = one;
            }}
          />
          <span>{say(SORTS[one])}</span>
        </label>
      ))}
    </fieldset>
  );
}

interface Area {
  name: string;
  words: Key;
  hint: Key;
  /** For what its construction is used, if it has one. */
  use?: UsedFor;
  sorts: Sort[];
  group: Many['group'];
  draw?: Many['draw'];
}

function area({ name, words, hint, use, sorts, group, draw }: Area) {
  const sort = signal<Sort>(sorts[0] ?? 'box');
  const made = many({
    name,
    group,
    words,
    hint,
    sort: () => sort.value,
    ...(draw
      ? { draw: (raw, reach, points) => (sort.value === 'line' ? draw(raw, reach, points) : null) }
      : {}),
    missing: () => (use && !materialFor(use) ? 'chooseConstruction' : null),
    make: (points, closed) => [
      lineChange(points, closed, {
        kind: name,
        ...(use ? { construction: materialFor(use) } : {}),
        level: level.value,
      }),
    ],
    Options: () => (
      <>
        <DrawnAs sort={sort} from={sorts} name={name} />
        {use && (
          <Constructions
            for={use}
            value={materialFor(use)}
            onChoose={(construction) => pick(use, construction)}
          />
        )}
      </>
    ),
  });
  // What was begun in another way is no use.
  sort.subscribe(() => made.cancel());
  return made;
}

export const slabTool = area({
  name: 'slab',
  group: 'walls',
  words: 'toolSlab',
  hint: 'hintSlab',
  use: 'slab',
  sorts: ['box', 'ring'],
});

export const obstacleTool = area({
  name: 'obstacle',
  group: 'areas',
  words: 'toolObstacle',
  hint: 'hintObstacle',
  use: 'obstacle',
  sorts: ['box', 'ring'],
});

export const roamTool = area({
  name: 'roam',
  group: 'areas',
  words: 'toolRoam',
  hint: 'hintRoam',
  sorts: ['box', 'ring'],
});

/** A place in front of the nearest wall's face: there a line of panel places is drawn along. */
export function onFace(raw: Point, { reach, ground, grid }: Reach, points: Point[]): Snap | null {
  const stepped = next(raw, FREE, { ground, grid, reach, points, closes: false });
  const at = reach > 0 ? hang(stepped.at, bodiesHere.value, reach) : null;
  return at && { at, to: ['face'], guides: [] };
}

export const mountableTool = area({
  name: 'mountable',
  group: 'areas',
  words: 'toolMountable',
  hint: 'hintMountable',
  sorts: ['line', 'box', 'ring'],
  draw: onFace,
});

/** The floor of a level with a hole more; `null` where none is under it. */
export function withHole(hole: Point[], features: Feature[], on: number): Change[] | null {
  const closed = [...hole, ...hole.slice(0, 1)];
  for (const slab of features) {
    const [ring, ...holes] = linesOf(slab);
    const isHere = slab.kind === 'slab' && slab.level === on && slab.geometry?.type === 'Polygon';
    if (!isHere || !ring || !hole.every((corner) => isIn(corner, ring))) continue;
    const { id, properties } = slab;
    const geometry: Geometry = { type: 'Polygon', coordinates: [ring, ...holes, closed] };
    return [
      { do: 'remove', id },
      { do: 'add', feature: { type: 'Feature', id, geometry, properties } },
    ];
  }
  return null;
}

const holeSort = signal<Sort>('box');

export const holeTool = many({
  name: 'hole',
  group: 'walls',
  words: 'toolHole',
  hint: 'hintHole',
  sort: () => holeSort.value,
  make(points) {
    const changes = withHole(points, plan.value?.features ?? [], level.value);
    if (!changes) spoken.value = say('noFloorHere');
    return changes ?? [];
  },
  Options: () => <DrawnAs sort={holeSort} from={['box', 'ring']} name="hole" />,
});
holeSort.subscribe(() => holeTool.cancel());

/** The next level above, to which stairs lead. */
const above = (): number | null => {
  const levels = plan.value?.levels ?? [];
  const floor = levels.find(({ number }) => number === level.value)?.floor_m ?? 0;
  const higher = levels.filter(({ floor_m }) => floor_m > floor);
  higher.sort((one, other) => one.floor_m - other.floor_m);
  return higher[0]?.number ?? null;
};

export const stairsTool = many({
  name: 'stairs',
  group: 'walls',
  words: 'toolStairs',
  hint: 'hintStairs',
  sort: () => 'line',
  missing: () => (above() === null ? 'noLevelAbove' : null),
  make: (points) => [
    lineChange(points, false, { kind: 'stairs', level: level.value, to: above() }),
  ],
});
