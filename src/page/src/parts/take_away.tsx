// What the plan's forecast is taken away as: pictures, quote, sheets.

import { signal } from '@preact/signals';
import { decimals } from '../live/numbers.ts';
import type { Taking } from '../live/protocol.ts';
import { plan, takeAway, taken, takeRefused } from '../live/state.ts';
import { readingsFile } from '../walk/state.ts';
import { type Key, LANGUAGES, language, say } from '../words/words.ts';
import { Dialog } from './dialog.tsx';

const THINGS: { what: Taking; words: Key }[] = [
  { what: 'pictures', words: 'takePictures' },
  { what: 'quote', words: 'takeQuote' },
  { what: 'handover', words: 'takeHandover' },
  { what: 'readings', words: 'takeReadings' },
];

/** Options as the commands have them. */
const options = signal({ language: '', paper: '', appendix: false });

/** The options that a command knows; a choice that was not made is the command's own. */
function optionsOf(what: Taking): Record<string, unknown> {
  const { language: chosen, paper, appendix } = options.value;
  const papers = {
    language: chosen || language.value,
    paper: paper || (plan.value?.units === 'ft' ? 'letter' : 'a4'),
  };
  switch (what) {
    case 'pictures':
      return {};
    case 'quote':
      return appendix ? { ...papers, appendix } : papers;
    case 'handover':
      return readingsFile.value ? { ...papers, readings: readingsFile.value } : papers;
    case 'sale':
      return {};
    case 'readings':
      return { language: papers.language };
  }
}

const wordsFor = (what: Taking): string =>
  say(THINGS.find((one) => one.what === what)?.words ?? 'takeAway');

/** The size of a file as people read it. */
function sayBytes(bytes: number): string {
  const thousands = bytes / 1000;
  return thousands < 1000
    ? `${Math.max(1, Math.round(thousands))} kB`
    : `${decimals(thousands / 1000, 1, language.value)} MB`;
}

function Options() {
  const papers = { a4: say('paperA4'), letter: say('paperLetter') };
  const { language: chosen, paper, appendix } = options.value;
  return (
    <div class="fields">
      <label class="field">
        {say('takeLanguage')}
        <select
          value={chosen || language.value}
          onChange={({ currentTarget }) => {
            options.value = { ...options.value, language: currentTarget.value };
          }}
        >
          {Object.entries(LANGUAGES).map(([code, { name }]) => (
            <option key={code} value={code} lang={code}>
              {name}
            </option>
          ))}
        </select>
      </label>
      <label class="field">
        {say('takePaper')}
        <select
          value={paper || (plan.value?.units === 'ft' ? 'letter' : 'a4')}
          onChange={({ currentTarget }) => {
            options.value = { ...options.value, paper: currentTarget.value };
          }}
        >
          {Object.entries(papers).map(([size, words]) => (
            <option key={size} value={size}>
              {words}
            </option>
          ))}
        </select>
      </label>
      <label class="flag">
        <input
          type="checkbox"
          checked={appendix}
          onChange={({ currentTarget }) => {
            options.value = { ...options.value, appendix: currentTarget.checked };
          }}
        />
        {say('takeAppendix')}
      </label>
    </div>
  );
}

/** How far it is, what came of it, or why nothing did. */
export function Outcome() {
  const { value } = taken;
  if (takeRefused.value) {
    return (
      <div role="alert" class="fault">
        <p>
          <strong>{say('takeRefused')}</strong>
        </p>
        <p lang="en">
          {takeRefused.value.what}. {takeRefused.value.fix}.
        </p>
      </div>
    );
  }
  // The customer's view is shown, not taken away.
  if (!value || value.what === 'sale') return null;
  if (value.type === 'asked') {
    return (
      <div role="status">
        <p>{say('taking', { what: wordsFor(value.what) })}</p>
        <progress aria-label={say('taking', { what: wordsFor(value.what) })} />
      </div>
    );
  }
  return (
    <div role="status">
      <h3>
        {wordsFor(value.what)}: {say('takenReady')}
      </h3>
      <ul class="plain">
        {value.files.map(({ name, at, bytes }) => (
          <li key={at}>
            <a href={at} download={name}>
              {say('takenFile', { name, size: sayBytes(bytes) })}
            </a>
          </li>
        ))}
      </ul>
      {value.words.map((line) => (
        <p key={line} lang="en">
          {line}
        </p>
      ))}
      <p class="quiet">{say('takenLasts')}</p>
    </div>
  );
}

export function TakeAway() {
  const isBusy = taken.value?.type === 'asked';
  return (
    <Dialog opener="takeAway" title="takeTitle">
      {() => (
        <>
          <Options />
          <ul class="plain choices">
            {THINGS.map(({ what, words }) => (
              <li key={what}>
                <button
                  type="button"
                  disabled={isBusy}
                  onClick={() => takeAway(what, optionsOf(what))}
                >
                  {say(words)}
                </button>
              </li>
            ))}
          </ul>
          <Outcome />
        </>
      )}
    </Dialog>
  );
}
