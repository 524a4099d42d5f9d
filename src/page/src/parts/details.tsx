// One device in full: how likely a fault is, by which ways its power comes, and what would help.

import { signal } from '@preact/signals';
import { useEffect, useRef } from 'preact/hooks';
import { isReading } from '../guest/here.ts';
import { nameOf, take } from '../live/hold.ts';
import { decimals } from '../live/numbers.ts';
import type { ExplainMessage, Feature, Remedy } from '../live/protocol.ts';
import { limitOf, worthwhile } from '../live/remedies.ts';
import { choose, chosen, deviceOf, edit, explained, plan, table } from '../live/state.ts';
import { MARKED, pointOf } from '../plan/places.ts';
import type { Key } from '../words/words.ts';
import {
  foreign,
  language,
  say,
  sayChance,
  sayFinding,
  sayLength,
  sayReserve,
  sayShare,
} from '../words/words.ts';
import { sayFault, sayKind } from './finding_words.ts';
import { Groups } from './groups.tsx';
import { focusMark } from './marks.tsx';
import { Sheet } from './sheet.tsx';
import { outlineOf, Sign } from './sign.tsx';

const ACTIONS: Record<string, Key> = {
  'take-away': 'take-away',
  open: 'open',
  replace: 'replace',
  repeater: 'repeaterAt',
  move: 'move',
  raise: 'raise',
  'move-panel': 'move-panel',
  mount: 'mount',
  turn: 'turn',
  'wired-reed': 'wiredReed',
};

const sayIfKnown = (metres: number | undefined): string =>
  metres === undefined ? '' : sayLength(Math.abs(metres));

/** A remedy in words: the program's, where it said them in the page's language. */
function sayRemedy(remedy: Remedy, isOurs: boolean): string {
  if (remedy.words && isOurs) {
    return remedy.words.charAt(0).toUpperCase() + remedy.words.slice(1);
  }
  return say(ACTIONS[remedy.action] ?? 'otherRemedy', {
    action: remedy.action,
    feature: remedy.feature ?? '',
    outlet: remedy.outlet ?? '',
    by: remedy.by ?? sayIfKnown(remedy.by_m ?? remedy.cable_m),
  });
}

const WAYS: Record<string, Key> = {
  scattered: 'wayScattered',
  reflected: 'wayReflected',
  'round-edges': 'wayEdges',
};

function sayWay({ hop }: ExplainMessage): string {
  const carried = hop.carried_by;
  if (!carried) return '';
  const share = sayShare(carried.share);
  const way = WAYS[carried.way];
  if (!way) return say('carriedDirect', { share });
  return carried.heaviest
    ? say('carriedOther', { share, way: say(way), wall: carried.heaviest })
    : say('carriedPlain', { share, way: say(way) });
}

function RemedyRow({ remedy, isOurs }: { remedy: Remedy; isOurs: boolean }) {
  const what = sayRemedy(remedy, isOurs);
  const { changes, fault_per_year: chance } = remedy;
  return (
    <li class="remedy">
      <span class="name">
        <Sign finding={remedy.finding} />
        {what}
      </span>
      <span class="chance">
        {say('remedyOutcome', {
          finding: sayFinding(remedy.finding),
          chance: chance === null ? say('notSupervised') : sayChance(chance),
          gain: `${remedy.gain_db < 0 ? '' : '+'}${decimals(remedy.gain_db, 1, language.value)}`,
          spread: decimals(remedy.gain_sigma_db, 1, language.value),
        })}
        {remedy.uncertain && `. ${say('uncertain')}`}
      </span>
      {changes && changes.length > 0 && !isReading.value && (
        <button
          type="button"
          class="main"
          aria-label={say('tryItOf', { what })}
          onClick={() => edit(changes)}
        >
          {say('tryIt')}
        </button>
      )}
    </li>
  );
}

/** What would help, the least work first, and how much the heaviest part takes. */
function Help({ answer }: { answer: ExplainMessage }) {
  const shown = worthwhile(answer);
  const limit = answer.sensor.finding === 'sound' ? null : limitOf(answer);
  const isOld = answer.version !== plan.value?.version;
  const isSound = answer.sensor.finding === 'sound';
  const summary = answer.words?.summary;
  const isOurs = !foreign(answer);
  const none = isSound ? say('nothingToDo') : say('noHelp');
  return (
    <>
      <p>{isOurs && summary ? summary.join(' ') : sayWay(answer)}</p>
      <h3>{say('help')}</h3>
      {isOld && <p class="quiet">{say('stale')}</p>}
      {shown.length === 0 && <p>{none}</p>}
      <ul class="plain">
        {[...shown, ...(limit ? [limit] : [])].map((remedy, at) => (
          <RemedyRow
            key={`${remedy.action}${remedy.feature ?? remedy.outlet ?? at}`}
            remedy={remedy}
            isOurs={isOurs}
          />
        ))}
      </ul>
    </>
  );
}

/** Where a point is. */
function Place({ feature }: { feature: Feature }) {
  const at = pointOf(feature);
  if (!at) return null;
  return (
    <p class="quiet">
      {say('position')}: {say('heldAt', { x: sayLength(at[0]), y: sayLength(at[1]) })}
    </p>
  );
}

/** Whether the details were asked for in a list, away from them: they are then moved to. */
export const wanted = signal(false);

export function Details() {
  const id = chosen.value;
  const title = useRef<HTMLHeadingElement>(null);
  const feature = plan.value?.features.find((one) => one.id === id);
  useEffect(() => {
    if (id && wanted.value) title.current?.focus();
    wanted.value = false;
  }, [id]);
  if (!id || !feature) return null;
  const device = deviceOf.value.get(id);
  const why = table.value?.words?.devices?.[id]?.why;
  return (
    <section aria-labelledby="details-title" class="card details">
      <div class="row spread">
        <h2 id="details-title" ref={title} tabIndex={-1}>
          {MARKED.has(feature.kind) && (
            <Sign finding={device?.finding ?? null} outline={outlineOf(feature.kind)} />
          )}
          {nameOf(feature)}
          {!MARKED.has(feature.kind) && <span class="quiet kind">{sayKind(feature)}</span>}
        </h2>
        <button type="button" onClick={() => choose(null)}>
          {say('close')}
        </button>
      </div>
      {device && (
        <>
          <p class="big">
            {sayFinding(device.finding)}, {sayReserve(device.margin_db)}
          </p>
          <p>
            {say('chance')}: <strong>{sayFault(device)}</strong>
          </p>
          {why && (
            <p>
              {say('why')}: <span lang={foreign(table.value)}>{why}</span>
            </p>
          )}
        </>
      )}
      <Place feature={feature} />
      <div class="row" hidden={isReading.value}>
        {MARKED.has(feature.kind) && (
          <button
            type="button"
            aria-label={say('holdOf', { device: nameOf(feature) })}
            onClick={() => {
              if (take(id, 'keys')) focusMark(id);
            }}
          >
            {say('hold')}
          </button>
        )}
        <Groups ids={[id]} />
      </div>
      {!isReading.value && <Sheet feature={feature} isOpen={!device} />}
      {device && !explained.value && <p>{say('asking')}</p>}
      {device && explained.value && explained.value !== 'refused' && (
        <Help answer={explained.value} />
      )}
    </section>
  );
}
