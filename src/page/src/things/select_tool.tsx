// The tool that selects and moves: press on a thing and drag it, with all that is selected.

import { signal } from '@preact/signals';
import type { Cross, Reach, Tool } from '../draw/tool.ts';
import { carried, carry, carryTo, putBack, setDown } from '../live/carry.ts';
import type { Feature, Point } from '../live/protocol.ts';
import { isMore, selection, tap } from '../live/selection.ts';
import { level, plan } from '../live/state.ts';
import { remove } from '../live/together.ts';
import { sayKind } from '../parts/finding_words.ts';
import { Several } from '../parts/several.tsx';
import { addSigns } from '../parts/tool_sign.tsx';
import { tidy } from '../plan/walls.ts';
import { say } from '../words/words.ts';
import { thingAt } from './hit.ts';

addSigns({
  select: { dashed: 'M-9,-9 H9 V9 H-9 Z', lines: 'M-5,0 H5 M0,-5 V5' },
});

/** How near a thing must be with keys, metres. */
const LEAST_M = 0.15;

const under = (raw: Point, reach: number): Feature | null =>
  thingAt(raw, plan.value?.features ?? [], level.value, Math.max(reach, LEAST_M));

/** Where the drag began, and the steps in which it goes, metres. */
let start: { at: Point; grid: number } | null = null;
let grid = 0.05;
/** Whether Shift is held with what comes next. */
let takesMore = false;

export const selectTool: Tool = {
  name: 'select',
  group: 'change',
  words: 'select',
  hint: 'hintSelect',
  points: signal<Point[]>([]),
  draw(raw: Point, reach: Reach) {
    grid = reach.reach > 0 ? reach.grid : 0.001;
    return { at: tidy(raw), to: [], guides: [] };
  },
  /** What was taken up by its button follows the cross from where that is first. */
  hover({ raw }: Cross) {
    if (!carried.value) return;
    start ??= { at: raw, grid };
    const { at, grid: step } = start;
    const stepped = (value: number) => Math.round(value / step) * step;
    carryTo([stepped(raw[0] - at[0]), stepped(raw[1] - at[1])]);
  },
  set({ raw, resolution }: Cross) {
    if (carried.value) {
      start = null;
      setDown();
      return;
    }
    tap(under(raw, 8 * resolution)?.id ?? null, takesMore);
    takesMore = false;
  },
  back: () => false,
  finish: () => false,
  cancel() {
    start = null;
    putBack();
  },
  say({ raw, resolution }: Cross) {
    const thing = carried.value ? null : under(raw, 8 * resolution);
    return thing ? say('thingIs', { name: thing.id, kind: sayKind(thing) }) : '';
  },
  grab({ raw, resolution }: Cross, more: boolean) {
    takesMore = more;
    const thing = under(raw, 8 * resolution);
    if (!thing || more || isMore.value || carried.value) return false;
    if (!selection.value.includes(thing.id)) tap(thing.id, false);
    start = { at: raw, grid };
    return carry(selection.value);
  },
  release() {
    start = null;
    setDown();
  },
  press({ key }: KeyboardEvent) {
    if (key !== 'Delete' || selection.value.length === 0) return false;
    remove(selection.value);
    return true;
  },
  Options: Several,
};
