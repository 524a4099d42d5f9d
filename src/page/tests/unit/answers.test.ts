import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { test } from 'node:test';
import { withKnown } from '../../src/live/merge.ts';
import type { ExplainMessage, Feature, PlanMessage } from '../../src/live/protocol.ts';
import { limitOf, worthwhile } from '../../src/live/remedies.ts';

const recorded = <T>(name: string): T =>
  JSON.parse(readFileSync(new URL(`../fake/recorded/${name}.json`, import.meta.url), 'utf8')) as T;

test('remedies are those that the command shows, in its order', () => {
  const answer = recorded<ExplainMessage>('explain');
  const outlets = worthwhile(answer).map(({ action, outlet }) => `${action} ${outlet}`);
  assert.deepEqual(outlets, [
    'repeater outlet-living',
    'repeater outlet-kitchen',
    'repeater outlet-living-east',
  ]);
  assert.equal(limitOf(answer)?.feature, 'garage-party');
});

test('the least work comes first, and a sound device needs none', () => {
  const remedy = (effort: string, gain_db: number) => ({
    action: effort,
    effort,
    gain_db,
    uncertain: false,
    finding: 'failing',
  });
  const answer = (finding: string) =>
    ({
      sensor: { finding },
      remedies: [
        remedy('panel', 9),
        remedy('repeater', 8),
        remedy('moving', 2),
        remedy('moving', 0.5),
      ],
    }) as unknown as ExplainMessage;
  assert.deepEqual(
    worthwhile(answer('failing')).map(({ effort }) => effort),
    ['moving', 'repeater', 'panel'],
  );
  assert.deepEqual(
    worthwhile(answer('sound')).map(({ effort, gain_db }) => [effort, gain_db]),
    [
      ['moving', 2],
      ['moving', 0.5],
    ],
  );
});

test('a plan with faults keeps what was known of its walls and levels', () => {
  const before = recorded<PlanMessage>('plan');
  const bare = before.features.map(({ thickness_m: _, class: __, ...rest }): Feature => rest);
  const fault = { number: 1, feature: 'fridge', what: 'it floats', fix: 'put it down' };
  const faulty = { ...before, version: 2, levels: [], features: bare, faults: [fault] };
  const shown = withKnown(faulty, before);
  assert.deepEqual(shown.levels, before.levels);
  assert.deepEqual(shown.features, before.features);
  // The middle of the fridge.
  assert.equal(shown.faults[0]?.level, 0);
  const at = shown.faults[0]?.at?.map((metres) => metres.toFixed(3));
  assert.deepEqual(at, ['9.725', '5.750']);
  // A whole plan is taken as it is.
  assert.deepEqual(withKnown({ ...faulty, faults: [] }, before).features, bare);
});
