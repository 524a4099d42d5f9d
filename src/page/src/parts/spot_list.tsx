// The best spots for the panel and the repeaters that are needed, as the program found them.

import { isReading } from '../guest/here.ts';
import type { Change, Repeater, Spot, SpotsMessage } from '../live/protocol.ts';
import { askRepeaters, askSpots, busy, edit, plan, repeaters, spots } from '../live/state.ts';
import { say, sayChance, sayLength, sayReserve } from '../words/words.ts';
import { nameOfDevice } from './finding_words.ts';

/** Where a spot or a repeater is, in the page's language where the program says it. */
const placeOf = ({ place, words }: Spot | Repeater): string => words?.place ?? place;

function TryIt({ changes, what, label }: { changes: Change[]; what: string; label: string }) {
  if (isReading.value) return null;
  return (
    <button
      type="button"
      class="main"
      aria-label={`${label}: ${what}`}
      onClick={() => edit(changes)}
    >
      {label}
    </button>
  );
}

function SpotRow({ spot }: { spot: Spot }) {
  const what = say('spot', { number: spot.spot ?? '', place: placeOf(spot) });
  const parts = [
    say('spotOutcome', { chance: sayChance(spot.any_fault_per_year), count: spot.not_sound }),
    spot.worst &&
      say('spotWorst', {
        device: nameOfDevice(spot.worst),
        reserve: sayReserve(spot.worst.margin_db),
      }),
    spot.walk && say('spotWalk', { length: sayLength(spot.walk.length_m) }),
    spot.wire && say('spotWire', { length: sayLength(spot.wire.length_m) }),
  ];
  return (
    <li class="remedy tall" id={`spot-${spot.spot}`}>
      <span class="name">{what}</span>
      <span class="chance">{parts.filter(Boolean).join(' ')}</span>
      {spot.changes && <TryIt changes={spot.changes} what={what} label={say('hangHere')} />}
    </li>
  );
}

/** How far a search is. */
function Working({ what }: { what: string }) {
  const { value } = busy;
  return (
    <>
      <p>{what}</p>
      <progress aria-label={what} max={1000} {...(value ? { value: value.thousandths } : {})} />
    </>
  );
}

function Close({
  gone,
  ask,
  version,
}: {
  gone: () => void;
  ask: () => void;
  version: number | null;
}) {
  return (
    <>
      {version !== null && version !== plan.value?.version && (
        <div class="row">
          <span class="quiet">{say('stale')}</span>
          <button type="button" onClick={ask}>
            {say('again')}
          </button>
        </div>
      )}
      <div class="row">
        <button type="button" onClick={gone}>
          {say('close')}
        </button>
      </div>
    </>
  );
}

function Found({ answer }: { answer: SpotsMessage }) {
  if (answer.best.length === 0) return <p>{say('spotsNone')}</p>;
  return (
    <>
      <p>{say('spotsFound', { spots: answer.spots, keep: answer.keep_all })}</p>
      <ol class="plain">
        {answer.best.map((spot) => (
          <SpotRow key={spot.spot} spot={spot} />
        ))}
      </ol>
    </>
  );
}

export function SpotList() {
  const { value } = spots;
  if (!value) return null;
  const gone = () => {
    spots.value = null;
  };
  return (
    <section aria-labelledby="spots-title" class="card">
      <h2 id="spots-title">{say('spots')}</h2>
      {value === 'asked' ? <Working what={say('spotsWorking')} /> : <Found answer={value} />}
      <Close gone={gone} ask={askSpots} version={value === 'asked' ? null : value.version} />
    </section>
  );
}

export function RepeaterList() {
  const { value } = repeaters;
  if (!value) return null;
  const gone = () => {
    repeaters.value = null;
  };
  return (
    <section aria-labelledby="repeaters-title" class="card">
      <h2 id="repeaters-title">{say('repeaters')}</h2>
      {value === 'asked' ? (
        <Working what={say('asking')} />
      ) : (
        <>
          <p>
            {value.new_repeaters.length === 0
              ? say('repeatersNone')
              : say('repeatersFound', {
                  count: value.new_repeaters.length,
                  chance: sayChance(value.chance_of_any_fault),
                })}
          </p>
          {value.unheard.length > 0 && (
            <p>{say('repeatersLeft', { count: value.unheard.length })}</p>
          )}
          <ul class="plain">
            {value.new_repeaters.map((one) => (
              <li key={one.id}>
                {say('repeaterIs', { place: placeOf(one), count: one.carries.length })}
              </li>
            ))}
          </ul>
          {value.changes && (
            <TryIt changes={value.changes} what={say('repeaters')} label={say('tryIt')} />
          )}
        </>
      )}
      <Close gone={gone} ask={askRepeaters} version={value === 'asked' ? null : value.version} />
    </section>
  );
}
