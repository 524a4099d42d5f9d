// What the fake server answers to wishes about the whole plan: start, put right, take away.

import type { Language } from '../../src/live/numbers.ts';
import type { ClientMessage, Feature, Level } from '../../src/live/protocol.ts';

const EXAMPLES: Record<Language, [string, string]> = {
  en: ['A cottage: one storey of stone', 'A flat over a shop'],
  es: ['Una casita: una planta de piedra', 'Un piso sobre una tienda'],
};

export const startableIn = (language: Language) => ({
  type: 'startable',
  language,
  examples: ['cottage', 'flat'].map((name, at) => ({ name, words: EXAMPLES[language][at] })),
});

/** What a device's way meets if it meets nothing. */
export const CLEAR: Record<Language, string> = { en: 'clear', es: 'sin obstáculos' };

/** Words of an answer that was recorded in English, in a page's language. */
export const inLanguage = (language: Language, english: string, spanish: string): string =>
  language === 'en' ? english : spanish;

/** What `tidy` did and left, in the program's words. */
export const TIDIED = {
  done: ['hall-kitchen: moved the end by 0.02 m to the end of wall hall-living'],
  left: ['larder: the end stops 0.12 m short of wall outer; draw it on, or leave it'],
};

type Take = Extract<ClientMessage, { type: 'take' }>;

const FILES: Record<Take['what'], string[]> = {
  pictures: ['plan-level-0.png', 'plan-level-1.png'],
  quote: ['plan-quote.pdf', 'plan-quote.html'],
  sale: ['plan-quote.json'],
  handover: ['plan-handover.pdf'],
  readings: ['plan-readings.csv'],
};

export const takenFor = ({ what }: Take) => ({
  type: 'taken',
  what,
  files: FILES[what].map((name, at) => ({ name, at: `/taken/abc${at}/${name}`, bytes: 41_000 })),
  words: [],
});

type Wish = Extract<ClientMessage, { type: 'level' }>;

/** The levels once one is added or changed. */
export function levelled(levels: Level[], wish: Wish): Level[] {
  const top = levels[levels.length - 1];
  if (wish.do === 'add') {
    const floor_m = (top?.ceiling_m ?? 0) + 0.3;
    const number = (top?.number ?? -1) + 1;
    return [...levels, { number, name: `Level ${number}`, floor_m, ceiling_m: floor_m + 2.4 }];
  }
  return levels.map((one) =>
    one.number === wish.number
      ? {
          ...one,
          name: wish.name ?? one.name,
          floor_m: wish.floor ?? one.floor_m,
          ceiling_m: wish.ceiling ?? one.ceiling_m,
        }
      : one,
  );
}

/** A feature as the program sends it: it says what is as thick as it. */
export const likeOthers = (feature: Feature, others: Feature[]): Feature => {
  const { construction } = feature.properties;
  const like = others.find((one) => one.properties.construction === construction);
  const { thickness_m, class: kind } = like ?? {};
  return {
    ...feature,
    ...(thickness_m === undefined ? {} : { thickness_m }),
    ...(kind === undefined ? {} : { class: kind }),
  };
};
