// What is selected: one thing, whose details are shown, or several.

import { computed, effect, signal } from '@preact/signals';
import { choose, chosen, notice, plan } from './state.ts';

/** Several things; empty while one or none is chosen. */
const several = signal<string[]>([]);
/** Whether each thing that is tapped is taken to the others. */
export const isMore = signal(false);
/** All that is selected. */
export const selection = computed(() =>
  several.value.length > 0 ? several.value : chosen.value ? [chosen.value] : [],
);
/** The thing whose name waits to be written: one that was just added. */
export const unnamed = signal<string | null>(null);

/** Whether the sheet of a thing that has a forecast is open: as it was left last. */
export const isSheetOpen = signal(false);

/** Things that were sent to be added and are selected once they are of the plan. */
let awaited: { ids: string[]; isNamed: boolean } | null = null;

export function select(ids: string[]): void {
  const [one] = ids;
  if (ids.length < 2) {
    several.value = [];
    choose(one ?? null);
    return;
  }
  choose(null);
  several.value = ids;
}

/** Takes a thing to those selected, or out of them. */
export function toggle(id: string): void {
  const now = selection.value;
  select(now.includes(id) ? now.filter((one) => one !== id) : [...now, id]);
}

/** A thing was tapped: it alone is selected, or with the others. */
export function tap(id: string | null, more: boolean): void {
  if (id && (more || isMore.value)) toggle(id);
  else if (!isMore.value) select(id ? [id] : []);
}

/** Selects things once they are of the plan; the name of one then waits to be written. */
export function selectOnceThere(ids: string[], isNamed: boolean): void {
  awaited = { ids, isNamed };
  selectIfThere();
}

function selectIfThere(): void {
  const ids = new Set(plan.peek()?.features.map(({ id }) => id));
  if (!awaited?.ids.every((id) => ids.has(id))) return;
  const { ids: there, isNamed } = awaited;
  awaited = null;
  select(there);
  if (!isNamed) return;
  // A forecast that comes while the name is written does not close the sheet.
  isSheetOpen.value = true;
  unnamed.value = there[0] ?? null;
}

effect(() => {
  if (chosen.value) several.value = [];
});
effect(() => {
  const ids = new Set(plan.value?.features.map(({ id }) => id));
  const left = several.peek().filter((id) => ids.has(id));
  if (left.length < several.peek().length) select(left);
  selectIfThere();
});
effect(() => {
  if (notice.value?.type === 'refused') awaited = null;
});
