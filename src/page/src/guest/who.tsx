// Who looks at the plan now, on every page.

import { say } from '../words/words.ts';
import { present } from './here.ts';

export function Who() {
  const { value } = present;
  if (!value) return null;
  const { you, desks, guests } = value;
  return (
    <p class="who" role="status">
      {you !== 'desk' && <strong>{say(you === 'reading' ? 'youRead' : 'youEdit')} </strong>}
      {say('whoIsHere', { desks, guests })}
      {you !== 'desk' && location.protocol === 'http:' && <strong> {say('notEncrypted')}</strong>}
    </p>
  );
}
