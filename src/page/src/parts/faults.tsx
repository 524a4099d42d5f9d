// What is wrong with the plan, each with its fix; and notes of the forecast.

import { signal } from '@preact/signals';
import { isReading } from '../guest/here.ts';
import type { Fault } from '../live/protocol.ts';
import { level, palette, plan, putRight, show, table, tidied } from '../live/state.ts';
import { say } from '../words/words.ts';

/** The fault that the plan is moved to. */
export const sought = signal<Fault | null>(null);

export function Faults() {
  const faults = plan.value?.faults ?? [];
  if (faults.length === 0) return null;
  return (
    <section aria-labelledby="faults" class="card faulty">
      <h2 id="faults">{say('faults')}</h2>
      <ol class="plain">
        {faults.map((fault) => (
          <li key={fault.number}>
            <p>
              <span class="ring" aria-hidden="true">
                {fault.number}
              </span>{' '}
              <span lang="en">{fault.what}</span>
            </p>
            <p lang="en">{say('faultFix', { fix: fault.fix })}</p>
            {fault.at && (
              <button
                type="button"
                aria-label={say('showOf', { number: fault.number })}
                onClick={() => {
                  if (fault.level !== undefined && fault.level !== level.value) show(fault.level);
                  sought.value = { ...fault };
                }}
              >
                {say('show')}
              </button>
            )}
          </li>
        ))}
      </ol>
      <PutRight />
    </section>
  );
}

function Lines({ title, lines }: { title: string; lines: string[] }) {
  if (lines.length === 0) return null;
  return (
    <>
      <h3>{title}</h3>
      <ul lang="en">
        {lines.map((line) => (
          <li key={line}>{line}</li>
        ))}
      </ul>
    </>
  );
}

/** What was put right, and what is left. */
export function Tidied() {
  const { value } = tidied;
  if (!value) return null;
  return (
    <section class="card" aria-label={say('putRightDone')} role="status">
      {value === 'asked' ? (
        <p>{say('puttingRight')}</p>
      ) : (
        <>
          {value.done.length === 0 && <p>{say('putRightNothing')}</p>}
          <Lines title={say('putRightDone')} lines={value.done} />
          <Lines title={say('putRightLeft')} lines={value.left} />
          <button
            type="button"
            onClick={() => {
              tidied.value = null;
            }}
          >
            {say('close')}
          </button>
        </>
      )}
    </section>
  );
}

/** Has put right what is safe; offered by the program that has a palette, and so knows how. */
function PutRight() {
  if (!palette.value || isReading.value) return null;
  return (
    <button type="button" disabled={tidied.value === 'asked'} onClick={putRight}>
      {say('putRight')}
    </button>
  );
}

export function Notes() {
  const warnings = table.value?.check.warnings ?? [];
  const isFaulty = (plan.value?.faults.length ?? 0) > 0;
  if (warnings.length === 0) return null;
  return (
    <section aria-labelledby="notes">
      <h2 id="notes">{say('warnings')}</h2>
      <ul lang="en">
        {warnings.map((warning) => (
          <li key={warning}>{warning}</li>
        ))}
      </ul>
      {!isFaulty && <PutRight />}
    </section>
  );
}
