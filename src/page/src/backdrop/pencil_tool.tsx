// Pencilled walls: what the program sees in the picture, inked where a finger goes over it.

import { computed, signal } from '@preact/signals';
import { materialFor, pick } from '../draw/material.ts';
import type { Cross, Stroke, Tool } from '../draw/tool.ts';
import { same } from '../draw/vectors.ts';
import type { Change, Point } from '../live/protocol.ts';
import { edit, level, look, spoken, traced } from '../live/state.ts';
import { Constructions } from '../parts/constructions.tsx';
import { addSigns } from '../parts/tool_sign.tsx';
import { say } from '../words/words.ts';
import { distance, inkedBy, type Pencil } from './pencil_lines.ts';
import { picture } from './picture_tool.tsx';

addSigns({ pencil: { dashed: 'M-10,8 H4 M-10,4 H4', lines: 'M2,-1 L8,-9 L11,-7 L5,2 L1,3 Z' } });

/** How near the cross must be, pixels. */
const REACH = 24;
/** Most walls of one step. */
const MOST = 90;

/** Those that a stroke has gone over. */
const swept = signal<ReadonlySet<Pencil>>(new Set());
/** Where the last stroke ended: the click that follows it inks nothing more. */
let ended: Point | null = null;

export const pencils = computed<Pencil[]>(() =>
  traced.value === 'asked' ? [] : (traced.value ?? []),
);
const here = computed(() =>
  pencils.value.filter(({ properties }) => properties.level === level.value),
);
const walls = computed(() => here.value.filter(({ properties }) => properties.kind === 'wall'));

function nearest({ at, resolution }: Cross): Pencil | null {
  const far = (one: Pencil) => distance(at, one.line);
  const best = walls.value.reduce<Pencil | null>(
    (near, one) => (near && far(near) <= far(one) ? near : one),
    null,
  );
  return best && far(best) <= REACH * resolution ? best : null;
}

function add(one: Pencil, construction: string | null): Change {
  const isWall = one.properties.kind === 'wall';
  const properties = {
    ...one.properties,
    ...(isWall && construction ? { construction } : {}),
  };
  const geometry = { type: 'LineString', coordinates: one.line };
  return { do: 'add', feature: { type: 'Feature', properties, geometry } };
}

/** Makes pencil lines walls, with their doors and windows: one step of undo. */
function ink(chosen: Pencil[]): void {
  const taken = inkedBy(chosen.slice(0, MOST), here.value);
  if (taken.length === 0) return;
  if (edit(taken.slice(0, 200).map((one) => add(one, materialFor('wall')))) === null) return;
  const gone = new Set(taken);
  traced.value = pencils.value.filter((one) => !gone.has(one));
  spoken.value = say('inked', { count: taken.length });
}

function sweep(cross: Cross): void {
  const one = nearest(cross);
  if (one && !swept.value.has(one)) swept.value = new Set([...swept.value, one]);
}

function lift(cross: Cross): void {
  sweep(cross);
  ink([...swept.value]);
  swept.value = new Set();
  ended = cross.raw;
}

function Options() {
  const asked = traced.value === 'asked';
  return (
    <div class="picture-options">
      <div class="row">
        <button type="button" class="main" disabled={!picture.value?.at || asked} onClick={look}>
          {say(pencils.value.length > 0 ? 'lookAgain' : 'lookForWalls')}
        </button>
        {walls.value.length > 0 && (
          <>
            <button type="button" onClick={() => ink(walls.value)}>
              {say('inkAll')}
            </button>
            <button
              type="button"
              onClick={() => {
                traced.value = null;
              }}
            >
              {say('restAway')}
            </button>
          </>
        )}
      </div>
      {!picture.value?.at && <p>{say('noPicture')}</p>}
      {asked && <p role="status">{say('looking')}</p>}
      {traced.value !== null && !asked && (
        <p role="status">{say('pencilled', { count: walls.value.length })}</p>
      )}
      {walls.value.length > 0 && (
        <details open={materialFor('wall') !== null}>
          <summary>{say('pencilMaterial')}</summary>
          <Constructions
            for="wall"
            value={materialFor('wall')}
            onChoose={(name) => pick('wall', name)}
          />
        </details>
      )}
    </div>
  );
}

export const pencilTool: Tool = {
  name: 'pencil',
  group: 'ground',
  words: 'toolPencil',
  hint: 'hintPencil',
  points: signal<Point[]>([]),
  draw: (raw) => ({ at: raw, to: [], guides: [] }),
  set(cross: Cross) {
    if (ended && same(ended, cross.raw)) return;
    lift(cross);
  },
  back: () => false,
  finish: () => false,
  cancel() {
    swept.value = new Set();
  },
  grab(cross: Cross) {
    ended = null;
    if (!nearest(cross)) return false;
    sweep(cross);
    return true;
  },
  drag: sweep,
  sweep,
  release: lift,
  strokes(cross: Cross | null): Stroke[] {
    const near = cross && nearest(cross);
    const thick = ({ properties }: Pencil) =>
      typeof properties.thickness_mm === 'number' ? properties.thickness_mm / 1000 : 0.1;
    return here.value.map((one) => {
      if (swept.value.has(one)) return { line: one.line, look: 'set', thick: thick(one) };
      if (one === near) return { line: one.line, look: 'next', thick: thick(one) };
      return { line: one.line, look: 'pencil' };
    });
  },
  Options,
};
