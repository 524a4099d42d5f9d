// What a tool is. The pen (pen.ts) knows pointer and keys; a tool knows only what comes of points.

import type { ReadonlySignal } from '@preact/signals';
import type { ComponentType } from 'preact';
import type { Point } from '../live/protocol.ts';
import type { Key } from '../words/words.ts';
import type { Ground } from './ground.ts';
import type { Snap } from './snap.ts';

/** Where the pen stands: what is pointed at, and the place that is meant by it. */
export interface Cross extends Snap {
  raw: Point;
  /** Metres to a pixel. */
  resolution: number;
}

/** How a drawn line looks while it is not yet of the plan. */
export type Look = 'set' | 'next' | 'guide' | 'pencil';

export interface Stroke {
  line: Point[];
  look: Look;
  /** Thickness, metres, of what has one. */
  thick?: number;
  /** Whether it is the outline of an area. */
  ring?: boolean;
}

/** What a tool may need to know to say where the cross is drawn to. */
export interface Reach {
  ground: Ground;
  /** How near a thing must be, metres. */
  reach: number;
  /** Distance of the grid's lines, metres. */
  grid: number;
}

export const GROUPS = ['change', 'walls', 'openings', 'devices', 'areas', 'ground'] as const;
export type Group = (typeof GROUPS)[number];

export interface Tool {
  /** Its name in the list, and that of its sign. */
  readonly name: string;
  readonly group: Group;
  /** What it is called, and what to do with it. */
  readonly words: Key;
  readonly hint: Key;
  /** Points that are set already. */
  readonly points: ReadonlySignal<Point[]>;
  /** The place that is meant by `raw`. Where it is left out: ends, corners, lines, the grid. */
  draw?(raw: Point, reach: Reach): Snap | null;
  /** The cross stands elsewhere. */
  hover?(cross: Cross): void;
  /** Sets a point. */
  set(cross: Cross): void;
  /** Takes the last point back; false where there is none. */
  back(): boolean;
  /** Ends what is drawn: as an edit if it is whole; false if it is not. */
  finish(): boolean;
  /** Gives up what is drawn. */
  cancel(): void;
  /** What is drawn but not yet of the plan. */
  strokes?(cross: Cross | null): Stroke[];
  /** What is said beside the cross, such as a length; to the reader, too. */
  say?(cross: Cross): string;
  /** Takes hold of what is pressed on; false: the plan moves under the pointer. */
  grab?(cross: Cross, more: boolean): boolean;
  /** Drags what was taken hold of; lets go of it. Escape cancels. */
  drag?(cross: Cross): void;
  release?(cross: Cross): void;
  /** A finger goes over the plan and has taken hold of nothing. */
  sweep?(cross: Cross): void;
  /** A key that the pen has no use for; true if it is used. */
  press?(event: KeyboardEvent): boolean;
  /** What is seen above the cross, out of the way of a finger. */
  readonly Beside?: ComponentType;
  /** What can be chosen for it, beside the plan. */
  readonly Options?: ComponentType;
}
