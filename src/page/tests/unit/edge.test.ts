import assert from 'node:assert/strict';
import { test } from 'node:test';
import { onwards } from '../../src/plan/edge.ts';

test('a finger at an edge moves the plan that way, farther out faster', () => {
  const size: [number, number] = [400, 300];
  const by = (x: number, y: number) => onwards([x, y], size, 60).map((one) => Math.sign(one));
  assert.deepEqual(by(200, 150), [0, 0]);
  assert.deepEqual(by(5, 150), [-1, 0]);
  assert.deepEqual(by(395, 150), [1, 0]);
  assert.deepEqual(by(200, 295), [0, 1]);
  // The cross comes to the upper edge before the finger does.
  assert.deepEqual(by(200, 70), [0, -1]);
  assert.deepEqual(by(395, 295), [1, 1]);
  const [slow, fast] = [20, 2].map((x) => Math.abs(onwards([x, 150], size, 60)[0]));
  assert.ok((slow ?? 0) > 0 && (fast ?? 0) > (slow ?? 0));
  // Beyond the plan it is no faster than at its edge.
  assert.equal(onwards([-50, 150], size, 60)[0], onwards([0, 150], size, 60)[0]);
});
