// The line on top: what was found, and what is done with the whole plan.

import { useEffect, useRef } from 'preact/hooks';
import { isReading } from '../guest/here.ts';
import { Phone } from '../guest/phone.tsx';
import { Who } from '../guest/who.tsx';
import { devices, isBehind, plan, redo, save, startable, table, undo } from '../live/state.ts';
import { Sale } from '../sale/sale.tsx';
import { TapeList } from '../tape/tape_list.tsx';
import { WalkButton } from '../walk/walk.tsx';
import { say } from '../words/words.ts';
import { countOf, sayCounts, sayWorst } from './finding_words.ts';
import { Levels } from './levels.tsx';
import { Sign } from './sign.tsx';
import { TakeAway } from './take_away.tsx';

function Found() {
  if (!table.value) {
    return (
      <div class="found">
        <h1>{plan.value?.name ?? 'drillonce'}</h1>
      </div>
    );
  }
  const worst = countOf(devices.value, 'failing')
    ? 'failing'
    : countOf(devices.value, 'thin')
      ? 'thin'
      : 'sound';
  const faults = plan.value?.faults.length ?? 0;
  return (
    <div class="found">
      <h1>
        <Sign finding={worst} />
        {sayCounts(devices.value)}
      </h1>
      <p>
        {worst === 'sound' && devices.value.length > 0 ? say('allSound') : sayWorst(devices.value)}
      </p>
      {faults > 0 && (
        <p>
          <a href="#faults">
            {isBehind.value ? say('held') : say('faultsLeftOut', { count: faults })}
          </a>
        </p>
      )}
    </div>
  );
}

function SaveAs() {
  const dialog = useRef<HTMLDialogElement>(null);
  const field = useRef<HTMLInputElement>(null);
  const store = (event: Event) => {
    event.preventDefault();
    if (!field.current?.value) return;
    save(field.current.value);
    dialog.current?.close();
  };
  return (
    <>
      <button type="button" onClick={() => dialog.current?.showModal()}>
        {say('saveAs')}
      </button>
      <dialog ref={dialog} aria-labelledby="save-title">
        <form onSubmit={store}>
          <h2 id="save-title">{say('saveTitle')}</h2>
          <label>
            {say('saveName')}
            <input
              ref={field}
              required
              pattern={'[^.\\/\\\\][^\\/\\\\]*\\.geojson'}
              aria-describedby="save-rule"
              autocomplete="off"
            />
          </label>
          <p id="save-rule">{say('saveRule')}</p>
          <div class="row">
            <button type="submit" class="main">
              {say('save')}
            </button>
            <button type="button" onClick={() => dialog.current?.close()}>
              {say('cancel')}
            </button>
          </div>
        </form>
      </dialog>
    </>
  );
}

/** Undo and redo by the usual keys; a text field has an undo of its own. */
function press(event: KeyboardEvent): void {
  const { target } = event;
  const isField =
    target instanceof HTMLTextAreaElement ||
    (target instanceof HTMLInputElement && target.type !== 'radio');
  if (!(event.ctrlKey || event.metaKey) || event.altKey || isField) return;
  const key = event.key.toLowerCase();
  if (key !== 'z' && key !== 'y') return;
  event.preventDefault();
  if (key === 'y' || event.shiftKey) redo();
  else undo();
}

export function Head() {
  useEffect(() => {
    addEventListener('keydown', press);
    return () => removeEventListener('keydown', press);
  }, []);
  return (
    <header>
      <Found />
      {!startable.value && <Tools />}
      <Who />
    </header>
  );
}

function Tools() {
  const { value } = plan;
  const unsaved = value?.unsaved ?? 0;
  return (
    <div class="row tools">
      <Levels />
      <button type="button" disabled={!value?.undo} onClick={undo}>
        {say('undo')}
      </button>
      <button type="button" disabled={!value?.redo} onClick={redo}>
        {say('redo')}
      </button>
      <button type="button" class="main" disabled={unsaved === 0} onClick={() => save(null)}>
        {unsaved > 0 ? say('saveCount', { count: unsaved }) : say('save')}
      </button>
      {value && <SaveAs />}
      {value && !isReading.value && <TapeList />}
      {value && <Sale />}
      {value && !isReading.value && <WalkButton />}
      {value && <TakeAway />}
      <Phone />
    </div>
  );
}
