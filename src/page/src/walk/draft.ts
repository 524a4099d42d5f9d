// What somebody enters at one device, and the row that it becomes.

import type { Entry, Stop } from './messages.ts';

/** What the panel shows. */
export type Shows = 'level_dbm' | 'bars' | 'percent';

export interface Draft {
  /** Digits as they are typed; a level's minus is understood. */
  shown: string;
  heard: '' | 'yes' | 'no';
  isDoorOpen: boolean;
  trips: boolean;
  restores: boolean;
  tamper: boolean;
  note: string;
  /** When it was entered first: a correction takes the place of the same row. */
  time: string;
}

export const EMPTY: Draft = {
  shown: '',
  heard: '',
  isDoorOpen: false,
  trips: false,
  restores: false,
  tamper: false,
  note: '',
  time: '',
};

export const isEmpty = (draft: Draft): boolean =>
  draft.shown === '' &&
  draft.heard === '' &&
  draft.note.trim() === '' &&
  !draft.isDoorOpen &&
  !draft.trips &&
  !draft.restores &&
  !draft.tamper;

/** A time with its zone, to the second. */
export function stamped(date: Date): string {
  const two = (value: number) => String(Math.floor(Math.abs(value))).padStart(2, '0');
  const east = -date.getTimezoneOffset();
  const day = [date.getFullYear(), two(date.getMonth() + 1), two(date.getDate())].join('-');
  const clock = [date.getHours(), date.getMinutes(), date.getSeconds()].map(two).join(':');
  return `${day}T${clock}${east < 0 ? '-' : '+'}${two(east / 60)}:${two(east % 60)}`;
}

/** What was typed as a number of the file; a level is negative unless a plus says otherwise. */
export function figureOf(shown: string, shows: Shows): string {
  const text = shown.trim().replace('−', '-').replace(',', '.');
  if (shows !== 'level_dbm' || text === '' || /^[-+]/.test(text)) return text.replace(/^\+/, '');
  return Number(text) === 0 ? text : `-${text}`;
}

/** The row of a draft. */
export function rowOf(draft: Draft, stop: Stop, shows: Shows): Entry {
  const note = [draft.isDoorOpen ? 'door open' : '', draft.note.trim()].filter(Boolean).join(', ');
  const row: Entry = { sensor: stop.id, time: draft.time };
  const set = (column: string, cell: string) => {
    if (cell) row[column] = cell;
  };
  set('at', stop.at ?? '');
  if (draft.heard !== 'no') set(shows, figureOf(draft.shown, shows));
  set('heard', draft.heard);
  set('trips', draft.trips ? 'yes' : '');
  set('restores', draft.restores ? 'yes' : '');
  set('tamper', draft.tamper ? 'yes' : '');
  set('note', note);
  return row;
}
