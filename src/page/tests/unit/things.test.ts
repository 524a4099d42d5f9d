import assert from 'node:assert/strict';
import { test } from 'node:test';
import type { Feature, PlanMessage, Point, Properties } from '../../src/live/protocol.ts';
import { freeId, freeNumber, idFrom } from '../../src/things/free.ts';
import { boxOf, by, copiedAll, mirrorOf, movedAll, withHanging } from '../../src/things/group.ts';
import { thingAt } from '../../src/things/hit.ts';
import {
  atFrame,
  carriedAlong,
  contactsOf,
  hangingOn,
  legsOf,
  spanOn,
  standOn,
} from '../../src/things/legs.ts';
import { metresOf, typed, withLevel, withRole, writtenOf } from '../../src/things/members.ts';
import { roomAt, Spaces } from '../../src/things/spaces.ts';

const drawn = (
  id: string,
  kind: string,
  coordinates: Point[],
  properties: Properties = {},
): Feature => ({
  id,
  kind,
  level: 0,
  geometry:
    coordinates.length === 1
      ? { type: 'Point', coordinates: coordinates[0] as Point }
      : { type: 'LineString', coordinates },
  properties: { kind, ...properties },
  ...(kind === 'wall' ? { thickness_m: 0.2 } : {}),
});

/** Two rooms, 4 m wide and 3 m deep each: a partition at x = 4 with a door, a window in front. */
const HOUSE: Feature[] = [
  drawn('outer', 'wall', [
    [0, 0],
    [8, 0],
    [8, 3],
    [0, 3],
    [0, 0],
  ]),
  drawn('inner', 'wall', [
    [4, 0],
    [4, 3],
  ]),
  drawn('window', 'opening', [
    [1, 0],
    [2, 0],
  ]),
  drawn('door', 'opening', [
    [4, 1],
    [4, 1.9],
  ]),
  drawn('hall', 'room', [[2, 1.5]], { name: 'Hall' }),
  drawn('motion', 'sensor', [[0.12, 2]], { number: 1, serial: 'A1' }),
  drawn('smoke', 'sensor', [[2, 1.5]], { number: 2 }),
];
const LEGS = legsOf(HOUSE, 0);
const OPENINGS = HOUSE.filter(({ kind }) => kind === 'opening');

test('an opening stands on the middle of the nearest wall, where it is wished', () => {
  const on = standOn([5.5, 0.3], 0.9, LEGS, OPENINGS, 0.5);
  assert.equal(on?.leg.id, 'outer');
  assert.deepEqual(on?.line, [
    [5.05, 0],
    [5.95, 0],
  ]);
  assert.equal(standOn([5.5, 1.5], 0.9, LEGS, OPENINGS, 0.5), null, 'no wall within reach');
});

test('it is kept clear of corners, walls that meet and other openings', () => {
  const line = (at: Point, width = 1) => standOn(at, width, LEGS, OPENINGS, 0.5)?.line;
  // The corner takes half of the other wall, 0.1 m, and 0.05 m are kept clear.
  assert.deepEqual(line([7.9, 0]), [
    [6.85, 0],
    [7.85, 0],
  ]);
  // Between the partition at 4 m and the window, which ends at 2 m.
  assert.deepEqual(line([2.2, 0]), [
    [2.05, 0],
    [3.05, 0],
  ]);
  // Where the partition is, it goes to the nearer side.
  assert.deepEqual(line([4.1, 0]), [
    [4.15, 0],
    [5.15, 0],
  ]);
  assert.equal(line([4, 2], 5), undefined, 'wider than any wall within reach');
});

test('slid past its wall it jumps to another, and its own place is free', () => {
  const others = OPENINGS.filter(({ id }) => id !== 'door');
  const on = standOn([4.1, 2.9], 0.9, LEGS, others, 0.5);
  assert.equal(on?.leg.id, 'inner');
  assert.deepEqual(on?.line[1], [4, 2.85]);
  const back = standOn([4.9, 2.95], 0.9, LEGS, others, 0.5);
  assert.equal(back?.leg.id, 'outer');
  const itself = standOn([4, 1.45], 0.9, LEGS, others, 0.5);
  assert.deepEqual(itself?.line, [
    [4, 1],
    [4, 1.9],
  ]);
});

test('an opening off its wall, or past its end, is not on it', () => {
  const [front] = LEGS;
  assert.ok(front);
  const on = (a: Point, b: Point) => spanOn(front, drawn('x', 'opening', [a, b]));
  assert.deepEqual(on([2, 0], [1, 0]), [1, 2]);
  assert.equal(on([1, 0.06], [2, 0.06]), null);
  assert.equal(on([7.5, 0], [8.2, 0]), null);
});

test('a contact is at the nearer end of the frame, inside in an outside wall', () => {
  const { isInside } = new Spaces(HOUSE, 0);
  const at = (place: Point) => atFrame(place, OPENINGS, LEGS, 0.5, isInside);
  assert.deepEqual(at([1.1, -0.3])?.to, [1, 0.12], 'from outside, too');
  assert.deepEqual(at([1.9, 0.3])?.to, [2, 0.12]);
  assert.deepEqual(at([4.3, 1.8])?.to, [4.12, 1.9], 'indoors on the side of the finger');
  assert.deepEqual(at([3.7, 1.8])?.to, [3.88, 1.9]);
  assert.equal(at([6, 1.5]), null);
});

test('spaces are closed by walls, doors or not, and gaps of 0.2 m', () => {
  const spaces = new Spaces(HOUSE, 0);
  assert.equal(spaces.at([-0.5, 1]), 0);
  assert.equal(spaces.at([100, 100]), 0);
  assert.notEqual(spaces.at([2, 1]), 0);
  assert.notEqual(spaces.at([2, 1]), spaces.at([6, 1]));
  assert.equal(spaces.at([3.9, 2]), spaces.at([2, 1]), 'in the wall, the nearer room');
  const open = (gap: number) => [
    drawn('u', 'wall', [
      [gap, 0],
      [4, 0],
      [4, 4],
      [0, 4],
      [0, 0],
    ]),
  ];
  assert.notEqual(new Spaces(open(0.18), 0).at([2, 2]), 0);
  assert.equal(new Spaces(open(0.4), 0).at([2, 2]), 0);
  assert.equal(new Spaces([], 0).at([0, 0]), 0, 'without walls all is outside');
});

test('a large site is looked at in coarser cells', () => {
  const site = [
    drawn('yard', 'wall', [
      [0, 0],
      [300, 0],
      [300, 300],
      [0, 300],
      [0, 0],
    ]),
  ];
  const spaces = new Spaces(site, 0);
  assert.notEqual(spaces.at([150, 150]), 0);
  assert.equal(spaces.at([-0.4, 150]), 0);
});

test('the room at a place is the one named in the same space', () => {
  assert.equal(roomAt([0.5, 0.5], HOUSE, 0)?.id, 'hall');
  assert.equal(roomAt([6, 1], HOUSE, 0), null);
  assert.equal(roomAt([20, 1], HOUSE, 0), null);
});

test('what hangs on a wall is its openings and what is at its faces', () => {
  assert.deepEqual(hangingOn(new Set(['outer']), HOUSE), ['window', 'motion']);
  assert.deepEqual(hangingOn(new Set(['inner']), HOUSE), ['door']);
  assert.deepEqual(hangingOn(new Set(['motion']), HOUSE), []);
});

test('a moved wall takes along what hangs on it', () => {
  const changes = movedAll(withHanging(new Set(['inner']), HOUSE), by([0.5, 0]));
  assert.deepEqual(changes, [
    {
      do: 'shape',
      id: 'inner',
      coordinates: [
        [4.5, 0],
        [4.5, 3],
      ],
    },
    {
      do: 'shape',
      id: 'door',
      coordinates: [
        [4.5, 1],
        [4.5, 1.9],
      ],
    },
  ]);
});

test('mirrored twice, things are where they were', () => {
  const box = boxOf(HOUSE);
  assert.deepEqual(box, [0, 0, 8, 3]);
  assert.ok(box);
  const across = mirrorOf(box, 'across');
  assert.deepEqual(across([1, 2]), [7, 2]);
  assert.deepEqual(mirrorOf(box, 'up')([1, 2]), [1, 1]);
  for (const place of [
    [0.12, 2],
    [1.337, 0.001],
  ] as Point[]) {
    assert.deepEqual(across(across(place)), place);
  }
});

test('an area with holes is mirrored with them', () => {
  const slab: Feature = {
    ...drawn('slab', 'slab', [[0, 0]]),
    geometry: {
      type: 'Polygon',
      coordinates: [
        [
          [0, 0],
          [4, 0],
          [4, 4],
          [0, 0],
        ],
        [
          [3, 1],
          [3.5, 1],
          [3.5, 2],
          [3, 1],
        ],
      ],
    },
  };
  const [remove, add] = movedAll([slab], by([1, 0]));
  assert.deepEqual(remove, { do: 'remove', id: 'slab' });
  assert.ok(add?.do === 'add');
  const { geometry, id } = add.feature as { geometry: { coordinates: Point[][] }; id: string };
  assert.equal(id, 'slab');
  assert.deepEqual(geometry.coordinates[1]?.[0], [4, 1]);
});

test('copies get ids and numbers of their own, and no second panel', () => {
  const panel = drawn('panel', 'panel', [[1, 1]]);
  const all = [...HOUSE, panel];
  const chosen = all.filter(({ id }) => ['motion', 'smoke', 'panel'].includes(id));
  const { changes, ids } = copiedAll(chosen, all, by([1, 1]));
  assert.deepEqual(ids, ['motion-2', 'smoke-2']);
  const features = changes.map((one) => (one.do === 'add' ? (one.feature as Feature) : null));
  assert.deepEqual(
    features.map((one) => one?.properties.number),
    [3, 4],
  );
  assert.equal(features[0]?.properties.serial, undefined);
  assert.deepEqual(features[0]?.geometry?.coordinates, [1.12, 3]);
});

test('ids and numbers are the next that are free', () => {
  assert.equal(freeId('a', new Set()), 'a');
  assert.equal(freeId('a', new Set(['a', 'a-2'])), 'a-3');
  assert.equal(freeNumber(HOUSE), 3);
  assert.equal(idFrom('Küche / Señor 1', 'x'), 'kuche-senor-1');
  assert.equal(idFrom('厨房', 'room'), 'room');
});

const PLAN = (units: 'm' | 'ft') =>
  ({
    units,
    levels: [
      { number: 0, name: 'Ground', floor_m: 0, ceiling_m: 2.4 },
      { number: 1, name: 'First', floor_m: 2.7, ceiling_m: 5.1 },
    ],
  }) as PlanMessage;

test('lengths are read and written in the plan’s unit, sills above the floor', () => {
  const sill = { name: 'base', sort: 'length', from: 'zero' } as const;
  const height = { name: 'height', sort: 'length', from: 'floor' } as const;
  const upper = { ...drawn('w', 'opening', [[0, 0]], { base: 3.6 }), level: 1 };
  assert.ok(Math.abs((metresOf(upper, sill, PLAN('m')) ?? 0) - 0.9) < 1e-9);
  assert.equal(writtenOf(0.9, sill, upper, PLAN('m')), 3.6);
  assert.equal(writtenOf(1.524, height, upper, PLAN('ft')), 5);
  assert.equal(
    writtenOf(0.115, { name: 'thickness_mm', sort: 'thickness' }, upper, PLAN('ft')),
    115,
  );
  assert.equal(metresOf(upper, height, PLAN('m')), null);
});

test('a length is shown as it can be typed', () => {
  assert.equal(typed(1.5, 'm'), '1.5');
  assert.equal(typed(0.3048 * 5, 'ft'), "5'");
  assert.equal(typed(0.3048 * 5 + 0.0254 * 2.5, 'ft'), `5' 2.5"`);
  assert.equal(typed(0.0254, 'ft'), '1"');
  assert.equal(typed(0.3048 * 2 - 0.0001, 'ft'), "2'");
});

test('a role of life safety makes a device supervised, another level lifts sill and head', () => {
  const loose = drawn('s', 'sensor', [[0, 0]], { supervised: false });
  assert.deepEqual(withRole('fire', loose), { role: 'fire', supervised: null });
  assert.deepEqual(withRole('interior', loose), { role: 'interior' });
  const window = drawn('w', 'opening', [[0, 0]], { base: 0.9, top: 2 });
  assert.deepEqual(withLevel(1, window, PLAN('m')), { level: 1, base: 3.6, top: 4.7 });
});

test('the nearest thing is meant, of those about as near the smallest', () => {
  const at = (place: Point, reach = 0.2) => thingAt(place, HOUSE, 0, reach)?.id;
  assert.equal(at([1.5, 0.05]), 'window', 'an opening before its wall');
  assert.equal(at([3, 0.05]), 'outer');
  assert.equal(at([3, 0.05], 1), 'outer', 'however near a finger must be');
  assert.equal(at([2, 1.45]), 'smoke');
  assert.equal(at([5.5, 1.5]), undefined, 'floor is nothing');
  assert.equal(thingAt([1.5, 0], HOUSE, 1, 0.2), null, 'another level');
});

test('an opening is copied to where its wall has room', () => {
  const chosen = HOUSE.filter(({ id }) => id === 'window');
  const { changes, ids } = copiedAll(chosen, HOUSE, by([0.5, -0.5]));
  assert.deepEqual(ids, ['window-2']);
  const [add] = changes;
  assert.ok(add?.do === 'add');
  // The window is from 1 to 2 m: the next is 0.05 m beside it.
  assert.deepEqual((add.feature as Feature).geometry?.coordinates, [
    [2.05, 0],
    [3.05, 0],
  ]);
  // With its wall it goes where the wall goes.
  const both = HOUSE.filter(({ id }) => ['outer', 'window'].includes(id));
  const [, window] = copiedAll(both, HOUSE, by([0, -10])).changes;
  assert.ok(window?.do === 'add');
  assert.deepEqual((window.feature as Feature).geometry?.coordinates, [
    [1, -10],
    [2, -10],
  ]);
});

test('contacts belong to the opening at whose frame they are, and go along', () => {
  const contact = drawn('c', 'sensor', [[1, 0.12]], { device: 'contact' });
  const far = drawn('d', 'sensor', [[2.6, 0.12]], { device: 'contact' });
  const all = [...HOUSE, contact, far];
  const window = HOUSE.find(({ id }) => id === 'window');
  assert.ok(window);
  assert.deepEqual(
    contactsOf(window, all).map(({ id }) => id),
    ['c'],
  );
  const [front, east] = LEGS;
  assert.ok(front && east);
  const from = {
    leg: front,
    line: [
      [1, 0],
      [2, 0],
    ] as [Point, Point],
  };
  const slid = {
    leg: front,
    line: [
      [5, 0],
      [6, 0],
    ] as [Point, Point],
  };
  assert.deepEqual(carriedAlong([1, 0.12], from, slid), [5, 0.12]);
  const turned = {
    leg: east,
    line: [
      [8, 1],
      [8, 2],
    ] as [Point, Point],
  };
  assert.deepEqual(carriedAlong([1, 0.12], from, turned), [7.88, 1]);
});
