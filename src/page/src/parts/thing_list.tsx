// Every thing of the level, for keys and for finding one by its name.

import { signal } from '@preact/signals';
import { nameOf } from '../live/hold.ts';
import type { Feature } from '../live/protocol.ts';
import { isMore, selection, tap } from '../live/selection.ts';
import { level, plan } from '../live/state.ts';
import { say } from '../words/words.ts';
import { wanted } from './details.tsx';
import { sayKind } from './finding_words.ts';
import { Several } from './several.tsx';

const sought = signal('');
/** More rows than this help nobody: the search does. */
const MOST = 100;

const ORDER = ['panel', 'sensor', 'keypad', 'siren', 'repeater', 'opening', 'wall', 'room'];
const rank = ({ kind }: Feature): number => (ORDER.indexOf(kind) + 1 || ORDER.length + 1) - 1;

/** What one is called in the list: its name, and what it is. */
const sayThing = (feature: Feature): string => `${nameOf(feature)}, ${sayKind(feature)}`;

function found(): Feature[] {
  const words = sought.value.trim().toLowerCase().split(/\s+/);
  const here = (plan.value?.features ?? []).filter(
    (one) =>
      one.level === level.value &&
      words.every((word) => `${sayThing(one)} ${one.id}`.toLowerCase().includes(word)),
  );
  return here.sort((one, other) => rank(one) - rank(other));
}

/** Whether the list is shown: only then is it made. */
const isOpen = signal(false);

export function ThingList() {
  if (!plan.value?.features.length) return null;
  return (
    <details
      class="things"
      open={isOpen.value}
      onToggle={({ currentTarget }) => {
        isOpen.value = currentTarget.open;
      }}
    >
      <summary>
        <h2>{say('things')}</h2>
      </summary>
      {isOpen.value && <List />}
    </details>
  );
}

function List() {
  const things = found();
  return (
    <>
      <div class="row">
        <label>
          {say('thingsSearch')}{' '}
          <input
            type="search"
            value={sought.value}
            onInput={({ currentTarget }) => {
              sought.value = currentTarget.value;
            }}
          />
        </label>
        <Several />
      </div>
      <p class="quiet" role="status">
        {things.length === 0 ? say('thingsNone') : say('thingsCount', { count: things.length })}
      </p>
      <ul class="plain">
        {things.slice(0, MOST).map((feature) => (
          <li key={feature.id}>
            <button
              type="button"
              class="thing"
              aria-pressed={selection.value.includes(feature.id)}
              onClick={({ shiftKey }) => {
                tap(feature.id, shiftKey);
                wanted.value = !shiftKey && !isMore.value;
              }}
            >
              <span class="name">{nameOf(feature)}</span>
              <span class="quiet">{sayKind(feature)}</span>
            </button>
          </li>
        ))}
      </ul>
    </>
  );
}
