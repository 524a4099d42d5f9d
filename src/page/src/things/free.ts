// Ids and numbers that are still free.

import type { Feature } from '../live/protocol.ts';

/** The id that a new thing gets, as the program gives it: `-2`, `-3`, … behind one taken. */
export function freeId(wanted: string, taken: ReadonlySet<string>): string {
  if (!taken.has(wanted)) return wanted;
  for (let count = 2; ; count += 1) {
    const id = `${wanted}-${count}`;
    if (!taken.has(id)) return id;
  }
}

export const idsOf = (features: Feature[]): Set<string> => new Set(features.map(({ id }) => id));

/** The least number, from 1, that no device has. */
export function freeNumber(features: Feature[]): number {
  const taken = new Set(features.map(({ properties }) => properties.number));
  for (let number = 1; ; number += 1) if (!taken.has(number)) return number;
}

/** A name as an id: lower case, words joined by hyphens; `plain` where nothing of it is left. */
export function idFrom(name: string, plain: string): string {
  const id = name
    .normalize('NFD')
    .replace(/\p{M}/gu, '')
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '-')
    .replace(/^-+|-+$/g, '')
    .slice(0, 60);
  return id || plain;
}
