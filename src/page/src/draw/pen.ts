// The tool in use, and the cross that says where it is: moved by pointer, finger or keys.

import { computed, signal } from '@preact/signals';
import { arrowBy, stepOf } from '../live/arrows.ts';
import { drop } from '../live/hold.ts';
import type { Point } from '../live/protocol.ts';
import { level, plan, spoken } from '../live/state.ts';
import { BARE, groundOf, levelBelow } from './ground.ts';
import { gridOf, type Snap, snap } from './snap.ts';
import type { Cross, Reach, Tool } from './tool.ts';
import { clean, plus, same } from './vectors.ts';
import { sayCross } from './where.ts';

/** Drag: the cross follows the pointer. Aim: it stands in the middle and the plan moves. */
export type Way = 'drag' | 'aim';

/** The plan on the screen, as far as the pen needs it. */
export interface Sheet {
  /** Metres to a pixel. */
  readonly resolution: number;
  readonly middle: Point;
  centre(at: Point): void;
  /** Moves the plan if a place is not on the screen. */
  show(at: Point): void;
}

/** How near a thing must be for the cross to be drawn to it: pixels, and metres for keys. */
const [REACH_PIXELS, REACH_KEYS_M] = [12, 0.045];

export const tool = signal<Tool | null>(null);
export const pointing = signal<Way>('drag');
export const cross = signal<Cross | null>(null);
const sheet = signal<Sheet | null>(null);
/** Whether a drag of the tool's own goes on. */
const grabbed = signal(false);

export const below = computed(() => levelBelow(plan.value?.levels ?? [], level.value));
export const ground = computed(() =>
  plan.value ? groundOf(plan.value.features, level.value, below.value) : BARE,
);

export function layOn(on: Sheet | null): void {
  sheet.value = on;
}

/** What a tool may be drawn to, at a reach in metres. */
const reachOf = (reach: number): Reach => ({
  ground: ground.value,
  reach,
  grid: gridOf(plan.value?.units ?? 'm'),
});

function placed(raw: Point, reach: number, free: boolean): Snap {
  const { value } = tool;
  const at: Snap = { at: clean(raw), to: [], guides: [] };
  if (!value) return at;
  const within = reachOf(free ? 0 : reach);
  const own = value.draw?.(raw, within);
  if (own || value.draw) return own ?? at;
  return free ? at : snap(raw, { ...within, points: value.points.value, closes: false });
}

/** Puts the cross to what `raw` means. `free`: it is drawn to nothing. */
function point(raw: Point, reach: number, free: boolean): void {
  const resolution = sheet.value?.resolution ?? 0.02;
  cross.value = { ...placed(raw, reach, free), raw, resolution };
  tool.value?.hover?.(cross.value);
}

/** Takes up a tool, or puts the one in use away. What it had begun is given up. */
export function takeUp(next: Tool | null): void {
  if (tool.value === next) return;
  tool.value?.cancel();
  grabbed.value = false;
  drop();
  tool.value = next;
  cross.value = null;
  if (next && pointing.value === 'aim') aimAtMiddle();
}

export function pointBy(by: Way): void {
  pointing.value = by;
  if (tool.value) aimAtMiddle();
}

const pixelsReach = (): number => REACH_PIXELS * (sheet.value?.resolution ?? 0.02);

/** The plan was moved or zoomed: the cross that stands in its middle is elsewhere now. */
export function aimAtMiddle(free = false): void {
  const { value } = sheet;
  if (!value) return;
  // A step by a key has put it there, and what it was drawn to stays.
  if (stepped && same(stepped, clean(value.middle))) return;
  stepped = null;
  // Where nothing has moved nothing is drawn again, or each drawing would be the cause of another.
  const { raw, resolution } = cross.value ?? {};
  if (raw && same(raw, value.middle) && resolution === value.resolution) return;
  point(value.middle, pixelsReach(), free);
}
let stepped: Point | null = null;

/** A pointer is over a place. */
export function hover(at: Point, free: boolean): void {
  if (tool.value && pointing.value === 'drag' && !grabbed.value) point(at, pixelsReach(), free);
}

/** A pointer is pressed: true if the tool takes hold of something. */
export function grab(at: Point, free: boolean, more: boolean): boolean {
  if (!tool.value?.grab || pointing.value !== 'drag') return false;
  point(at, pixelsReach(), free);
  grabbed.value = cross.value !== null && tool.value.grab(cross.value, more);
  return grabbed.value;
}

export function drag(at: Point, free: boolean): void {
  if (!tool.value) return;
  point(at, pixelsReach(), free);
  if (!cross.value) return;
  if (grabbed.value) tool.value.drag?.(cross.value);
  else tool.value.sweep?.(cross.value);
}

export function release(at: Point, free: boolean): void {
  drag(at, free);
  if (grabbed.value && cross.value) tool.value?.release?.(cross.value);
  else setPoint();
  grabbed.value = false;
}

/** A drag that came to nothing, such as by a second finger. */
export function letBe(): void {
  if (grabbed.value) tool.value?.cancel();
  grabbed.value = false;
  cross.value = null;
}

/** Sets a point where the cross stands. */
export function setPoint(): void {
  const { value } = cross;
  if (!value || !tool.value) return;
  tool.value.set(value);
  stay();
  // The next step sets off from the point.
  if (pointing.value === 'aim') centreOn(value.at);
}

/** Moves the plan so that a place is under the cross. */
function centreOn(at: Point): void {
  stepped = clean(at);
  sheet.value?.centre(at);
}

/** The cross stays where it is after the tool's points have changed. */
function stay(): void {
  const { value } = cross;
  if (!value) return;
  cross.value = { ...value, to: [], guides: [] };
  tool.value?.hover?.(cross.value);
}

/** Places the cross again where it points, after what is asked for has changed. */
export function again(): void {
  const { value } = cross;
  if (value) point(value.raw, pixelsReach(), false);
}

export function takeBack(): boolean {
  const done = tool.value?.back() ?? false;
  if (done) stay();
  return done;
}

/** Ends what is drawn, or gives it up where it is not whole; puts an idle tool away. */
export function end(): void {
  const { value } = tool;
  if (!value) return;
  if (value.points.value.length === 0 && !grabbed.value) {
    takeUp(null);
    return;
  }
  if (grabbed.value || !value.finish()) value.cancel();
  grabbed.value = false;
  stay();
}

/** Moves the cross, or the plan under it. */
export function step(by: Point, free: boolean): void {
  const { value } = sheet;
  if (!tool.value || !value) return;
  const from = cross.value?.at ?? snap(value.middle, wishless()).at;
  const raw = plus(from, by);
  point(raw, free ? 0 : REACH_KEYS_M, free);
  const at = cross.value?.at ?? raw;
  if (pointing.value === 'aim') centreOn(at);
  else value.show(at);
  if (cross.value) spoken.value = sayCross(cross.value, tool.value);
}

const wishless = () => ({ ...reachOf(0), points: [], closes: false });

/** What a key does; false where it means nothing here. */
export function press(event: KeyboardEvent): boolean {
  const { value } = tool;
  if (!value || event.ctrlKey || event.metaKey) return false;
  const by = arrowBy(event.key, stepOf(event));
  if (by) {
    step(by, event.altKey);
    return true;
  }
  if (event.key === 'Enter') {
    if (!cross.value) step([0, 0], false);
    else setPoint();
  } else if (event.key === 'Backspace') takeBack();
  else if (event.key === 'Escape') end();
  else return value.press?.(event) ?? false;
  return true;
}
