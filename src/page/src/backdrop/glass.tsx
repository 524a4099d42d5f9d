// A glass that shows what of the picture is under the cross, larger.

import { useEffect, useRef } from 'preact/hooks';
import { cross } from '../draw/pen.ts';
import type { Backdrop } from '../live/protocol.ts';
import { paintGlass } from './picture_layer.ts';

export function Glass({ shown }: { shown: Backdrop }) {
  const canvas = useRef<HTMLCanvasElement>(null);
  const { value } = cross;
  useEffect(() => {
    if (canvas.current && value) paintGlass(canvas.current, shown, value.at, value.resolution);
  }, [shown, value]);
  return value ? <canvas class="glass" ref={canvas} width={150} height={150} /> : null;
}
