import assert from 'node:assert/strict';
import { test } from 'node:test';
import { compare } from '../../src/live/compare.ts';
import { worseFirst } from '../../src/live/numbers.ts';
import type { Feature, Point, Report } from '../../src/live/protocol.ts';
import { linesOf } from '../../src/plan/places.ts';
import { spread } from '../../src/plan/spread.ts';
import { bodiesOf, gapOf, hang, outline } from '../../src/plan/walls.ts';

const line = (id: string, coordinates: Point[], thickness_m?: number): Feature => ({
  id,
  kind: 'wall',
  level: 0,
  geometry: { type: 'LineString', coordinates },
  properties: {},
  ...(thickness_m === undefined ? {} : { thickness_m }),
});

test('walls meet at a corner without a notch', () => {
  const [one, other] = bodiesOf([
    line(
      'a',
      [
        [0, 0],
        [4, 0],
      ],
      0.3,
    ),
    line(
      'b',
      [
        [4, 0],
        [4, 3],
      ],
      0.2,
    ),
  ]);
  assert.deepEqual(one?.b, [4.1, 0]);
  assert.deepEqual(other?.a, [4, -0.15]);
  // What goes straight on is not run on.
  const [first] = bodiesOf([
    line(
      'a',
      [
        [0, 0],
        [4, 0],
      ],
      0.3,
    ),
    line(
      'b',
      [
        [4, 0],
        [8, 0],
      ],
      0.3,
    ),
  ]);
  assert.deepEqual(first?.b, [4, 0]);
});

test('a body has its thickness', () => {
  const [body] = bodiesOf([
    line(
      'a',
      [
        [0, 0],
        [2, 0],
      ],
      0.2,
    ),
  ]);
  assert.ok(body);
  assert.deepEqual(outline(body), [
    [0, -0.1],
    [2, -0.1],
    [2, 0.1],
    [0, 0.1],
  ]);
});

test('an opening is as deep as its wall, or as itself where it has none', () => {
  const bodies = bodiesOf([
    line(
      'a',
      [
        [0, 0],
        [4, 0],
      ],
      0.3,
    ),
  ]);
  assert.equal(
    gapOf(
      line(
        'door',
        [
          [1, 0],
          [2, 0],
        ],
        0.04,
      ),
      bodies,
    )?.thick,
    0.3,
  );
  assert.equal(
    gapOf(
      line(
        'door',
        [
          [1, 2],
          [2, 2],
        ],
        0.04,
      ),
      bodies,
    )?.thick,
    0.04,
  );
  assert.equal(gapOf({ ...line('door', []), geometry: null }, bodies), null);
});

test('a thing hangs on the near face of the nearest wall', () => {
  const bodies = bodiesOf([
    line(
      'a',
      [
        [0, 0],
        [4, 0],
      ],
      0.2,
    ),
  ]);
  assert.deepEqual(hang([1, 0.2], bodies, 0.15), [1, 0.12]);
  assert.deepEqual(hang([1, -0.2], bodies, 0.15), [1, -0.12]);
  // Never inside the wall, however far the face is.
  assert.deepEqual(hang([1, 0.01], bodies, 0.001), [1, 0.12]);
  assert.equal(hang([1, 0.4], bodies, 0.15), null);
  assert.equal(hang([5, 0.1], bodies, 0.15), null);
});

test('lines of every geometry', () => {
  const ring: Point[] = [
    [0, 0],
    [1, 0],
    [1, 1],
    [0, 0],
  ];
  const of = (geometry: Feature['geometry']) => linesOf({ ...line('a', []), geometry });
  assert.deepEqual(of({ type: 'Polygon', coordinates: [ring] }), [ring]);
  assert.deepEqual(of({ type: 'MultiPolygon', coordinates: [[ring], [ring]] }), [ring, ring]);
  assert.deepEqual(of({ type: 'Point', coordinates: [0, 0] }), []);
});

test('marks part, and what is in the hand stays', () => {
  const at: Point = [50, 50];
  const places = spread([
    { at, radius: 10, fixed: true },
    { at, radius: 10 },
    { at: [55, 50], radius: 10 },
    { at: [200, 200], radius: 10 },
  ]);
  assert.deepEqual(places[0], at);
  assert.deepEqual(places[3], [200, 200]);
  for (const [one, other] of [
    [0, 1],
    [0, 2],
    [1, 2],
  ] as const) {
    const [a, b] = [places[one] as Point, places[other] as Point];
    assert.ok(Math.hypot(a[0] - b[0], a[1] - b[1]) >= 20);
  }
});

const device = (id: string, finding: string, fault_per_year: number | null, margin_db: number) => ({
  id,
  finding,
  fault_per_year,
  margin_db,
});
const report = (...sensors: object[]) => ({ sensors, devices: [] }) as unknown as Report;

test('devices come worst first', () => {
  const devices = [
    device('sound', 'sound', 0.001, 20),
    device('failing', 'failing', 0.3, 3),
    device('worse', 'failing', 0.5, 4),
    device('unsupervised', 'failing', null, -1),
  ] as Parameters<typeof worseFirst>[0][];
  const ids = devices.sort(worseFirst).map((one) => (one as unknown as { id: string }).id);
  assert.deepEqual(ids, ['worse', 'failing', 'unsupervised', 'sound']);
});

test('two forecasts are compared by the worst and by what changed most', () => {
  const before = report(device('a', 'failing', 0.3, 3), device('b', 'sound', 0, 40));
  const now = report(device('a', 'thin', 0.05, 10), device('b', 'sound', 0, 22));
  const found = compare(before, now);
  assert.equal(found.before, 1);
  assert.equal(found.now, 1);
  assert.equal(found.worst, 7);
  assert.equal(found.most?.device.id, 'b');
  assert.equal(found.most?.by, -18);
});
