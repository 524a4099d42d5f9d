// What something is built of, chosen from what the palette offers.

import type { UsedFor } from '../live/protocol.ts';
import { palette, plan } from '../live/state.ts';
import { say } from '../words/words.ts';

export function Constructions({
  for: use,
  value,
  onChoose,
}: {
  for: UsedFor;
  value: string;
  onChoose: (name: string) => void;
}) {
  const fit = (palette.value?.constructions ?? []).filter((one) => one.for.includes(use));
  const used = (plan.value?.features ?? []).flatMap(({ properties }) =>
    typeof properties.construction === 'string' ? [properties.construction] : [],
  );
  const names = fit.length > 0 ? fit.map(({ name }) => name) : [...new Set(used)].sort();
  return (
    <select
      aria-label={say('construction')}
      value={value}
      onChange={({ currentTarget }) => onChoose(currentTarget.value)}
    >
      {!names.includes(value) && <option value={value}>{value}</option>}
      {names.map((name) => (
        <option key={name} value={name}>
          {name}
        </option>
      ))}
    </select>
  );
}
