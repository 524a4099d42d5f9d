// Devices on the plan: buttons over the canvas, so that keys and screen readers reach them.

import { effect } from '@preact/signals';
import { useEffect, useLayoutEffect, useRef } from 'preact/hooks';
import { drop, moveTo, nameOf, press, set, take } from '../live/hold.ts';
import type { Feature, Point } from '../live/protocol.ts';
import { selection, tap } from '../live/selection.ts';
import { choose, chosen, deviceOf, held, keptA, level, plan, spots, table } from '../live/state.ts';
import { MARKED, pointOf } from '../plan/places.ts';
import { spread } from '../plan/spread.ts';
import type { PlanView } from '../plan/view.ts';
import { hang } from '../plan/walls.ts';
import { walked } from '../walk/state.ts';
import type { Key } from '../words/words.ts';
import { say, sayFinding, sayReserve } from '../words/words.ts';
import { outlineOf, Sign } from './sign.tsx';

/** How far a pointer goes before it drags, pixels. */
const SLACK = 5;
/** How far above the finger a dragged thing stays, pixels. */
const LIFT = 60;
/** How near to a wall's face a thing is drawn to it, pixels. */
const REACH = 10;
/** Radius that a mark takes up, pixels. */
const RADIUS = { usual: 13, large: 17 };

const INITIAL: Record<string, string> = { panel: 'P', keypad: 'K', siren: 'S', repeater: 'R' };

interface Placed {
  /** Its element's name. */
  key: string;
  at: Point;
  radius: number;
  /** Whether it shows a place and must not be pushed aside. */
  fixed: boolean;
}

const kindOf = (feature: Feature): string => say(feature.kind as Key);

function labelOf(feature: Feature): string {
  const [device, kind] = [nameOf(feature), kindOf(feature)];
  if (feature.kind === 'panel' || feature.kind === 'repeater') {
    return device === kind ? device : `${device}, ${kind}`;
  }
  const forecast = deviceOf.value.get(feature.id);
  if (!forecast) return say('deviceUnknown', { device, kind });
  return say('deviceMark', {
    device,
    kind,
    finding: sayFinding(forecast.finding),
    reserve: sayReserve(forecast.margin_db),
  });
}

function tagOf({ kind, properties }: Feature): string {
  const initial = INITIAL[kind];
  if (initial) return initial;
  return typeof properties.number === 'number' ? String(properties.number) : '·';
}

const elements = new Map<string, HTMLElement>();

/** Gives the keyboard to a device's mark. */
export function focusMark(id: string): void {
  elements.get(id)?.focus();
}

/** Everything on the level that has a place of its own. */
function placed(features: Feature[]): Placed[] {
  const marks = features.flatMap((feature): Placed[] => {
    const inHand = held.value?.id === feature.id;
    const at = inHand ? held.value?.at : pointOf(feature);
    const large = feature.kind === 'panel' || deviceOf.value.get(feature.id)?.finding !== 'sound';
    const radius = large ? RADIUS.large : RADIUS.usual;
    return at ? [{ key: feature.id, at, radius, fixed: inHand || feature.kind === 'panel' }] : [];
  });
  const rings = faultsHere().flatMap(({ number, at }): Placed[] =>
    at ? [{ key: `fault ${number}`, at, radius: RADIUS.large, fixed: false }] : [],
  );
  const brackets = spotsHere().map(
    (spot): Placed => ({
      key: `spot ${spot.spot}`,
      at: [spot.position_m[0], spot.position_m[1]],
      radius: RADIUS.usual,
      fixed: false,
    }),
  );
  const a = keptPlace();
  return [
    ...marks,
    ...rings,
    ...brackets,
    ...(a ? [{ key: 'A', at: a, radius: 0, fixed: true }] : []),
  ];
}

const faultsHere = () =>
  (plan.value?.faults ?? []).filter((one) => one.at && (one.level ?? level.value) === level.value);

const spotsHere = () => {
  const { value } = spots;
  return value && value !== 'asked' ? value.best.filter((one) => one.level === level.value) : [];
};

function keptPlace(): Point | null {
  const panel = keptA.value?.panel;
  return panel && panel.level === level.value ? pointOf(panel) : null;
}

/** Puts every mark on its place, a little aside where two would be on each other. */
export function placeMarks(view: PlanView): void {
  const marks = placed(markedFeatures());
  const discs = marks.flatMap(({ key, at, radius, fixed }) => {
    const pixel = view.pixelOf(at);
    return pixel ? [{ key, at: pixel, radius, fixed }] : [];
  });
  const places = spread(discs);
  const shown = new Map(discs.map(({ key }, index) => [key, places[index] as Point]));
  for (const { id } of linked()) drawLine(`way ${id}`, shown.get(id), shown.get(listenerOf(id)));
  discs.forEach(({ key, at }, index) => {
    const [x, y] = places[index] as Point;
    const element = elements.get(key);
    if (element) {
      element.style.transform = `translate(${x}px, ${y}px) translate(-50%, -50%)`;
      element.style.visibility = 'visible';
    }
    const aside = Math.hypot(x - at[0], y - at[1]) > 4;
    drawLine(`line ${key}`, aside ? at : undefined, [x, y]);
  });
}

/** Draws a line of the canvas of leaders, or hides it where an end is missing. */
function drawLine(key: string, from: Point | undefined, to: Point | undefined): void {
  const line = elements.get(key);
  const ends = from && to ? [...from, ...to] : [0, 0, 0, 0];
  ['x1', 'y1', 'x2', 'y2'].forEach((name, end) => {
    line?.setAttribute(name, String(ends[end]));
  });
}

/** The device that hears another. */
function listenerOf(id: string): string {
  const via = deviceOf.value.get(id)?.via;
  return via ?? table.value?.check.panel?.id ?? '';
}

/** Devices whose way to what hears them is shown: the chosen one and those that fail. */
const linked = (): Feature[] =>
  markedFeatures().filter(
    ({ id }) =>
      deviceOf.value.has(id) &&
      (id === chosen.value || id === walked.value || deviceOf.value.get(id)?.finding === 'failing'),
  );

const markedFeatures = (): Feature[] =>
  (plan.value?.features ?? [])
    .filter((one) => one.level === level.value && MARKED.has(one.kind) && pointOf(one))
    .sort((one, other) => orderOf(one) - orderOf(other));

/** The panel first, then by number. */
const orderOf = ({ kind, properties }: Feature): number =>
  kind === 'panel' ? -1 : typeof properties.number === 'number' ? properties.number : 1e6;

const keep = (key: string) => (element: HTMLElement | SVGElement | null) => {
  if (element) elements.set(key, element as HTMLElement);
  else elements.delete(key);
};

function Mark({ feature, view }: { feature: Feature; view: PlanView }) {
  const start = useRef<{ x: number; y: number; off: Point } | null>(null);
  const dragged = useRef(false);
  const { id, kind } = feature;
  const forecast = deviceOf.value.get(id);
  const inHand = held.value?.id === id;

  const down = (event: PointerEvent) => {
    dragged.current = false;
    if (event.button !== 0 || !event.isPrimary) return;
    const isTouch = event.pointerType === 'touch';
    // A finger that sets off on a small mark most often means the plan.
    if (isTouch && id !== chosen.value && kind !== 'panel') return;
    event.stopPropagation();
    const element = event.currentTarget as HTMLElement;
    element.setPointerCapture(event.pointerId);
    const at = pointOf(feature);
    const box = element.getBoundingClientRect();
    const pixel = at && view.pixelOf(at);
    const off: Point =
      isTouch || !pixel
        ? [0, -LIFT]
        : [box.left + box.width / 2 - event.clientX, box.top + box.height / 2 - event.clientY];
    start.current = { x: event.clientX, y: event.clientY, off };
  };
  const move = (event: PointerEvent) => {
    const { current } = start;
    if (!current) return;
    event.stopPropagation();
    const far = Math.hypot(event.clientX - current.x, event.clientY - current.y) > SLACK;
    if (held.value?.id !== id || held.value.by !== 'pointer') {
      if (!far || !take(id, 'pointer')) return;
    }
    dragged.current = true;
    const under = view.placeUnder({
      clientX: event.clientX + current.off[0],
      clientY: event.clientY + current.off[1],
    });
    const free = event.altKey || feature.properties.mount === 'ceiling';
    const place = free ? under : (hang(under, view.bodies, REACH * view.resolution) ?? under);
    moveTo(place);
  };
  const up = (event: PointerEvent) => {
    if (!start.current) return;
    start.current = null;
    if (held.value?.id !== id || held.value.by !== 'pointer') return;
    if (event.type === 'pointerup') set();
    else drop();
  };
  const key = (event: KeyboardEvent) => {
    const plain = !event.ctrlKey && !event.metaKey && !event.altKey;
    if (!plain) return;
    if (inHand ? press(event.key, event.shiftKey) : event.key === 'Enter') {
      event.preventDefault();
      event.stopPropagation();
      if (inHand) return;
      choose(id);
      take(id, 'keys');
    }
  };

  const classes = ['mark', kind, forecast?.finding ?? '', inHand ? 'held' : ''];
  if (feature.faulty) classes.push('faulty');
  if (id === walked.value) classes.push('walked');
  return (
    <button
      type="button"
      ref={keep(id)}
      class={classes.join(' ')}
      data-id={id}
      aria-label={labelOf(feature)}
      aria-pressed={selection.value.includes(id)}
      aria-describedby="hint"
      title={nameOf(feature)}
      onPointerDown={down}
      onPointerMove={move}
      onPointerUp={up}
      onPointerCancel={up}
      onKeyDown={key}
      onClick={({ shiftKey }) => {
        if (!dragged.current) tap(id, shiftKey);
        dragged.current = false;
      }}
    >
      <Sign finding={forecast?.finding ?? null} outline={outlineOf(kind)} tag={tagOf(feature)} />
    </button>
  );
}

export function Marks({ view }: { view: PlanView }) {
  const features = markedFeatures();
  const a = keptPlace();
  useLayoutEffect(() => placeMarks(view));
  useEffect(() => effect(() => placeMarks(view)), [view]);
  useEffect(() => {
    const putBack = ({ key }: KeyboardEvent) => {
      if (key === 'Escape') drop();
    };
    addEventListener('keydown', putBack);
    return () => removeEventListener('keydown', putBack);
  }, []);
  return (
    <>
      <svg class="leaders" aria-hidden="true">
        {linked().map(({ id }) => (
          <g key={id} class={id === chosen.value ? 'way chosen' : 'way'}>
            <line ref={keep(`way ${id}`)} />
          </g>
        ))}
        {features.map(({ id }) => (
          <line key={id} ref={keep(`line ${id}`)} />
        ))}
      </svg>
      {a && (
        <span class="kept" ref={keep('A')} aria-hidden="true">
          A
        </span>
      )}
      {features.map((feature) => (
        <Mark key={feature.id} feature={feature} view={view} />
      ))}
      {spotsHere().map(({ spot, not_sound }) => (
        <a
          key={spot}
          class="bracket"
          ref={keep(`spot ${spot}`)}
          href={`#spot-${spot}`}
          aria-label={say('spotMark', {
            number: spot ?? '',
            finding: sayFinding(not_sound === 0 ? 'sound' : 'thin'),
          })}
        >
          {spot}
        </a>
      ))}
      {faultsHere().map(({ number }) => (
        <a
          key={number}
          class="ring"
          ref={keep(`fault ${number}`)}
          href="#faults"
          aria-label={say('fault', { number })}
        >
          {number}
        </a>
      ))}
    </>
  );
}
