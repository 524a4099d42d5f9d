// What is built of what: in use on the plan, chosen for what comes next.

import { computed, signal } from '@preact/signals';
import type { Construction, UsedFor } from '../live/protocol.ts';
import { palette, plan } from '../live/state.ts';
import { USUAL_M } from '../plan/walls.ts';
import { useOf } from '../things/usual.ts';

/** What was chosen last for each use. */
const picked = signal<Partial<Record<UsedFor, string>>>({});

const known = computed(
  () => new Map(palette.value?.constructions.map((one): [string, Construction] => [one.name, one])),
);

/** Names of the constructions in use for something, the most used first. */
export function inUseFor(use: UsedFor): string[] {
  const counts = new Map<string, number>();
  for (const feature of plan.value?.features ?? []) {
    const name = feature.properties.construction;
    if (typeof name !== 'string' || useOf(feature) !== use) continue;
    counts.set(name, (counts.get(name) ?? 0) + 1);
  }
  return [...counts].sort((one, other) => other[1] - one[1]).map(([name]) => name);
}

/** The construction for the next thing: as chosen last, else the one most in use; or none yet. */
export const materialFor = (use: UsedFor): string | null =>
  picked.value[use] ?? inUseFor(use)[0] ?? null;

export function pick(use: UsedFor, name: string): void {
  picked.value = { ...picked.value, [use]: name };
}

export const constructionOf = (name: string): Construction | null => known.value.get(name) ?? null;

/** How thick walls of a construction are on this plan, metres; where there is none, usual. */
export const thicknessOf = (name: string | null): number =>
  plan.value?.features.find(
    ({ properties, thickness_m }) => properties.construction === name && thickness_m,
  )?.thickness_m ?? USUAL_M;
