// What the page says, in the language of the browser or the one that was chosen.

import { signal } from '@preact/signals';
import type { Language } from '../live/numbers.ts';
import { area, decimals, length } from '../live/numbers.ts';
import type { Finding, Units } from '../live/protocol.ts';
import { en } from './en.ts';
import { es } from './es.ts';

export type Key = keyof typeof en;
export type Words = Record<Key, string>;

export const LANGUAGES: Record<Language, { name: string; words: Words }> = {
  en: { name: 'English', words: en },
  es: { name: 'Español', words: es },
};

/** The first of the browser's languages that the page speaks; else English. */
export function preferred(wanted: readonly string[]): Language {
  const known = wanted.map((one) => one.slice(0, 2).toLowerCase());
  return known.find((one): one is Language => one in LANGUAGES) ?? 'en';
}

export const language = signal<Language>('en');
/** The plan's unit of length. */
export const units = signal<Units>('m');

/** The `lang` of words of the program, where they are not in the page's language. */
export const foreign = (message: { language?: Language } | null): Language | undefined => {
  const own = message?.language ?? 'en';
  return own === language.value ? undefined : own;
};

/** A message with its places filled in. */
export function say(key: Key, values: Record<string, string | number> = {}): string {
  const text = LANGUAGES[language.value].words[key];
  return text.replace(/\{(\w+)\}/g, (place, name: string) => String(values[name] ?? place));
}

/** A word of the plan's format as people call it; one that is not known stays as it is. */
export function sayWord(of: string, word: string): string {
  const key = `${of}-${word}`;
  return key in LANGUAGES.en.words ? say(key as Key) : word;
}

export const sayFinding = (finding: Finding): string => say(finding);

/** A chance in per cent with one decimal, a bound where it is nearer to never or always. */
export function sayChance(chance: number): string {
  const percent = chance * 100;
  const shown = (value: number) => ({ percent: decimals(value, 1, language.value) });
  if (percent < 0.1) return say('below', shown(0.1));
  if (percent > 99.9) return say('above', shown(99.9));
  return say('percent', shown(percent));
}

/** A share in whole per cent, never 0 or 100 where it is neither. */
export function sayShare(share: number): string {
  if (share > 0 && share < 0.01) return say('below', { percent: 1 });
  if (share < 1 && share > 0.99) return say('above', { percent: 99 });
  return say('percent', { percent: Math.round(share * 100) });
}

/** What is in reserve, or how much is short. */
export function sayReserve(db: number): string {
  const shown = decimals(Math.abs(db), 1, language.value);
  return say(db < 0 ? 'short' : 'reserve', { db: shown });
}

/** A change of reserve. */
export function sayChange(db: number): string {
  if (Math.abs(db) < 0.05) return say('same');
  const shown = decimals(Math.abs(db), 1, language.value);
  return say(db > 0 ? 'better' : 'poorer', { db: shown });
}

export const sayLength = (metres: number): string => length(metres, units.value, language.value);
export const sayArea = (square: number): string => area(square, units.value);
