// The tape list beside the drawing: typed line by line, drawn as it is typed, made the plan.

import { signal } from '@preact/signals';
import { useEffect, useRef, useState } from 'preact/hooks';
import type { TapeMessage } from '../live/protocol.ts';
import { askTape, notice, spoken, tape, useTape } from '../live/state.ts';
import { Dialog } from '../parts/dialog.tsx';
import { say } from '../words/words.ts';
import { Drawn } from './drawn.tsx';
import { lineOf, type RoomRow, roomsIn, SIDES, spanOf, withLine } from './lines.ts';

/** The list as it stands in the field; nothing until the program has sent that of the plan. */
const text = signal<string | null>(null);
/** The question for that list. */
let first: number | null = null;

function begin(): void {
  tape.value = null;
  notice.value = null;
  text.value = null;
  first = askTape();
}

function type(next: string): void {
  text.value = next;
  askTape(next);
}

function Faults({ of, go }: { of: TapeMessage['faults']; go: (line: number) => void }) {
  return (
    <div role="status">
      <p>{of.length === 0 ? say('tapeGood') : say('tapeFaults', { count: of.length })}</p>
      <ol class="plain faults">
        {of.map(({ line, column, what, fix }) => (
          <li key={`${line} ${column} ${what}`}>
            <button type="button" onClick={() => go(line)}>
              {say('tapeLine', { line })}
            </button>{' '}
            <span lang="en">{say('tapeFault', { what, fix })}</span>
          </li>
        ))}
      </ol>
    </div>
  );
}

const EMPTY = { name: '', width: '', depth: '' };

/** One row for a phone's keypad. */
function RoomForm({ list }: { list: string }) {
  const [row, set] = useState<Omit<RoomRow, 'beside'> & { beside: string | null }>({
    ...EMPTY,
    side: 'right-of',
    beside: null,
  });
  const name = useRef<HTMLInputElement>(null);
  const rooms = roomsIn(list);
  const beside = row.beside !== null && rooms.includes(row.beside) ? row.beside : rooms.at(-1);
  const add = (event: Event) => {
    event.preventDefault();
    if (!row.name.trim() || !row.width.trim() || !row.depth.trim()) return;
    const line = lineOf({ ...row, beside: beside ?? '' });
    type(withLine(list, line));
    spoken.value = say('tapeAdded', { line });
    set({ ...row, ...EMPTY, beside: null });
    name.current?.focus();
  };
  const field = (of: 'name' | 'width' | 'depth', label: string) => (
    <label>
      {label}
      <input
        ref={of === 'name' ? name : null}
        value={row[of]}
        required
        maxLength={40}
        autocomplete="off"
        inputMode={of === 'name' ? 'text' : 'decimal'}
        onInput={({ currentTarget }) => set({ ...row, [of]: currentTarget.value })}
      />
    </label>
  );
  return (
    <form onSubmit={add}>
      <fieldset class="tape-row">
        <legend>{say('tapeRoom')}</legend>
        {field('name', say('tapeName'))}
        {field('width', say('tapeWidth'))}
        {field('depth', say('tapeDepth'))}
        {beside !== undefined && (
          <>
            <label>
              {say('tapeSide')}
              <select
                value={row.side}
                onChange={({ currentTarget }) =>
                  set({ ...row, side: currentTarget.value as RoomRow['side'] })
                }
              >
                {SIDES.map((side) => (
                  <option key={side} value={side}>
                    {say(`tape-${side}`)}
                  </option>
                ))}
              </select>
            </label>
            <label>
              {say('tapeBeside')}
              <select
                value={beside}
                onChange={({ currentTarget }) => set({ ...row, beside: currentTarget.value })}
              >
                {rooms.map((room) => (
                  <option key={room}>{room}</option>
                ))}
              </select>
            </label>
          </>
        )}
        <button type="submit">{say('tapeAdd')}</button>
      </fieldset>
    </form>
  );
}

function Assumed({ lines }: { lines: string[] }) {
  if (lines.length === 0) return null;
  return (
    <details>
      <summary>{say('tapeAssumed', { count: lines.length })}</summary>
      <ul lang="en">
        {lines.map((line) => (
          <li key={line}>{line}</li>
        ))}
      </ul>
    </details>
  );
}

function Pane({ close }: { close: () => void }) {
  const { value } = tape;
  const field = useRef<HTMLTextAreaElement>(null);
  const answer = value?.type === 'tape' ? value : null;
  useEffect(() => {
    if (text.value === null && answer?.number === first) text.value = answer.text;
  }, [answer]);
  useEffect(() => {
    if (value?.type !== 'used') return;
    spoken.value = say('tapeUsed');
    tape.value = null;
    close();
  }, [value, close]);
  const go = (line: number) => {
    if (!field.current) return;
    field.current.focus();
    field.current.setSelectionRange(...spanOf(field.current.value, line));
  };
  const list = text.value ?? '';
  const faults = answer?.faults ?? [];
  // Of what is in the field, not of what was typed before.
  const isGood = answer?.plan && faults.length === 0 && answer.text === list;
  return (
    <div class="tape-sides">
      <div class="tape-lines">
        <label>
          {say('tapeText')}
          <textarea
            ref={field}
            value={list}
            disabled={text.value === null}
            spellcheck={false}
            autocapitalize="off"
            aria-invalid={faults.length > 0}
            onInput={({ currentTarget }) => type(currentTarget.value)}
          />
        </label>
        {answer && <Faults of={faults} go={go} />}
        {text.value !== null && <RoomForm list={list} />}
      </div>
      <div class="tape-lines">
        {answer?.plan ? <Drawn of={answer.plan} /> : <p>{say('tapeNoPlan')}</p>}
        {answer && <Assumed lines={answer.assumed} />}
        {notice.value?.type === 'refused' && (
          <p role="alert" lang="en" class="fault">
            {notice.value.what}. {notice.value.fix}.
          </p>
        )}
        <p>
          <button type="button" class="main" disabled={!isGood} onClick={() => useTape(list)}>
            {say('tapeUse')}
          </button>
        </p>
        <p class="quiet">{say('tapeUseIs')}</p>
      </div>
    </div>
  );
}

export function TapeList() {
  return (
    <Dialog opener="tapeOpen" title="tapeTitle" look="tape" opened={begin}>
      {(close) => <Pane close={close} />}
    </Dialog>
  );
}
