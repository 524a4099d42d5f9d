import assert from 'node:assert/strict';
import { test } from 'node:test';
import type { Feature } from '../../src/live/protocol.ts';
import { backToKept, type OfferLevel, pairOf, type Shots, shareAt } from '../../src/sale/offer.ts';
import { lineOf, named, roomsIn, spanOf, withLine } from '../../src/tape/lines.ts';

test('the line of the wipe follows the pointer and stays on the plan', () => {
  const box = { left: 20, width: 400 };
  assert.deepEqual(
    [20, 220, 420, 0, 900].map((x) => shareAt(x, box)),
    [0, 50, 100, 0, 100],
  );
  assert.equal(shareAt(5, { left: 0, width: 0 }), 50);
});

test('a name of more than one word stands in quotation marks', () => {
  assert.equal(named('Hall'), 'Hall');
  assert.equal(named(' Living   room '), '"Living room"');
  assert.equal(named('Café'), 'Café');
  assert.equal(named('Store "A" #2'), '"Store A #2"');
});

test('the row of the form is a line of the list', () => {
  const row = { name: 'Living room', width: ' 3.6', depth: '12\' 6"' };
  assert.equal(
    lineOf({ ...row, side: 'left-of', beside: 'Front hall' }),
    'room "Living room" 3.6 x 12\' 6" left-of "Front hall"',
  );
  assert.equal(lineOf({ ...row, side: 'behind', beside: '' }), 'room "Living room" 3.6 x 12\' 6"');
});

test('rooms are found by their lines, each once', () => {
  const list =
    '# room No\nroom Hall 2 x 5\n  ROOM “Living  room” 4 x 5\nroom Hall 1 x 1\nrooms X\n';
  assert.deepEqual(roomsIn(list), ['Hall', 'Living room']);
  assert.deepEqual(roomsIn(''), []);
});

test('a line is added at the end, and found by its number', () => {
  assert.equal(withLine('', 'a'), 'a\n');
  assert.equal(withLine('x', 'a'), 'x\na\n');
  assert.equal(withLine('x\n', 'a'), 'x\na\n');
  const text = 'one\ntwo words\n\nfour';
  assert.deepEqual(
    [1, 2, 3, 4].map((line) => text.slice(...spanOf(text, line))),
    ['one', 'two words', '', 'four'],
  );
});

const panel = (at: [number, number], level = 0): Feature => ({
  id: 'panel',
  kind: 'panel',
  level,
  geometry: { type: 'Point', coordinates: at },
  properties: { kind: 'panel', height: 1.5 },
});

test('a panel that was moved since it was kept is put back for the picture before', () => {
  assert.deepEqual(backToKept(null, panel([1, 2])), []);
  assert.deepEqual(backToKept(panel([1, 2]), null), []);
  assert.deepEqual(backToKept(panel([1, 2]), panel([1.01, 2])), []);
  assert.equal(backToKept(panel([1, 2]), panel([1, 2], 1)).length, 2);
  assert.deepEqual(backToKept(panel([1, 2]), panel([4, 2])), [
    { do: 'set', id: 'panel', properties: { height: 1.5 } },
    { do: 'move', id: 'panel', to: [1, 2], level: 0 },
  ]);
});

test('under the line are the old place and the new, or without and with repeaters', () => {
  const shots = (name: string): Shots => {
    const shot = { png: name, width: 1, height: 1, alt: '', caption: '' };
    return [shot, shot];
  };
  const level = (name: string, more: Partial<OfferLevel> = {}): OfferLevel => ({
    number: 0,
    name,
    why: null,
    plan: shots(`${name} plan`),
    key: shots('key'),
    ...more,
  });
  const both = { without: shots('without'), with: shots('with') };
  const names = (pair: [Shots, Shots] | null) => pair?.map(([one]) => one.png);
  assert.equal(pairOf(level('a'), null), null);
  assert.deepEqual(names(pairOf(level('a', both), null)), ['without', 'with']);
  const before = (of: OfferLevel) => ({ levels: [of], heard: 1 });
  assert.deepEqual(names(pairOf(level('a'), before(level('b')))), ['b plan', 'a plan']);
  assert.deepEqual(names(pairOf(level('a', both), before(level('b', both)))), ['without', 'with']);
});
