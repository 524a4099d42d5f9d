// A glass that shows what of the picture is under the cross, larger, until a point is set there.

import { useEffect, useRef } from 'preact/hooks';
import { cross } from '../draw/pen.ts';
import { same } from '../draw/vectors.ts';
import type { Backdrop, Point } from '../live/protocol.ts';
import { paintGlass } from './picture_layer.ts';

/** How wide it is, pixels; as in the style. */
const SIDE = 132;

export function Glass({ shown, set }: { shown: Backdrop | null; set: Point[] }) {
  const canvas = useRef<HTMLCanvasElement>(null);
  const { value } = cross;
  useEffect(() => {
    const fine = window.devicePixelRatio || 1;
    if (canvas.current && value && shown) {
      paintGlass(canvas.current, shown, value.at, value.resolution / fine);
    }
  }, [shown, value]);
  const last = set.at(-1);
  if (!value || !shown?.at || (last && same(last, value.at))) return null;
  const side = Math.round(SIDE * (window.devicePixelRatio || 1));
  return <canvas class="glass" ref={canvas} width={side} height={side} />;
}
