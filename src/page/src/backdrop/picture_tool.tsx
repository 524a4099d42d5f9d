// The tool that lays a picture under the plan: chosen, squared up, scaled, moved, turned.

import { computed, effect, signal, useSignal } from '@preact/signals';
import type { Cross, Stroke, Tool } from '../draw/tool.ts';
import { decimals } from '../live/numbers.ts';
import type { Backdrop, Point } from '../live/protocol.ts';
import { edit, laid, level, measure, plan, refusals, squareUp } from '../live/state.ts';
import { addSigns } from '../parts/tool_sign.tsx';
import { type Key, language, say, units } from '../words/words.ts';
import { after, askew, fit, type Known, moved, scaled, type Transform, turned } from './affine.ts';
import { Glass } from './glass.tsx';
import { pixelOf } from './picture_layer.ts';
import { onItsWay, turnTo, upload } from './upload.ts';

addSigns({
  picture: {
    lines: 'M-10,-8 H10 V8 H-10 Z M-10,4 L-3,-3 L2,3 L5,0 L10,5',
    solid: 'M4,-5 h3 v3 h-3 Z',
  },
});

type Mode = 'scale' | 'square' | 'move' | 'turn';
const MODES: { mode: Mode; words: Key; hint: Key; points: number }[] = [
  { mode: 'square', words: 'pictureSquare', hint: 'hintSquare', points: 4 },
  { mode: 'scale', words: 'pictureScale', hint: 'hintScale', points: 2 },
  { mode: 'move', words: 'pictureMove', hint: 'hintMove', points: 2 },
  { mode: 'turn', words: 'pictureTurn', hint: 'hintTurn', points: 2 },
];

const mode = signal<Mode>('scale');
const points = signal<Point[]>([]);
/** Lengths of this picture that are known, and of which picture. */
const known = signal<{ file: string; lengths: Known[] }>({ file: '', lengths: [] });

export const picture = computed<Backdrop | null>(() => plan.value?.backdrop ?? null);

// The plan that has it, or a refusal, ends the way of a picture.
effect(() => {
  void [plan.value, refusals.value];
  onItsWay.value = false;
});

const chosen = () => MODES.find((one) => one.mode === mode.value) ?? MODES[1];
const most = (): number => chosen()?.points ?? 2;

/** Puts the picture elsewhere: one step of undo. */
function lay(shown: Backdrop, change: Partial<Backdrop>): void {
  const { file, transform, opacity, level: on } = { ...shown, ...change };
  edit([{ do: 'ground', picture: { file, transform, opacity, level: on } }]);
}

const through = (shown: Backdrop, how: Transform) =>
  lay(shown, { transform: after(how, shown.transform) });

/** What is done once all points are set. */
function done(shown: Backdrop): void {
  const [a, b] = points.value;
  if (!a || !b) return;
  if (mode.value === 'move') through(shown, moved([b[0] - a[0], b[1] - a[1]]));
  else if (mode.value === 'turn') through(shown, turned(a, askew(a, b)));
  else return;
  points.value = [];
}

/** Takes a known length over; what is wrong with it, if anything. */
async function scale(shown: Backdrop, text: string): Promise<string | null> {
  const [a, b] = points.value;
  const answer = await measure([text.slice(0, 40)]);
  const metres = answer?.metres[0];
  if (!a || !b || typeof metres !== 'number' || metres <= 0) {
    return answer?.faults[0] ?? say('noLength');
  }
  const [from, to] = [pixelOf(shown, a), pixelOf(shown, b)];
  const pixels = Math.hypot(to[0] - from[0], to[1] - from[1]);
  const before = known.value.file === shown.file ? known.value.lengths : [];
  const lengths = [...before, { metres, pixels }];
  const [p, , , q] = shown.transform;
  const { perPixel } = fit(lengths);
  known.value = { file: shown.file, lengths };
  through(shown, scaled(a, perPixel / Math.hypot(p, q)));
  points.value = [];
  return null;
}

/** Reads a length that may be left out. */
async function lengthOf(text: string): Promise<number | null> {
  if (text.trim() === '') return null;
  return (await measure([text.slice(0, 40)]))?.metres[0] ?? null;
}

async function square(shown: Backdrop, wide: string, high: string): Promise<void> {
  const corners = points.value.map((at) => pixelOf(shown, at));
  const [width, height] = [await lengthOf(wide), await lengthOf(high)];
  const size: Point | null = width && height ? [width, height] : null;
  if (corners.length === 4 && squareUp(corners, size)) points.value = [];
}

function LengthField({ words, text }: { words: Key; text: { value: string } }) {
  return (
    <label>
      {say(words)}
      <input
        class="short"
        value={text.value}
        autocomplete="off"
        placeholder={units.value === 'm' ? '3.6' : "12'"}
        inputMode={units.value === 'm' ? 'decimal' : 'text'}
        onInput={({ currentTarget }) => {
          text.value = currentTarget.value;
        }}
      />
    </label>
  );
}

function Scaling({ shown }: { shown: Backdrop }) {
  const [text, fault] = [useSignal(''), useSignal('')];
  const { lengths } = known.value.file === shown.file ? known.value : { lengths: [] };
  const off = lengths.length > 1 ? fit(lengths).off * 100 : null;
  return (
    <>
      {points.value.length === 2 && (
        <form
          class="row"
          onSubmit={async (event) => {
            event.preventDefault();
            fault.value = (await scale(shown, text.value)) ?? '';
            if (!fault.value) text.value = '';
          }}
        >
          <LengthField words="pictureLength" text={text} />
          <button type="submit" class="main">
            {say('pictureSetScale')}
          </button>
        </form>
      )}
      {fault.value && (
        <p class="fault" role="alert" lang="en">
          {fault.value}
        </p>
      )}
      {off !== null && (
        <p role="status">
          {say('pictureOff', { percent: decimals(off, 1, language.value), count: lengths.length })}
        </p>
      )}
    </>
  );
}

function Squaring({ shown }: { shown: Backdrop }) {
  const [wide, high] = [useSignal(''), useSignal('')];
  if (points.value.length < 4) return null;
  return (
    <form
      class="row"
      onSubmit={(event) => {
        event.preventDefault();
        square(shown, wide.value, high.value);
      }}
    >
      <LengthField words="pictureWide" text={wide} />
      <LengthField words="pictureHigh" text={high} />
      <button type="submit" class="main">
        {say('pictureSetSquare')}
      </button>
    </form>
  );
}

function Choose() {
  return (
    <label class="file-choice">
      <span>{say(picture.value ? 'pictureOther' : 'pictureChoose')}</span>
      <input
        type="file"
        accept="image/png,image/jpeg,application/pdf"
        onChange={({ currentTarget }) => {
          const [file] = currentTarget.files ?? [];
          if (file) upload(file);
          currentTarget.value = '';
        }}
      />
    </label>
  );
}

/** Which page of a PDF of several is shown. */
function Pages() {
  const { value } = laid;
  if (!value || value.pages < 2 || !picture.value) return null;
  return (
    <label class="row">
      {say('picturePage', { pages: value.pages })}
      <input
        class="short"
        type="number"
        min="1"
        max={value.pages}
        value={value.page}
        onChange={({ currentTarget }) => {
          if (currentTarget.checkValidity()) turnTo(currentTarget.valueAsNumber);
        }}
      />
    </label>
  );
}

function Options() {
  const { value: shown } = picture;
  return (
    <div class="picture-options">
      <Choose />
      <Pages />
      {onItsWay.value && <p role="status">{say('pictureOnItsWay')}</p>}
      {shown?.what && (
        <p class="fault">
          {say('pictureMissing', { file: shown.file })} <span lang="en">{shown.what}</span>
        </p>
      )}
      {shown?.at && (
        <>
          <fieldset class="switch">
            <legend class="aloud">{say('pictureMode')}</legend>
            {MODES.map((one) => (
              <label key={one.mode}>
                <input
                  type="radio"
                  name="picture-mode"
                  checked={mode.value === one.mode}
                  onChange={() => {
                    mode.value = one.mode;
                    points.value = [];
                  }}
                />
                <span>{say(one.words)}</span>
              </label>
            ))}
          </fieldset>
          <p>{say(chosen()?.hint ?? 'hintScale', { set: points.value.length })}</p>
          {mode.value === 'scale' && <Scaling shown={shown} />}
          {mode.value === 'square' && <Squaring shown={shown} />}
        </>
      )}
      {shown && (
        <div class="row">
          <label>
            {say('pictureOpacity')}
            <input
              type="range"
              min="0"
              max="1"
              step="0.1"
              value={shown.opacity}
              onChange={({ currentTarget }) =>
                lay(shown, { opacity: currentTarget.valueAsNumber, level: level.value })
              }
            />
          </label>
          <button type="button" onClick={() => edit([{ do: 'ground', picture: null }])}>
            {say('pictureRemove')}
          </button>
        </div>
      )}
    </div>
  );
}

export const pictureTool: Tool = {
  name: 'picture',
  group: 'ground',
  words: 'toolPicture',
  hint: 'hintPicture',
  points,
  draw: (raw) => ({ at: raw, to: [], guides: [] }),
  set({ at }: Cross) {
    const { value: shown } = picture;
    if (!shown?.at || points.value.length >= most()) return;
    points.value = [...points.value, at];
    if (points.value.length === most()) done(shown);
  },
  back() {
    const had = points.value.length > 0;
    points.value = points.value.slice(0, -1);
    return had;
  },
  finish: () => false,
  cancel() {
    points.value = [];
  },
  strokes(cross: Cross | null): Stroke[] {
    const line = [...points.value, ...(cross && points.value.length < most() ? [cross.at] : [])];
    const ring = mode.value === 'square' && line.length > 2;
    return line.length > 1 ? [{ line, look: 'guide', ring }] : [];
  },
  Options,
  Beside: () => (
    <Glass shown={points.value.length < most() ? picture.value : null} set={points.value} />
  ),
};

/** A picture that is dropped on the plan is laid under it. */
export function dropOn(event: DragEvent): void {
  const file = [...(event.dataTransfer?.files ?? [])].find(({ type }) => /png|jpeg|pdf/.test(type));
  if (!file) return;
  event.preventDefault();
  upload(file);
}
