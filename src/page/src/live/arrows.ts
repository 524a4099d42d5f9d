// The arrow keys: what they point to, and how far one step goes.

import type { Key } from '../words/words.ts';
import type { Point } from './protocol.ts';

export interface Arrow {
  key: string;
  sign: string;
  /** What a step of the cross is called. */
  words: Key;
  way: Point;
}

export const ARROWS: readonly Arrow[] = [
  { key: 'ArrowLeft', sign: '←', words: 'stepLeft', way: [-1, 0] },
  { key: 'ArrowUp', sign: '↑', words: 'stepUp', way: [0, 1] },
  { key: 'ArrowDown', sign: '↓', words: 'stepDown', way: [0, -1] },
  { key: 'ArrowRight', sign: '→', words: 'stepRight', way: [1, 0] },
];

/** A step, metres; with Shift far, with Alt little. */
export const STEP_M = 0.1;
export const stepOf = ({ shiftKey, altKey }: { shiftKey: boolean; altKey?: boolean }): number =>
  shiftKey ? 1 : altKey ? 0.01 : STEP_M;

/** How far a key goes to the right and up in steps of so many metres; `null` for no arrow. */
export function arrowBy(key: string, step: number): Point | null {
  const way = ARROWS.find((one) => one.key === key)?.way;
  return way ? [way[0] * step, way[1] * step] : null;
}
