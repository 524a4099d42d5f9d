// Whether what is tapped is taken beside what is selected already.

import { isMore } from '../live/selection.ts';
import { say } from '../words/words.ts';

export const Several = () => (
  <label class="flag">
    <input
      type="checkbox"
      checked={isMore.value}
      onChange={({ currentTarget }) => {
        isMore.value = currentTarget.checked;
      }}
    />
    {say('more')}
  </label>
);
