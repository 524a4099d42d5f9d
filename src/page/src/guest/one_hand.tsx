// A guest's page on a phone held upright: the plan above, one bar in reach of the thumb, and sheets
// that come from below. The parts are those of the wide page; the sheet says which is seen.

import { effect, signal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import { tool } from '../draw/pen.ts';
import { carried } from '../live/carry.ts';
import { selection } from '../live/selection.ts';
import { held, plan, repeaters, spots, tidied, undo } from '../live/state.ts';
import { isAside } from '../walk/state.ts';
import { type Key, say } from '../words/words.ts';
import { isGuest, isReading } from './here.ts';
import { isOneHand } from './narrow.ts';

type Sheet = 'list' | 'draw' | 'map' | 'more' | 'thing' | 'tool';

/** What is open below the plan. */
const sheet = signal<Sheet | null>(null);

/** A sheet comes with what it is about, and goes with it. */
function goWith(what: Sheet, isThere: () => boolean): () => void {
  return effect(() => {
    if (isThere()) sheet.value = what;
    else if (sheet.peek() === what) sheet.value = null;
  });
}

/** A mark of the plan that leads to a row of a list opens that list first. */
function lead(event: Event): void {
  const link = (event.target as Element).closest<HTMLAnchorElement>('a[href^="#"]');
  if (!link || !isOneHand.peek()) return;
  event.preventDefault();
  sheet.value = 'list';
  const target = document.getElementById(link.hash.slice(1));
  requestAnimationFrame(() => target?.scrollIntoView({ block: 'start' }));
}

const BUTTONS: { opens: Sheet; words: Key; edits?: true }[] = [
  { opens: 'list', words: 'barDevices' },
  { opens: 'draw', words: 'barDraw', edits: true },
  { opens: 'map', words: 'barMap' },
  { opens: 'more', words: 'barMore' },
];

export function OneHand() {
  useEffect(() => {
    const ends = [
      effect(() => {
        const { classList, dataset } = document.documentElement;
        classList.toggle('one-hand', isOneHand.value);
        dataset.guest = isReading.value ? 'reading' : isGuest.value ? 'editing' : 'no';
        dataset.sheet = sheet.value ?? 'none';
      }),
      effect(() => {
        if (isAside.value) sheet.value = null;
      }),
      goWith('list', () => [spots, repeaters, tidied].some(({ value }) => value !== null)),
      goWith('thing', () => selection.value.length > 0),
      goWith('tool', () => tool.value !== null),
    ];
    document.addEventListener('click', lead, true);
    return () => {
      for (const end of ends) end();
      document.removeEventListener('click', lead, true);
    };
  }, []);
  if (!isOneHand.value) return null;
  const isMoving = held.value?.by === 'keys' || carried.value !== null || isAside.value;
  return (
    <nav class="bar" aria-label={say('bar')} hidden={isMoving}>
      {BUTTONS.filter(({ edits }) => !(edits && isReading.value)).map(({ opens, words }) => (
        <button
          key={opens}
          type="button"
          aria-expanded={sheet.value === opens}
          onClick={() => {
            sheet.value = sheet.value === opens ? null : opens;
          }}
        >
          {say(words)}
        </button>
      ))}
      {!isReading.value && (
        <button type="button" disabled={!plan.value?.undo} onClick={undo}>
          {say('undo')}
        </button>
      )}
    </nav>
  );
}
