// What the page knows: the plan, its forecasts, and what is chosen.

import { computed, signal } from '@preact/signals';
import { type Pencil, pencilsOf } from '../backdrop/pencil_lines.ts';
import { hearOfGuests, isReading, maySend } from '../guest/here.ts';
import type { May } from '../guest/messages.ts';
import { bandsOf, limitsOf } from '../plan/bands.ts';
import { language, units } from '../words/words.ts';
import { ranked } from './compare.ts';
import { Link } from './link.ts';
import { applied, withKnown } from './merge.ts';
import type { Language } from './numbers.ts';
import type {
  Change,
  ClientMessage,
  Device,
  ExplainMessage,
  Feature,
  HeatMap,
  MapKind,
  MeasuredMessage,
  PaletteMessage,
  PlanMessage,
  Point,
  RepeatersMessage,
  Report,
  ServerMessage,
  SpotsMessage,
  StartableMessage,
  TableMessage,
  TakenMessage,
  Taking,
  TapeMessage,
  TidiedMessage,
  Units,
} from './protocol.ts';

/** Why nothing answers. */
export type Trouble =
  | 'connecting'
  | 'lost'
  | 'noKey'
  | 'noSocket'
  | 'wrongKey'
  | 'otherDevice'
  | 'withdrawn';

/** Why the program lets a page in no more, by what it says. */
const SHUT_OUT: Record<string, Trouble> = {
  'this key is in use on another device': 'otherDevice',
  'this key was withdrawn': 'withdrawn',
};

export const trouble = signal<Trouble | null>('connecting');
/** The plan as it is shown, with edits that the program has not yet confirmed. */
export const plan = signal<PlanMessage | null>(null);
/** Forecast and map of the text. */
const settledTable = signal<TableMessage | null>(null);
const settledMap = signal<HeatMap | null>(null);
/** Those of what is in the hand. */
const triedTable = signal<TableMessage | null>(null);
const triedMap = signal<HeatMap | null>(null);

export const level = signal(0);
export const mapKind = signal<MapKind>('here');
/** The device whose details are shown. */
export const chosen = signal<string | null>(null);
export const explained = signal<ExplainMessage | 'refused' | null>(null);
export const spots = signal<SpotsMessage | 'asked' | null>(null);
export const repeaters = signal<RepeatersMessage | 'asked' | null>(null);
export const busy = signal<{ what: string; thousandths: number } | null>(null);
export const notice = signal<Extract<
  ServerMessage,
  { type: 'refused' | 'elsewhere' | 'saved' }
> | null>(null);
/** What things may be built of, and the words of the plan's format. */
export const palette = signal<PaletteMessage | null>(null);
/** What was put right last. */
export const tidied = signal<TidiedMessage | 'asked' | null>(null);
/** What the picture under the plan shows, where somebody asked. */
export const traced = signal<Pencil[] | 'asked' | null>(null);
/** Which page of a file the ground is, of how many. */
export const laid = signal<{ page: number; pages: number } | null>(null);
/** How often something was refused. */
export const refusals = signal(0);
/** With what a plan may begin, as long as there is nothing. */
export const startable = signal<StartableMessage | null>(null);
/** What was taken away last, or is being made. */
export const taken = signal<TakenMessage | { type: 'asked'; what: Taking } | null>(null);
/** What the list makes that was sent last, or that the plan is made of it. */
export const tape = signal<TapeMessage | { type: 'used' } | null>(null);
/** Why something that was asked for in a place of its own is not done there. */
export const takeRefused = signal<{ what: string; fix: string } | null>(null);
/** What is said to a screen reader once. */
export const spoken = signal('');
/** The forecast that was kept for comparison, and where the panel hung. */
export const keptA = signal<{ check: Report; panel: Feature | null } | null>(null);
/** Whether the plan is shown with changes that are only tried. */
const sketched = signal(false);
/** The thing in the hand, and where it is. */
export const held = signal<{ id: string; from: Point; at: Point; by: 'pointer' | 'keys' } | null>(
  null,
);

/** Whether something is tried: a thing in the hand, or a sketch. */
export const isTrying = computed(() => held.value !== null || sketched.value);

/** Why the thing in the hand cannot be where it is. */
export const cannot = signal<{ what: string; fix: string } | null>(null);

export const table = computed(() => triedTable.value ?? settledTable.value);
export const settled = computed(() => settledTable.value);
export const heat = computed(() => {
  const map = triedMap.value ?? settledMap.value;
  return map && map.level === level.value && map.kind === mapKind.value ? map : null;
});
export const limits = computed(() => (settledTable.value ? limitsOf(settledTable.value) : null));
export const bands = computed(() => bandsOf(limits.value));
export const devices = computed(() => (table.value ? ranked(table.value.check) : []));
export const deviceOf = computed(
  () => new Map(devices.value.map((device): [string, Device] => [device.id, device])),
);
/** Whether the forecast is of an earlier text than the plan's. */
export const isBehind = computed(
  () =>
    !isTrying.value &&
    (plan.value?.version ?? 0) > (settledTable.value?.version ?? Number.NEGATIVE_INFINITY),
);
export const panelOf = ({ features }: PlanMessage): Feature | null =>
  features.find(({ kind }) => kind === 'panel') ?? null;

let link: Link | null = null;
let confirmed: PlanMessage | null = null;
let seq = 0;
/** Numbers of the last tries: their answers are of what is in the hand. */
const tries = new Set<number>();

export const send = (message: ClientMessage): boolean =>
  maySend(message.type) && (link?.send(message) ?? false);

/** A number for a message that is answered by number. */
export function numbered(): number {
  seq += 1;
  return seq;
}

/** Who hears a message first; one that says yes is the only one. */
export const listeners: ((message: ServerMessage) => boolean)[] = [];

/** Connects to the program whose address is in the page's own. */
export function connect({ host, hash, protocol }: Location): void {
  const key = hash.slice(1);
  if (!key) {
    trouble.value = 'noKey';
    return;
  }
  link = new Link(`${protocol === 'https:' ? 'wss' : 'ws'}://${host}/live`, key, {
    message: hear,
    map: hearMap,
    connected: (is) => {
      // Only a guest's page comes encrypted.
      const never = protocol === 'https:' ? 'noSocket' : 'connecting';
      trouble.value = is ? null : plan.value ? 'lost' : never;
      if (is) follow(mapKind.value, level.value);
    },
    shutOut: (why) => {
      trouble.value = SHUT_OUT[why] ?? 'wrongKey';
    },
  });
}

function hear(message: ServerMessage): void {
  if (listeners.some((listener) => listener(message))) return;
  switch (message.type) {
    case 'plan': {
      if (message.undo > 0 || message.features.length > 0) startable.value = null;
      if (tidied.value !== 'asked' && tidied.value?.version !== message.version)
        tidied.value = null;
      const isFirst = !plan.value;
      confirmed = withKnown(message, confirmed);
      plan.value = confirmed;
      units.value = message.units;
      const numbers = confirmed.levels.map(({ number }) => number);
      if ((numbers.length > 0 && !numbers.includes(level.value)) || isFirst) {
        show(panelOf(message)?.level ?? numbers[0] ?? 0);
      }
      if (!message.features.some(({ id }) => id === chosen.value)) chosen.value = null;
      break;
    }
    case 'table':
      if (message.tab === link?.tab && tries.has(message.seq)) {
        if (!isTrying.value) break;
        triedTable.value = message;
        cannot.value = null;
      } else {
        settledTable.value = message;
        if (!isTrying.value) triedTable.value = null;
        refresh();
      }
      break;
    case 'explain':
      if ((message.id ?? message.sensor.id) === chosen.value) explained.value = message;
      break;
    case 'spots':
      spots.value = message;
      busy.value = null;
      break;
    case 'repeaters':
      repeaters.value = message;
      busy.value = null;
      break;
    case 'busy':
      busy.value = message;
      break;
    case 'present':
    case 'invited':
      hearOfGuests(message);
      break;
    case 'palette':
      palette.value = message;
      break;
    case 'measured':
      measuring.get(message.seq)?.(message);
      break;
    case 'traced':
      traced.value = pencilsOf(message.features);
      break;
    case 'laid':
      laid.value = message;
      break;
    case 'tidied':
      tidied.value = message;
      break;
    case 'startable':
      if (!plan.value?.undo && !plan.value?.features.length) startable.value = message;
      break;
    case 'taken':
      taken.value = message;
      busy.value = null;
      break;
    case 'refused':
      refusals.value += 1;
      if (traced.value === 'asked') traced.value = null;
      if (message.seq === undefined && refusedHere(message)) break;
      if (message.seq !== undefined && tries.has(message.seq)) {
        if (isTrying.value) cannot.value = message;
        break;
      }
      // The edit was shown before it was confirmed.
      plan.value = confirmed;
      triedTable.value = null;
      triedMap.value = null;
      if (message.seq === undefined && !explained.value) explained.value = 'refused';
      if (spots.value === 'asked') spots.value = null;
      if (repeaters.value === 'asked') repeaters.value = null;
      notice.value = message;
      break;
    case 'tape':
    case 'used':
      tape.value = message;
      break;
    case 'saved':
    case 'elsewhere':
      notice.value = message;
      break;
  }
}

function hearMap(map: HeatMap): void {
  if (tries.has(map.seq)) {
    if (isTrying.value) triedMap.value = map;
    return;
  }
  settledMap.value = map;
  if (!isTrying.value) triedMap.value = null;
}

/** Asks again for what is shown of an earlier text. */
function refresh(): void {
  const id = chosen.value;
  if (id && deviceOf.value.has(id)) askHelp(id);
}

/** Which map follows, and of which level. */
function follow(kind: MapKind, of: number): void {
  send({ type: 'map', kind, level: of });
}
export function show(number: number): void {
  level.value = number;
  follow(mapKind.value, number);
}
export function chooseMap(kind: MapKind): void {
  mapKind.value = kind;
  follow(kind, level.value);
}

/** Shows the details of a device; asks what would help. */
export function choose(id: string | null): void {
  if (chosen.value === id) return;
  chosen.value = id;
  explained.value = null;
  asked = '';
  if (id && deviceOf.value.has(id)) askHelp(id);
}

/** What was asked last: one question for a device and a text. */
let asked = '';
function askHelp(id: string): void {
  const what = `${plan.value?.version} ${id}`;
  if (what !== asked && send({ type: 'explain', id })) asked = what;
}

/** Speaks another language; what was answered in the old one is asked again. */
export function speak(to: Language): void {
  language.value = to;
  if (!send({ type: 'language', to })) return;
  asked = '';
  refresh();
  if (spots.value) askSpots();
  if (repeaters.value) askRepeaters();
}

/** Tries changes without making them. */
export function attempt(changes: Change[]): void {
  seq += 1;
  if (tries.size > 500) tries.clear();
  tries.add(seq);
  send({ type: 'try', seq, changes });
}

/** Makes changes: one step of undo. Their number, or `null` while there is no connection. */
export function edit(changes: Change[]): number | null {
  seq += 1;
  cannot.value = null;
  if (!send({ type: 'edit', seq, changes })) return null;
  showNow(changes);
  return seq;
}

/** Shows changes before the program has confirmed them. */
function showNow(changes: Change[]): void {
  const base = sketched.value ? confirmed : plan.value;
  sketched.value = false;
  if (base) plan.value = { ...base, features: applied(base.features, changes) };
}

/** Shows changes and tries them, at most once a frame; they are made by `edit`. */
export function sketch(changes: Change[]): void {
  if (!confirmed || isReading.value) return;
  sketched.value = true;
  plan.value = { ...confirmed, features: applied(confirmed.features, changes) };
  if (!waiting) requestAnimationFrame(tryNext);
  waiting = changes;
}
/** What is tried at the next frame. */
let waiting: Change[] | null = null;
function tryNext(): void {
  if (waiting && sketched.value) attempt(waiting);
  waiting = null;
}

/** Gives up what was tried: the forecast of the text is shown again. */
export function giveUp(): void {
  send({ type: 'drop' });
  if (sketched.value) plan.value = confirmed;
  sketched.value = false;
  cannot.value = null;
  triedTable.value = null;
  triedMap.value = null;
}

/** Questions about lengths that are not answered yet, by number. */
const measuring = new Map<number, (answer: MeasuredMessage | null) => void>();
/** How long an answer is waited for, milliseconds. */
const PATIENCE_MS = 3000;

/** Has lengths read as people type them, `3.2` or `10' 6"`; nothing where nobody answers. */
export function measure(texts: string[]): Promise<MeasuredMessage | null> {
  seq += 1;
  const own = seq;
  return new Promise((resolve) => {
    const end = (answer: MeasuredMessage | null) => {
      clearTimeout(timer);
      measuring.delete(own);
      resolve(answer);
    };
    const timer = setTimeout(() => end(null), PATIENCE_MS);
    measuring.set(own, end);
    if (!send({ type: 'measure', seq: own, texts })) end(null);
  });
}

/** Puts right what is safe to fix. */
export function putRight(): void {
  if (send({ type: 'tidy' })) tidied.value = 'asked';
}

/** Squares up the picture under the plan; corners are column and row. */
export const squareUp = (corners: Point[], size: Point | null): boolean =>
  send({ type: 'square', corners, size });
/** Has the picture looked at for walls. */
export function look(): void {
  if (send({ type: 'trace' })) traced.value = 'asked';
}
export const sendBytes = (bytes: ArrayBuffer): boolean => link?.sendBytes(bytes) ?? false;

/** Begins with an empty plan or an example. */
export function start(how: { with: 'empty'; units: Units } | { with: 'example'; name: string }) {
  if (send({ type: 'start', ...how })) startable.value = null;
}

/** Adds a storey above, or changes one; heights are metres above the plan's zero. */
export const setLevel = (how: Omit<Extract<ClientMessage, { type: 'level' }>, 'type'>): boolean =>
  send({ type: 'level', ...how });

/** Has papers and pictures made of the present plan. */
export function takeAway(
  what: Taking,
  options: Record<string, unknown>,
  changes: Change[] = [],
): void {
  takeRefused.value = null;
  if (send({ type: 'take', what, options, ...(changes.length ? { changes } : {}) }))
    taken.value = { type: 'asked', what };
}

/** Whether a refusal is of something that shows it itself. */
function refusedHere({ what, fix }: { what: string; fix: string }): boolean {
  if (taken.value?.type === 'asked') {
    taken.value = null;
    busy.value = null;
    takeRefused.value = { what, fix };
    return true;
  }
  if (tidied.value === 'asked') tidied.value = null;
  return false;
}

/** At the desk: makes a key for a phone, or withdraws it. */
export const invite = (may: May): boolean => send({ type: 'share', may });
export const withdraw = (): boolean => send({ type: 'withdraw' });

/** What a list makes; without a text, the list of the plan. */
export function askTape(text?: string): number | null {
  seq += 1;
  return send({ type: 'tape', seq, ...(text === undefined ? {} : { text }) }) ? seq : null;
}
/** Makes a list the plan. */
export const useTape = (text: string): boolean => send({ type: 'use', text });

export const undo = (): boolean => send({ type: 'undo' });
export const redo = (): boolean => send({ type: 'redo' });
export const save = (as: string | null): boolean => send({ type: 'save', as });

export function askSpots(): void {
  if (send({ type: 'spots' })) spots.value = 'asked';
}
export function askRepeaters(): void {
  if (send({ type: 'repeaters' })) repeaters.value = 'asked';
}

/** Keeps the present forecast for comparison. */
export function keep(): void {
  if (!settledTable.value || !plan.value) return;
  keptA.value = { check: settledTable.value.check, panel: panelOf(plan.value) };
}
