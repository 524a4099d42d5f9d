// The cross over the plan, and beside it in words how far it is and what it is drawn to.

import { effect } from '@preact/signals';
import { useEffect, useRef } from 'preact/hooks';
import { cross, pointing, tool } from '../draw/pen.ts';
import { saySnap } from '../draw/where.ts';
import type { PlanView } from '../plan/view.ts';

/** Room that the words beside the cross may need, pixels. */
const WORDS = 240;
/** Room that what is beside the cross needs, and how far off it is, pixels. */
const [SIDE, OFF] = [138, 26];

/** The corner of what is beside the cross: above it, or aside where the plan ends. */
function cornerBeside([x = 0, y = 0]: number[], width: number): number[] {
  const top = y - OFF - SIDE;
  if (top < 0) return [x < width / 2 ? x + OFF : x - OFF - SIDE, Math.max(0, y - SIDE / 2)];
  return [Math.min(Math.max(0, x - SIDE / 2), width - SIDE), top];
}

/** Puts the cross on its place; set while there is one. */
let placed: (() => void) | null = null;

/** Puts the cross where it belongs, after the plan was moved. */
export const placeCross = (): void => placed?.();

/** Gives the keyboard to the plan, where arrows move the cross. */
export const focusPlan = (): void =>
  document.querySelector<HTMLElement>('.target')?.focus({ preventScroll: true });

export function CrossMark({ view }: { view: PlanView }) {
  const sign = useRef<SVGSVGElement>(null);
  const ring = useRef<HTMLSpanElement>(null);
  const words = useRef<HTMLSpanElement>(null);
  const beside = useRef<HTMLDivElement>(null);
  useEffect(() => {
    const put = (element: HTMLElement | SVGElement | null, pixel: number[] | null) => {
      if (!element) return;
      element.style.visibility = pixel ? 'visible' : 'hidden';
      if (pixel) element.style.transform = `translate(${pixel[0]}px, ${pixel[1]}px)`;
    };
    placed = () => {
      const { value } = cross;
      const at = value && view.pixelOf(value.at);
      // Aiming, the cross stands still and the ring shows what it is drawn to.
      const eye = value && (pointing.value === 'aim' ? view.pixelOf(value.raw) : at);
      put(sign.current, eye);
      put(ring.current, at);
      put(words.current, at);
      const width = view.overlay?.clientWidth ?? 0;
      put(beside.current, at && cornerBeside(at, width));
      const most = Math.max(width / 2, width - WORDS);
      words.current?.classList.toggle('leftward', !!at && at[0] > most);
    };
    const end = effect(() => placed?.());
    return () => {
      end();
      placed = null;
    };
  }, [view]);
  const { value } = cross;
  if (!tool.value && !value) return null;
  const Beside = tool.value?.Beside;
  const said = value ? [tool.value?.say?.(value) ?? '', saySnap(value)].filter(Boolean) : [];
  return (
    <div class="cross-layer" aria-hidden="true" data-at={value?.at.join(' ')}>
      <svg class="cross" ref={sign} viewBox="-22 -22 44 44" aria-hidden="true">
        <path class="rim" d="M-20,0 H-6 M6,0 H20 M0,-20 V-6 M0,6 V20" />
        <path d="M-20,0 H-6 M6,0 H20 M0,-20 V-6 M0,6 V20" />
        <circle r="1.6" />
      </svg>
      <span class={value && value.to.length > 0 ? 'snapped' : 'snapped free'} ref={ring} />
      <div class="beside-cross" ref={beside}>
        {Beside && <Beside />}
      </div>
      <span class="cross-words" ref={words}>
        {said.map((one) => (
          <b key={one}>{one}</b>
        ))}
      </span>
    </div>
  );
}
