// What the customer is shown: made by the program as the quote is, in the quote's own words.

import { effect, signal } from '@preact/signals';
import type { Finding, TakenMessage } from '../live/protocol.ts';
import { plan, takeAway, taken } from '../live/state.ts';
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
  price: {
    lines: { name: string; quantity: string; amount: string | null }[];
    sums: { name: string; amount: string | null }[];
    total: string;
  } | null;
  assumed: Notice;
  cautions: Notice;
}

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

/** Has it made anew, in the page's language. */
export function askOffer(): void {
  offer.value = 'asked';
  takeAway('sale', { language: language.value, ...named() });
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
    if (last === value) offer.value = made;
  });
});
