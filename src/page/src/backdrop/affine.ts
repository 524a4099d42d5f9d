// How a picture is put into the plan: [a, b, c, d, e, f] put column and row at
// x = a·column + b·row + c, y = d·column + e·row + f, metres.

import type { Point } from '../live/protocol.ts';

export type Transform = [number, number, number, number, number, number];

export const put = ([a, b, c, d, e, f]: Transform, [x, y]: Point): Point => [
  a * x + b * y + c,
  d * x + e * y + f,
];

/** The way back, from the plan to the picture. */
export function back([a, b, c, d, e, f]: Transform): Transform {
  const area = a * e - b * d;
  return [e / area, -b / area, (b * f - c * e) / area, -d / area, a / area, (c * d - a * f) / area];
}

/** What one and then another do together: `second` after `first`. */
export function after(second: Transform, first: Transform): Transform {
  const [a, b, , d, e] = second;
  const [g, h, , j, k] = first;
  const [c, f] = put(second, [first[2], first[5]]);
  return [a * g + b * j, a * h + b * k, c, d * g + e * j, d * h + e * k, f];
}

/** Moves by a step. */
export const moved = ([x, y]: Point): Transform => [1, 0, x, 0, 1, y];

/** Makes larger or smaller round a place. */
export const scaled = ([x, y]: Point, by: number): Transform => [
  by,
  0,
  x - by * x,
  0,
  by,
  y - by * y,
];

/** Turns round a place, radians, counter-clockwise. */
export function turned([x, y]: Point, by: number): Transform {
  const [sin, cos] = [Math.sin(by), Math.cos(by)];
  return [cos, -sin, x - cos * x + sin * y, sin, cos, y - sin * x - cos * y];
}

/** By what angle a line must be turned to run level or upright, whichever is nearer. */
export function askew([x, y]: Point, [u, v]: Point): number {
  const angle = Math.atan2(v - y, u - x);
  return Math.round(angle / (Math.PI / 2)) * (Math.PI / 2) - angle;
}

/** A known length, metres, and how long it is in the picture, pixels. */
export interface Known {
  metres: number;
  pixels: number;
}

/** Metres to a pixel by least squares, and by what share of itself a length is off at most. */
export function fit(lengths: Known[]): { perPixel: number; off: number } {
  const sum = (of: (one: Known) => number) => lengths.reduce((all, one) => all + of(one), 0);
  const perPixel = sum(({ metres, pixels }) => metres * pixels) / sum(({ pixels }) => pixels ** 2);
  const offs = lengths.map(({ metres, pixels }) => Math.abs((perPixel * pixels) / metres - 1));
  return { perPixel, off: Math.max(0, ...offs) };
}
