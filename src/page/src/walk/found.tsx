// What the readings say of the house so far: at this device, and of all that are doubtful.

import { say, sayChance, sayFinding, sayShare } from '../words/words.ts';
import type { Diagnosed } from './messages.ts';
import { nameOf } from './say.ts';
import { accept, diagnosis, isAccepted, refusals, stop, walk } from './state.ts';

type Suspect = Diagnosed['causes'][number];

/** What the report says in English, in the page's language. */
const said = (english: string): string => diagnosis.value?.words?.[english] ?? english;

function Causes({ of }: { of: Suspect }) {
  const [test] = of.next_tests;
  return (
    <>
      {of.out_of_reach && <p>{say('walkOutOfReach')}</p>}
      <ul class="plain">
        {of.causes.slice(0, 3).map(({ cause, chance, first_step }) => (
          <li key={cause}>
            <strong>{sayShare(chance)}</strong> {said(cause)}: {said(first_step)}
          </li>
        ))}
      </ul>
      {test && (
        <p>
          <strong>{say('walkNextTest', { minutes: test.minutes })}</strong> {said(test.test)}
          {test.note && (
            <>
              {' '}
              {say('walkTestNote')} <code lang="en">{test.note}</code>
            </>
          )}
        </p>
      )}
    </>
  );
}

/** The chance of a fault at a device before the readings and after them. */
export function Here() {
  const report = diagnosis.value?.report;
  const own = report?.devices.find(({ id }) => id === stop.value?.id);
  if (!own) return null;
  const suspect = report?.causes.find(({ id }) => id === own.id);
  const shown = ({ fault_per_year }: typeof own.after) =>
    fault_per_year === null ? say('walkUnsupervised') : sayChance(fault_per_year);
  return (
    <section class="walk-here" aria-label={say('walkHere')}>
      <p>
        {say('walkChance', { before: shown(own.before), after: shown(own.after) })}{' '}
        <strong>{sayFinding(own.after.finding)}</strong>
      </p>
      {suspect && <Causes of={suspect} />}
    </section>
  );
}

/** The whole house, and putting it into the plan. */
export function House() {
  const { value } = diagnosis;
  const report = value?.report;
  const faults = walk.value?.faults ?? [];
  return (
    <>
      {faults.length > 0 && (
        <section class="fault" aria-label={say('walkFaults')}>
          <h3>{say('walkFaults')}</h3>
          <ul class="plain" lang="en">
            {faults.map(({ line, what, fix }) => (
              <li key={`${line} ${what}`}>
                {line > 0 && `${line}: `}
                {what}; {fix}
              </li>
            ))}
          </ul>
        </section>
      )}
      {value?.refused && (
        <p class="fault" lang="en">
          {value.refused.what}; {value.refused.fix}
        </p>
      )}
      {report ? (
        <>
          <p>{say('walkUsed', { used: report.readings.used, devices: report.readings.devices })}</p>
          {report.causes.length === 0 && <p>{say('walkNoCauses')}</p>}
          {report.causes.map((suspect) => (
            <section key={suspect.id}>
              <h3>{nameOf(suspect)}</h3>
              <Causes of={suspect} />
            </section>
          ))}
          {report.warnings.map((line) => (
            <p key={line} class="quiet" lang="en">
              {line}
            </p>
          ))}
          {value?.calibrated ? (
            <p role="status">{say(isAccepted.value ? 'walkAccepted' : 'walkIsIn')}</p>
          ) : (
            <button type="button" class="main" onClick={accept}>
              {say('walkAccept')}
            </button>
          )}
        </>
      ) : (
        <p>{say('walkNothingYet')}</p>
      )}
      {refusals.value[''] && (
        <p class="fault" role="alert" lang="en">
          {refusals.value[''].what}; {refusals.value[''].fix}
        </p>
      )}
    </>
  );
}
