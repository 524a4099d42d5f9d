// What can be done with the selected things: buttons, and what carries them elsewhere.

import { useLayoutEffect, useRef } from 'preact/hooks';
import { takeUp } from '../draw/pen.ts';
import { isReading } from '../guest/here.ts';
import { arrowBy, stepOf } from '../live/arrows.ts';
import { carried, carry, carryBy, putBack, setDown } from '../live/carry.ts';
import { nameOf } from '../live/hold.ts';
import { select, selection } from '../live/selection.ts';
import { plan } from '../live/state.ts';
import { copy, featuresOf, mirror, remove } from '../live/together.ts';
import { MARKED } from '../plan/places.ts';
import { boxOf } from '../things/group.ts';
import { selectTool } from '../things/select_tool.tsx';
import { say } from '../words/words.ts';
import { Steps } from './steps.tsx';

/** What carries the things, without dragging them: buttons, or the arrow keys on any of them. */
function Carrying() {
  const first = useRef<HTMLButtonElement>(null);
  useLayoutEffect(() => first.current?.focus(), []);
  const press = (event: KeyboardEvent) => {
    const by = arrowBy(event.key, stepOf({ shiftKey: event.shiftKey }));
    if (by) carryBy(by);
    else if (event.key === 'Escape') putBack();
    else return;
    event.preventDefault();
  };
  return (
    <fieldset class="hand row" onKeyDown={press}>
      <legend class="aloud">{say('moveThem')}</legend>
      <button type="button" class="main" ref={first} onClick={setDown}>
        {say('set')}
      </button>
      <Steps onStep={carryBy} />
      <button type="button" onClick={putBack}>
        {say('drop')}
      </button>
      <p class="quiet">{say('moving')}</p>
    </fieldset>
  );
}

/** What can be done with things. */
export function Groups({ ids }: { ids: string[] }) {
  const { these } = featuresOf(ids);
  const isOnlyPanel = these.every(({ kind }) => kind === 'panel');
  const [x0, y0, x1, y1] = boxOf(these) ?? [0, 0, 0, 0];
  // A point has no sides, and an opening stands as its wall does.
  const isPlain = (x0 === x1 && y0 === y1) || these.every(({ kind }) => kind === 'opening');
  const [only] = these;
  const name = ids.length === 1 ? nameOf(these.find(({ id }) => id === ids[0])) : '';
  const thing = name || say('thingsCount', { count: ids.length });
  if (carried.value?.ids.join() === ids.join()) return <Carrying />;
  return (
    <>
      {!(these.length === 1 && only && MARKED.has(only.kind)) && (
        <button
          type="button"
          onClick={() => {
            // With its tool the things follow mouse, finger and aim, too.
            takeUp(selectTool);
            carry(ids);
          }}
        >
          {say('moveThem')}
        </button>
      )}
      {!isOnlyPanel && (
        <button type="button" onClick={() => copy(ids)}>
          {say('copyThem')}
        </button>
      )}
      {!isPlain && (
        <>
          <button type="button" onClick={() => mirror(ids, 'across')}>
            {say('mirrorAcross')}
          </button>
          <button type="button" onClick={() => mirror(ids, 'up')}>
            {say('mirrorUp')}
          </button>
        </>
      )}
      <button type="button" aria-label={say('removeOf', { thing })} onClick={() => remove(ids)}>
        {say('remove')}
      </button>
    </>
  );
}

/** Several things at once, beside the plan. */
export function Selected() {
  const { value: ids } = selection;
  if (ids.length < 2) return null;
  const features = plan.value?.features ?? [];
  const names = features.filter(({ id }) => ids.includes(id)).map(nameOf);
  return (
    <section aria-labelledby="selected-title" class="card chosen-things">
      <div class="row spread">
        <h2 id="selected-title" tabIndex={-1}>
          {say('selected', { count: ids.length })}
        </h2>
        <button type="button" onClick={() => select([])}>
          {say('selectNone')}
        </button>
      </div>
      <p>{names.join(', ')}</p>
      <p class="quiet">{say('withHanging')}</p>
      <div class="row" hidden={isReading.value}>
        <Groups ids={ids} />
      </div>
    </section>
  );
}
