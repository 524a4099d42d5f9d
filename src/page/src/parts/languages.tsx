// The choice of the language.

import type { Language } from '../live/numbers.ts';
import { speak } from '../live/state.ts';
import { LANGUAGES, language, say } from '../words/words.ts';

export function Languages() {
  return (
    <label class="choice">
      <span>{say('language')}</span>
      <select
        value={language.value}
        onChange={({ currentTarget }) => {
          speak(currentTarget.value as Language);
        }}
      >
        {Object.entries(LANGUAGES).map(([code, { name }]) => (
          <option key={code} value={code} lang={code}>
            {name}
          </option>
        ))}
      </select>
    </label>
  );
}
