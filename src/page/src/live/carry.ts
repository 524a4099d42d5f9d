// Things carried elsewhere together, with what hangs on them: tried on the way, set as one edit.

import { signal } from '@preact/signals';
import { tidy } from '../plan/walls.ts';
import { by, movedAll, withHanging } from '../things/group.ts';
import { say, sayLength } from '../words/words.ts';
import { drop } from './hold.ts';
import type { Feature, Point } from './protocol.ts';
import { edit, giveUp, plan, sketch, spoken } from './state.ts';

interface Carried {
  /** What was taken up, and all that goes along as it was. */
  ids: string[];
  features: Feature[];
  /** How far it is from where it was, metres. */
  off: Point;
}

export const carried = signal<Carried | null>(null);

export function carry(ids: string[]): boolean {
  drop();
  putBack();
  const features = withHanging(new Set(ids), plan.value?.features ?? []);
  if (features.length === 0) return false;
  carried.value = { ids, features, off: [0, 0] };
  spoken.value = say('moving');
  return true;
}

/** Carries it so far from where it was. */
export function carryTo(off: Point): void {
  const { value } = carried;
  if (!value) return;
  const rounded = tidy(off);
  carried.value = { ...value, off: rounded };
  sketch(movedAll(value.features, by(rounded)));
}

export function carryBy([x, y]: Point): void {
  const { value } = carried;
  if (!value) return;
  carryTo([value.off[0] + x, value.off[1] + y]);
  const [right, up] = carried.value?.off ?? [0, 0];
  spoken.value = say('heldAt', { x: sayLength(right), y: sayLength(up) });
}

/** Leaves it where it is: one edit. */
export function setDown(): void {
  const { value } = carried;
  if (!value) return;
  carried.value = null;
  const [x, y] = value.off;
  if (x === 0 && y === 0) giveUp();
  else edit(movedAll(value.features, by(value.off)));
  spoken.value = say('movedNow', { x: sayLength(x), y: sayLength(y) });
}

/** Puts it back where it was. */
export function putBack(): void {
  if (!carried.value) return;
  carried.value = null;
  giveUp();
}
