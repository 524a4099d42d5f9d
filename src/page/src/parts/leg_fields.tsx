// Length and direction of the next leg, typed.

import { useSignal } from '@preact/signals';
import { useRef } from 'preact/hooks';
import type { ManyTool } from '../draw/many.ts';
import { again, cross, setPoint, step, tool } from '../draw/pen.ts';
import { type Turn, turnsOf } from '../draw/run.ts';
import { measure } from '../live/state.ts';
import { type Key, say, units } from '../words/words.ts';
import { focusPlan } from './cross.tsx';

const TURNS: Record<Exclude<Turn, object>, Key> = {
  pointed: 'turnPointed',
  straight: 'turnStraight',
  left: 'turnLeft',
  right: 'turnRight',
  back: 'turnBack',
  up: 'turnUp',
  down: 'turnDown',
};

/** The field of the length, which takes figures typed on the plan. */
export const LENGTH_FIELD = 'leg-length';

export function LegFields({ of }: { of: ManyTool }) {
  const text = useSignal('');
  const fault = useSignal('');
  const asked = useRef(0);
  const { leg, points } = of;
  const { turn } = leg.value;
  const degrees = typeof turn === 'object' ? turn.degrees : null;

  const change = (next: Partial<typeof leg.value>) => {
    leg.value = { ...leg.value, ...next };
    if (!cross.value) step([0, 0], false);
    else again();
  };
  /** Reads what is written; resolves once the program has answered. */
  const read = async (written: string): Promise<boolean> => {
    asked.current += 1;
    const mine = asked.current;
    text.value = written;
    fault.value = '';
    if (written.trim() === '') {
      change({ length: null });
      return true;
    }
    const answer = await measure([written.slice(0, 40)]);
    if (mine !== asked.current || tool.value !== of) return false;
    const metres = answer?.metres[0] ?? null;
    const isGood = metres !== null && metres > 0;
    fault.value = isGood ? '' : (answer?.faults[0] ?? say('noLength'));
    change({ length: isGood ? metres : null });
    return isGood;
  };
  const setLeg = async (event: Event) => {
    event.preventDefault();
    if (text.value.trim() !== '' && leg.value.length === null && !(await read(text.value))) return;
    setPoint();
    text.value = '';
  };
  const leave = ({ key }: KeyboardEvent) => {
    if (key !== 'Escape') return;
    read('');
    focusPlan();
  };
  if (points.value.length === 0) return null;
  return (
    <form class="row leg" onSubmit={setLeg} onKeyDown={leave}>
      <label>
        {say('legLength')}
        <input
          id={LENGTH_FIELD}
          class="short"
          value={text.value}
          placeholder={units.value === 'm' ? '3.2' : '10\' 6"'}
          autocomplete="off"
          inputMode={units.value === 'm' ? 'decimal' : 'text'}
          aria-invalid={fault.value !== ''}
          aria-describedby="leg-fault"
          onInput={({ currentTarget }) => read(currentTarget.value)}
        />
      </label>
      <label>
        {say('legTurn')}
        <select
          value={degrees === null ? (turn as string) : 'degrees'}
          onChange={({ currentTarget: { value } }) =>
            change({ turn: value === 'degrees' ? { degrees: 90 } : (value as Turn) })
          }
        >
          {turnsOf(points.value).map((one) => (
            <option key={one} value={one}>
              {say(TURNS[one])}
            </option>
          ))}
          <option value="degrees">{say('turnDegrees')}</option>
        </select>
      </label>
      {degrees !== null && (
        <label>
          {say('degrees')}
          <input
            type="number"
            class="short"
            step="any"
            value={degrees}
            onInput={({ currentTarget: { valueAsNumber } }) => {
              if (Number.isFinite(valueAsNumber)) change({ turn: { degrees: valueAsNumber } });
            }}
          />
        </label>
      )}
      <button type="submit">{say('setLeg')}</button>
      <p id="leg-fault" class="fault" role="status" lang="en">
        {fault.value}
      </p>
    </form>
  );
}
