// Figures as people read them, in their language and unit.

import type { Finding, Units } from './protocol.ts';

export type Language = 'en' | 'es';

/** A number with a fixed count of decimals. */
export function decimals(value: number, places: number, language: Language): string {
  const text = value.toFixed(places).replace(/^-(0(?:\.0*)?)$/, '$1');
  return (language === 'es' ? text.replace('.', ',') : text).replace('-', '−');
}

/** A length: metres with two decimals, or feet and inches to the half inch. */
export function length(metres: number, units: Units, language: Language): string {
  if (units === 'm') return `${decimals(metres, 2, language)} m`;
  const halves = Math.round((Math.abs(metres) / 0.0254) * 2);
  const feet = Math.floor(halves / 24);
  const inches = Math.floor((halves - feet * 24) / 2);
  const half = halves % 2 === 1 ? '½' : '';
  const sign = metres < 0 && halves > 0 ? '−' : '';
  return feet > 0 ? `${sign}${feet} ft ${inches}${half} in` : `${sign}${inches}${half} in`;
}

/** An area: square metres or square feet, whole. */
export const area = (square: number, units: Units): string =>
  units === 'm' ? `${Math.round(square)} m²` : `${Math.round(square / 0.09290304)} ft²`;

const RANK: Record<Finding, number> = { failing: 0, thin: 1, sound: 2 };

/** Order of two devices: the worse first, then by reserve. */
export function worseFirst(
  one: { finding: Finding; fault_per_year: number | null; margin_db: number },
  other: { finding: Finding; fault_per_year: number | null; margin_db: number },
): number {
  return (
    RANK[one.finding] - RANK[other.finding] ||
    (other.fault_per_year ?? 0) - (one.fault_per_year ?? 0) ||
    one.margin_db - other.margin_db
  );
}
