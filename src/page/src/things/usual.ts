// What is usual: heights, roles and mounts of devices, sizes of openings (common practice, no
// source; the program's reader of tape-measure lists takes the same).

import type { Feature, UsedFor } from '../live/protocol.ts';

/** What can be hung or put up: a kind of the format, and of a sensor its sort. */
export interface DeviceSort {
  /** Its word, as people are shown it: a sort of sensor, or the kind. */
  word: string;
  kind: string;
  device?: string;
  role?: string;
  mount: 'wall' | 'frame' | 'ceiling';
  /** Height above the floor, metres; a negative one counts down from the ceiling. */
  height: number;
}

const sensor = (
  word: string,
  role: string,
  mount: DeviceSort['mount'],
  height: number,
): DeviceSort => ({ word, kind: 'sensor', device: word, role, mount, height });

export const DEVICE_SORTS: DeviceSort[] = [
  { word: 'panel', kind: 'panel', mount: 'wall', height: 1.5 },
  sensor('contact', 'perimeter', 'frame', 1.9),
  sensor('motion', 'interior', 'wall', 2.2),
  sensor('smoke', 'fire', 'ceiling', -0.02),
  sensor('heat', 'fire', 'ceiling', -0.02),
  sensor('co', 'carbon-monoxide', 'wall', 1.5),
  sensor('leak', '24-hour', 'wall', 0.05),
  sensor('glass-break', 'perimeter', 'wall', 2.0),
  sensor('shock', 'perimeter', 'frame', 1.2),
  { word: 'keypad', kind: 'keypad', mount: 'wall', height: 1.4 },
  { word: 'siren', kind: 'siren', mount: 'wall', height: 2.2 },
  { word: 'repeater', kind: 'repeater', mount: 'wall', height: 0.3 },
];

/** What is put on a wall. */
export interface OpeningSort {
  word: 'door' | 'window' | 'gap';
  construction: string;
  width: number;
  /** Above the floor, metres. */
  sill: number;
  head: number;
  open: boolean;
}

/** Usual doors, windows and gaps: constructions and heights those of tape-measure lists. */
export const OPENING_SORTS: OpeningSort[] = [
  { word: 'door', construction: 'door-solid', width: 0.9, sill: 0, head: 2, open: false },
  { word: 'window', construction: 'glass-double', width: 1.2, sill: 0.9, head: 2, open: false },
  { word: 'gap', construction: 'door-solid', width: 0.9, sill: 0, head: 2, open: true },
];

/** Whether an opening is a window: glass that does not reach the floor. */
export function isWindow({ properties, class: kind }: Feature): boolean {
  const name = typeof properties.construction === 'string' ? properties.construction : '';
  const isGlass = kind === 'glass' || kind === 'coated-glass' || name.startsWith('glass');
  return isGlass && !name.startsWith('door');
}

/** For what a thing's construction is used: the palette's word. */
export const useOf = (feature: Feature): UsedFor =>
  feature.kind === 'opening' ? (isWindow(feature) ? 'window' : 'door') : (feature.kind as UsedFor);

/** The construction that most things of a use have, else the usual one. */
export function mostUsed(features: Feature[], use: UsedFor, usual: string): string {
  const counts = new Map<string, number>();
  for (const feature of features) {
    const { construction } = feature.properties;
    if (useOf(feature) !== use || typeof construction !== 'string') continue;
    counts.set(construction, (counts.get(construction) ?? 0) + 1);
  }
  const [most] = [...counts].sort((one, other) => other[1] - one[1]);
  return most?.[0] ?? usual;
}

/** The role of a device, where it hangs: a contact on a door by which people come in delays. */
export function roleAt(sort: DeviceSort, opening: Feature | null): string | undefined {
  const isEntry = opening?.properties.entry === true;
  return sort.word === 'contact' && isEntry ? 'entry-exit' : sort.role;
}
