import assert from 'node:assert/strict';
import { test } from 'node:test';
import { reshaped, withCorner, withLeg } from '../../src/draw/carry.ts';
import { applied } from '../../src/live/merge.ts';
import type { Change, Feature, Geometry, Point } from '../../src/live/protocol.ts';
import { linesOf, pointOf } from '../../src/plan/places.ts';
import { against, hostOf, legsOf, lengthOf, widthOf } from '../../src/things/legs.ts';

const make = (id: string, kind: string, geometry: Geometry, level = 0): Feature => ({
  id,
  kind,
  level,
  geometry,
  properties: { kind },
  ...(kind === 'wall' ? { thickness_m: 0.2 } : {}),
});
const line = (id: string, kind: string, coordinates: Point[], level = 0): Feature =>
  make(id, kind, { type: 'LineString', coordinates }, level);
const point = (id: string, at: Point, level = 0): Feature =>
  make(id, 'sensor', { type: 'Point', coordinates: at }, level);

const OUTER: Point[] = [
  [0, 0],
  [8, 0],
  [8, 6],
  [0, 6],
  [0, 0],
];
const HOUSE: Feature[] = [
  line('outer', 'wall', OUTER),
  line('inner', 'wall', [
    [4, 0],
    [4, 6],
  ]),
  line('door', 'opening', [
    [1, 0],
    [2, 0],
  ]),
  line('east-window', 'opening', [
    [8, 4],
    [8, 3],
  ]),
  line('inner-door', 'opening', [
    [4, 1],
    [4, 2],
  ]),
  point('contact', [8 - 0.12, 2.95]),
  point('free', [2, 3]),
  make('floor', 'slab', { type: 'Polygon', coordinates: [OUTER] }),
  line('upstairs', 'wall', OUTER, 1),
];

const of = (changes: Change[], id: string) =>
  changes.find((one) => 'id' in one && one.id === id) ?? null;

test('a leg that moves takes its openings, devices, the floor and walls that meet it', () => {
  const changes = reshaped('outer', withLeg(OUTER, 1, [1, 0]), HOUSE);
  assert.deepEqual(of(changes, 'outer'), {
    do: 'shape',
    id: 'outer',
    coordinates: [
      [0, 0],
      [9, 0],
      [9, 6],
      [0, 6],
      [0, 0],
    ],
  });
  assert.deepEqual(of(changes, 'east-window'), {
    do: 'shape',
    id: 'east-window',
    coordinates: [
      [9, 4],
      [9, 3],
    ],
  });
  assert.deepEqual(of(changes, 'contact'), { do: 'move', id: 'contact', to: [8.88, 2.95] });
  assert.deepEqual((of(changes, 'floor') as { coordinates: Point[] }).coordinates[1], [9, 0]);
  // What stands elsewhere stays: by the end of its leg that did not move.
  for (const id of ['door', 'inner', 'inner-door', 'free', 'upstairs']) {
    assert.equal(of(changes, id), null, id);
  }
});

test('a wall that ends on a leg follows it, and what hangs on that wall keeps its place', () => {
  const changes = reshaped('outer', withLeg(OUTER, 0, [0, -1]), HOUSE);
  assert.deepEqual((of(changes, 'inner') as { coordinates: Point[] }).coordinates, [
    [4, -1],
    [4, 6],
  ]);
  assert.equal(of(changes, 'inner-door'), null, 'it keeps to the end that stays');
  assert.deepEqual((of(changes, 'door') as { coordinates: Point[] }).coordinates, [
    [1, -1],
    [2, -1],
  ]);
});

test('alone, only the wall itself and what hangs on it moves', () => {
  const changes = reshaped('outer', withLeg(OUTER, 0, [0, -1]), HOUSE, true);
  assert.deepEqual(
    changes.map((one) => ('id' in one ? one.id : '')),
    ['outer', 'door'],
  );
});

test('an opening stays on a leg that becomes short, at its end', () => {
  const wall: Point[] = [
    [0, 0],
    [4, 0],
  ];
  const features = [
    line('wall', 'wall', wall),
    line('window', 'opening', [
      [2.5, 0],
      [3.5, 0],
    ]),
  ];
  const short = reshaped('wall', withCorner(wall, 1, [3, 0]), features);
  assert.deepEqual((of(short, 'window') as { coordinates: Point[] }).coordinates, [
    [2, 0],
    [3, 0],
  ]);
});

test('a turned wall turns its openings and keeps devices at their face', () => {
  const wall: Point[] = [
    [0, 0],
    [4, 0],
  ];
  const features = [
    line('wall', 'wall', wall),
    line('window', 'opening', [
      [1, 0],
      [2, 0],
    ]),
    point('contact', [2.5, 0.12]),
  ];
  const turned = reshaped('wall', withCorner(wall, 1, [0, 4]), features);
  assert.deepEqual((of(turned, 'window') as { coordinates: Point[] }).coordinates, [
    [0, 1],
    [0, 2],
  ]);
  assert.deepEqual((of(turned, 'contact') as { to: Point }).to, [-0.12, 2.5]);
});

test('corners of other walls that are one with the corner go along', () => {
  const features = [
    line('one', 'wall', [
      [0, 0],
      [4, 0],
    ]),
    line('other', 'wall', [
      [4, 0],
      [4, 3],
    ]),
  ];
  const changes = reshaped(
    'one',
    [
      [0, 0],
      [5, 0],
    ],
    features,
  );
  assert.deepEqual((of(changes, 'other') as { coordinates: Point[] }).coordinates, [
    [5, 0],
    [4, 3],
  ]);
});

test('nothing is changed by nothing', () => {
  assert.deepEqual(reshaped('outer', OUTER, HOUSE), []);
  assert.deepEqual(reshaped('nobody', OUTER, HOUSE), []);
  assert.deepEqual(reshaped('outer', OUTER.slice(1), HOUSE), []);
});

test('a closed line stays closed', () => {
  const moved = withCorner(OUTER, 0, [1, 1]);
  assert.deepEqual(
    [moved[0], moved[4]],
    [
      [1, 1],
      [1, 1],
    ],
  );
  const leg = withLeg(OUTER, 3, [-1, 0]);
  assert.deepEqual(leg, [
    [-1, 0],
    [8, 0],
    [8, 6],
    [-1, 6],
    [-1, 0],
  ]);
});

/** Numbers from 0 to 1 by lot, the same every time. */
function lots(seed: number): () => number {
  let state = seed;
  return () => {
    state = (state * 1664525 + 1013904223) % 4294967296;
    return state / 4294967296;
  };
}

/** Whether legs that do not meet cross: a house that is folded. */
function isFolded(line: Point[]): boolean {
  const side = (a: Point, b: Point, c: Point) =>
    (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
  const legs = line.slice(1).map((b, at): [Point, Point] => [line[at] as Point, b]);
  return legs.some(([a, b], one) =>
    legs.some(
      ([c, d], other) =>
        other > one + 1 &&
        other - one < legs.length - 1 &&
        side(a, b, c) * side(a, b, d) <= 0 &&
        side(c, d, a) * side(c, d, b) <= 0,
    ),
  );
}

test('however walls are pulled, openings stay on them and contacts at their face', () => {
  const contactOf = (all: Feature[]) =>
    pointOf(all.find(({ id }) => id === 'contact') as Feature) as Point;
  /** How far the contact is off the nearest legs of a wall. */
  const offOf = (all: Feature[], wall: string) =>
    Math.min(
      ...legsOf(all, 0)
        .filter(({ id }) => id === wall)
        .map((leg) => {
          const { along, left } = against(leg, contactOf(all));
          return along > -0.2 && along < lengthOf(leg) + 0.2 ? Math.abs(left) : 99;
        }),
    );
  let [tried, over] = [0, 0];
  for (let seed = 1; seed <= 40; seed += 1) {
    const lot = lots(seed);
    let features = HOUSE;
    for (let turn = 0; turn < 250; turn += 1) {
      const id = lot() < 0.7 ? 'outer' : 'inner';
      const [line = []] = linesOf(features.find((one) => one.id === id) as Feature);
      const at = Math.floor(lot() * (line.length - 1));
      const by: Point = [lot() * 1.2 - 0.6, lot() * 1.2 - 0.6];
      const corner = line[at] as Point;
      const now =
        lot() < 0.5
          ? withLeg(line, at, by)
          : withCorner(line, at, [corner[0] + by[0], corner[1] + by[1]]);
      const after = applied(features, reshaped(id, now, features));
      const legs = legsOf(after, 0);
      const [outer = []] = linesOf(after.find((one) => one.id === 'outer') as Feature);
      // A house that is folded or too small for what stands in it is nobody's plan.
      if (legs.some((leg) => lengthOf(leg) < 2.2) || isFolded(outer)) continue;
      tried += 1;
      const when = `seed ${seed}, turn ${turn}`;
      for (const opening of after.filter(({ kind }) => kind === 'opening')) {
        assert.ok(hostOf(opening, legs), `${opening.id} is on no wall: ${when}`);
        assert.ok(Math.abs(widthOf(opening) - 1) < 2e-3, `${opening.id} is not as wide: ${when}`);
      }
      // One over which the inner wall was pulled is that wall's from then on.
      const isOver = offOf(after, 'inner') < 0.3;
      const off = offOf(after, 'outer');
      assert.ok(isOver || Math.abs(off - 0.12) < 2e-3, `${off} m off: ${when}`);
      over += Number(isOver);
      features = isOver ? HOUSE : after;
    }
  }
  assert.ok(tried > 5000 && over < tried / 100, `${tried} tried, ${over} over the contact`);
});

test('a contact stays of its wall where a corner closes in on it', () => {
  // The corner at the south goes up to the contact: square, then sharp.
  for (const [x, y] of [
    [8, 2.9],
    [8.4, 2.6],
    [7, 2.4],
  ] as const) {
    const now = withCorner(OUTER, 1, [x, y]);
    const after = applied(HOUSE, reshaped('outer', now, HOUSE));
    const at = pointOf(after.find(({ id }) => id === 'contact') as Feature) as Point;
    const [south, east] = legsOf(after, 0).filter(({ id }) => id === 'outer');
    assert.ok(south && east);
    assert.ok(Math.abs(against(east, at).left - 0.12) < 2e-3, `${at}`);
    assert.ok(against(south, at).left > 0.12 - 2e-3, `${at}: ${against(south, at).left}`);
  }
});
