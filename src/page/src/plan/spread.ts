// Marks pushed apart, so that each can be read and touched.

import type { Point } from '../live/protocol.ts';

export interface Disc {
  /** Where it belongs. */
  at: Point;
  radius: number;
  /** Whether it stays where it is, such as a mark in the hand. */
  fixed?: boolean;
}

const ROUNDS = 40;

/** Places of the discs, pixels, none over another as far as forty rounds can part them. */
export function spread(discs: Disc[]): Point[] {
  const places = discs.map(({ at }): Point => [...at]);
  for (let round = 0; round < ROUNDS; round += 1) {
    let still = true;
    for (let one = 0; one < discs.length; one += 1) {
      for (let other = one + 1; other < discs.length; other += 1) {
        still = part(discs, places, one, other) && still;
      }
    }
    if (still) break;
  }
  return places;
}

/** Pushes two discs apart; true if they were already. */
function part(discs: Disc[], places: Point[], one: number, other: number): boolean {
  const [a, b] = [places[one] as Point, places[other] as Point];
  const [first, second] = [discs[one] as Disc, discs[other] as Disc];
  const needed = first.radius + second.radius + 1;
  const apart = Math.hypot(b[0] - a[0], b[1] - a[1]);
  if (apart >= needed || (first.fixed && second.fixed)) return true;
  // On one and the same place any direction will do; the golden angle spreads many of them.
  const angle = (one + other) * 2.399963;
  const way: Point =
    apart > 1e-6
      ? [(b[0] - a[0]) / apart, (b[1] - a[1]) / apart]
      : [Math.cos(angle), Math.sin(angle)];
  const share = first.fixed ? 0 : second.fixed ? 1 : 0.5;
  const push = needed - apart + 0.1;
  places[one] = [a[0] - way[0] * push * share, a[1] - way[1] * push * share];
  places[other] = [b[0] + way[0] * push * (1 - share), b[1] + way[1] * push * (1 - share)];
  return false;
}
