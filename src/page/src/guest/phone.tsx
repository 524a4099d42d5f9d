// At the desk: a key for a phone is made, shown once, and withdrawn.

import { signal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import { invite, withdraw } from '../live/state.ts';
import { Dialog } from '../parts/dialog.tsx';
import { type Key, say } from '../words/words.ts';
import { invited, present } from './here.ts';
import type { InvitedMessage, May } from './messages.ts';

const CHOICES: { may: May; words: Key }[] = [
  { may: 'reading', words: 'phoneReading' },
  { may: 'editing', words: 'phoneEditing' },
];

const wanted = signal<May>('reading');

/** The code of an address: one square for each dark module. */
function Code({ code }: { code: string[] }) {
  const squares = code.flatMap((row, y) =>
    [...row].flatMap((module, x) => (module === '1' ? [`M${x},${y}h1v1h-1z`] : [])),
  );
  return (
    <svg
      class="code"
      viewBox={`0 0 ${code.length} ${code.length}`}
      role="img"
      aria-label={say('phoneCode')}
    >
      <path d={squares.join('')} />
    </svg>
  );
}

function Shown({ invitation }: { invitation: InvitedMessage }) {
  return (
    <div class="invitation">
      <Code code={invitation.code} />
      <p>
        <code>{invitation.address}</code>
      </p>
      <p>
        <strong>{say('phoneOnce')}</strong>
      </p>
    </div>
  );
}

function Panel() {
  // What is shown once is gone with the window.
  useEffect(
    () => () => {
      invited.value = null;
    },
    [],
  );
  const shared = present.value?.shared;
  if (!shared) return null;
  const { may, used, fingerprint } = shared;
  const state: Key = may === null ? 'phoneNone' : used ? 'phoneUsed' : 'phoneWaits';
  const holds = say(may === 'editing' ? 'phoneEditing' : 'phoneReading');
  return (
    <div class="phone">
      <p>{say('phoneWhat')}</p>
      <p role="status">
        <strong>{say(state, { holds })}</strong>
      </p>
      <fieldset class="switch">
        <legend class="aloud">{say('phoneMay')}</legend>
        {CHOICES.map((one) => (
          <label key={one.may}>
            <input
              type="radio"
              name="phone-may"
              checked={wanted.value === one.may}
              onChange={() => {
                wanted.value = one.may;
              }}
            />
            <span>{say(one.words)}</span>
          </label>
        ))}
      </fieldset>
      <div class="row">
        <button type="button" class="main" onClick={() => invite(wanted.value)}>
          {say(may === null ? 'phoneMake' : 'phoneMakeNew')}
        </button>
        {may !== null && (
          <button
            type="button"
            onClick={() => {
              invited.value = null;
              withdraw();
            }}
          >
            {say('phoneWithdraw')}
          </button>
        )}
      </div>
      {invited.value && may !== null && <Shown invitation={invited.value} />}
      {fingerprint === null ? (
        <p class="fault">
          <strong>{say('phonePlain')}</strong>
        </p>
      ) : (
        <>
          <p>{say('phoneCertificate')}</p>
          <p>
            <code class="fingerprint">{fingerprint}</code>
          </p>
        </>
      )}
    </div>
  );
}

/** Only at the desk, and only where the program lets guests in. */
export function Phone() {
  if (!present.value?.shared) return null;
  return (
    <Dialog opener="phone" title="phoneTitle">
      {() => <Panel />}
    </Dialog>
  );
}
