// The storeys of the plan: which is shown, their names and heights, one more above.

import type { Level, Units } from '../live/protocol.ts';
import { level, measure, plan, setLevel, show } from '../live/state.ts';
import { typed } from '../things/members.ts';
import { say } from '../words/words.ts';
import { Dialog } from './dialog.tsx';
import { Typed } from './typed.tsx';

/** Which level is shown. */
function Shown({ levels }: { levels: Level[] }) {
  if (levels.length < 2) return null;
  return (
    <label class="choice">
      <span class="aloud">{say('level')}</span>
      <select
        value={level.value}
        onChange={({ currentTarget }) => show(Number(currentTarget.value))}
      >
        {levels.map(({ number, name }) => (
          <option key={number} value={number}>
            {say('levelName', { name, number })}
          </option>
        ))}
      </select>
    </label>
  );
}

/** One storey: what was changed of it is one step of undo. */
function Storey({ of, units }: { of: Level; units: Units }) {
  const { number, name, floor_m: floor, ceiling_m: ceiling } = of;
  const change = async (text: string, set: (metres: number) => void) => {
    const answer = await measure([text.slice(0, 40)]);
    const read = answer?.metres[0];
    if (typeof read !== 'number') return answer?.faults[0] ?? say('notMeasured');
    set(read);
    return null;
  };
  return (
    <fieldset class="storey">
      <legend>{say('levelHeading', { number })}</legend>
      <div class="fields">
        <Typed
          label={say('levelLabel')}
          shown={name}
          wide
          onSet={(text) => {
            if (text) setLevel({ do: 'set', number, name: text });
            return null;
          }}
        />
        <Typed
          label={say('inUnit', { what: say('levelFloor'), unit: units })}
          shown={typed(floor, units)}
          onSet={(text) =>
            change(text, (metres) =>
              setLevel({ do: 'set', number, floor: metres, ceiling: metres + ceiling - floor }),
            )
          }
        />
        <Typed
          label={say('inUnit', { what: say('levelHigh'), unit: units })}
          shown={typed(ceiling - floor, units)}
          onSet={(text) =>
            change(text, (metres) => setLevel({ do: 'set', number, ceiling: floor + metres }))
          }
        />
      </div>
    </fieldset>
  );
}

export function Levels() {
  const { value } = plan;
  if (!value) return null;
  return (
    <>
      <Shown levels={value.levels} />
      <Dialog opener="levels" title="levelsTitle">
        {() => (
          <>
            {[...value.levels].reverse().map((one) => (
              <Storey key={one.number} of={one} units={value.units} />
            ))}
            <p class="quiet">{say('levelRule')}</p>
            <button type="button" class="main" onClick={() => setLevel({ do: 'add' })}>
              {say('levelAdd')}
            </button>
          </>
        )}
      </Dialog>
    </>
  );
}
