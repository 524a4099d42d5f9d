import assert from 'node:assert/strict';
import { test } from 'node:test';
import {
  after,
  askew,
  back,
  fit,
  moved,
  put,
  scaled,
  type Transform,
  turned,
} from '../../src/backdrop/affine.ts';
import { distance, inkedBy, type Pencil, pencilsOf } from '../../src/backdrop/pencil_lines.ts';
import type { Point } from '../../src/live/protocol.ts';

const near = ([x, y]: Point, [u, v]: Point) =>
  assert.ok(Math.hypot(u - x, v - y) < 1e-9, `${[x, y]} is not ${[u, v]}`);

const LAID: Transform = [0.02, 0.001, 3, 0.001, -0.02, 9];

test('a transform and its way back end where they began', () => {
  for (const at of [
    [0, 0],
    [400, 120],
    [-7, 1000],
  ] as Point[]) {
    near(put(back(LAID), put(LAID, at)), at);
  }
});

test('a picture is moved, scaled and turned round a place', () => {
  const place: Point = [2, 5];
  near(put(moved([1, -2]), place), [3, 3]);
  near(put(scaled(place, 3), place), place);
  near(put(scaled(place, 3), [3, 5]), [5, 5]);
  near(put(turned(place, Math.PI / 2), [3, 5]), [2, 6]);
  near(put(after(moved([1, 0]), LAID), [0, 0]), [4, 9]);
});

test('a line is turned to level or upright, whichever is nearer', () => {
  const to = (a: Point, b: Point) => {
    const [x, y] = put(turned(a, askew(a, b)), b);
    return [x - a[0], y - a[1]] as Point;
  };
  near([to([0, 0], [10, 1])[1], 0], [0, 0]);
  near([to([1, 1], [0.5, 9])[0], 0], [0, 0]);
});

test('lengths give the scale of least squares and how far they disagree', () => {
  const { perPixel, off } = fit([
    { metres: 3, pixels: 300 },
    { metres: 4, pixels: 410 },
  ]);
  assert.ok(Math.abs(perPixel - 2540 / 258100) < 1e-12);
  assert.ok(Math.abs(off - (1 - (perPixel * 300) / 3)) < 1e-9);
  assert.ok(fit([{ metres: 3.6, pixels: 400 }]).off < 1e-12);
});

test('a wall is inked with the openings in it, and with no others', () => {
  const pencil = (kind: string, line: Point[]): Pencil => ({ line, properties: { kind } });
  const wall = pencil('wall', [
    [0, 0],
    [8, 0],
  ]);
  const other = pencil('wall', [
    [0, 4],
    [8, 4],
  ]);
  const door = pencil('opening', [
    [2, 0.01],
    [3, 0.01],
  ]);
  const away = pencil('opening', [
    [2, 4],
    [3, 4],
  ]);
  assert.deepEqual(inkedBy([wall], [wall, other, door, away]), [wall, door]);
  assert.equal(distance([4, 3], wall.line), 3);
  assert.equal(distance([11, 4], wall.line), 5);
});

test('what is no line is no pencil line', () => {
  const geometry = {
    type: 'LineString',
    coordinates: [
      [0, 0],
      [1, 0],
    ],
  };
  const found = pencilsOf([{ properties: { kind: 'wall' }, geometry }, {}, { geometry }]);
  assert.equal(found.length, 1);
});
