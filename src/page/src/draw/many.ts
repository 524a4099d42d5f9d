// A tool of many points: a run of walls, a flight of stairs, the outline of an area, a box.

import { effect, type Signal, signal } from '@preact/signals';
import type { ComponentType } from 'preact';
import type { Change, Point } from '../live/protocol.ts';
import { edit, level, notice, spoken } from '../live/state.ts';
import { type Key, say, sayArea, sayLength } from '../words/words.ts';
import { areaOf, box, closesAt, FREE, type Leg, next, withPoint } from './run.ts';
import type { Snap } from './snap.ts';
import type { Cross, Group, Reach, Stroke, Tool } from './tool.ts';
import { minus, size } from './vectors.ts';

export type Sort = 'line' | 'ring' | 'box';

export interface Many {
  name: string;
  group: Group;
  words: Key;
  hint: Key;
  /** A line, which may close; the outline of an area; a box by two corners. */
  sort(): Sort;
  /** Whether a line may end on its first point. */
  closes?: boolean;
  /** After so many points it is done. */
  most?: number;
  /** Where a point comes to stand, before it is drawn to lines and corners. */
  draw?(raw: Point, reach: Reach, points: Point[]): Snap | null;
  /** Thickness of what is drawn, metres. */
  thick?(): number;
  /** Why it cannot begin yet, such as a construction that is not chosen. */
  missing?(): Key | null;
  /** The edit that comes of it: its points, without the first again where it is closed. */
  make(points: Point[], closed: boolean): Change[];
  Options?: ComponentType;
}

export interface ManyTool extends Tool {
  readonly points: Signal<Point[]>;
  /** What the next leg is asked to be. */
  readonly leg: Signal<Leg>;
}

export function many(spec: Many): ManyTool {
  const points = signal<Point[]>([]);
  const leg = signal<Leg>(FREE);
  /** What was sent last, until it is of the plan. */
  let sent: { seq: number; points: Point[] } | null = null;
  const least = () => (spec.sort() === 'ring' ? 3 : 2);
  const most = () => (spec.sort() === 'box' ? 2 : (spec.most ?? Number.POSITIVE_INFINITY));
  const ringOf = (set: Point[]): Point[] => {
    const [one, other] = set;
    return spec.sort() === 'box' && one && other ? box(one, other) : set;
  };

  const clear = () => {
    points.value = [];
    leg.value = FREE;
  };
  const send = (closed: boolean): boolean => {
    const set = points.value;
    const isThin = spec.sort() !== 'line' && areaOf(ringOf(set)) < 1e-4;
    if (set.length < least() || isThin) return false;
    const changes = spec.make(ringOf(set), closed || spec.sort() !== 'line');
    if (changes.length === 0) {
      clear();
      return true;
    }
    const seq = edit(changes);
    // Without a connection what is drawn stays.
    if (seq === null) return true;
    sent = { seq, points: set };
    clear();
    spoken.value = say('drawn', { what: say(spec.words) });
    return true;
  };

  // What the program cannot take is in the hand again.
  effect(() => {
    const { value } = notice;
    if (value?.type !== 'refused' || !sent || value.seq !== sent.seq) return;
    if (points.peek().length === 0) points.value = sent.points;
    sent = null;
  });
  // A sketch is of one level.
  let of = level.peek();
  effect(() => {
    if (level.value !== of) clear();
    of = level.value;
  });

  const lineTo = (cross: Cross | null): Point[] =>
    cross ? withPoint(points.value, cross.at) : points.value;

  return {
    name: spec.name,
    group: spec.group,
    words: spec.words,
    hint: spec.hint,
    points,
    leg,
    draw(raw: Point, reach: Reach): Snap {
      const set = points.value;
      const own = spec.draw?.(raw, reach, set);
      if (own) return own;
      const closes = spec.sort() === 'ring' ? set.length >= 3 : !!spec.closes && set.length >= 3;
      const isBox = spec.sort() === 'box';
      return next(raw, leg.value, { ...reach, points: isBox ? [] : set, closes });
    },
    set({ at }: Cross) {
      const missing = spec.missing?.();
      if (missing) {
        spoken.value = say(missing);
        return;
      }
      const set = points.value;
      if (spec.sort() !== 'box' && closesAt(set, at) && (spec.closes || spec.sort() === 'ring')) {
        send(true);
        return;
      }
      const more = withPoint(set, at);
      // The last point once more ends the line.
      if (more === set) {
        send(false);
        return;
      }
      points.value = more;
      leg.value = FREE;
      spoken.value = say('pointSet', { number: more.length });
      if (more.length >= most()) send(false);
    },
    back() {
      if (points.value.length === 0) return false;
      points.value = points.value.slice(0, -1);
      leg.value = FREE;
      return true;
    },
    finish: () => send(false),
    cancel: clear,
    strokes(cross: Cross | null): Stroke[] {
      const set = points.value;
      const last = set[set.length - 1];
      if (spec.sort() === 'box') {
        const [one] = set;
        return one && cross ? [{ line: box(one, cross.at), look: 'set', ring: true }] : [];
      }
      const thick = spec.thick?.();
      const body = thick === undefined ? {} : { thick };
      const legs: Stroke[] = set.length > 1 ? [{ line: set, look: 'set', ...body }] : [];
      if (last && cross) legs.push({ line: [last, cross.at], look: 'next', ...body });
      if (spec.sort() === 'ring' && set.length > 1) {
        legs.push({ line: lineTo(cross), look: 'guide', ring: true });
      }
      return legs;
    },
    say(cross: Cross) {
      const set = points.value;
      const last = set[set.length - 1];
      if (!last) return '';
      if (spec.sort() === 'box') {
        const [x, y] = minus(cross.at, last);
        return say('boxSize', { x: sayLength(Math.abs(x)), y: sayLength(Math.abs(y)) });
      }
      const length = sayLength(size(minus(cross.at, last)));
      const ring = lineTo(cross);
      return spec.sort() === 'ring' && ring.length > 2
        ? say('legAndArea', { length, area: sayArea(areaOf(ring)) })
        : length;
    },
    ...(spec.Options ? { Options: spec.Options } : {}),
  };
}
