// Points and directions on the plan, metres.

import type { Point } from '../live/protocol.ts';

export const plus = (a: Point, b: Point, times = 1): Point => [
  a[0] + b[0] * times,
  a[1] + b[1] * times,
];
export const minus = (a: Point, b: Point): Point => [a[0] - b[0], a[1] - b[1]];
export const dot = (a: Point, b: Point): number => a[0] * b[0] + a[1] * b[1];
/** The part of `b` across `a`; its sign says on which side: above zero is left. */
export const across = (a: Point, b: Point): number => a[0] * b[1] - a[1] * b[0];
export const size = (a: Point): number => Math.hypot(a[0], a[1]);
/** A quarter turn to the left. */
export const leftOf = (a: Point): Point => [-a[1], a[0]];

/** The direction from one point to another; `null` where they are one. */
export function way(from: Point, to: Point): Point | null {
  const length = size(minus(to, from));
  return length < 1e-9 ? null : [(to[0] - from[0]) / length, (to[1] - from[1]) / length];
}

/** A direction turned to the left by degrees. */
export function turned([x, y]: Point, degrees: number): Point {
  const angle = (degrees * Math.PI) / 180;
  const [c, s] = [Math.cos(angle), Math.sin(angle)];
  return [x * c - y * s, x * s + y * c];
}

/** A place in tenths of a millimetre: finer than any plan, without the dust of reckoning. */
export const clean = ([x, y]: Point): Point => [
  Math.round(x * 1e4) / 1e4 + 0,
  Math.round(y * 1e4) / 1e4 + 0,
];

/** Whether two points are one, to a tenth of a millimetre. */
export const same = (a: Point, b: Point): boolean => size(minus(a, b)) < 1e-4;
