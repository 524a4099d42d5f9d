// Things of the drawing are selected by pointing at them, while no tool is in use.

import { tool } from '../draw/pen.ts';
import type { Stroke } from '../draw/tool.ts';
import { carried } from '../live/carry.ts';
import type { Feature, Point } from '../live/protocol.ts';
import { selection, tap } from '../live/selection.ts';
import { held, level, plan } from '../live/state.ts';
import { remove } from '../live/together.ts';
import { linesOf, MARKED, pointOf } from '../plan/places.ts';
import type { PlanView } from '../plan/view.ts';
import { bodiesOf, outline } from '../plan/walls.ts';
import { thingAt } from '../things/hit.ts';

/** How near a mouse and a finger must be, and how far one goes before it moves the plan, pixels. */
const [NEAR, NEAR_FINGER, SLACK] = [6, 16, 6];

/** Listens on the plan; what it gives ends that. */
export function pickOn(target: HTMLElement, view: PlanView): () => void {
  let from: { x: number; y: number; near: number } | null = null;
  const down = ({ clientX: x, clientY: y, pointerType, isPrimary }: PointerEvent) => {
    from = isPrimary ? { x, y, near: pointerType === 'touch' ? NEAR_FINGER : NEAR } : null;
  };
  const click = (event: MouseEvent) => {
    const start = from;
    from = null;
    const isMark = (event.target as HTMLElement).closest('.mark, a');
    if (!start || isMark || tool.value || held.value || carried.value) return;
    if (Math.hypot(event.clientX - start.x, event.clientY - start.y) > SLACK) return;
    const near = start.near * view.resolution;
    const features = (plan.value?.features ?? []).filter(({ kind }) => !MARKED.has(kind));
    const thing = thingAt(view.placeUnder(event), features, level.value, near);
    tap(thing?.id ?? null, event.shiftKey);
  };
  const key = (event: KeyboardEvent) => {
    if (event.key !== 'Delete' || held.value || carried.value) return;
    if (selection.value.length === 0) return;
    event.preventDefault();
    remove(selection.value);
  };
  target.addEventListener('pointerdown', down, true);
  target.addEventListener('click', click);
  target.addEventListener('keydown', key);
  return () => {
    target.removeEventListener('pointerdown', down, true);
    target.removeEventListener('click', click);
    target.removeEventListener('keydown', key);
  };
}

/** The outlines of a thing, as closed lines. */
function outlinesOf(feature: Feature): Point[][] {
  const at = pointOf(feature);
  if (at) {
    const off = 0.15;
    const [x, y] = at;
    return [
      [
        [x - off, y - off],
        [x + off, y - off],
        [x + off, y + off],
        [x - off, y + off],
      ],
    ];
  }
  if (feature.kind === 'wall' || feature.kind === 'opening') {
    return bodiesOf([feature]).map((body) => outline(body, 0.04));
  }
  return linesOf(feature);
}

/** Lines round what is selected on the level. */
export function selectedStrokes(): Stroke[] {
  const ids = new Set(selection.value);
  const these = (plan.value?.features ?? []).filter(
    ({ id, kind, level: on }) => ids.has(id) && on === level.value && !MARKED.has(kind),
  );
  return these.flatMap(outlinesOf).map((line): Stroke => ({ line, look: 'guide', ring: true }));
}
