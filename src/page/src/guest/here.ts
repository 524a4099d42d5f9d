// Who is here, what this page may do, and the key that was made for a phone.

import { computed, signal } from '@preact/signals';
import type { InvitedMessage, PresentMessage } from './messages.ts';

/** Who is here; nothing where guests cannot come. */
export const present = signal<PresentMessage | null>(null);
/** The key that was made last, as long as it is shown. */
export const invited = signal<InvitedMessage | null>(null);

/** Whether this page is on another device than the program. */
export const isGuest = computed(() => present.value !== null && present.value.you !== 'desk');
/** Whether this page may only look and ask. */
export const isReading = computed(() => present.value?.you === 'reading');

/** What a page may send that only looks and asks. */
const ASKS = new Set(['hello', 'language', 'map', 'explain', 'spots', 'repeaters', 'measure']);

export const maySend = (type: string): boolean =>
  !isReading.peek() || ASKS.has(type) || type === 'drop';

export function hearOfGuests(message: PresentMessage | InvitedMessage): void {
  if (message.type === 'present') present.value = message;
  else invited.value = message;
}

/** 128 random bits; `randomUUID` is only for pages that came encrypted or from this machine. */
export function random(): string {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return [...bytes].map((byte) => byte.toString(16).padStart(2, '0')).join('');
}

const PLACE = 'drillonce-guest';

/** What this tab made up for itself, by which a key knows it again after a reload. */
export function ownSecret(): string {
  const made = random();
  try {
    const kept = sessionStorage.getItem(PLACE);
    if (kept) return kept;
    sessionStorage.setItem(PLACE, made);
  } catch {
    // Where a browser keeps nothing, the key holds until the page is loaded anew.
  }
  return made;
}
