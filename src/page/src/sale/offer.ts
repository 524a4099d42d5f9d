// What the customer is shown: made by the program as the quote is, in the quote's own words.

import { effect, signal } from '@preact/signals';
import type { Change, Feature, Finding, TakenMessage } from '../live/protocol.ts';
import { keptA, panelOf, plan, takeAway, taken } from '../live/state.ts';
import { pointOf } from '../plan/places.ts';
import { language } from '../words/words.ts';

export interface Notice {
  title: string;
  lines: string[];
}

export interface Shot {
  /** PNG, base64. */
  png: string;
  width: number;
  height: number;
  alt: string;
  caption: string;
}

/** A picture for a narrow and for a wide screen. */
export type Shots = [Shot, Shot];

export interface OfferLevel {
  number: number;
  name: string;
  why: string | null;
  plan: Shots;
  key: Shots;
  without?: Shots;
  with?: Shots;
}

export interface Signal {
  finding: Finding;
  words: string;
}

export interface Offer {
  title: string;
  site: string;
  language: string;
  business: string | null;
  draft: Notice | null;
  protects: string | null;
  argument: string;
  repeaters: number;
  left: Notice | null;
  incomplete: Notice | null;
  levels: OfferLevel[];
  devices: {
    place: string;
    devices: { name: string; what: string; signal?: Signal; without?: Signal }[];
  }[];
  /** Where fobs and pendants work; null without any. */
  roams?: {
    title: string;
    areas: { name: string; works: string; without?: string }[];
  } | null;
  price: {
    lines: { name: string; quantity: string; amount: string | null }[];
    sums: { name: string; amount: string | null }[];
    total: string;
  } | null;
  assumed: Notice;
  cautions: Notice;
}

/** What was offered with the panel where it was kept, and how many of its devices are heard. */
export interface Before {
  levels: OfferLevel[];
  heard: number;
}

export const before = signal<Before | null>(null);
export const offer = signal<Offer | 'asked' | 'unread' | null>(null);
/** Files of the business and its prices that were named on the page; none: those of the start. */
export const papers = signal({ business: '', prices: '' });

/** The files that were named, as options of the command. */
const named = (): Record<string, string> =>
  Object.fromEntries(
    Object.entries(papers.value).flatMap(([name, file]) => {
      const bare = file.trim();
      return bare ? [[name, bare]] : [];
    }),
  );

/** What puts the panel back where it was kept; nothing where it still hangs there. */
export function backToKept(kept: Feature | null, now: Feature | null): Change[] {
  const [was, is] = [kept && pointOf(kept), now && pointOf(now)];
  if (!kept || !now || !was || !is) return [];
  const { height } = kept.properties;
  const isSame = Math.hypot(was[0] - is[0], was[1] - is[1]) < 0.05 && kept.level === now.level;
  return isSame
    ? []
    : [
        { do: 'set', id: now.id, properties: { height: height ?? null } },
        { do: 'move', id: now.id, to: was, level: kept.level },
      ];
}

const asked = (changes: Change[]): void =>
  takeAway('sale', { language: language.value, ...named() }, changes);

/** Whether what comes next is of the panel where it was kept. */
let isBefore = false;

/** Has it made anew, in the page's language; of a panel that was moved since it was kept for
 * comparison, how it was heard there first. */
export function askOffer(): void {
  const back = plan.value ? backToKept(keptA.value?.panel ?? null, panelOf(plan.value)) : [];
  offer.value = 'asked';
  before.value = null;
  isBefore = back.length > 0;
  asked(back);
}

/** How many devices are heard well; without repeaters where there are any. */
export function heardIn({ devices }: Offer): number {
  const signals = devices.flatMap(({ devices: all }) =>
    all.map(({ signal: heard, without }) => without ?? heard),
  );
  return signals.filter((heard) => heard?.finding === 'sound').length;
}

/** How many are heard well as it is offered. */
export const heardNow = ({ devices }: Offer): number =>
  devices.flatMap((of) => of.devices).filter((one) => one.signal?.finding === 'sound').length;

/** A level without and with what is offered: the panel's old place and its new one, or without and
 * with the repeaters; nothing where neither changes anything. */
export function pairOf(of: OfferLevel, old: Before | null): [Shots, Shots] | null {
  const was = old?.levels.find(({ number }) => number === of.number);
  if (was) return [was.without ?? was.plan, of.with ?? of.plan];
  return of.without && of.with ? [of.without, of.with] : null;
}

/** Has the quote made of what is shown. */
export function askQuote(): void {
  const paper = plan.value?.units === 'ft' ? 'letter' : 'a4';
  takeAway('quote', { language: language.value, paper, ...named() });
}

/** How far the line of the wipe is from the left for a pointer, per cent. */
export const shareAt = (x: number, { left, width }: { left: number; width: number }): number =>
  width > 0 ? Math.min(100, Math.max(0, Math.round(((x - left) / width) * 100))) : 50;

async function fetched({ files }: TakenMessage): Promise<Offer | 'unread'> {
  const at = files[0]?.at;
  if (!at) return 'unread';
  try {
    const answer = await fetch(at);
    return answer.ok ? ((await answer.json()) as Offer) : 'unread';
  } catch {
    return 'unread';
  }
}

let last: TakenMessage | null = null;
effect(() => {
  const { value } = taken;
  if (value?.type !== 'taken' || value.what !== 'sale' || value === last) return;
  last = value;
  fetched(value).then((made) => {
    if (last !== value) return;
    if (isBefore && made !== 'unread') {
      isBefore = false;
      before.value = { levels: made.levels, heard: heardIn(made) };
      asked([]);
    } else offer.value = made;
  });
});
