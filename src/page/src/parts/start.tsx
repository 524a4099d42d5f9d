// With what a plan begins: nothing, in metres or feet, or an example; and the first steps.

import { plan, start, startable } from '../live/state.ts';
import { TapeList } from '../tape/tape_list.tsx';
import { foreign, say } from '../words/words.ts';

export function Start() {
  const { value } = startable;
  if (!value) return null;
  return (
    <section class="card start" aria-labelledby="start-title">
      <h2 id="start-title">{say('startTitle')}</h2>
      <h3>{say('startEmpty')}</h3>
      <div class="row">
        <button type="button" class="main" onClick={() => start({ with: 'empty', units: 'm' })}>
          {say('startMetres')}
        </button>
        <button type="button" class="main" onClick={() => start({ with: 'empty', units: 'ft' })}>
          {say('startFeet')}
        </button>
      </div>
      <h3>{say('tapeTitle')}</h3>
      <TapeList />
      {value.examples.length > 0 && (
        <>
          <h3>{say('startExample')}</h3>
          <ul class="plain choices">
            {value.examples.map(({ name, words }) => (
              <li key={name}>
                <button
                  type="button"
                  aria-label={say('startExampleOf', { name: words ?? name })}
                  lang={foreign(value)}
                  onClick={() => start({ with: 'example', name })}
                >
                  {words ?? name}
                </button>
              </li>
            ))}
          </ul>
        </>
      )}
    </section>
  );
}

/** What to do first; gone with the first wall. */
export function FirstSteps() {
  if (!plan.value || startable.value) return null;
  if (plan.value.features.some(({ kind }) => kind === 'wall')) return null;
  return <p class="card first-steps">{say('firstSteps')}</p>;
}
