// What adds openings, devices, outlets and rooms to the plan.

import type { Change, Feature, PlanMessage, Point, Properties } from '../live/protocol.ts';
import { tidy } from '../plan/walls.ts';
import { freeId, freeNumber, idFrom, idsOf } from './free.ts';
import type { Leg, OnWall } from './legs.ts';
import { placeAlong } from './legs.ts';
import { metresOf, writtenOf } from './members.ts';
import { roomAt, spacesOf } from './spaces.ts';
import { type DeviceSort, isWindow, type OpeningSort, roleAt } from './usual.ts';

/** A change that adds a feature, and the id that it gets. */
export interface Adding {
  changes: Change[];
  id: string;
}

const HEAD = { name: 'top', sort: 'length', from: 'zero' } as const;
const SILL = { name: 'base', sort: 'length', from: 'zero' } as const;
const HEIGHT = { name: 'height', sort: 'length', from: 'floor' } as const;
/** How far below the head of its opening a contact is, metres (common practice, no source). */
const BELOW_HEAD_M = 0.1;
/** How far beside the middle of a wall is certainly beside it, metres (our own choice). */
const BESIDE_M = 0.3;

function added(
  geometry: { type: string; coordinates: unknown },
  properties: Properties,
  wanted: string,
  plan: PlanMessage,
): Adding {
  const id = freeId(wanted, idsOf(plan.features));
  return { id, changes: [{ do: 'add', feature: { type: 'Feature', id, geometry, properties } }] };
}

/** How high a level is, floor to ceiling, metres. */
function heightOf(plan: PlanMessage, level: number): number {
  const found = plan.levels.find(({ number }) => number === level);
  return found ? found.ceiling_m - found.floor_m : Number.POSITIVE_INFINITY;
}

/** The room, if it has a name, on the inner side of a wall where something stands on it. */
function roomBeside(leg: Leg, along: number, plan: PlanMessage): string {
  const off = leg.thick / 2 + BESIDE_M;
  for (const side of [1, -1]) {
    const room = roomAt(placeAlong(leg, along, side * off), plan.features, leg.level);
    const name = room?.properties.name;
    if (typeof name === 'string' && name) return name;
  }
  return '';
}

/** Whether one side of a wall is outside and the other is not. */
export function isOutsideWall(leg: Leg, along: number, features: Feature[]): boolean {
  const { isInside } = spacesOf(features, leg.level);
  const off = leg.thick / 2 + BESIDE_M;
  return isInside(placeAlong(leg, along, off)) !== isInside(placeAlong(leg, along, -off));
}

/** Puts an opening on a wall. A door in an outside wall is one by which people come in. */
export function openingAdded(
  { leg, line }: OnWall,
  sort: OpeningSort,
  construction: string,
  plan: PlanMessage,
): Adding {
  const { level } = leg;
  const middle = Math.hypot(
    (line[0][0] + line[1][0]) / 2 - leg.a[0],
    (line[0][1] + line[1][1]) / 2 - leg.a[1],
  );
  const head = Math.min(sort.head, heightOf(plan, level));
  const isEntry = sort.word === 'door' && isOutsideWall(leg, middle, plan.features);
  const properties: Properties = {
    kind: 'opening',
    construction,
    level,
    ...(sort.open ? { state: 'open' } : {}),
    ...(isEntry ? { entry: true } : {}),
    ...(sort.sill > 0 ? { base: writtenOf(sort.sill, SILL, leg, plan) } : {}),
    top: writtenOf(head, HEAD, leg, plan),
  };
  const room = roomBeside(leg, middle, plan);
  const wanted = room ? `${idFrom(room, 'room')}-${sort.word}` : sort.word;
  return added({ type: 'LineString', coordinates: line }, properties, wanted, plan);
}

/** Where a device hangs. */
export interface Hung {
  at: Point;
  level: number;
  /** On what: the frame of an opening, a wall's face, or nothing. */
  on: 'frame' | 'face' | null;
  opening: Feature | null;
}

/** The height at which a device hangs, metres above the floor. */
function heightAt(sort: DeviceSort, { opening, level }: Hung, plan: PlanMessage): number {
  const high = heightOf(plan, level);
  const isContact = sort.word === 'contact' && opening;
  const head = isContact ? metresOf(opening, HEAD, plan) : null;
  if (head !== null && isContact) {
    return Math.max(head - BELOW_HEAD_M, metresOf(opening, SILL, plan) ?? 0);
  }
  const wanted = sort.height < 0 && Number.isFinite(high) ? high + sort.height : sort.height;
  return Math.min(Math.max(wanted, 0), high);
}

/** Hangs a device: the panel that the plan has is moved, anything else is added. */
export function deviceAdded(
  sort: DeviceSort,
  hung: Hung,
  plan: PlanMessage,
  nameOf: (room: string, thing: string) => string,
): Adding {
  const { at, level, opening } = hung;
  const panel = plan.features.find(({ kind }) => kind === 'panel');
  if (sort.kind === 'panel' && panel) {
    return { id: panel.id, changes: [{ do: 'move', id: panel.id, to: tidy(at), level }] };
  }
  const given = roomAt(at, plan.features, level)?.properties.name;
  const room = typeof given === 'string' ? given : '';
  const isAtDoor = sort.word === 'contact' && opening;
  const thing = isAtDoor ? (isWindow(opening) ? 'window' : 'door') : sort.word;
  // A plan has one panel, and nobody asks in which room it is.
  const name = nameOf(sort.kind === 'panel' ? '' : room, thing);
  const isMetal = opening?.class === 'metal' && sort.mount === 'frame';
  const mount = sort.mount === 'frame' && hung.on !== 'frame' ? 'wall' : sort.mount;
  const role = roleAt(sort, opening);
  const properties: Properties = {
    kind: sort.kind,
    level,
    height: writtenOf(heightAt(sort, hung, plan), HEIGHT, hung, plan),
    name,
    ...(sort.kind === 'panel' ? {} : { number: freeNumber(plan.features) }),
    ...(role ? { role } : {}),
    ...(sort.device ? { device: sort.device } : {}),
    mount: isMetal ? 'metal' : mount,
  };
  const wanted = sort.kind === 'panel' ? 'panel' : idFrom(name, sort.word);
  return added({ type: 'Point', coordinates: tidy(at) }, properties, wanted, plan);
}

/** A mains outlet at its usual height. */
export const outletAdded = ({ at, level }: Hung, plan: PlanMessage): Adding =>
  added({ type: 'Point', coordinates: tidy(at) }, { kind: 'outlet', level }, 'outlet', plan);

/** Names the room at a place; one that has a name already is only chosen. */
export function roomNamed(at: Point, level: number, name: string, plan: PlanMessage): Adding {
  const room = roomAt(at, plan.features, level);
  if (room) return { id: room.id, changes: [] };
  const properties = { kind: 'room', name, level };
  return added({ type: 'Point', coordinates: tidy(at) }, properties, 'room', plan);
}
