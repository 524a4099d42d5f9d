// A thing in the hand: taken, moved by finger, mouse or keys, set or put back.

import { isReading } from '../guest/here.ts';
import { MARKED, pointOf } from '../plan/places.ts';
import { tidy } from '../plan/walls.ts';
import { say, sayLength } from '../words/words.ts';
import { arrowBy, stepOf } from './arrows.ts';
import type { Change, Feature, Point } from './protocol.ts';
import { attempt, edit, giveUp, held, plan, spoken } from './state.ts';

const featureOf = (id: string) => plan.value?.features.find((one) => one.id === id);

/** The name by which people know a feature. */
export function nameOf(feature: Feature | undefined): string {
  if (!feature) return '';
  const { name, number } = feature.properties;
  const own = typeof name === 'string' && name ? name : feature.id;
  return typeof number === 'number' ? `${number} ${own}` : own;
}

const change = (): Change[] => {
  const { value } = held;
  return value ? [{ do: 'move', id: value.id, to: value.at }] : [];
};

let frame = 0;
/** Tries the place at the next frame: never more often than the screen shows it. */
function tryNext(): void {
  if (frame) return;
  frame = requestAnimationFrame(() => {
    frame = 0;
    if (held.value) attempt(change());
  });
}

export function take(id: string, by: 'pointer' | 'keys'): boolean {
  const feature = featureOf(id);
  const at = feature && pointOf(feature);
  if (!feature || !at || !MARKED.has(feature.kind) || isReading.value) return false;
  if (held.value) drop();
  held.value = { id, from: at, at, by };
  if (by === 'keys') spoken.value = say('held1', { device: nameOf(feature) });
  return true;
}

export function moveTo(at: Point): void {
  if (!held.value) return;
  held.value = { ...held.value, at: tidy(at) };
  tryNext();
}

/** Moves it by metres to the right and up. */
export function moveBy([x, y]: Point): void {
  const { value } = held;
  if (!value) return;
  moveTo([value.at[0] + x, value.at[1] + y]);
  spoken.value = say('heldAt', {
    x: sayLength((held.value?.at[0] ?? 0) - value.from[0]),
    y: sayLength((held.value?.at[1] ?? 0) - value.from[1]),
  });
}

/** Leaves it where it is: one edit. */
export function set(): void {
  const { value } = held;
  if (!value) return;
  const moved = value.at[0] !== value.from[0] || value.at[1] !== value.from[1];
  if (moved) edit(change());
  else giveUp();
  held.value = null;
  spoken.value = say('setAt', { device: nameOf(featureOf(value.id)) });
}

/** Puts it back where it was taken. */
export function drop(): void {
  const { value } = held;
  if (!value) return;
  held.value = null;
  giveUp();
  spoken.value = say('dropped', { device: nameOf(featureOf(value.id)) });
}

/** What a key does to the thing in the hand; false where it means nothing to it. */
export function press(key: string, shift: boolean): boolean {
  if (!held.value) return false;
  const by = arrowBy(key, stepOf({ shiftKey: shift }));
  if (by) moveBy(by);
  else if (key === 'Enter') set();
  else if (key === 'Escape') drop();
  else return false;
  return true;
}
