// The map of reserves as pixels: bands of colour, hatching where a device would be failing, and
// lines where the finding changes.

import type { HeatMap } from '../live/protocol.ts';
import { reserveOf } from '../live/protocol.ts';
import type { Bands } from './bands.ts';
import { colourOf, findingOf } from './bands.ts';

/** What of the plan is seen: the north-west corner, metres a pixel, and pixels. */
export interface Window {
  west: number;
  north: number;
  resolution: number;
  width: number;
  height: number;
  /** Pixels of the picture to one of the page. */
  ratio: number;
}

/** Steps between two bytes of a map, for smooth edges of bands. */
const FINE = 8;
const HATCH = { spacing: 11, width: 1.6, white: 0.75 };

const FAILING = 3;
const CODE = { sound: 1, thin: 2, failing: FAILING } as const;

interface Tones {
  /** Red, green, blue and full opacity, as one number a value. */
  plain: Uint32Array;
  /** The same under a line of the hatching. */
  hatched: Uint32Array;
  findings: Uint8Array;
}

/** One pixel as the number that its four bytes are. */
function pixel(red: number, green: number, blue: number): number {
  return new Uint32Array(new Uint8Array([red, green, blue, 255]).buffer)[0] as number;
}

const INK = pixel(22, 22, 26);

const known = new WeakMap<Bands, Tones>();

/** Colour and finding of every value between the bytes. */
function tonesOf(bands: Bands): Tones {
  const before = known.get(bands);
  if (before) return before;
  const count = 256 * FINE;
  const tones: Tones = {
    plain: new Uint32Array(count),
    hatched: new Uint32Array(count),
    findings: new Uint8Array(count),
  };
  const paler = (part: number) => part + (255 - part) * HATCH.white;
  for (let value = 0; value < count; value += 1) {
    const reserve = (value / FINE - 100) * 0.5;
    const [red, green, blue] = colourOf(bands, reserve);
    tones.plain[value] = pixel(red, green, blue);
    const finding = findingOf(bands, reserve);
    tones.findings[value] = finding ? CODE[finding] : 0;
    tones.hatched[value] =
      finding === 'failing'
        ? pixel(paler(red), paler(green), paler(blue))
        : (tones.plain[value] as number);
  }
  known.set(bands, tones);
  return tones;
}

/** A value between two; where one of them is none, the nearer. */
const between = (low: number, high: number, share: number): number =>
  low === 0 || high === 0 ? (share < 0.5 ? low : high) : low + (high - low) * share;

/** The values along a line from west to east, one a column; `row` counts from middle to middle. */
function rowOf({ columns, rows, bytes }: HeatMap, row: number, into: Float32Array): void {
  const low = Math.min(rows - 1, Math.max(0, Math.floor(row)));
  const high = Math.min(rows - 1, Math.max(0, Math.floor(row) + 1));
  const share = row - Math.floor(row);
  for (let column = 0; column < columns; column += 1) {
    const [one, other] = [bytes[low * columns + column], bytes[high * columns + column]];
    into[column] = between(one as number, other as number, share);
  }
}

/** For every pixel from west to east: the columns on its two sides and its share of the way. */
function columnsOf({ columns, x0, cell }: HeatMap, { west, resolution, width }: Window) {
  const [left, right] = [new Int16Array(width).fill(-1), new Int16Array(width)];
  const share = new Float32Array(width);
  for (let x = 0; x < width; x += 1) {
    const column = (west + (x + 0.5) * resolution - x0) / cell;
    if (column < 0 || column >= columns) continue;
    const low = Math.floor(column - 0.5);
    left[x] = Math.max(0, low);
    right[x] = Math.min(columns - 1, low + 1);
    share[x] = column - 0.5 - low;
  }
  return { left, right, share };
}

/** Red, green, blue and opacity of every pixel of a window. */
export function paintMap(
  map: HeatMap,
  bands: Bands,
  window: Window,
): Uint8ClampedArray<ArrayBuffer> {
  const { width, height, resolution, ratio } = window;
  const pixels = new Uint32Array(width * height);
  const { plain, hatched, findings } = tonesOf(bands);
  const spacing = Math.round(HATCH.spacing * ratio);
  const hatch = HATCH.width * ratio;
  const dash = 7 * ratio;
  const line = Math.max(1, Math.round(1.5 * ratio));
  const values = new Float32Array(map.columns);
  const { left, right, share } = columnsOf(map, window);
  let above = new Uint8Array(width);
  let here = new Uint8Array(width);
  for (let y = 0; y < height; y += 1) {
    here.fill(0);
    const row = (window.north - (y + 0.5) * resolution - map.y0) / map.cell;
    if (row >= 0 && row < map.rows) {
      rowOf(map, row - 0.5, values);
      for (let x = 0; x < width; x += 1) {
        const west = left[x] as number;
        if (west < 0) continue;
        const east = right[x] as number;
        const value = between(values[west] as number, values[east] as number, share[x] as number);
        if (value === 0) continue;
        const tone = Math.min(256 * FINE - 1, (value * FINE + 0.5) | 0);
        const finding = findings[tone] as number;
        here[x] = finding;
        const isLine = finding === FAILING && (x + spacing * y - y) % spacing < hatch;
        pixels[y * width + x] = (isLine ? hatched[tone] : plain[tone]) as number;
        const before = x < line ? finding : (here[x - line] as number);
        const up = above[x] as number;
        if ((before === finding || before === 0) && (up === finding || up === 0)) continue;
        // Solid at the edge of failing, dashes at the edge of sound.
        const isSolid = finding === FAILING || before === FAILING || up === FAILING;
        if (isSolid || (Math.floor(x / dash) + Math.floor(y / dash)) % 2 === 0) {
          pixels[y * width + x] = INK;
        }
      }
    }
    [above, here] = [here, above];
  }
  return new Uint8ClampedArray(pixels.buffer);
}

/** The reserve of the cell at a place, dB; none outside the map. */
export function reserveAt(map: HeatMap, x: number, y: number): number | null {
  const [column, row] = [(x - map.x0) / map.cell, (y - map.y0) / map.cell].map(Math.floor) as [
    number,
    number,
  ];
  if (column < 0 || row < 0 || column >= map.columns || row >= map.rows) return null;
  return reserveOf(map.bytes[row * map.columns + column] as number);
}
