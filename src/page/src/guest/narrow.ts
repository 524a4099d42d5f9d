// Whether a guest's page is on a screen that one hand holds.

import { computed, signal } from '@preact/signals';
import { isGuest } from './here.ts';

const narrow = matchMedia('(max-width: 30rem)');
const isNarrow = signal(narrow.matches);
narrow.addEventListener('change', ({ matches }) => {
  isNarrow.value = matches;
});

export const isOneHand = computed(() => isGuest.value && isNarrow.value);
