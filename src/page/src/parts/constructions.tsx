// What something is built of: those in use first, then a list to search, each with its loss.

import { useSignal } from '@preact/signals';
import { useId, useRef } from 'preact/hooks';
import { constructionOf, inUseFor } from '../draw/material.ts';
import { decimals } from '../live/numbers.ts';
import type { Construction, UsedFor } from '../live/protocol.ts';
import { palette } from '../live/state.ts';
import { foreign, language, say } from '../words/words.ts';

/** As many of those in use are shown without a search. */
const MOST_IN_USE = 4;

/** What people call a construction. */
export const sayConstruction = (name: string): string =>
  (constructionOf(name)?.called ?? name).replaceAll('-', ' ');

/** Its loss at this link; nothing where it is not known. */
const sayLoss = (one: Construction | null): string =>
  one?.loss_db === null || one?.loss_db === undefined
    ? ''
    : say('lossIs', { db: decimals(one.loss_db, 1, language.value) });

function Choice({
  name,
  isChosen,
  isFull = false,
  choose,
}: {
  name: string;
  isChosen: boolean;
  /** Whether its layers are said, too. */
  isFull?: boolean;
  choose: (name: string) => void;
}) {
  const layers = constructionOf(name)?.words;
  return (
    <li>
      <button
        type="button"
        class="construction"
        data-construction={name}
        aria-pressed={isChosen}
        onClick={() => choose(name)}
      >
        <span lang={foreign(palette.value)}>
          {sayConstruction(name)}
          {isFull && layers && layers !== name && <span class="layers">{layers}</span>}
        </span>
        <span class="loss">{sayLoss(constructionOf(name))}</span>
      </button>
    </li>
  );
}

export function Constructions({
  for: use,
  value,
  onChoose,
}: {
  for: UsedFor;
  value: string | null;
  onChoose: (name: string) => void;
}) {
  const open = useSignal(false);
  const sought = useSignal('');
  const opener = useRef<HTMLButtonElement>(null);
  const id = useId();
  const all = (palette.value?.constructions ?? []).filter((one) => one.for.includes(use));
  const used = inUseFor(use);
  const words = sought.value.trim().toLowerCase().split(/\s+/).filter(Boolean);
  const found = all.filter((one) => {
    const text = `${one.words} ${one.called ?? ''} ${one.name}`.toLowerCase();
    return words.every((word) => text.includes(word));
  });
  const choose = (name: string) => {
    onChoose(name);
    open.value = false;
    sought.value = '';
    opener.current?.focus();
  };
  const shown = [...new Set([...(value ? [value] : []), ...used])].slice(0, MOST_IN_USE);
  const isOpen = open.value || shown.length === 0;
  return (
    // biome-ignore lint/a11y/noStaticElementInteractions: Escape closes the list from within
    <div
      class="constructions"
      onKeyDown={(event) => {
        if (event.key !== 'Escape' || !open.value) return;
        event.stopPropagation();
        open.value = false;
        opener.current?.focus();
      }}
    >
      <p id={`${id}title`}>{say(value ? 'builtOf' : 'chooseConstruction')}</p>
      <ul class="plain row" aria-labelledby={`${id}title`}>
        {shown.map((name) => (
          <Choice key={name} name={name} isChosen={name === value} choose={choose} />
        ))}
        {shown.length > 0 && (
          <li>
            <button
              type="button"
              ref={opener}
              aria-expanded={isOpen}
              aria-controls={`${id}list`}
              onClick={() => {
                open.value = !open.value;
              }}
            >
              {say('otherConstructions')}
            </button>
          </li>
        )}
      </ul>
      {isOpen && (
        <div id={`${id}list`} class="construction-list">
          <label>
            {say('searchConstruction')}
            <input
              type="search"
              value={sought.value}
              autocomplete="off"
              onInput={({ currentTarget }) => {
                sought.value = currentTarget.value;
              }}
            />
          </label>
          <p class="aloud" role="status">
            {say('foundCount', { count: found.length })}
          </p>
          {/* biome-ignore lint/a11y/noNoninteractiveTabindex: arrows scroll the list */}
          <ul class="plain" tabIndex={0} aria-label={say('constructionList')}>
            {found.map(({ name }) => (
              <Choice key={name} name={name} isChosen={name === value} isFull choose={choose} />
            ))}
          </ul>
        </div>
      )}
    </div>
  );
}
