import assert from 'node:assert/strict';
import { test } from 'node:test';
import { en } from '../../src/words/en.ts';
import { es } from '../../src/words/es.ts';
import {
  type Key,
  language,
  preferred,
  say,
  sayArea,
  sayChance,
  sayChange,
  sayLength,
  sayReserve,
  sayShare,
  units,
} from '../../src/words/words.ts';

const places = (text: string) => (text.match(/\{\w+\}/g) ?? []).sort();

test('every language has the same messages with the same places', () => {
  assert.deepEqual(Object.keys(es), Object.keys(en));
  for (const key of Object.keys(en) as Key[]) {
    assert.deepEqual(places(es[key]), places(en[key]), key);
    assert.notEqual(es[key].trim(), '', key);
  }
});

test('kinds and tools that differ in English differ in Spanish', () => {
  const keys = Object.keys(en) as Key[];
  const kinds: Key[] = ['wall', 'opening', 'door', 'window', 'gap', 'slab', 'obstacle', 'room'];
  const named = [...kinds, ...keys.filter((key) => /^tool[A-Z]/.test(key))];
  assert.ok(named.includes('toolHole'));
  for (const one of named) {
    for (const other of named) {
      if (en[one] !== en[other]) assert.notEqual(es[one], es[other], `${one} and ${other}`);
    }
  }
});

test('the browser decides the language, English where none is known', () => {
  assert.equal(preferred(['fr-FR', 'es-MX', 'en']), 'es');
  assert.equal(preferred(['fr']), 'en');
  assert.equal(preferred([]), 'en');
});

test('figures are worded as the program words them', () => {
  language.value = 'en';
  assert.deepEqual([0, 0.0009, 0.001, 0.1234, 0.999, 0.9991, 1].map(sayChance), [
    'below 0.1 %',
    'below 0.1 %',
    '0.1 %',
    '12.3 %',
    '99.9 %',
    'above 99.9 %',
    'above 99.9 %',
  ]);
  assert.deepEqual([0, 0.004, 0.155, 0.996, 1].map(sayShare), [
    '0 %',
    'below 1 %',
    '16 %',
    'above 99 %',
    '100 %',
  ]);
  assert.equal(sayReserve(34.56), '34.6 dB in reserve');
  assert.equal(sayReserve(-6.2), '6.2 dB short');
  assert.equal(sayChange(0.04), 'no change');
  assert.equal(sayChange(-3), '3.0 dB poorer');
  language.value = 'es';
  assert.equal(sayChance(0.324), '32,4 %');
  assert.equal(sayReserve(-0.25), 'faltan 0,3 dB');
  language.value = 'en';
});

test('lengths are metres, or feet and inches', () => {
  units.value = 'm';
  assert.equal(sayLength(-1.234), '−1.23 m');
  assert.equal(sayLength(-0.001), '0.00 m');
  units.value = 'ft';
  assert.equal(sayLength(0.3048 * 5 + 0.0254 * 2.5), '5 ft 2½ in');
  assert.equal(sayLength(-0.0254), '−1 in');
  assert.equal(sayLength(0.3048 * 2 - 0.001), '2 ft 0 in');
  assert.equal(sayArea(9.290304), '100 ft²');
  units.value = 'm';
});

test('a place that is not filled in stays visible', () => {
  assert.equal(say('saved'), 'Saved to {file}');
});
