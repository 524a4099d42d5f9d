// The walk as the page knows it: where somebody stands, what is entered, what is still unwritten.

import { computed, effect, signal } from '@preact/signals';
import type { ServerMessage } from '../live/protocol.ts';
import { listeners, numbered, send, trouble } from '../live/state.ts';
import { type Draft, EMPTY, isEmpty, rowOf, type Shows, stamped } from './draft.ts';
import type { DiagnosisMessage, Entry, Refused, Stop, WalkMessage } from './messages.ts';

/** What outlives a reload of the page. */
interface Kept {
  isOpen: boolean;
  file: string | null;
  from: string | null;
  at: string | null;
  shows: Shows;
  drafts: Record<string, Draft>;
  /** The file of readings, once there is something in it. */
  paper: string | null;
  /** Rows that the program has not confirmed yet. */
  waiting: { file: string; stop: string; entry: Entry }[];
}

const NAME = 'drillonce-walk';
const NONE: Kept = {
  isOpen: false,
  file: null,
  from: null,
  at: null,
  shows: 'level_dbm',
  drafts: {},
  paper: null,
  waiting: [],
};

function remembered(): Kept {
  try {
    return { ...NONE, ...JSON.parse(sessionStorage.getItem(NAME) ?? '{}') };
  } catch {
    return NONE;
  }
}

const kept = signal<Kept>(typeof sessionStorage === 'undefined' ? NONE : remembered());
const keep = (change: Partial<Kept>) => {
  kept.value = { ...kept.value, ...change };
};

export const walk = signal<WalkMessage | null>(null);
export const diagnosis = signal<DiagnosisMessage | null>(null);
/** Why a row is not in the file, by device; `''` for scales and what is put into the plan. */
export const refusals = signal<Record<string, Refused>>({});
/** Whether what the readings say was put into the plan just now. */
export const isAccepted = signal(false);
/** The numbers of rows and scales that are under way, and whose they are. */
const sent = new Map<number, string>();

export const isOpen = computed(() => kept.value.isOpen);
export const shows = computed(() => kept.value.shows);
export const stops = computed<Stop[]>(() => walk.value?.stops ?? []);
export const place = computed(() => {
  const at = stops.value.findIndex(({ id }) => id === kept.value.at);
  return Math.max(at, 0);
});
export const stop = computed<Stop | null>(() => stops.value[place.value] ?? null);
export const draft = computed<Draft>(() => kept.value.drafts[stop.value?.id ?? ''] ?? EMPTY);
/** Whether the plan is looked at and the walk waits below it. */
export const isAside = signal(false);
/** The device that the walk is at, as long as somebody walks. */
export const walked = computed(() => (isOpen.value ? (stop.value?.id ?? null) : null));
export const isRead = ({ id, rows }: Stop): boolean =>
  rows > 0 || kept.value.waiting.some((one) => one.stop === id);
export const readCount = computed(() => stops.value.filter(isRead).length);
export const unwritten = computed(() => kept.value.waiting.length);
/** The file from which the sheets of the hand-over are filled in. */
export const readingsFile = computed(() => kept.value.paper);

/** Begins the walk, or goes on with it. */
export function begin(how: { file?: string | null; from?: string | null } = {}): void {
  keep({ isOpen: true, ...how });
  isAccepted.value = false;
  ask();
}

function ask(): void {
  const { file, from, isOpen: is } = kept.peek();
  if (is) send({ type: 'walk', file, from });
}

export function end(): void {
  isAside.value = false;
  keep({ isOpen: false });
  if (kept.value.waiting.length === 0) send({ type: 'walk', file: null, from: null, ends: true });
}

export const choose = (id: string) => keep({ at: id });
export const choosesShown = (to: Shows) => keep({ shows: to });

function step(by: number): void {
  const next = stops.value[place.value + by];
  if (next) choose(next.id);
}
export const back = () => step(-1);

/** Changes what is entered at this device. */
export function enter(change: Partial<Draft>): void {
  const { value } = stop;
  if (!value) return;
  keep({ drafts: { ...kept.value.drafts, [value.id]: { ...draft.value, ...change } } });
}

/** Leaves this device without an entry. */
export function skip(): void {
  const { value } = stop;
  if (!value) return;
  forget(value.id);
  step(1);
}

function forget(id: string): void {
  const { [id]: _, ...drafts } = kept.value.drafts;
  keep({ drafts });
  const { [id]: __, ...others } = refusals.value;
  refusals.value = others;
}

/** Writes what is entered here, if anything, and goes on. */
export function next(): void {
  const { value } = stop;
  const file = walk.value?.file;
  if (!value || !file) return;
  if (!isEmpty(draft.value)) {
    if (!draft.value.time) enter({ time: stamped(new Date()) });
    const entry = rowOf(draft.value, value, shows.value);
    const others = kept.value.waiting.filter(
      (one) => one.stop !== value.id || one.entry.time !== entry.time,
    );
    keep({ waiting: [...others, { file, stop: value.id, entry }] });
    const { [value.id]: _, ...rest } = refusals.value;
    refusals.value = rest;
    write(file, value.id, entry);
  }
  step(1);
}

function write(file: string, of: string, entry: Entry): void {
  const seq = numbered();
  if (send({ type: 'reading', seq, file, entry })) sent.set(seq, of);
}

/** Begins another entry of a device whose last one is in the file. */
export function anew(): void {
  if (stop.value) forget(stop.value.id);
}

/** Says what bars and per cent mean. */
export function setScales(bars: string | null, percent: string | null): void {
  const file = walk.value?.file;
  const seq = numbered();
  refusals.value = {};
  if (file && send({ type: 'scales', seq, file, bars, percent })) sent.set(seq, '');
}

/** Puts what the readings say into the plan. */
export function accept(): void {
  const file = walk.value?.file;
  refusals.value = {};
  if (file) send({ type: 'accept', file });
}

function hear(message: ServerMessage): boolean {
  switch (message.type) {
    case 'walk':
      walk.value = message;
      if (message.stops) {
        keep({ paper: message.stops.some(({ rows }) => rows > 0) ? message.file : null });
      }
      return true;
    case 'diagnosis':
      diagnosis.value = message;
      return true;
    case 'written': {
      const of = sent.get(message.seq);
      sent.delete(message.seq);
      if (of) keep({ waiting: kept.value.waiting.filter((one) => one.stop !== of) });
      return true;
    }
    case 'accepted':
      isAccepted.value = true;
      return true;
    case 'refused': {
      const of = message.seq === undefined ? undefined : sent.get(message.seq);
      if (of === undefined && !(message.seq === undefined && kept.value.isOpen)) return false;
      if (message.seq !== undefined) sent.delete(message.seq);
      refusals.value = { ...refusals.value, [of ?? '']: message };
      if (of) {
        // It stays in its draft; nobody writes it again without a change.
        keep({ at: of, waiting: kept.value.waiting.filter((one) => one.stop !== of) });
      }
      return true;
    }
    default:
      return false;
  }
}
listeners.push(hear);

effect(() => {
  const { value } = kept;
  try {
    sessionStorage.setItem(NAME, JSON.stringify(value));
  } catch {
    // Without storage a reload begins anew.
  }
});

/** Once the program answers, again or for the first time: the walk, and what is not written yet. */
effect(() => {
  if (trouble.value !== null) return;
  ask();
  sent.clear();
  for (const one of kept.peek().waiting) write(one.file, one.stop, one.entry);
});
