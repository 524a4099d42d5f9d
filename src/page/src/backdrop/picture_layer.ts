// The picture under the plan, and what of it is under the finger.

import ImageLayer from 'ol/layer/Image.js';
import type Projection from 'ol/proj/Projection.js';
import ImageCanvas from 'ol/source/ImageCanvas.js';
import type { Backdrop, Point } from '../live/protocol.ts';
import { after, back, put, type Transform } from './affine.ts';

/** The picture as it was fetched last. */
let known: { at: string; image: HTMLImageElement } | null = null;

/** Fetches a picture; `ready` is called once it can be drawn. */
export function pictureOf(at: string, ready: () => void): HTMLImageElement | null {
  if (known?.at !== at) {
    const image = new Image();
    known = { at, image };
    image.addEventListener('load', ready);
    image.src = at;
  }
  return known.image.complete && known.image.naturalWidth > 0 ? known.image : null;
}

/** Draws a picture on a canvas whose north-west corner is a place of the plan. */
function paint(
  context: CanvasRenderingContext2D,
  image: HTMLImageElement,
  transform: Transform,
  [west, north]: Point,
  toAMetre: number,
): void {
  const onto: Transform = [toAMetre, 0, -west * toAMetre, 0, -toAMetre, north * toAMetre];
  const [a, b, c, d, e, f] = after(onto, transform);
  context.setTransform(a, d, b, e, c, f);
  context.drawImage(image, 0, 0);
}

export class PictureLayer {
  readonly layer: ImageLayer<ImageCanvas>;
  private shown: Backdrop | null = null;
  private readonly source: ImageCanvas;

  constructor(projection: Projection) {
    this.source = new ImageCanvas({
      projection,
      ratio: 1.2,
      canvasFunction: (extent, resolution, ratio, size) => {
        const canvas = document.createElement('canvas');
        [canvas.width, canvas.height] = size.map((one) => Math.max(1, Math.round(one))) as Point;
        const context = canvas.getContext('2d');
        const at = this.shown?.at;
        const image = at ? pictureOf(at, () => this.source.changed()) : null;
        if (context && image && this.shown) {
          const corner: Point = [extent[0] ?? 0, extent[3] ?? 0];
          paint(context, image, this.shown.transform, corner, ratio / resolution);
        }
        return canvas;
      },
    });
    this.layer = new ImageLayer({ source: this.source });
  }

  /** Shows a picture under a level, or none. */
  show(picture: Backdrop | null, level: number): void {
    this.shown = picture && picture.level === level ? picture : null;
    this.layer.setOpacity(this.shown?.opacity ?? 0);
    this.source.changed();
  }
}

/** The least box round a box and a picture. */
export function boundsWith(bounds: number[], picture: Backdrop | null): number[] {
  const { columns, rows, transform } = picture ?? {};
  if (!columns || !rows || !transform) return bounds;
  const corners = [
    [0, 0],
    [columns, 0],
    [0, rows],
    [columns, rows],
  ].map((at) => put(transform, at as Point));
  const [x, y] = [corners.map((at) => at[0]), corners.map((at) => at[1])];
  const [west = 0, south = 0, east = 0, north = 0] = bounds;
  return [Math.min(west, ...x), Math.min(south, ...y), Math.max(east, ...x), Math.max(north, ...y)];
}

/** How many times larger the glass shows the picture than the plan does. */
const LARGER = 3;

/** Paints the picture round a place, larger, with a cross in the middle. */
export function paintGlass(
  canvas: HTMLCanvasElement,
  picture: Backdrop,
  at: Point,
  resolution: number,
): void {
  const context = canvas.getContext('2d');
  const image = picture.at ? pictureOf(picture.at, () => {}) : null;
  if (!context || !image) return;
  const { width, height } = canvas;
  const toAMetre = LARGER / resolution;
  context.setTransform(1, 0, 0, 1, 0, 0);
  context.fillStyle = '#fff';
  context.fillRect(0, 0, width, height);
  const corner: Point = [at[0] - width / 2 / toAMetre, at[1] + height / 2 / toAMetre];
  paint(context, image, picture.transform, corner, toAMetre);
  // Round the middle, the cross is open: what is there must be seen.
  const [middle, gap] = [width / 2, width / 22];
  context.setTransform(1, 0, 0, 1, 0, 0);
  for (const [look, pen] of [
    ['rgb(255, 255, 255)', 5],
    ['rgb(158, 38, 16)', 2],
  ] as const) {
    context.strokeStyle = look;
    context.lineWidth = (pen * width) / 132;
    context.beginPath();
    for (const [from, to] of [
      [0, middle - gap],
      [middle + gap, width],
    ] as const) {
      context.moveTo(middle, from);
      context.lineTo(middle, to);
      context.moveTo(from, middle);
      context.lineTo(to, middle);
    }
    context.stroke();
  }
}

/** Where a place of the plan is in the picture: column and row. */
export const pixelOf = (picture: Backdrop, [x, y]: Point): Point => {
  const [a, b, c, d, e, f] = back(picture.transform);
  return [a * x + b * y + c, d * x + e * y + f];
};
