import assert from 'node:assert/strict';
import { test } from 'node:test';
import { type Ground, groundOf, levelBelow } from '../../src/draw/ground.ts';
import { areaOf, box, closesAt, FREE, next, withPoint } from '../../src/draw/run.ts';
import { snap, type Wish } from '../../src/draw/snap.ts';
import type { Feature, Point } from '../../src/live/protocol.ts';

const wall = (id: string, coordinates: Point[], level = 0): Feature => ({
  id,
  kind: 'wall',
  level,
  geometry: { type: 'LineString', coordinates },
  properties: { kind: 'wall' },
});

/** Two walls that meet in a corner, and one that stands free. */
const HOUSE = [
  wall('bottom', [
    [0, 0],
    [8, 0],
    [8, 6],
  ]),
  wall('free', [
    [2, 3],
    [4, 3],
  ]),
];
const ground: Ground = groundOf(HOUSE, 0, null);
const wish = (points: Point[] = [], more: Partial<Wish> = {}): Wish => ({
  ground,
  points,
  closes: false,
  reach: 0.2,
  grid: 0.05,
  ...more,
});

test('an end comes before a corner, a corner before a line, a line before the grid', () => {
  assert.deepEqual(snap([0.1, 0.05], wish()), {
    at: [0, 0],
    to: ['end'],
    id: 'bottom',
    guides: [],
  });
  assert.deepEqual(snap([7.9, 0.1], wish()).to, ['corner']);
  const on = snap([5.03, 0.12], wish());
  assert.deepEqual([on.at, on.to, on.id], [[5.05, 0], ['wall'], 'bottom']);
  const off = snap([5.03, 1.22], wish());
  assert.deepEqual([off.at, off.to], [[5.05, 1.2], ['grid']]);
});

test('of two ends equally near the first of the plan is taken, again and again', () => {
  const two = groundOf(
    [
      wall('one', [
        [0, 0],
        [1, 0],
      ]),
      wall('other', [
        [1.2, 0],
        [2, 0],
      ]),
    ],
    0,
    null,
  );
  for (let turn = 0; turn < 3; turn += 1) {
    assert.equal(snap([1.1, 0.05], wish([], { ground: two })).id, 'one');
  }
});

test('the start of the run comes first, but only when the run may close', () => {
  const points: Point[] = [
    [1, 1],
    [5, 1],
    [5, 4],
  ];
  assert.deepEqual(snap([1.1, 1.1], wish(points, { closes: true })).to, ['start']);
  assert.notDeepEqual(snap([1.1, 1.1], wish(points)).to, ['start']);
});

test('the next leg goes square or straight on, in steps of the grid', () => {
  const points: Point[] = [
    [1, 1],
    [5, 1],
  ];
  const square = snap([5.1, 2.52], wish(points));
  assert.deepEqual([square.at, square.to], [[5, 2.5], ['square']]);
  assert.deepEqual(square.guides, [
    [
      [5, 1],
      [5, 2.5],
    ],
  ]);
  const straight = snap([6.51, 1.1], wish(points));
  assert.deepEqual([straight.at, straight.to], [[6.5, 1], ['straight']]);
});

test('a leg square to the last meets a wall where they cross', () => {
  const points: Point[] = [
    [1, 1],
    [5, 1],
  ];
  const met = snap([5.1, 0.1], wish(points));
  assert.deepEqual([met.at, met.to, met.id], [[5, 0], ['square', 'wall'], 'bottom']);
});

test('lines of walls run on cross, and say so', () => {
  const line = snap([6.02, 3.05], wish());
  assert.deepEqual([line.at, line.to], [[6, 3], ['inLine']]);
  const long = groundOf(
    [
      ...HOUSE,
      wall('long', [
        [3, 5],
        [6, 5],
      ]),
    ],
    0,
    null,
  );
  const met = snap([7.95, 5.05], wish([], { ground: long }));
  assert.deepEqual([met.at, met.to, met.id], [[8, 5], ['inLine', 'wall'], 'bottom']);
});

test('a line runs on for three metres, and no farther', () => {
  assert.deepEqual(snap([6.9, 3.05], wish()).to, ['inLine']);
  assert.deepEqual(snap([7.4, 3.05], wish()).to, ['grid']);
});

test('the last leg comes out where the run began', () => {
  const points: Point[] = [
    [1, 1],
    [5, 1],
    [5, 2.5],
  ];
  const met = snap([1.08, 2.44], wish(points, { closes: true }));
  assert.deepEqual(
    [met.at, met.to],
    [
      [1, 2.5],
      ['square', 'withStart'],
    ],
  );
});

test('a slanting wall gives its direction to what begins on it and to what does not', () => {
  const slant = groundOf(
    [
      wall('slant', [
        [0, 0],
        [3, 4],
      ]),
    ],
    0,
    null,
  );
  const parallel = snap([13.1, 4], wish([[10, 0]], { ground: slant }));
  assert.deepEqual(parallel.to, ['parallel']);
  assert.ok(Math.abs((parallel.at[0] - 10) / 3 - parallel.at[1] / 4) < 1e-4);
  const square = snap([1.5 + 4, 2 - 3.01], wish([[1.5, 2]], { ground: slant }));
  assert.deepEqual([square.at, square.to], [[5.5, -1], ['square']]);
});

test('a turned-off or distant thing draws nothing', () => {
  assert.deepEqual(snap([0.1, 0.05], wish([], { reach: 0 })).to, ['grid']);
  assert.deepEqual(
    snap([-3, -3.01], wish([], { ground: { pieces: [], corners: [] } })).at,
    [-3, -3],
  );
});

test('feet have a grid of inches', () => {
  const { at } = snap([0.0262, -1], wish([], { grid: 0.0254, ground: groundOf([], 0, null) }));
  assert.deepEqual(at, [0.0254, -0.9906]);
});

test('a typed length holds in the direction that is pointed', () => {
  const points: Point[] = [[1, 1]];
  const leg = { ...FREE, length: 3.2 };
  assert.deepEqual(next([2, 1.05], leg, wish(points)).at, [4.2, 1]);
  assert.deepEqual(next([0.5, 0.98], leg, wish(points)).at, [-2.2, 1]);
  const slant = next([4, 5], leg, wish(points));
  assert.deepEqual([slant.at, slant.to], [[2.92, 3.56], []]);
});

test('a direction that is asked for is kept, with a length or without', () => {
  const points: Point[] = [
    [1, 1],
    [5, 1],
  ];
  const to = (turn: Parameters<typeof next>[1]['turn'], length: number | null = 2) =>
    next([9, 9], { turn, length }, wish(points)).at;
  assert.deepEqual(to('left'), [5, 3]);
  assert.deepEqual(to('right'), [5, -1]);
  assert.deepEqual(to('straight'), [7, 1]);
  assert.deepEqual(to('back'), [3, 1]);
  assert.deepEqual(to({ degrees: 45 }), [6.4142, 2.4142]);
  assert.deepEqual(to('left', null), [5, 9]);
  assert.deepEqual(next([9, 9], { turn: 'up', length: 2 }, wish([[1, 1]])).at, [1, 3]);
  // A wall on the way is met.
  assert.deepEqual(next([3, -0.1], { turn: 'right', length: null }, wish(points)).at, [5, 0]);
  // Nothing goes the other way.
  assert.deepEqual(next([5, 9], { turn: 'right', length: null }, wish(points)).at, [5, 1]);
});

test('points of a run', () => {
  const points: Point[] = [
    [0, 0],
    [2, 0],
    [2, 2],
  ];
  assert.equal(withPoint(points, [2, 2]), points);
  assert.equal(withPoint(points, [0, 2]).length, 4);
  assert.ok(closesAt(points, [0, 0]));
  assert.ok(!closesAt(points.slice(0, 2), [0, 0]));
  assert.deepEqual(box([3, 1], [1, 2]), [
    [1, 1],
    [3, 1],
    [3, 2],
    [1, 2],
  ]);
  assert.equal(areaOf(box([3, 1], [1, 2])), 2);
});

test('the level below is the next lower floor, and its walls are said to be of it', () => {
  const level = (number: number, floor_m: number) => ({
    number,
    floor_m,
    name: '',
    ceiling_m: floor_m + 2.5,
  });
  const levels = [level(0, 0), level(2, 5), level(1, 2.5)];
  assert.equal(levelBelow(levels, 2), 1);
  assert.equal(levelBelow(levels, 0), null);
  const above = groundOf(HOUSE, 1, 0);
  assert.deepEqual(snap([0.1, 0.05], wish([], { ground: above })).to, ['end', 'below']);
  assert.deepEqual(groundOf(HOUSE, 0, null, new Set(['bottom'])).pieces.length, 1);
});
