// Records what the program says of a shipped plan, for the fake server:
// node tests/fake/record.js PROGRAM PLAN
// The map is recorded as the reserve of many sensors on a grid, one a cell.
import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { basename, join } from 'node:path';

const [program, file] = process.argv.slice(2);
const here = new URL('recorded/', import.meta.url);
const source = JSON.parse(readFileSync(file, 'utf8'));
const folder = mkdtempSync(join(tmpdir(), 'recorded-'));

/** Panel places of which the forecast is recorded: in the utility, the hall and the kitchen. */
const SPOTS = [
  [16.078, 5.6],
  [11.723, 2.1],
  [5.69, 4.4],
];
const CELL = 0.5;
const BOX = [-1, -7, 19, 9.2];

/** What the program prints; a failing device ends it with 1 and is no fault. */
function say(...words) {
  try {
    return execFileSync(program, words, { encoding: 'utf8', maxBuffer: 1 << 28, stdio: 'pipe' });
  } catch (error) {
    if (error.status === 1 && error.stdout) return error.stdout;
    throw error;
  }
}
const json = (...words) => JSON.parse(say(...words, '--format', 'json'));
const write = (name, value) =>
  writeFileSync(new URL(`${name}.json`, here), `${JSON.stringify(value)}\n`);

const catalogue = new Map();
for (const line of say('catalogue').split('\n')) {
  const found = /^ ([a-z][a-z-]*) +(\d+) /.exec(line);
  if (found) catalogue.set(found[1], Number(found[2]) / 1000);
}
/** Classes by name: only what the recorded plan needs. */
function classOf(name) {
  if (/foil|mirror|sheet-metal|steel/.test(name)) return 'metal';
  if (/glass.*coated/.test(name)) return 'coated-glass';
  if (/glass|glazed/.test(name)) return 'glass';
  if (/^door/.test(name)) return 'door';
  if (/brick|block/.test(name)) return 'masonry';
  if (/concrete/.test(name)) return 'concrete';
  return 'light';
}

const points = new Set(['panel', 'sensor', 'keypad', 'siren', 'repeater', 'outlet']);
const features = source.features.map(({ id, geometry, properties }) => {
  const { kind, level, construction } = properties;
  const built = construction
    ? { thickness_m: catalogue.get(construction) ?? 0.1, class: classOf(construction) }
    : {};
  return { id, kind, level: level ?? 0, geometry, properties, ...built };
});
const xs = [0, 18];
write('plan', {
  type: 'plan',
  version: 1,
  name: source.name,
  file: basename(file),
  units: source.units,
  levels: source.levels.map(({ level, name, floor, ceiling }) => ({
    number: level,
    name,
    floor_m: floor,
    ceiling_m: ceiling,
  })),
  features,
  constructions: [...catalogue].map(([name]) => ({ name, class: classOf(name), loss_db: null })),
  bounds: [xs[0], -1, xs[1], 8.2],
  undo: 0,
  redo: 0,
  unsaved: 0,
  faults: [],
});

const columns = Math.round((BOX[2] - BOX[0]) / CELL);
const rows = Math.floor((BOX[3] - BOX[1]) / CELL);
const kept = source.features.filter(
  ({ properties }) => !points.has(properties.kind) && properties.kind !== 'roam',
);
const panel = source.features.find(({ properties }) => properties.kind === 'panel');
const grid = [];
for (let row = 0; row < rows; row += 1) {
  for (let column = 0; column < columns; column += 1) {
    // A little beside the grid of the walls, so that no sensor is on a wall's line.
    const at = [BOX[0] + (column + 0.51) * CELL, BOX[1] + (row + 0.53) * CELL];
    grid.push({
      type: 'Feature',
      id: `cell-${row * columns + column}`,
      geometry: { type: 'Point', coordinates: at },
      properties: { kind: 'sensor', name: 'Cell', level: 0, height: 1.9, number: grid.length + 1 },
    });
  }
}
const sown = join(folder, 'sown.geojson');
writeFileSync(sown, JSON.stringify({ ...source, features: [...kept, panel, ...grid] }));

const tables = SPOTS.map((at) => {
  const there = ['--no-pictures', '--panel', at.join(',')];
  const cells = json('check', sown, ...there).sensors;
  const bytes = new Uint8Array(columns * rows);
  for (const { id, margin_db } of cells) {
    const byte = Math.round(margin_db * 2 + 100);
    bytes[Number(id.slice(5))] = Math.min(255, Math.max(1, byte));
  }
  const map = { columns, rows, x0: BOX[0], y0: BOX[1], cell: CELL };
  return {
    at,
    check: json('check', file, ...there),
    map: { ...map, bytes: Buffer.from(bytes).toString('base64') },
  };
});
write('tables', tables);
write('explain', json('explain', file, 'Office motion', '--no-pictures'));
write('spots', json('place', file, '--no-pictures'));
write('repeaters', json('repeaters', file, '--no-pictures'));
