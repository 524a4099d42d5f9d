// What can be said of a thing: the members of the plan's format, kind by kind, and how their values
// are read and written. Lengths of the format are in the plan's own unit; here they are metres.

import type { Feature, PlanMessage, Properties, Units } from '../live/protocol.ts';

export type Member =
  | { name: string; sort: 'text' }
  | { name: string; sort: 'whole'; least: number; most: number }
  /** A length above the level's floor; `zero` where the format counts from the plan's zero. */
  | { name: string; sort: 'length'; from: 'floor' | 'zero'; usual?: number }
  | { name: string; sort: 'thickness' }
  | { name: string; sort: 'word'; words: readonly string[]; usual?: string }
  | { name: string; sort: 'flag'; usual: boolean }
  | { name: string; sort: 'construction' }
  | { name: string; sort: 'level'; required: boolean };

const FOOT_M = 0.3048;

/** Metres in a unit of the plan. */
export const unitOf = (units: Units): number => (units === 'm' ? 1 : FOOT_M);

export const DEVICES = ['panel', 'sensor', 'keypad', 'siren', 'repeater'] as const;
export const MOUNTS = ['wall', 'ceiling', 'frame', 'recessed', 'metal'] as const;
export const ROLES = [
  'perimeter',
  'entry-exit',
  'interior',
  '24-hour',
  'fire',
  'carbon-monoxide',
  'medical',
  'panic',
] as const;
/** What a sensor may be: any word is allowed, these are usual. */
export const SORTS = [
  'contact',
  'motion',
  'glass-break',
  'shock',
  'smoke',
  'heat',
  'co',
  'leak',
  'fob',
  'pendant',
] as const;
/** Roles on which a life hangs: such a device is always supervised. */
export const LIFE_SAFETY: ReadonlySet<unknown> = new Set(['fire', 'carbon-monoxide']);

const NAME: Member = { name: 'name', sort: 'text' };
const LEVEL: Member = { name: 'level', sort: 'level', required: false };
const CONSTRUCTION: Member = { name: 'construction', sort: 'construction' };
const BASE: Member = { name: 'base', sort: 'length', from: 'zero' };
const TOP: Member = { name: 'top', sort: 'length', from: 'zero' };
/** Usual heights of a device and an outlet, metres: those of the format. */
const height = (usual: number): Member => ({
  name: 'height',
  sort: 'length',
  from: 'floor',
  usual,
});

const device = (...own: Member[]): Member[] => [
  NAME,
  { name: 'number', sort: 'whole', least: 0, most: 999_999 },
  ...own,
  { name: 'role', sort: 'word', words: ROLES },
  { name: 'supervised', sort: 'flag', usual: true },
  { name: 'mount', sort: 'word', words: MOUNTS },
  { name: 'aerial', sort: 'word', words: ['upright', 'level'] },
  height(1.5),
  LEVEL,
  { name: 'room', sort: 'text' },
  { name: 'serial', sort: 'text' },
];

const MEMBERS: Record<string, Member[]> = {
  panel: device(),
  sensor: device({ name: 'device', sort: 'word', words: SORTS }),
  keypad: device(),
  siren: device(),
  repeater: device({ name: 'capacity', sort: 'whole', least: 1, most: 1000 }),
  wall: [NAME, CONSTRUCTION, { name: 'thickness_mm', sort: 'thickness' }, BASE, TOP, LEVEL],
  opening: [
    NAME,
    CONSTRUCTION,
    { name: 'state', sort: 'word', words: ['closed', 'open'], usual: 'closed' },
    { name: 'entry', sort: 'flag', usual: false },
    BASE,
    TOP,
  ],
  slab: [
    NAME,
    CONSTRUCTION,
    { name: 'joint', sort: 'word', words: ['seam', 'tight'], usual: 'seam' },
    LEVEL,
  ],
  obstacle: [NAME, CONSTRUCTION, BASE, TOP, LEVEL],
  roam: [NAME, height(1.5), { name: 'worn', sort: 'flag', usual: false }, LEVEL],
  mountable: [NAME, LEVEL],
  outlet: [NAME, height(0.3), LEVEL],
  stairs: [NAME, LEVEL, { name: 'to', sort: 'level', required: false }],
  room: [NAME, LEVEL],
};

/** What can be said of a thing, in the order of its sheet. */
export const membersOf = ({ kind }: Feature): Member[] => MEMBERS[kind] ?? [];

const floorOf = (plan: PlanMessage, level: number): number =>
  plan.levels.find(({ number }) => number === level)?.floor_m ?? 0;

/** The length that a member has, metres as people measure it; nothing where it is left out. */
export function metresOf(feature: Feature, member: Member, plan: PlanMessage): number | null {
  const value = feature.properties[member.name];
  if (typeof value !== 'number') return null;
  if (member.sort === 'thickness') return value / 1000;
  const metres = value * unitOf(plan.units);
  return member.sort === 'length' && member.from === 'zero'
    ? metres - floorOf(plan, feature.level)
    : metres;
}

const thousandths = (value: number): number => Math.round(value * 1000) / 1000;

/** The value of a member that stands for a length as people measure it, metres. */
export function writtenOf(
  metres: number,
  member: Member,
  of: { level: number },
  plan: PlanMessage,
): number {
  if (member.sort === 'thickness') return thousandths(metres * 1000);
  const isFromZero = member.sort === 'length' && member.from === 'zero';
  const above = isFromZero ? metres + floorOf(plan, of.level) : metres;
  return thousandths(above / unitOf(plan.units));
}

/** A length as it can be typed: in metres, or in feet and inches. */
export function typed(metres: number, units: Units): string {
  if (units === 'm') return String(thousandths(metres));
  const inches = Math.round((Math.abs(metres) / 0.0254) * 8) / 8;
  const feet = Math.floor(inches / 12);
  const rest = inches - feet * 12;
  const sign = metres < 0 && inches > 0 ? '-' : '';
  if (feet === 0) return `${sign}${rest}"`;
  return rest > 0 ? `${sign}${feet}' ${rest}"` : `${sign}${feet}'`;
}

/** What is set where a role changes: a device on which a life hangs is always supervised. */
export function withRole(role: string | null, { properties }: Feature): Properties {
  const must = LIFE_SAFETY.has(role) && properties.supervised === false;
  return must ? { role, supervised: null } : { role };
}

/** What is set where a thing goes to another level: heights from the plan's zero go along. */
export function withLevel(level: number, feature: Feature, plan: PlanMessage): Properties {
  const rise = (floorOf(plan, level) - floorOf(plan, feature.level)) / unitOf(plan.units);
  const moved = ['base', 'top'].flatMap((name) => {
    const value = feature.properties[name];
    return typeof value === 'number' ? [[name, thousandths(value + rise)]] : [];
  });
  return { level, ...Object.fromEntries(moved) };
}
