// Corners and legs of the chosen wall or area: buttons over the plan, for pointer and keys.

import { effect } from '@preact/signals';
import { useEffect, useLayoutEffect, useRef } from 'preact/hooks';
import {
  changeCorners,
  dropPart,
  type Part,
  partBy,
  partsOf,
  partTo,
  placeOfPart,
  setPart,
  shapely,
  shaping,
  takePart,
} from '../draw/shaping.ts';
import { arrowBy, stepOf } from '../live/arrows.ts';
import { nameOf } from '../live/hold.ts';
import type { PlanView } from '../plan/view.ts';
import { say } from '../words/words.ts';

/** How far a pointer goes before it drags, and how far above a finger the part stays, pixels. */
const [SLACK, LIFT, REACH] = [4, 60, 12];

const elements = new Map<string, HTMLElement>();
const keyOf = ({ sort, at }: Part): string => `${sort} ${at}`;

/** Puts every handle on its place, after the plan was moved. */
export function placeHandles(view: PlanView): void {
  const line = shapely.value?.line ?? [];
  for (const part of partsOf(line)) {
    const element = elements.get(keyOf(part));
    const pixel = view.pixelOf(placeOfPart(line, part));
    if (!element || !pixel) continue;
    element.style.transform = `translate(${pixel[0]}px, ${pixel[1]}px) translate(-50%, -50%)`;
    element.style.visibility = 'visible';
  }
}

function pressed(event: KeyboardEvent, part: Part): boolean {
  const { key, altKey, ctrlKey, metaKey } = event;
  if (ctrlKey || metaKey) return false;
  if (!shaping.value) {
    if (key === 'Enter' || key === ' ') return takePart(part, true);
    const change = part.sort === 'corner' ? key === 'Delete' : key === 'Insert' || key === '+';
    if (change) changeCorners(part);
    return change;
  }
  const by = arrowBy(key, stepOf(event));
  if (by) partBy(by, altKey);
  else if (key === 'Enter') setPart();
  else if (key === 'Escape') dropPart();
  else return false;
  return true;
}

function Handle({ part, view, label }: { part: Part; view: PlanView; label: string }) {
  const start = useRef<{ x: number; y: number; off: number } | null>(null);
  const down = (event: PointerEvent) => {
    if (event.button !== 0 || !event.isPrimary) return;
    event.stopPropagation();
    (event.currentTarget as HTMLElement).setPointerCapture(event.pointerId);
    const off = event.pointerType === 'touch' ? -LIFT : 0;
    start.current = { x: event.clientX, y: event.clientY, off };
  };
  const move = (event: PointerEvent) => {
    const { current } = start;
    if (!current) return;
    event.stopPropagation();
    const far = Math.hypot(event.clientX - current.x, event.clientY - current.y) > SLACK;
    if (!shaping.value && (!far || !takePart(part, false))) return;
    const { clientX, clientY } = event;
    const raw = view.placeUnder({ clientX, clientY: clientY + current.off });
    partTo(raw, REACH * view.resolution, event.altKey);
  };
  const up = (event: PointerEvent) => {
    if (!start.current) return;
    start.current = null;
    if (event.type === 'pointerup') setPart();
    else dropPart();
  };
  const isHeld = shaping.value?.part.sort === part.sort && shaping.value.part.at === part.at;
  return (
    <button
      type="button"
      class={`handle ${part.sort} ${isHeld ? 'held' : ''}`}
      ref={(element) => {
        if (element) elements.set(keyOf(part), element);
        else elements.delete(keyOf(part));
      }}
      aria-label={label}
      aria-pressed={isHeld}
      onPointerDown={down}
      onPointerMove={move}
      onPointerUp={up}
      onPointerCancel={up}
      onBlur={() => {
        if (isHeld && !start.current) setPart();
      }}
      onKeyDown={(event) => {
        if (!pressed(event, part)) return;
        event.preventDefault();
        event.stopPropagation();
      }}
    />
  );
}

export function Handles({ view }: { view: PlanView }) {
  useLayoutEffect(() => placeHandles(view));
  useEffect(() => effect(() => placeHandles(view)), [view]);
  const { value } = shapely;
  if (!value) return null;
  const name = nameOf(value.feature);
  return (
    <fieldset class="handles" aria-label={say('handlesOf', { name })}>
      {partsOf(value.line).map((part) => (
        <Handle
          key={keyOf(part)}
          part={part}
          view={view}
          label={say(part.sort === 'corner' ? 'cornerNumber' : 'legNumber', {
            number: part.at + 1,
            name,
          })}
        />
      ))}
    </fieldset>
  );
}
