// What was found, in one line.

import type { Device, Feature, Finding } from '../live/protocol.ts';
import { isWindow } from '../things/usual.ts';
import { type Key, say, sayChance, sayReserve } from '../words/words.ts';

/** The name by which people know a device. */
export const nameOfDevice = ({ number, name }: { number: number | null; name: string }): string =>
  number === null ? name : `${number} ${name}`;

export const sayFault = ({ fault_per_year: chance, supervised }: Device): string =>
  chance === null || !supervised ? say('notSupervised') : sayChance(chance);

export const countOf = (devices: Device[], finding: Finding): number =>
  devices.filter((one) => one.finding === finding).length;

/** How many devices have which finding. */
export const sayCounts = (devices: Device[]): string =>
  devices.length === 0
    ? say('noDevices')
    : say('counts', {
        failing: countOf(devices, 'failing'),
        thin: countOf(devices, 'thin'),
        sound: countOf(devices, 'sound'),
      });

/** The worst device; `devices` has it first. */
export function sayWorst([worst]: Device[]): string {
  if (!worst) return '';
  return say('worst', {
    device: nameOfDevice(worst),
    chance: sayFault(worst),
    reserve: sayReserve(worst.margin_db),
  });
}

/** What a thing is: its kind, an opening as a door or window. */
export const sayKind = (feature: Feature): string =>
  feature.kind === 'opening'
    ? say(isWindow(feature) ? 'window' : 'door')
    : say(feature.kind as Key);
