// The bands of reserve that the map tells apart, and their colours: those of the pictures.

import type { Finding, TableMessage, Thresholds } from '../live/protocol.ts';

export type Rgb = [number, number, number];

/** From the most in reserve to the least: lightness only falls, hue runs from yellowish to blue. */
const ANCHORS: Rgb[] = [
  [253, 248, 232],
  [226, 234, 224],
  [179, 209, 214],
  [127, 172, 201],
  [92, 122, 176],
  [72, 66, 128],
];

/** Height of a band, dB. */
const STEP_DB = 5;
/** How far the colours go below the lower limit and above the upper one, dB. */
const [BELOW_DB, ABOVE_DB] = [30, 40];

/** The colour at a place from 0 (palest) to 1 (darkest). */
export function ramp(place: number): Rgb {
  const at = Math.min(1, Math.max(0, place)) * (ANCHORS.length - 1);
  const below = Math.min(Math.floor(at), ANCHORS.length - 2);
  const [low, high] = [ANCHORS[below] as Rgb, ANCHORS[below + 1] as Rgb];
  return low.map((value, index) =>
    Math.round(value + ((high[index] as number) - value) * (at - below)),
  ) as Rgb;
}

export interface Bands {
  /** Lower edges of all bands but the lowest, dB, ascending. */
  edges: number[];
  /** Where the finding changes; without it no cell has a finding. */
  limits: Thresholds | null;
}

export function bandsOf(limits: Thresholds | null): Bands {
  const { failing_below_db: failing, sound_from_db: sound } = limits ?? {
    failing_below_db: 0,
    sound_from_db: 0,
  };
  const edges: number[] = limits ? [failing, sound] : [];
  const first = Math.floor((failing - BELOW_DB) / STEP_DB);
  const last = Math.ceil((sound + ABOVE_DB) / STEP_DB);
  for (let step = first; step <= last; step += 1) {
    const edge = step * STEP_DB;
    // A band much lower than the others would only be a line beside the limit's own.
    const clear = (limit: number) => !limits || Math.abs(edge - limit) > 0.3 * STEP_DB;
    if (clear(failing) && clear(sound)) edges.push(edge);
  }
  const sorted = edges.sort((one, other) => one - other);
  return { edges: sorted.filter((edge, at) => edge !== sorted[at - 1]), limits };
}

export function findingOf({ limits }: Bands, reserve: number): Finding | null {
  if (!limits) return null;
  if (reserve < limits.failing_below_db) return 'failing';
  return reserve < limits.sound_from_db ? 'thin' : 'sound';
}

/** Colour of a reserve. The ramp jumps at both limits, so that findings differ in grey, too. */
export function colourOf(bands: Bands, reserve: number): Rgb {
  const { edges } = bands;
  const [least, most] = [edges[0] ?? 0, edges[edges.length - 1] ?? 0];
  const above = edges.findIndex((edge) => reserve < edge);
  if (above === 0) return ramp(1);
  if (above < 0) return ramp(0);
  const middle = ((edges[above - 1] as number) + (edges[above] as number)) / 2;
  const share = (from: number, to: number) =>
    to > from ? Math.min(1, Math.max(0, (middle - from) / (to - from))) : 0.5;
  const { limits } = bands;
  if (!limits) return ramp(1 - share(least, most));
  const { failing_below_db: failing, sound_from_db: sound } = limits;
  switch (findingOf(bands, middle)) {
    case 'sound':
      return ramp(0.44 * (1 - share(sound, most)));
    case 'thin':
      return ramp(0.66 - 0.12 * share(failing, sound));
    default:
      return ramp(1 - 0.22 * share(least, failing));
  }
}

/**
 * The reserves at which the finding changes: those of the server, else read off between the
 * devices' own chances and reserves; `null` where no two devices enclose them.
 */
export function limitsOf(table: TableMessage): Thresholds | null {
  if (table.words?.thresholds) return table.words.thresholds;
  const { check } = table;
  const points = [...check.sensors, ...check.devices]
    .filter(({ fault_per_year: chance }) => chance !== null && chance > 0)
    .map((device) => ({ x: device.margin_db, y: Math.log10(device.fault_per_year as number) }))
    .sort((one, other) => one.x - other.x);
  const at = (chance: number) => {
    const y = Math.log10(chance);
    const above = points.findIndex((point) => point.y < y);
    const [left, right] = [points[above - 1], points[above]];
    return left && right ? left.x + ((right.x - left.x) * (left.y - y)) / (left.y - right.y) : null;
  };
  const [failing, sound] = [
    at(check.model.findings.thin_below),
    at(check.model.findings.sound_below),
  ];
  return failing === null || sound === null || sound < failing
    ? null
    : { failing_below_db: failing, sound_from_db: sound };
}
