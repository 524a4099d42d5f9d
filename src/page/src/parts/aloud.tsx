// What is said without being asked: the finding, once it rests, and trouble with the connection.

import { useEffect, useState } from 'preact/hooks';
import { devices, isTrying, plan, settled, spoken, trouble } from '../live/state.ts';
import { say } from '../words/words.ts';
import { sayCounts, sayWorst } from './finding_words.ts';

/** The finding must rest for so long before it is read out, milliseconds. */
const REST_MS = 700;

export function Spoken() {
  const line = `${sayCounts(devices.value)}. ${sayWorst(devices.value)}`;
  const [rested, rest] = useState('');
  const isKnown = settled.value !== null || isTrying.value;
  useEffect(() => {
    if (!isKnown) return;
    const timer = setTimeout(() => rest(line), REST_MS);
    return () => clearTimeout(timer);
  }, [line, isKnown]);
  return (
    <>
      <p class="aloud" role="status" aria-live="polite" id="finding-aloud">
        {rested}
      </p>
      <p class="aloud" role="status" aria-live="polite" id="hand-aloud">
        {spoken.value}
      </p>
    </>
  );
}

export function Trouble() {
  const { value } = trouble;
  if (!value || (value === 'connecting' && plan.value)) return null;
  return (
    <p class="trouble" role="alert">
      {say(value)}
    </p>
  );
}
