// The plan with its map, the choice of the map, and what is in the hand.

import { effect } from '@preact/signals';
import { render } from 'preact';
import { useEffect, useRef, useState } from 'preact/hooks';
import { boundsWith } from '../backdrop/picture_layer.ts';
import { dropOn } from '../backdrop/picture_tool.tsx';
import {
  aimAtMiddle,
  below,
  cross,
  drag,
  grab,
  hover,
  layOn,
  letBe,
  pointing,
  press,
  release,
  setPoint,
  takeBack,
  tool,
} from '../draw/pen.ts';
import { shapely } from '../draw/shaping.ts';
import type { Stroke } from '../draw/tool.ts';
import { isReading } from '../guest/here.ts';
import { isOneHand } from '../guest/narrow.ts';
import { compare } from '../live/compare.ts';
import { drop, moveBy, nameOf, set } from '../live/hold.ts';
import type { MapKind } from '../live/protocol.ts';
import {
  askRepeaters,
  askSpots,
  bands,
  cannot,
  chooseMap,
  edit,
  heat,
  held,
  isBehind,
  isTrying,
  keep,
  keptA,
  level,
  mapKind,
  panelOf,
  plan,
  settled,
  table,
} from '../live/state.ts';
import type { Follower } from '../plan/fingers.ts';
import { pointOf } from '../plan/places.ts';
import { PlanView } from '../plan/view.ts';
import { walked } from '../walk/state.ts';
import { say, sayChange } from '../words/words.ts';
import { CrossMark, placeCross } from './cross.tsx';
import { sought } from './faults.tsx';
import { nameOfDevice } from './finding_words.ts';
import { Handles, placeHandles } from './handles.tsx';
import { Key } from './key.tsx';
import { LENGTH_FIELD } from './leg_fields.tsx';
import { Marks, placeMarks } from './marks.tsx';
import { pickOn, selectedStrokes } from './picking.ts';
import { Steps } from './steps.tsx';
import { ToolBar } from './tool_bar.tsx';

const MAPS: { kind: MapKind; words: 'mapHere' | 'mapAnywhere' }[] = [
  { kind: 'here', words: 'mapHere' },
  { kind: 'anywhere', words: 'mapAnywhere' },
];

function MapChoice() {
  return (
    <fieldset class="switch">
      <legend class="aloud">{say('map')}</legend>
      {MAPS.map(({ kind, words }) => (
        <label key={kind}>
          <input
            type="radio"
            name="map"
            checked={mapKind.value === kind}
            onChange={() => chooseMap(kind)}
          />
          <span>{say(words)}</span>
        </label>
      ))}
    </fieldset>
  );
}

/** Against the forecast that was kept, or, while something is held, against where it was. */
function Against() {
  const now = table.value?.check;
  const before = keptA.value?.check ?? (isTrying.value ? settled.value?.check : undefined);
  if (cannot.value) {
    return (
      <div class="against">
        <strong>{say('refused')}</strong>
        <p lang="en">
          {cannot.value.what}. {cannot.value.fix}.
        </p>
      </div>
    );
  }
  if (!now || !before || now === before) return null;
  const { before: bad, now: left, worst, most } = compare(before, now);
  return (
    <div class="against">
      <strong>{say(keptA.value ? 'againstA' : 'againstBefore')}</strong>
      <p>{say('compareFindings', { before: bad, now: left })}</p>
      <p>{say('compareWorst', { change: sayChange(worst) })}</p>
      {most && Math.abs(most.by) >= 0.05 && (
        <p>
          {say('compareMost', { device: nameOfDevice(most.device), change: sayChange(most.by) })}
        </p>
      )}
    </div>
  );
}

function KeepA() {
  const a = keptA.value?.panel;
  const at = a && pointOf(a);
  return (
    <>
      <button type="button" disabled={!settled.value} onClick={keep}>
        {say(keptA.value ? 'keepAgain' : 'keepA')}
      </button>
      {a && at && !isReading.value && (
        <>
          <button
            type="button"
            onClick={() => edit([{ do: 'move', id: a.id, to: at, level: a.level }])}
          >
            {say('backToA')}
          </button>
          <button
            type="button"
            onClick={() => {
              keptA.value = null;
            }}
          >
            {say('dropA')}
          </button>
        </>
      )}
    </>
  );
}

/** What can be done with a thing in the hand, without dragging it. */
function Hand() {
  const { value } = held;
  if (!value || value.by === 'pointer') return null;
  const feature = plan.value?.features.find(({ id }) => id === value.id);
  return (
    <div class="hand row">
      <strong>{nameOf(feature)}</strong>
      <Steps onStep={moveBy} />
      <button type="button" class="main" onClick={set}>
        {say('set')}
      </button>
      <button type="button" onClick={drop}>
        {say('drop')}
      </button>
    </div>
  );
}

/** Why the forecast is not of the plan as it is shown. */
function whyBehind(): 'noPanel' | 'held' | 'following' {
  if (plan.value && !panelOf(plan.value)) return 'noPanel';
  return (plan.value?.faults.length ?? 0) > 0 ? 'held' : 'following';
}

const frameClass = (): string =>
  ['frame', isBehind.value && 'behind', isBehind.value && table.value && 'faded']
    .concat(tool.value ? 'drawing' : [])
    .filter(Boolean)
    .join(' ');

/** The pen follows what points at the plan, while a tool is in use. */
const follower: Follower = {
  takesFingers: () => pointing.value === 'drag',
  hover: ({ at, free }) => hover(at, free),
  grab: ({ at, free, more }) => grab(at, free, more),
  drag: ({ at, free }) => drag(at, free),
  release: ({ at, free }) => release(at, free),
  click: ({ at, free }) => {
    if (pointing.value !== 'drag') return;
    hover(at, free);
    setPoint();
  },
  cancel: letBe,
};

/** Keys on the plan are the pen's while a tool is in use; figures are a length. */
function pressed(event: KeyboardEvent): void {
  if (!tool.value || !(event.target as HTMLElement).classList.contains('target')) return;
  if (event.ctrlKey || event.metaKey) {
    // Undo takes back what is not yet of the plan first.
    if (event.key.toLowerCase() !== 'z' || event.shiftKey || !takeBack()) return;
    event.preventDefault();
    event.stopPropagation();
    return;
  }
  const isFigure = /^[0-9.]$/.test(event.key);
  if (isFigure) document.getElementById(LENGTH_FIELD)?.focus();
  if (!isFigure && press(event)) event.preventDefault();
  // The plan's own keys rest.
  if (event.key !== 'Tab') event.stopPropagation();
}

export function PlanPart() {
  const target = useRef<HTMLElement>(null);
  const frame = useRef<HTMLDivElement>(null);
  const [view, setView] = useState<PlanView | null>(null);
  useEffect(() => {
    if (!target.current) return;
    const made: PlanView = new PlanView(target.current, () => {
      placeMarks(made);
      if (tool.value && pointing.value === 'aim') aimAtMiddle();
      placeHandles(made);
      placeCross();
      // Where the plan is looked at, for whoever drives the page from outside.
      if (frame.current) frame.current.dataset.view = [...made.middle, made.resolution].join(' ');
    });
    const marks = document.createElement('div');
    marks.className = 'marks';
    made.overlay?.append(marks);
    render(
      <>
        <Marks view={made} />
        <Handles view={made} />
        <CrossMark view={made} />
      </>,
      marks,
    );
    layOn(made);
    const unpick = pickOn(target.current, made);
    frame.current?.addEventListener('keydown', pressed, true);
    let fitted: string | null = null;
    let seen: number | null = null;
    const ends = [
      effect(() => {
        if (!plan.value) return;
        const { features, file, bounds, backdrop } = plan.value;
        made.draw(features, level.value, below.value);
        const whole = boundsWith(bounds, backdrop ?? null);
        // A plan without a file is fitted when it is come upon, or begins as an example: not while
        // its first walls are drawn.
        const isFound = seen === null ? features.length > 0 : seen === 0 && features.length > 8;
        if (fitted !== `${file} ${backdrop?.at}` || isFound) made.fit(whole);
        fitted = `${file} ${backdrop?.at}`;
        seen = features.length;
      }),
      effect(() => {
        // The plan has another frame from now on.
        if (isOneHand.value) requestAnimationFrame(() => made.fit());
      }),
      effect(() => made.picture.show(plan.value?.backdrop ?? null, level.value)),
      effect(() => made.heatUp(heat.value, bands.value)),
      effect(() => made.follow(tool.value ? follower : null)),
      effect(() => {
        const { value } = cross;
        const guides = value?.guides.map((line): Stroke => ({ line, look: 'guide' })) ?? [];
        made.pencil([...selectedStrokes(), ...guides, ...(tool.value?.strokes?.(value) ?? [])]);
      }),
      effect(() => {
        // The walk goes on to another device: the plan goes there, too.
        const there = walked.value && plan.peek()?.features.find(({ id }) => id === walked.value);
        const at = there && pointOf(there);
        if (!at) return;
        level.value = there.level;
        made.show(at);
      }),
      effect(() => {
        if (sought.value?.at) made.centre(sought.value.at);
      }),
    ];
    setView(made);
    return () => {
      for (const end of ends) end();
      layOn(null);
      unpick();
      render(null, marks);
      made.dispose();
    };
  }, []);
  const name = plan.value?.levels.find(({ number }) => number === level.value)?.name ?? '';
  return (
    <section class="plan-part" aria-label={say('plan')}>
      <div class="row tools">
        <MapChoice />
        <button type="button" disabled={!plan.value} onClick={askSpots}>
          {say('spots')}
        </button>
        <button type="button" disabled={!plan.value} onClick={askRepeaters}>
          {say('repeaters')}
        </button>
        <KeepA />
      </div>
      <ToolBar />
      <div class={frameClass()} ref={frame}>
        <section
          class="target"
          ref={target}
          onDragOver={(event) => event.preventDefault()}
          onDrop={dropOn}
          // biome-ignore lint/a11y/noNoninteractiveTabindex: arrow keys move the plan
          tabIndex={0}
          aria-label={say('planOf', { level: name })}
        />
        <p class="veil" aria-hidden={!isBehind.value}>
          {say(whyBehind())}
        </p>
        <div class="zoom">
          <button type="button" aria-label={say('zoomIn')} onClick={() => view?.zoom(0.7)}>
            +
          </button>
          <button type="button" aria-label={say('zoomOut')} onClick={() => view?.zoom(-0.7)}>
            −
          </button>
          <button type="button" aria-label={say('zoomFit')} onClick={() => view?.fit()}>
            <svg class="sign" viewBox="-12 -12 24 24" aria-hidden="true" focusable="false">
              <path d="M-8,-3 V-8 H-3 M3,-8 H8 V-3 M8,3 V8 H3 M-3,8 H-8 V3" class="line" />
            </svg>
          </button>
        </div>
      </div>
      <Hand />
      <Against />
      <Key />
      {shapely.value && <p class="quiet">{say('hintHandles')}</p>}
      <p class="quiet" id="hint" hidden={tool.value !== null}>
        <span class="for-mouse">{say('hint')}</span>
        <span class="for-touch">{say('hintTouch')}</span>
      </p>
    </section>
  );
}
