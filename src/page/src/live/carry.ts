// Things carried elsewhere together, with what hangs on them: tried on the way, set as one edit.

import { signal } from '@preact/signals';
import { plus } from '../draw/vectors.ts';
import { middleOf, pointOf } from '../plan/places.ts';
import { tidy } from '../plan/walls.ts';
import { by, movedAll, withHanging } from '../things/group.ts';
import {
  carriedAlong,
  contactsOf,
  endsOf,
  hostOf,
  legsOf,
  standOn,
  widthOf,
} from '../things/legs.ts';
import { say, sayLength } from '../words/words.ts';
import { drop } from './hold.ts';
import type { Change, Feature, Point } from './protocol.ts';
import { edit, giveUp, plan, sketch, spoken } from './state.ts';

interface Carried {
  /** What was taken up, and all that goes along as it was. */
  ids: string[];
  features: Feature[];
  /** Every thing of the plan as it was. */
  all: Feature[];
  /** How far it is from where it was, metres. */
  off: Point;
}

export const carried = signal<Carried | null>(null);

export function carry(ids: string[]): boolean {
  drop();
  putBack();
  const all = plan.value?.features ?? [];
  const features = withHanging(new Set(ids), all);
  if (features.length === 0) return false;
  carried.value = { ids, features, all, off: [0, 0] };
  spoken.value = say('moving');
  return true;
}

/** How near a wall must be for an opening that is slid to be on it, metres. */
const SLIDE_M = 0.5;

/** What carries things so far: an opening alone slides along walls, all else just moves. */
function changesOf({ features, all, off }: Carried): Change[] {
  const [only] = features;
  if (features.length > 1 || only?.kind !== 'opening') return movedAll(features, by(off));
  return slid(only, all, off);
}

/** An opening slid along its wall or onto another, with its contacts. */
function slid(opening: Feature, all: Feature[], off: Point): Change[] {
  const line = endsOf(opening);
  if (!line) return [];
  const legs = legsOf(all, opening.level);
  const others = all.filter(({ id, kind }) => kind === 'opening' && id !== opening.id);
  const middle = plus(middleOf(line), off);
  const on = standOn(middle, widthOf(opening), legs, others, SLIDE_M);
  if (!on) return [];
  const leg = hostOf(opening, legs);
  const contacts = leg ? contactsOf(opening, all) : [];
  return [
    { do: 'shape', id: opening.id, coordinates: on.line },
    ...contacts.flatMap((contact): Change[] => {
      const at = pointOf(contact);
      if (!leg || !at) return [];
      return [{ do: 'move', id: contact.id, to: carriedAlong(at, { leg, line }, on) }];
    }),
  ];
}

/** Carries it so far from where it was. */
export function carryTo(off: Point): void {
  const { value } = carried;
  if (!value) return;
  const next = { ...value, off: tidy(off) };
  const changes = changesOf(next);
  // Where an opening finds no wall it stays where it was last.
  if (changes.length === 0) return;
  carried.value = next;
  sketch(changes);
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
  else edit(changesOf(value));
  spoken.value = say('movedNow', { x: sayLength(x), y: sayLength(y) });
}

/** Puts it back where it was. */
export function putBack(): void {
  if (!carried.value) return;
  carried.value = null;
  giveUp();
}
