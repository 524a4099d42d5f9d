// What is said of a device of the walk, in words.

import { decimals } from '../live/numbers.ts';
import { type Key, language, say, sayLength } from '../words/words.ts';
import type { Shows } from './draft.ts';
import type { Entry, Four, Stop } from './messages.ts';

export const nameOf = ({ number, name }: { number: number | null; name: string }): string =>
  number === null ? name : `${number} ${name}`;

/** A figure as the panel shows it. */
export function sayShown(shows: Shows, value: number): string {
  const whole = decimals(value, Number.isInteger(value) ? 0 : 1, language.value);
  switch (shows) {
    case 'level_dbm':
      return `${whole} dBm`;
    case 'bars':
      return value === 1 ? say('walkOneBar') : say('walkSomeBars', { bars: whole });
    default:
      return `${whole} %`;
  }
}

/** What the panel should show, from where it passes, and whether it is heard. */
export function sayExpected(stop: Stop, shows: Shows): string[] {
  const expects = stop.expected;
  const four: Four | null = (shows === 'level_dbm' ? expects?.dbm : expects?.[shows]) ?? null;
  const heard = say(stop.finding === 'sound' ? 'walkExpectHeard' : 'walkExpectSome');
  if (!four) return expects ? [heard] : [];
  const [expected = '', low = '', high = '', pass = ''] = four.map((one) => sayShown(shows, one));
  return [say('walkExpect', { expected }), `${say('walkRange', { low, high, pass })} ${heard}`];
}

/** The way to a device, or why there is none. */
export function sayWay(stop: Stop, isFirst: boolean, isUnordered: boolean): string {
  if (stop.leg_m !== null) {
    const way = { way: sayLength(stop.leg_m) };
    if (isFirst) return say('walkWayFirst', way);
    return say(stop.stairs ? 'walkWayStairs' : 'walkWay', way);
  }
  if (!stop.unreached || isUnordered) return '';
  const reason = `walkNo-${stop.unreached}` as Key;
  return say('walkUnreached', { why: say(reason) });
}

/** What the newest row of a device says. */
export function sayRow(row: Entry): string {
  const parts: string[] = [];
  for (const shows of ['level_dbm', 'bars', 'percent'] as const) {
    const cell = row[shows];
    if (cell !== undefined) {
      const value = Number(cell);
      parts.push(Number.isFinite(value) ? sayShown(shows, value) : cell);
    }
  }
  const heard = row.heard?.toLowerCase();
  if (heard) {
    const isYes = ['yes', 'y', '1', 'true', 'heard', 'ok', 'received'].includes(heard);
    parts.push(isYes ? say('walkHeard') : heard.includes('lost') ? heard : say('walkMissed'));
  }
  if (row.trips === 'yes') parts.push(say('walkTrips'));
  if (row.restores === 'yes') parts.push(say('walkRestores'));
  if (row.tamper === 'yes') parts.push(say('walkTamper'));
  if (row.note) parts.push(row.note);
  if (row.time) parts.push(row.time.replace('T', ' '));
  return parts.join(', ');
}
