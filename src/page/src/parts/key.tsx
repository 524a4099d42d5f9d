// What the colours mean.

import { decimals } from '../live/numbers.ts';
import type { Finding } from '../live/protocol.ts';
import { bands, limits, mapKind, table } from '../live/state.ts';
import { colourOf } from '../plan/bands.ts';
import { language, say, sayFinding } from '../words/words.ts';
import { Sign } from './sign.tsx';

/** Places inside each finding's reserves at which its tones are shown, dB from its limit. */
const TONES: Record<Finding, number[]> = {
  sound: [37, 27, 17, 7],
  thin: [8, 2],
  failing: [-3, -15],
};

export function Key() {
  const { value } = limits;
  if (!table.value) return null;
  if (!value) return <p class="quiet">{say('keyNoLimits')}</p>;
  const { failing_below_db: failing, sound_from_db: sound } = value;
  const [low, high] = [failing, sound].map((db) => decimals(db, 1, language.value));
  const rows: { finding: Finding; from: number; range: string }[] = [
    { finding: 'sound', from: sound, range: `≥ ${high}` },
    { finding: 'thin', from: failing, range: `${low} – ${high}` },
    { finding: 'failing', from: failing, range: `< ${low}` },
  ];
  return (
    <div class="key">
      <p>{say(mapKind.value === 'here' ? 'mapHereIs' : 'mapAnywhereIs')}</p>
      <ul>
        {rows.map(({ finding, from, range }) => (
          <li key={finding}>
            <span class={`tones ${finding}`} aria-hidden="true">
              {TONES[finding].map((above) => {
                const [red, green, blue] = colourOf(bands.value, from + above);
                return <i key={above} style={{ background: `rgb(${red}, ${green}, ${blue})` }} />;
              })}
            </span>
            <Sign finding={finding} />
            {finding === 'failing' ? say('keyFailing') : sayFinding(finding)}, {range} dB
          </li>
        ))}
      </ul>
    </div>
  );
}
