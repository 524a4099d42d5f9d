// The walk past all devices: one at a time, what the panel should show, what it shows.

import { useEffect, useId, useRef } from 'preact/hooks';
import { foreign, say } from '../words/words.ts';
import type { Shows } from './draft.ts';
import { Here, House } from './found.tsx';
import type { Stop } from './messages.ts';
import { Pad } from './pad.tsx';
import { nameOf, sayExpected, sayRow, sayWay } from './say.ts';
import { Settings } from './settings.tsx';
import {
  anew,
  back,
  begin,
  choose,
  choosesShown,
  draft,
  end,
  enter,
  isAside,
  isOpen,
  isRead,
  next,
  place,
  readCount,
  refusals,
  shows,
  skip,
  stop,
  stops,
  unwritten,
  walk,
} from './state.ts';

const UNITS: { shows: Shows; sign: () => string }[] = [
  { shows: 'level_dbm', sign: () => 'dBm' },
  { shows: 'bars', sign: () => say('walkBars') },
  { shows: 'percent', sign: () => '%' },
];

export function WalkButton() {
  return (
    <button type="button" aria-haspopup="dialog" onClick={() => begin()}>
      {say('walkButton')}
    </button>
  );
}

/** The walk, or the plan with the walk waiting below it. */
export function Walk() {
  if (!isOpen.value) return null;
  return isAside.value && stop.value ? <Aside at={stop.value} /> : <Before />;
}

function Aside({ at }: { at: Stop }) {
  const button = useRef<HTMLButtonElement>(null);
  useEffect(() => {
    document.querySelector('.frame')?.scrollIntoView({ block: 'start' });
    button.current?.focus({ preventScroll: true });
  }, []);
  return (
    <section class="walk walk-aside" aria-label={say('walkTitle')}>
      <div>
        <strong>{nameOf(at)}</strong>
        <p lang={foreign(walk.value)}>{at.place}</p>
      </div>
      <button
        ref={button}
        type="button"
        class="main"
        onClick={() => {
          isAside.value = false;
        }}
      >
        {say('walkReturn')}
      </button>
    </section>
  );
}

function Before() {
  const dialog = useRef<HTMLDialogElement>(null);
  const id = useId();
  useEffect(() => {
    if (!dialog.current?.open) dialog.current?.showModal();
  }, []);
  const refused = walk.value?.refused ?? (walk.value ? null : refusals.value['']);
  return (
    <dialog ref={dialog} class="walk" aria-labelledby={id} onClose={end}>
      <div class="row spread walk-head">
        <h2 id={id}>{say('walkTitle')}</h2>
        <button type="button" onClick={() => dialog.current?.close()}>
          {say('close')}
        </button>
      </div>
      {refused && (
        <p class="fault" role="alert" lang="en">
          {refused.what}; {refused.fix}
        </p>
      )}
      {stop.value && <Progress />}
      {stop.value && <Device key={stop.value.id} at={stop.value} />}
      {walk.value && !walk.value.refused && (
        <>
          <details>
            <summary>{say('walkFound')}</summary>
            <House />
          </details>
          <details>
            <summary>{say('walkAll')}</summary>
            {walk.value.unordered && <p lang="en">{walk.value.unordered}</p>}
            <ol class="plain walk-all">
              {stops.value.map((one) => (
                <li key={one.id}>
                  <button
                    type="button"
                    aria-current={one.id === stop.value?.id ? 'step' : undefined}
                    onClick={() => choose(one.id)}
                  >
                    <span>{nameOf(one)}</span>
                    <span class="quiet">{isRead(one) ? say('walkIsRead') : ''}</span>
                  </button>
                </li>
              ))}
            </ol>
          </details>
        </>
      )}
      {walk.value && (
        <details>
          <summary>{say('walkSettings')}</summary>
          <Settings />
        </details>
      )}
    </dialog>
  );
}

function Progress() {
  const all = stops.value.length;
  const words = say('walkProgress', { at: place.value + 1, all, read: readCount.value });
  return (
    <div role="status" class="walk-progress">
      <progress aria-label={words} value={readCount.value} max={all} />
      <span>
        {words}
        {unwritten.value > 0 && `, ${say('walkUnwritten', { count: unwritten.value })}`}
      </span>
    </div>
  );
}

function Device({ at }: { at: Stop }) {
  const way = sayWay(at, place.value === 0, walk.value?.unordered !== null);
  const scales = walk.value?.scales;
  const most = scales?.bars?.length ?? null;
  const known = UNITS.filter(
    (unit) =>
      (unit.shows !== 'bars' || scales?.bars) && (unit.shows !== 'percent' || scales?.percent),
  );
  const showing = known.some((unit) => unit.shows === shows.value) ? shows.value : 'level_dbm';
  const refused = refusals.value[at.id];
  const field = useId();
  const name = useId();
  const form = useRef<HTMLFormElement>(null);
  useEffect(() => {
    const first = form.current?.querySelector<HTMLElement>('.walk-shown input, .walk-name');
    first?.focus({ preventScroll: true });
    form.current?.closest('dialog')?.scrollTo(0, 0);
  }, []);
  return (
    <form
      ref={form}
      class="walk-device"
      onSubmit={(event) => {
        event.preventDefault();
        next();
      }}
    >
      <h3 class="walk-name" id={name} tabIndex={-1}>
        {nameOf(at)}
      </h3>
      <p lang={foreign(walk.value)}>{at.place}</p>
      <button
        type="button"
        class="walk-see"
        onClick={() => {
          isAside.value = true;
        }}
      >
        {say('walkSee')}
      </button>
      {way && <p class="quiet">{way}</p>}
      {at.at_name && (
        <p>
          <strong>{say('walkReadAt', { repeater: at.at_name })}</strong>
        </p>
      )}
      <div class="walk-expected">
        {sayExpected(at, showing).map((line) => (
          <p key={line}>{line}</p>
        ))}
      </div>
      {known.length > 1 && (
        <fieldset class="row walk-units">
          <legend class="aloud">{say('walkShows')}</legend>
          {known.map((unit) => (
            <button
              key={unit.shows}
              type="button"
              aria-pressed={unit.shows === showing}
              onClick={() => {
                choosesShown(unit.shows);
                enter({ shown: '' });
              }}
            >
              {unit.sign()}
            </button>
          ))}
        </fieldset>
      )}
      <div class="row walk-heard">
        <Heard is="yes" words={say('walkHeard')} />
        <Heard is="no" words={say('walkMissed')} />
      </div>
      {refused && (
        <p class="fault" role="alert" lang="en">
          {refused.what}; {refused.fix}
        </p>
      )}
      <label class="aloud" for={field}>
        {say('walkShown', { unit: UNITS.find((unit) => unit.shows === showing)?.sign() ?? '' })}
      </label>
      <div class="row walk-shown">
        <span aria-hidden="true">
          {showing === 'level_dbm' && draft.value.shown && !/^[-+−]/.test(draft.value.shown)
            ? '−'
            : ''}
        </span>
        <input
          id={field}
          aria-describedby={name}
          inputMode="none"
          autocomplete="off"
          value={draft.value.shown}
          aria-invalid={refused ? 'true' : undefined}
          onInput={({ currentTarget }) => enter({ shown: currentTarget.value, heard: '' })}
        />
      </div>
      <Pad shows={showing} most={most} />
      <fieldset class="row walk-ticks">
        <legend>{say('walkTried')}</legend>
        <Tick what="trips" words={say('walkTrips')} />
        <Tick what="restores" words={say('walkRestores')} />
        <Tick what="tamper" words={say('walkTamper')} />
        <Tick what="isDoorOpen" words={say('walkDoorOpen')} />
      </fieldset>
      {at.see && <p lang={foreign(walk.value)}>{at.see}</p>}
      <label class="walk-note">
        {say('walkNote')}
        <input
          value={draft.value.note}
          maxLength={150}
          autocomplete="off"
          onInput={({ currentTarget }) => enter({ note: currentTarget.value })}
        />
      </label>
      {at.row && (
        <p class="quiet walk-row">
          {say('walkRow', { row: sayRow(at.row), rows: at.rows })}{' '}
          {draft.value.time && (
            <button type="button" onClick={anew}>
              {say('walkAnew')}
            </button>
          )}
        </p>
      )}
      <Here />
      <div class="walk-steps">
        <button type="button" disabled={place.value === 0} onClick={back}>
          {say('walkBack')}
        </button>
        <button type="button" onClick={skip}>
          {say('walkSkip')}
        </button>
        <button type="submit" class="main">
          {say(place.value + 1 < stops.value.length ? 'walkNext' : 'walkLast')}
        </button>
      </div>
    </form>
  );
}

function Tick({
  what,
  words,
}: {
  what: 'trips' | 'restores' | 'tamper' | 'isDoorOpen';
  words: string;
}) {
  const is = draft.value[what];
  return (
    <button type="button" aria-pressed={is} onClick={() => enter({ [what]: !is })}>
      {words}
    </button>
  );
}

function Heard({ is, words }: { is: 'yes' | 'no'; words: string }) {
  const isPressed = draft.value.heard === is;
  const change = () => {
    const heard = isPressed ? '' : is;
    // What is not heard shows no level.
    enter(heard === 'no' ? { heard, shown: '' } : { heard });
  };
  return (
    <button type="button" aria-pressed={isPressed} onClick={change}>
      {words}
    </button>
  );
}
