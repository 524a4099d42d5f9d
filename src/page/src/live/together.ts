// What is done with several things at once: mirrored, copied, deleted. Each is one step of undo,
// and what hangs on a wall goes along.

import {
  boxOf,
  by,
  copiedAll,
  mirrorOf,
  movedAll,
  removedAll,
  withHanging,
} from '../things/group.ts';
import { say } from '../words/words.ts';
import { nameOf } from './hold.ts';
import { select, selectOnceThere } from './selection.ts';
import { edit, plan, spoken } from './state.ts';

/** How far a copy is set aside, metres. */
const ASIDE_M = 0.5;

/** All things, and these with what hangs on them. */
export const featuresOf = (ids: string[]) => {
  const all = plan.value?.features ?? [];
  return { all, these: withHanging(new Set(ids), all) };
};

export function mirror(ids: string[], axis: 'across' | 'up'): void {
  const { these } = featuresOf(ids);
  const box = boxOf(these);
  if (!box) return;
  edit(movedAll(these, mirrorOf(box, axis)));
  spoken.value = say('mirroredNow', { count: these.length });
}

export function copy(ids: string[]): void {
  const { all, these } = featuresOf(ids);
  const made = copiedAll(these, all, by([ASIDE_M, -ASIDE_M]));
  if (made.changes.length === 0) {
    spoken.value = say('noWall');
    return;
  }
  selectOnceThere(made.ids, false);
  edit(made.changes);
  spoken.value = say('copiedNow', { count: made.ids.length });
}

/** Takes things out, and openings with the walls that they stand on; devices stay. */
export function remove(ids: string[]): void {
  const { all, these } = featuresOf(ids);
  const gone = these.filter(({ id, kind }) => ids.includes(id) || kind === 'opening');
  if (gone.length === 0) return;
  const [first] = all.filter(({ id }) => id === ids[0]);
  select([]);
  edit(removedAll(gone));
  spoken.value = say('removed', {
    thing: gone.length === 1 ? nameOf(first) : say('thingsCount', { count: gone.length }),
  });
  document.querySelector<HTMLElement>('.target')?.focus();
}
