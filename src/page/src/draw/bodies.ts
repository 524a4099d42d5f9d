// The walls of the level in view as bodies, worked out once for a plan.

import { computed } from '@preact/signals';
import { level, plan } from '../live/state.ts';
import { bodiesOf } from '../plan/walls.ts';

export const bodiesHere = computed(() =>
  bodiesOf(
    (plan.value?.features ?? []).filter(
      (one) => one.kind === 'wall' && one.level === level.value && one.geometry,
    ),
  ),
);
