// A large keypad for what the panel shows.

import { say } from '../words/words.ts';
import type { Shows } from './draft.ts';
import { draft, enter } from './state.ts';

const DIGITS = ['1', '2', '3', '4', '5', '6', '7', '8', '9'];

/** Longest figure that is typed. */
const LONGEST = 6;

function type(sign: string): void {
  const { shown } = draft.value;
  if (shown.length < LONGEST) enter({ shown: shown + sign, heard: '' });
}

export function Pad({ shows, most }: { shows: Shows; most: number | null }) {
  if (shows === 'bars' && most !== null) {
    return (
      <fieldset class="pad bars">
        <legend class="aloud">{say('walkBars')}</legend>
        {Array.from({ length: most + 1 }, (_, bars) => String(bars)).map((bars) => (
          <button
            key={bars}
            type="button"
            aria-pressed={draft.value.shown === bars}
            onClick={() => enter({ shown: bars, heard: '' })}
          >
            {bars}
          </button>
        ))}
      </fieldset>
    );
  }
  return (
    <fieldset class="pad">
      <legend class="aloud">{say('walkPad')}</legend>
      {DIGITS.map((digit) => (
        <button key={digit} type="button" onClick={() => type(digit)}>
          {digit}
        </button>
      ))}
      <button
        type="button"
        disabled={draft.value.shown.includes('.')}
        aria-label={say('walkPoint')}
        onClick={() => type('.')}
      >
        .
      </button>
      <button type="button" onClick={() => type('0')}>
        0
      </button>
      <button
        type="button"
        aria-label={say('walkErase')}
        onClick={() => enter({ shown: draft.value.shown.slice(0, -1) })}
      >
        ⌫
      </button>
    </fieldset>
  );
}
