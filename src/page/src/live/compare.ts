// Two forecasts side by side.

import { worseFirst } from './numbers.ts';
import type { Device, Report } from './protocol.ts';

export interface Comparison {
  /** Devices that are not sound in each. */
  before: number;
  now: number;
  /** How much more the worst device has in reserve now, dB. */
  worst: number;
  /** The device whose reserve changed most, and by how much. */
  most: { device: Device; by: number } | null;
}

/** All devices of a forecast, the worst first. */
export const ranked = (report: Report): Device[] =>
  [...report.sensors, ...report.devices].sort(worseFirst);

export function compare(before: Report, now: Report): Comparison {
  const [old, fresh] = [ranked(before), ranked(now)];
  const bad = (devices: Device[]) => devices.filter(({ finding }) => finding !== 'sound').length;
  const margins = new Map(old.map((device) => [device.id, device.margin_db]));
  const changes = fresh.flatMap((device) => {
    const was = margins.get(device.id);
    return was === undefined ? [] : [{ device, by: device.margin_db - was }];
  });
  changes.sort((one, other) => Math.abs(other.by) - Math.abs(one.by));
  return {
    before: bad(old),
    now: bad(fresh),
    worst: (fresh[0]?.margin_db ?? 0) - (old[0]?.margin_db ?? 0),
    most: changes[0] ?? null,
  };
}
