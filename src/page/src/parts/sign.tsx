// The sign of a finding: a ring is sound, a square on its corner thin, a black hexagon failing. A
// house is the panel, a box what is neither panel nor sensor.

import type { Finding } from '../live/protocol.ts';

/** The kind by which a mark's outline is chosen. */
export type Outline = 'panel' | 'box' | 'sensor';

const INK = 'rgb(22, 22, 26)';
const HEXAGON = '-9,0 -4.5,-7.8 4.5,-7.8 9,0 4.5,7.8 -4.5,7.8';

export const outlineOf = (kind: string): Outline =>
  kind === 'panel' ? 'panel' : kind === 'sensor' ? 'sensor' : 'box';

/** The shape alone, drawn in a box of 24 by 24 about its middle. */
function Shape({ finding, outline }: { finding: Finding | null; outline: Outline }) {
  const line = { stroke: INK, 'stroke-width': 1.4 };
  if (outline === 'panel') {
    return (
      <>
        <path d="M0,-10 L9.5,-3 V9 H-9.5 V-3 Z" fill={INK} stroke="#fff" stroke-width="1" />
        <path d="M0,-7.8 L7.5,-2 V7 H-7.5 V-2 Z" fill="none" stroke="#fff" stroke-width="0.9" />
      </>
    );
  }
  if (finding === 'failing') {
    return (
      <>
        <polygon points={HEXAGON} transform="scale(1.22)" fill={INK} stroke="#fff" />
        <polygon points={HEXAGON} fill="none" stroke="#fff" stroke-width="1" />
      </>
    );
  }
  if (finding === 'thin') {
    return (
      <rect
        x="-7.6"
        y="-7.6"
        width="15.2"
        height="15.2"
        transform="rotate(45)"
        fill="#fff"
        {...line}
        stroke-width="2.2"
      />
    );
  }
  if (outline === 'box')
    return <rect x="-7.5" y="-8.5" width="15" height="17" fill="#fff" {...line} />;
  return <circle r="8.5" fill="#fff" {...line} />;
}

export function Sign({
  finding,
  outline = 'sensor',
  tag = '',
}: {
  finding: Finding | null;
  outline?: Outline;
  tag?: string;
}) {
  const dark = outline === 'panel' || finding === 'failing';
  return (
    <svg class="sign" viewBox="-12 -12 24 24" aria-hidden="true" focusable="false">
      <Shape finding={finding} outline={outline} />
      {tag && (
        <text
          class={tag.length > 2 ? 'small' : ''}
          y={outline === 'panel' ? 5 : 3.6}
          fill={dark ? '#fff' : INK}
        >
          {tag}
        </text>
      )}
    </svg>
  );
}
