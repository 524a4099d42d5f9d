// The signs of the tools, drawn in the manner of the marks: ink lines in a box of 24 by 24.

const INK = 'rgb(22, 22, 26)';

/** Lines, and filled shapes, of each sign. */
const SIGNS: Record<string, { lines?: string; solid?: string; dashed?: string }> = {
  // A corner of wall with its thickness.
  wall: { lines: 'M-9,9 V-9 H9 M-4,9 V-4 H9 M-9,9 H-4 M9,-9 V-4' },
  slab: { lines: 'M-10,2 L0,-4 L10,2 L0,8 Z M-10,2 V5 L0,11 L10,5 V2' },
  // The same with a hole in it.
  hole: { lines: 'M-10,2 L0,-4 L10,2 L0,8 Z', dashed: 'M-4,2 L0,-0.6 L4,2 L0,4.6 Z' },
  stairs: { lines: 'M-10,9 H-5 V4 H0 V-1 H5 V-6 H10' },
  obstacle: { lines: 'M-8,-8 H8 V8 H-8 Z M-8,-8 L8,8 M-8,8 L8,-8' },
  roam: { dashed: 'M-9,-8 H9 V8 H-9 Z', solid: 'M0,-4 L3,4 H-3 Z' },
  mountable: { lines: 'M-10,6 H10', dashed: 'M-10,1 H10', solid: 'M-3,-8 H3 V-2 H-3 Z' },
};

/** Further signs, of tools in other files. */
export function addSigns(more: typeof SIGNS): void {
  Object.assign(SIGNS, more);
}

export function ToolSign({ name }: { name: string }) {
  const { lines, solid, dashed } = SIGNS[name] ?? {};
  const line = { fill: 'none', stroke: INK, 'stroke-width': 1.8, 'stroke-linejoin': 'round' };
  return (
    <svg class="sign" viewBox="-12 -12 24 24" aria-hidden="true" focusable="false">
      {lines && <path d={lines} {...(line as object)} />}
      {dashed && <path d={dashed} {...(line as object)} stroke-dasharray="3 2.5" />}
      {solid && <path d={solid} fill={INK} />}
    </svg>
  );
}
