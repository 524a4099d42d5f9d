// Which spaces walls close off on a level, as far as a page must know it: where a name belongs,
// which side of a wall is outside. The program's own rule of rooms decides in the forecast.

import type { Feature, Point } from '../live/protocol.ts';
import { placeOf } from '../plan/places.ts';
import { legsOf } from './legs.ts';

/** Side of a cell, metres; coarser where a site is large. */
const CELL_M = 0.05;
const MOST_CELLS = 500_000;
/** A gap up to twice this wide counts as closed, metres: the format's rule. */
const CLOSED_M = 0.1;
/** How far from a room a place in its wall still is of it, metres: the format's rule. */
const BESIDE_M = 0.25;
const [WALL, OUTSIDE] = [-1, 0];

export class Spaces {
  private readonly cell: number;
  private readonly columns: number;
  private readonly rows: number;
  private readonly west: number;
  private readonly south: number;
  /** Of each cell: wall, outside, or the number of its space; not yet seen before. */
  private readonly cells: Int32Array;

  constructor(features: Feature[], level: number) {
    const legs = legsOf(features, level);
    const corners = legs.flatMap(({ a, b }) => [a, b]);
    const [xs, ys] = [corners.map(([x]) => x), corners.map(([, y]) => y)];
    const box = [Math.min(...xs), Math.min(...ys), Math.max(...xs), Math.max(...ys)];
    const [x0, y0, x1, y1] = corners.length > 0 ? (box as number[]) : [0, 0, 0, 0];
    const [wide, high] = [(x1 ?? 0) - (x0 ?? 0) + 1, (y1 ?? 0) - (y0 ?? 0) + 1];
    this.cell = Math.max(CELL_M, Math.sqrt((wide * high) / MOST_CELLS));
    this.west = (x0 ?? 0) - 0.5;
    this.south = (y0 ?? 0) - 0.5;
    this.columns = Math.ceil(wide / this.cell);
    this.rows = Math.ceil(high / this.cell);
    this.cells = new Int32Array(this.columns * this.rows).fill(-2);
    for (const { a, b } of legs) this.build(a, b);
    this.flood(0, OUTSIDE);
    let space = 1;
    for (let at = 0; at < this.cells.length; at += 1) {
      if (this.isUnseen(at)) {
        this.flood(at, space);
        space += 1;
      }
    }
  }

  /** The space of a place: 0 outside, else its number. */
  at([x, y]: Point): number {
    const [column, row] = [this.columnOf(x), this.rowOf(y)];
    const most = Math.ceil(BESIDE_M / this.cell);
    // Square by square outwards: in a wall, the nearest space counts.
    let best = { off: Number.POSITIVE_INFINITY, space: OUTSIDE };
    for (let j = row - most; j <= row + most; j += 1) {
      for (let i = column - most; i <= column + most; i += 1) {
        const space = this.cellAt(i, j);
        const off = Math.hypot(i - column, j - row);
        if (space !== WALL && off < best.off) best = { off, space };
      }
    }
    return best.space;
  }

  isInside = (place: Point): boolean => this.at(place) !== OUTSIDE;

  private columnOf = (x: number) => Math.floor((x - this.west) / this.cell);
  private rowOf = (y: number) => Math.floor((y - this.south) / this.cell);

  private cellAt(column: number, row: number): number {
    const isOn = column >= 0 && column < this.columns && row >= 0 && row < this.rows;
    return isOn ? (this.cells[row * this.columns + column] ?? OUTSIDE) : OUTSIDE;
  }

  private isUnseen(at: number): boolean {
    return (this.cells[at] ?? WALL) < WALL;
  }

  /** Marks the cells of a wall's middle line. */
  private build(a: Point, b: Point): void {
    const reach = Math.max(CLOSED_M, this.cell * 0.75);
    const [dx, dy] = [b[0] - a[0], b[1] - a[1]];
    const square = dx * dx + dy * dy;
    const from = [
      this.columnOf(Math.min(a[0], b[0]) - reach),
      this.rowOf(Math.min(a[1], b[1]) - reach),
    ] as const;
    const to = [
      this.columnOf(Math.max(a[0], b[0]) + reach),
      this.rowOf(Math.max(a[1], b[1]) + reach),
    ] as const;
    for (let row = Math.max(0, from[1]); row <= Math.min(this.rows - 1, to[1]); row += 1) {
      const y = this.south + (row + 0.5) * this.cell - a[1];
      const last = Math.min(this.columns - 1, to[0]);
      for (let column = Math.max(0, from[0]); column <= last; column += 1) {
        const x = this.west + (column + 0.5) * this.cell - a[0];
        const share = Math.min(1, Math.max(0, (x * dx + y * dy) / square));
        const off = Math.hypot(x - dx * share, y - dy * share);
        if (off <= reach) this.cells[row * this.columns + column] = WALL;
      }
    }
  }

  private flood(start: number, space: number): void {
    const todo = [start];
    this.cells[start] = space;
    while (todo.length > 0) {
      const at = todo.pop() ?? 0;
      const column = at % this.columns;
      const beside = [
        column > 0 ? at - 1 : -1,
        column < this.columns - 1 ? at + 1 : -1,
        at - this.columns,
        at + this.columns,
      ];
      for (const next of beside) {
        if (next < 0 || next >= this.cells.length || !this.isUnseen(next)) continue;
        this.cells[next] = space;
        todo.push(next);
      }
    }
  }
}

let last: { features: Feature[]; level: number; spaces: Spaces } | null = null;

/** The spaces of a level; worked out once for a plan. */
export function spacesOf(features: Feature[], level: number): Spaces {
  if (last?.features !== features || last.level !== level) {
    last = { features, level, spaces: new Spaces(features, level) };
  }
  return last.spaces;
}

/** The room that is named where a place is. */
export function roomAt(at: Point, features: Feature[], level: number): Feature | null {
  const spaces = spacesOf(features, level);
  const space = spaces.at(at);
  if (space === OUTSIDE) return null;
  const rooms = features.filter((one) => one.kind === 'room' && one.level === level);
  const inside = (room: Feature) => {
    const place = placeOf(room);
    return place !== null && spaces.at(place) === space;
  };
  return rooms.find(inside) ?? null;
}
