// A finger that rests at the edge of the plan while it draws moves the plan that way.

import type { Point } from '../live/protocol.ts';

/** How near the edge a finger is at it, and how far the plan moves in a frame at most, pixels. */
const [EDGE, FASTEST] = [28, 7];
/** How long it must be there, milliseconds: a stroke that ends at the edge moves nothing. */
const AFTER_MS = 350;

/**
 * How far the plan goes on under a finger, pixels to the right and down that come into sight. The
 * cross stands `lift` above the finger, so that it comes to the upper edge first.
 */
export function onwards([x, y]: Point, [width, height]: Point, lift: number): Point {
  const by = (low: number, high: number) =>
    low < EDGE ? -(EDGE - low) : high < EDGE ? EDGE - high : 0;
  const speed = (deep: number) => (Math.max(-EDGE, Math.min(EDGE, deep)) / EDGE) * FASTEST;
  return [speed(by(x, width - x)), speed(by(y - lift, height - y))];
}

/** Moves the plan, frame by frame, as long as the finger is at its edge. */
export class Edge {
  private frame = 0;
  private since = 0;
  private by: Point = [0, 0];

  /** The finger is at a place: `move` is called at each frame that the plan moves. */
  at(by: Point, move: (by: Point) => void): void {
    this.by = by;
    if (by[0] === 0 && by[1] === 0) {
      this.end();
      return;
    }
    if (this.frame !== 0) return;
    this.since = performance.now();
    const next = () => {
      if (performance.now() - this.since >= AFTER_MS) move(this.by);
      this.frame = requestAnimationFrame(next);
    };
    this.frame = requestAnimationFrame(next);
  }

  end(): void {
    cancelAnimationFrame(this.frame);
    this.frame = 0;
  }
}
