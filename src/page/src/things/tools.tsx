// The tools of what stands on walls and in rooms: openings, devices, outlets, names of rooms.

import { signal } from '@preact/signals';
import { bodiesHere } from '../draw/bodies.ts';
import { materialFor, pick } from '../draw/material.ts';
import { one } from '../draw/one.ts';
import { again } from '../draw/pen.ts';
import type { Snap } from '../draw/snap.ts';
import type { Reach, Tool } from '../draw/tool.ts';
import type { Feature, Point, UsedFor } from '../live/protocol.ts';
import { selectOnceThere } from '../live/selection.ts';
import { level, measure, plan, spoken } from '../live/state.ts';
import { Constructions } from '../parts/constructions.tsx';
import { addSigns } from '../parts/tool_sign.tsx';
import { Typed } from '../parts/typed.tsx';
import { middleOf } from '../plan/places.ts';
import { hang, outline, tidy } from '../plan/walls.ts';
import { say, sayLength, sayWord } from '../words/words.ts';
import {
  type Adding,
  deviceAdded,
  type Hung,
  openingAdded,
  outletAdded,
  roomNamed,
} from './adding.ts';
import { against, atFrame, legsOf, type OnWall, standOn } from './legs.ts';
import { typed } from './members.ts';
import { roomAt, spacesOf } from './spaces.ts';
import { DEVICE_SORTS, type DeviceSort, OPENING_SORTS, type OpeningSort } from './usual.ts';

addSigns({
  door: { lines: 'M-10,6 H-6 M6,6 H10 M-6,6 V-6', dashed: 'M-6,-6 A12,12 0 0 1 6,6' },
  window: { lines: 'M-10,-3 H10 M-10,3 H10 M-6,-6 V6 M6,-6 V6', dashed: 'M-6,0 H6' },
  gap: { lines: 'M-10,-3 H-5 V3 H-10 M10,-3 H5 V3 H10' },
  device: { lines: 'M-9,9 H9', solid: 'M0,-8 A6,6 0 1 1 -0.1,-8 Z' },
  outlet: {
    lines: 'M-9,0 A9,9 0 1 1 9,0 A9,9 0 1 1 -9,0',
    solid: 'M-5,-2 h3 v4 h-3 Z M2,-2 h3 v4 h-3 Z',
  },
  room: { lines: 'M-10,-8 H10 V8 H-10 Z M-4,4 L0,-5 L4,4 M-2.5,1 H2.5' },
});

/** How near a wall must be for a pointer at least, and for keys, metres: a step leaves it again. */
const [LEAST_REACH_M, KEYS_REACH_M] = [0.35, 0.09];
const far = ({ reach }: Reach): number =>
  reach < 0.05 ? KEYS_REACH_M : Math.max(3 * reach, LEAST_REACH_M);

const featuresOf = (): Feature[] => plan.value?.features ?? [];
const openingsHere = (): Feature[] =>
  featuresOf().filter((it) => it.kind === 'opening' && it.level === level.value);

/** The adding of a tool, remembered until the plan has it: then its sheet opens at the name. */
let last: Adding | null = null;
const kept = (adding: Adding) => {
  last = adding;
  return adding.changes;
};
function openSheet(): void {
  if (last) selectOnceThere([last.id], true);
  last = null;
}

const width = signal<Partial<Record<OpeningSort['word'], number>>>({});
const widthOf = (sort: OpeningSort): number => width.value[sort.word] ?? sort.width;

const usedFor = (sort: OpeningSort): UsedFor => (sort.word === 'window' ? 'window' : 'door');
const constructionFor = (sort: OpeningSort): string =>
  materialFor(usedFor(sort)) ?? sort.construction;

function openingTool(sort: OpeningSort): Tool {
  const Options = () => {
    const units = plan.value?.units ?? 'm';
    const set = async (text: string) => {
      const answer = await measure([text.slice(0, 40)]);
      const read = answer?.metres[0];
      if (typeof read !== 'number') return answer?.faults[0] ?? say('notMeasured');
      if (read < 0.1 || read > 20) return say('widthBetween', { least: sayLength(0.1) });
      width.value = { ...width.value, [sort.word]: read };
      again();
      return null;
    };
    return (
      <div class="row">
        <Typed
          label={say('inUnit', { what: say('width'), unit: units })}
          shown={typed(widthOf(sort), units)}
          onSet={set}
        />
        <Constructions
          for={usedFor(sort)}
          value={constructionFor(sort)}
          onChoose={(name) => pick(usedFor(sort), name)}
        />
      </div>
    );
  };
  return one<Snap & OnWall>({
    name: sort.word,
    group: 'openings',
    words: sort.word,
    hint: 'hintOpening',
    place(raw, reach) {
      const legs = legsOf(featuresOf(), level.value);
      const on = standOn(raw, widthOf(sort), legs, openingsHere(), far(reach));
      if (!on) return null;
      const at = tidy(middleOf(on.line));
      return { ...on, at, to: [], id: on.leg.id, guides: [] };
    },
    nowhere: 'noWall',
    strokes: ({ line: [a, b], leg: { thick } }) => [
      { line: outline({ a, b, thick }, 0.02), look: 'set', ring: true },
    ],
    say: ({ leg, line }) =>
      say('onWall', {
        width: sayLength(widthOf(sort)),
        along: sayLength(against(leg, line[0]).along),
        wall: leg.id,
      }),
    make: (on) =>
      plan.value ? kept(openingAdded(on, sort, constructionFor(sort), plan.value)) : [],
    done: openSheet,
    Options,
  });
}

/** What is hung next. */
const next = signal<DeviceSort>(DEVICE_SORTS[0] as DeviceSort);

/** Where something hangs when a place is pointed at: at a frame, on a face, or just there. */
function hungAt(raw: Point, reach: Reach, mount: DeviceSort['mount']): Snap & Hung {
  const features = featuresOf();
  const on = level.value;
  const own = { level: on, guides: [] as [Point, Point][] };
  if (mount === 'frame' && reach.reach > 0) {
    const { isInside } = spacesOf(features, on);
    const found = atFrame(raw, openingsHere(), legsOf(features, on), far(reach), isInside);
    if (found) {
      const { opening, to } = found;
      return { ...own, at: to, to: ['frame'], id: opening.id, on: 'frame', opening };
    }
  }
  if (mount !== 'ceiling' && reach.reach > 0) {
    const at = hang(raw, bodiesHere.value, far(reach));
    if (at) return { ...own, at, to: ['face'], on: 'face', opening: null };
  }
  return { ...own, at: tidy(raw), to: [], on: null, opening: null };
}

/** At which opening something hangs, if at one. */
const sayFrame = ({ on, opening }: Hung): string[] =>
  on === 'frame' && opening ? [opening.id] : [];

/** A name from room and thing, such as "Hall motion"; the thing alone where no room has a name. */
function usualName(room: string, thing: string): string {
  const isOpening = thing === 'door' || thing === 'window';
  const word = isOpening ? say(thing).toLowerCase() : sayWord('device', thing);
  const name = room ? say('usualName', { room, thing: word }) : word;
  return name.charAt(0).toUpperCase() + name.slice(1);
}

function DeviceOptions() {
  return (
    <fieldset class="sorts">
      <legend class="aloud">{say('device')}</legend>
      {DEVICE_SORTS.map((sort) => (
        <label key={sort.word}>
          <input
            type="radio"
            name="device-sort"
            checked={next.value === sort}
            onChange={() => {
              next.value = sort;
              again();
            }}
          />
          <span class="sort">{sayWord('device', sort.word)}</span>
        </label>
      ))}
    </fieldset>
  );
}

const deviceTool = one<Snap & Hung>({
  name: 'device',
  group: 'devices',
  words: 'deviceTool',
  hint: 'hintDevice',
  place: (raw, reach) => hungAt(raw, reach, next.value.mount),
  say: (hung) => [sayWord('device', next.value.word), ...sayFrame(hung)].join(', '),
  make(hung) {
    if (!plan.value) return [];
    const isMoved = next.value.kind === 'panel' && featuresOf().some((it) => it.kind === 'panel');
    const adding = deviceAdded(next.value, hung, plan.value, usualName);
    if (isMoved) spoken.value = say('onePanel');
    return kept(adding);
  },
  done() {
    openSheet();
    // One panel is enough: sensors come next.
    if (next.value.kind === 'panel') next.value = DEVICE_SORTS[1] ?? next.value;
  },
  Options: DeviceOptions,
});

const outletTool = one<Snap & Hung>({
  name: 'outlet',
  group: 'devices',
  words: 'outletTool',
  hint: 'hintOutlet',
  place: (raw, reach) => hungAt(raw, reach, 'wall'),
  make: (hung) => (plan.value ? kept(outletAdded(hung, plan.value)) : []),
  done: openSheet,
});

const roomTool = one<Snap>({
  name: 'room',
  group: 'openings',
  words: 'roomTool',
  hint: 'hintRoom',
  place(raw) {
    const isInside = spacesOf(featuresOf(), level.value).isInside(raw);
    return isInside ? { at: tidy(raw), to: ['room'], guides: [] } : null;
  },
  nowhere: 'noRoom',
  say({ at }) {
    const name = roomAt(at, featuresOf(), level.value)?.properties.name;
    return typeof name === 'string' && name ? name : say('roomUnnamed');
  },
  make: ({ at }) => (plan.value ? kept(roomNamed(at, level.value, say('room'), plan.value)) : []),
  done: openSheet,
});

export const THING_TOOLS: readonly Tool[] = [
  ...OPENING_SORTS.map(openingTool),
  roomTool,
  deviceTool,
  outletTool,
];
