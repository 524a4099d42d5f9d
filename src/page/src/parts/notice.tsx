// What the program answers to a wish: saved, refused, or changed elsewhere.

import { useEffect } from 'preact/hooks';
import { notice } from '../live/state.ts';
import { say } from '../words/words.ts';

/** How long a good message stays, milliseconds. */
const STAY_MS = 6000;

export function Notice() {
  const { value } = notice;
  const isGood = value?.type === 'saved';
  useEffect(() => {
    if (!isGood) return;
    const timer = setTimeout(() => {
      notice.value = null;
    }, STAY_MS);
    return () => clearTimeout(timer);
  }, [value, isGood]);
  if (!value) return null;
  return (
    <div class={`notice ${value.type}`} role={isGood ? 'status' : 'alert'}>
      <div>
        {value.type === 'saved' && (
          <>
            <p>{say('saved', { file: value.file })}</p>
            {value.list && (
              <p>{say(value.list.kept ? 'listKept' : 'listLeft', { file: value.list.file })}</p>
            )}
          </>
        )}
        {value.type === 'refused' && (
          <>
            <p>
              <strong>{say('refused')}</strong>
            </p>
            <p lang="en">
              {value.what} {value.fix}
            </p>
          </>
        )}
        {value.type === 'elsewhere' && (
          <>
            <p>
              <strong>{say('elsewhere')}</strong>
            </p>
            <p lang="en">{value.what}</p>
          </>
        )}
      </div>
      <button
        type="button"
        onClick={() => {
          notice.value = null;
        }}
      >
        {say('close')}
      </button>
    </div>
  );
}
