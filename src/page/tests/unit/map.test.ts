import assert from 'node:assert/strict';
import { test } from 'node:test';
import { type HeatMap, readMap, reserveOf, type TableMessage } from '../../src/live/protocol.ts';
import { bandsOf, colourOf, findingOf, limitsOf, ramp } from '../../src/plan/bands.ts';
import { paintMap, reserveAt } from '../../src/plan/heat.ts';

const LIMITS = { failing_below_db: 5.8, sound_from_db: 17.4 };

function message(columns: number, rows: number, cells: number[]): ArrayBuffer {
  const buffer = new ArrayBuffer(36 + cells.length);
  const view = new DataView(buffer);
  [...'DM1\0'].forEach((letter, at) => {
    view.setUint8(at, letter.charCodeAt(0));
  });
  view.setUint32(4, 7, true);
  view.setUint32(8, 9, true);
  view.setInt32(12, -1, true);
  view.setUint8(16, 1);
  view.setUint8(17, 255);
  view.setUint16(18, columns, true);
  view.setUint16(20, rows, true);
  view.setFloat32(24, -2, true);
  view.setFloat32(28, 3.5, true);
  view.setFloat32(32, 0.5, true);
  new Uint8Array(buffer, 36).set(cells);
  return buffer;
}

test('a map is read from its bytes', () => {
  const map = readMap(message(2, 2, [0, 100, 101, 255]));
  assert.ok(map);
  const { bytes, ...head } = map;
  assert.deepEqual(head, {
    version: 7,
    seq: 9,
    level: -1,
    kind: 'anywhere',
    stage: 255,
    columns: 2,
    rows: 2,
    x0: -2,
    y0: 3.5,
    cell: 0.5,
  });
  assert.deepEqual([...bytes].map(reserveOf), [null, 0, 0.5, 77.5]);
  assert.equal(reserveAt(map, -1.2, 3.6), 0);
  assert.equal(reserveAt(map, -1.2, 4.4), 77.5);
  assert.equal(reserveAt(map, 5, 5), null);
});

test('what is no map is not read', () => {
  assert.equal(readMap(new ArrayBuffer(10)), null);
  assert.equal(readMap(message(3, 3, [1, 2])), null);
  const other = message(1, 1, [1]);
  new DataView(other).setUint8(2, 50);
  assert.equal(readMap(other), null);
});

const lightness = ([red, green, blue]: number[]) =>
  0.2126 * (red ?? 0) + 0.7152 * (green ?? 0) + 0.0722 * (blue ?? 0);

test('lightness only falls along the ramp and from better to worse reserves', () => {
  const places = Array.from({ length: 101 }, (_, at) => lightness(ramp(at / 100)));
  assert.ok(places.every((tone, at) => at === 0 || tone <= (places[at - 1] as number)));
  const bands = bandsOf(LIMITS);
  const tones = Array.from({ length: 200 }, (_, at) => lightness(colourOf(bands, 70 - at / 2)));
  assert.ok(tones.every((tone, at) => at === 0 || tone <= (tones[at - 1] as number)));
});

test('the findings are groups of tones, also in grey', () => {
  const bands = bandsOf(LIMITS);
  const step = (limit: number) =>
    lightness(colourOf(bands, limit + 0.01)) - lightness(colourOf(bands, limit - 0.01));
  assert.ok(step(LIMITS.sound_from_db) > 10);
  assert.ok(step(LIMITS.failing_below_db) > 10);
  assert.equal(findingOf(bands, 5.7), 'failing');
  assert.equal(findingOf(bands, 5.8), 'thin');
  assert.equal(findingOf(bands, 17.4), 'sound');
  assert.equal(findingOf(bandsOf(null), 3), null);
});

test('limits are those of the program, else read off between devices', () => {
  const device = (margin_db: number, fault_per_year: number) => ({ margin_db, fault_per_year });
  const table = {
    check: {
      model: { findings: { sound_below: 0.01, thin_below: 0.1 } },
      sensors: [device(0, 1), device(30, 0.001)],
      devices: [],
    },
  } as unknown as TableMessage;
  const near = limitsOf(table);
  assert.ok(near && Math.abs(near.failing_below_db - 10) < 1e-9);
  assert.ok(Math.abs(near.sound_from_db - 20) < 1e-9);
  assert.deepEqual(limitsOf({ ...table, words: { thresholds: LIMITS } }), LIMITS);
  const one = { ...table, check: { ...table.check, sensors: table.check.sensors.slice(0, 1) } };
  assert.equal(limitsOf(one), null);
});

function painted(cells: number[], bands = bandsOf(LIMITS)) {
  const map = readMap(message(cells.length, 1, cells)) as HeatMap;
  const window = {
    west: -2,
    north: 4,
    resolution: 0.025,
    width: 20 * cells.length,
    height: 20,
    ratio: 1,
  };
  const pixels = paintMap(map, bands, window);
  const at = (x: number, y: number) => [...pixels.slice((y * window.width + x) * 4).slice(0, 4)];
  return { at, window };
}

test('a cell without a value is left open', () => {
  const { at } = painted([0, 150]);
  assert.equal(at(5, 10)[3], 0);
  assert.equal(at(30, 10)[3], 255);
});

test('failing floor is hatched, sound floor is not', () => {
  const tones = (byte: number, bands = bandsOf(LIMITS)) => {
    const { at, window } = painted([byte], bands);
    const row = Array.from({ length: window.width }, (_, x) => at(x, 10).join());
    return new Set(row).size;
  };
  assert.equal(tones(180), 1);
  assert.equal(tones(105), 2);
  assert.equal(tones(105, bandsOf(null)), 1);
});

test('a dark line stands where failing begins', () => {
  const { at, window } = painted([90, 180]);
  const dark = Array.from({ length: window.width }, (_, x) => at(x, 10)).filter(
    ([red, green, blue]) => red === 22 && green === 22 && blue === 26,
  );
  assert.ok(dark.length >= 1 && dark.length <= 6, String(dark.length));
});
