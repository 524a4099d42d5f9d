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

const SOUND = 1;
const THIN = 2;
const FAILING = 3;
const CODE = { sound: SOUND, thin: THIN, failing: FAILING } as const;

interface Tones {
  colours: Uint8Array;
  findings: Uint8Array;
}

/** Colour and finding of every value between the bytes. */
function tonesOf(bands: Bands): Tones {
  const count = 256 * FINE;
  const tones = { colours: new Uint8Array(count * 3), findings: new Uint8Array(count) };
  for (let value = 0; value < count; value += 1) {
    const reserve = (value / FINE - 100) * 0.5;
    tones.colours.set(colourOf(bands, reserve), value * 3);
    const finding = findingOf(bands, reserve);
    tones.findings[value] = finding ? CODE[finding] : 0;
  }
  return tones;
}

/** The value of a place between the middles of cells; 0 where the map has none. */
function sample(map: HeatMap, column: number, row: number): number {
  const { columns, rows, bytes } = map;
  const at = (x: number, y: number) => {
    const inside =
      Math.min(columns - 1, Math.max(0, x)) + Math.min(rows - 1, Math.max(0, y)) * columns;
    return bytes[inside] as number;
  };
  const [left, low] = [Math.floor(column), Math.floor(row)];
  const [a, b] = [at(left, low), at(left + 1, low)];
  const [c, d] = [at(left, low + 1), at(left + 1, low + 1)];
  if (a === 0 || b === 0 || c === 0 || d === 0) return at(Math.round(column), Math.round(row));
  const [x, y] = [column - left, row - low];
  return (a * (1 - x) + b * x) * (1 - y) + (c * (1 - x) + d * x) * y;
}

/** Red, green, blue and opacity of every pixel of a window. */
export function paintMap(
  map: HeatMap,
  bands: Bands,
  window: Window,
): Uint8ClampedArray<ArrayBuffer> {
  const { width, height, resolution, ratio } = window;
  const pixels = new Uint8ClampedArray(width * height * 4);
  const { colours, findings } = tonesOf(bands);
  const spacing = HATCH.spacing * ratio;
  const dash = 7 * ratio;
  const line = Math.max(1, Math.round(1.5 * ratio));
  let above = new Uint8Array(width);
  for (let y = 0; y < height; y += 1) {
    const row = (window.north - (y + 0.5) * resolution - map.y0) / map.cell;
    const here = new Uint8Array(width);
    if (row >= 0 && row < map.rows) {
      for (let x = 0; x < width; x += 1) {
        const column = (window.west + (x + 0.5) * resolution - map.x0) / map.cell;
        if (column < 0 || column >= map.columns) continue;
        const value = sample(map, column - 0.5, row - 0.5);
        if (value === 0) continue;
        const tone = Math.min(256 * FINE - 1, Math.round(value * FINE));
        const finding = findings[tone] as number;
        here[x] = finding;
        const at = (y * width + x) * 4;
        const hatched =
          finding === FAILING && (x - y + height * spacing) % spacing < HATCH.width * ratio;
        for (let part = 0; part < 3; part += 1) {
          const colour = colours[tone * 3 + part] as number;
          pixels[at + part] = hatched ? colour + (255 - colour) * HATCH.white : colour;
        }
        pixels[at + 3] = 255;
        const left = here[x - line] ?? 0;
        const up = above[x] as number;
        const changed = (left && left !== finding) || (up && up !== finding);
        if (!changed) continue;
        // Solid at the edge of failing, dashes at the edge of sound.
        const solid = finding === FAILING || left === FAILING || up === FAILING;
        if (solid || (Math.floor(x / dash) + Math.floor(y / dash)) % 2 === 0) {
          pixels.set([22, 22, 26], at);
        }
      }
    }
    above = here;
  }
  return pixels;
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
