// A tool of one point: a thing on a wall, at a frame, in a room or anywhere.

import { signal } from '@preact/signals';
import type { ComponentType } from 'preact';
import type { Change, Point } from '../live/protocol.ts';
import { edit, spoken } from '../live/state.ts';
import { type Key, say } from '../words/words.ts';
import type { Snap } from './snap.ts';
import type { Cross, Group, Reach, Stroke, Tool } from './tool.ts';

export interface One<P extends Snap> {
  name: string;
  group: Group;
  words: Key;
  hint: Key;
  /** Where the thing would be when `raw` is pointed at; `null` if nowhere. */
  place(raw: Point, reach: Reach): P | null;
  /** Said where it can be nowhere. */
  nowhere?: Key;
  /** Why it cannot be put anywhere yet, such as a construction that is not chosen. */
  missing?(): Key | null;
  /** The edit that comes of it. */
  make(placed: P): Change[];
  /** After the edit was sent. */
  done?(placed: P): void;
  strokes?(placed: P): Stroke[];
  /** What is said beside the cross. */
  say?(placed: P): string;
  Options?: ComponentType;
}

export function one<P extends Snap>(spec: One<P>): Tool {
  /** Where it would be now. */
  let placed: P | null = null;
  return {
    name: spec.name,
    group: spec.group,
    words: spec.words,
    hint: spec.hint,
    points: signal<Point[]>([]),
    draw(raw: Point, reach: Reach): Snap | null {
      placed = spec.place(raw, reach);
      return placed;
    },
    set() {
      const missing = spec.missing?.();
      if (missing || !placed) {
        spoken.value = say(missing ?? spec.nowhere ?? 'nowhere');
        return;
      }
      const at = placed;
      const changes = spec.make(at);
      if (changes.length > 0) {
        if (edit(changes) === null) return;
        spoken.value = say('drawn', { what: say(spec.words) });
      }
      spec.done?.(at);
    },
    back: () => false,
    finish: () => false,
    cancel() {
      placed = null;
    },
    strokes: (cross: Cross | null) => (cross && placed ? (spec.strokes?.(placed) ?? []) : []),
    say: () => (placed ? (spec.say?.(placed) ?? '') : say(spec.nowhere ?? 'nowhere')),
    ...(spec.Options ? { Options: spec.Options } : {}),
  };
}
