// What is wrong with the plan, each with its fix; and notes of the forecast.

import { signal } from '@preact/signals';
import type { Fault } from '../live/protocol.ts';
import { level, plan, show, table } from '../live/state.ts';
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
    </section>
  );
}

export function Notes() {
  const warnings = table.value?.check.warnings ?? [];
  if (warnings.length === 0) return null;
  return (
    <section aria-labelledby="notes">
      <h2 id="notes">{say('warnings')}</h2>
      <ul lang="en">
        {warnings.map((warning) => (
          <li key={warning}>{warning}</li>
        ))}
      </ul>
    </section>
  );
}
