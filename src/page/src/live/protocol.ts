// Messages between the page and the server, version 1. Lengths are metres in plan coordinates.

import type { GuestAsks, InvitedMessage, PresentMessage } from '../guest/messages.ts';
import type { WalkAnswer, WalkWish } from '../walk/messages.ts';
import type { Language } from './numbers.ts';

export type Point = [number, number];
export type Finding = 'sound' | 'thin' | 'failing';
export type MapKind = 'here' | 'anywhere';
export type Units = 'm' | 'ft';

export type Properties = Record<string, unknown>;

export type Geometry =
  | { type: 'Point'; coordinates: number[] }
  | { type: 'LineString'; coordinates: number[][] }
  | { type: 'Polygon'; coordinates: number[][][] }
  | { type: 'MultiLineString'; coordinates: number[][][] }
  | { type: 'MultiPolygon'; coordinates: number[][][][] };

/** One step of an edit. */
export type Change =
  | { do: 'move'; id: string; to: Point; level?: number; height?: number }
  | { do: 'shape'; id: string; coordinates: Point[] }
  | { do: 'set'; id: string; properties: Properties }
  | { do: 'add'; feature: unknown }
  | { do: 'remove'; id: string }
  | { do: 'ground'; picture: Laid | null };

/** A picture under the plan: how it is put there, and how strongly it is shown. */
export interface Laid {
  file: string;
  /** Puts column and row at x = a·column + b·row + c, y = d·column + e·row + f, metres. */
  transform: [number, number, number, number, number, number];
  opacity: number;
  level: number;
}

/** The same with where it can be fetched, or why it cannot be shown. */
export interface Backdrop extends Laid {
  at?: string;
  columns?: number;
  rows?: number;
  what?: string;
}

export type ClientMessage =
  | GuestAsks
  | WalkWish
  | { type: 'hello'; key: string; tab: string; language: Language; secret: string }
  | { type: 'language'; to: Language }
  | { type: 'edit' | 'try'; seq: number; changes: Change[] }
  | { type: 'drop' }
  | { type: 'undo' }
  | { type: 'redo' }
  | { type: 'save'; as: string | null }
  | { type: 'map'; kind: MapKind; level: number }
  | { type: 'explain'; id: string }
  | { type: 'spots' }
  | { type: 'repeaters' }
  | { type: 'measure'; seq: number; texts: string[] }
  | { type: 'tidy' }
  | { type: 'tape'; seq: number; text?: string }
  | { type: 'use'; text: string }
  | { type: 'square'; corners: Point[]; size: Point | null }
  | { type: 'trace' }
  | { type: 'start'; with: 'empty'; units: Units }
  | { type: 'start'; with: 'example'; name: string }
  | {
      type: 'level';
      do: 'add' | 'set';
      number?: number;
      name?: string;
      floor?: number;
      ceiling?: number;
    }
  | { type: 'take'; what: Taking; options: Record<string, unknown>; changes?: Change[] };

/** What can be taken away from the page. */
export type Taking = 'pictures' | 'quote' | 'sale' | 'handover' | 'readings';

export interface Level {
  number: number;
  name: string;
  floor_m: number;
  ceiling_m: number;
}

/** A feature of the plan; a faulty one may lack its geometry. */
export interface Feature {
  id: string;
  kind: string;
  level: number;
  geometry: Geometry | null;
  properties: Properties;
  thickness_m?: number;
  class?: string;
  faulty?: boolean;
}

export interface Fault {
  number: number;
  feature?: string;
  at?: Point;
  level?: number;
  what: string;
  fix: string;
}

/** A message with words of the program: in which language, English where it does not say. */
interface Worded {
  language?: Language;
}

export interface PlanMessage {
  type: 'plan';
  version: number;
  name: string;
  file: string;
  units: Units;
  levels: Level[];
  features: Feature[];
  bounds: [number, number, number, number];
  undo: number;
  redo: number;
  unsaved: number;
  faults: Fault[];
  backdrop?: Backdrop | null;
}

/** What is forecast for one device. */
export interface Device {
  id: string;
  name: string;
  room: string | null;
  number: number | null;
  kind: string;
  supervised: boolean;
  position_m: [number, number, number];
  margin_db: number;
  fault_per_year: number | null;
  finding: Finding;
  via: string | null;
}

export interface Roam {
  id: string;
  name: string;
  area_m2: number;
  share: number;
}

export interface Report {
  plan: string;
  model: { link: string; findings: { sound_below: number; thin_below: number } };
  panel: { id: string; position_m: [number, number, number] } | null;
  sensors: Device[];
  devices: Device[];
  roams: Roam[];
  warnings: string[];
  cautions: string[];
}

export interface DeviceWords {
  chance: string;
  reserve: string;
  why: string;
}

/** Reserves at which the finding changes, dB. */
export interface Thresholds {
  failing_below_db: number;
  sound_from_db: number;
}

export interface TableMessage extends Worded {
  type: 'table';
  version: number;
  seq: number;
  tab: string | null;
  check: Report;
  words?: {
    line?: string;
    devices?: Record<string, DeviceWords>;
    thresholds?: Thresholds;
  };
}

export interface Remedy {
  action: string;
  effort: string;
  gain_db: number;
  gain_sigma_db: number;
  uncertain: boolean;
  margin_db: number;
  fault_per_year: number | null;
  finding: Finding;
  feature?: string;
  outlet?: string;
  by?: string;
  by_m?: number;
  cable_m?: number;
  words?: string;
  changes?: Change[];
}

/** An answer of one of the commands, with `words` and `changes` where something can be tried. */
export interface ExplainMessage extends Worded {
  type: 'explain';
  version: number;
  id?: string;
  sensor: Device;
  hop: { carried_by?: { way: string; share: number; heaviest: string | null } };
  remedies: Remedy[];
  words?: { summary?: string[] };
}

export interface Spot {
  spot: number | null;
  level: number;
  place: string;
  position_m: [number, number, number];
  any_fault_per_year: number;
  not_sound: number;
  failing: number;
  worst: { number: number | null; name: string; margin_db: number; finding: Finding } | null;
  walk: { length_m: number; time_s: number } | null;
  wire: { length_m: number; outlet: string } | null;
  words?: { place: string };
  changes?: Change[];
}

export interface SpotsMessage extends Worded {
  type: 'spots';
  version: number;
  now: Spot | null;
  best: Spot[];
  keep_all: number;
  spots: number;
  devices: number;
}

export interface Repeater {
  id: string;
  outlet: string | null;
  level: number;
  position_m: [number, number, number];
  place: string;
  words?: { place: string };
  carries: string[];
}

export interface RepeatersMessage extends Worded {
  type: 'repeaters';
  version: number;
  chance_of_any_fault: number;
  new_repeaters: Repeater[];
  unheard: unknown[];
  changes?: Change[];
}

/** What a construction may be used for. */
export type UsedFor = 'wall' | 'door' | 'window' | 'slab' | 'obstacle';

export interface Construction {
  name: string;
  /** What people call it, and what it is. */
  called?: string;
  words: string;
  class: string;
  for: UsedFor[];
  /** Its loss at the plan's link, dB. */
  loss_db: number | null;
  /** Whether it is the plan's own. */
  own: boolean;
}

/** A word of the plan's format, and what people call it. */
export interface Word {
  name: string;
  words?: string;
}

/** What can be built of and hung at this plan's link. */
export interface PaletteMessage extends Worded {
  type: 'palette';
  version: number;
  constructions: Construction[];
  mounts?: Word[];
  roles?: Word[];
}

/** Lengths as the program reads them. */
export interface MeasuredMessage {
  type: 'measured';
  seq: number;
  metres: (number | null)[];
  faults: (string | null)[];
}

export interface TidiedMessage {
  type: 'tidied';
  version: number;
  done: string[];
  left: string[];
}

/** A tape-measure list as the program reads it. */
export interface TapeMessage {
  type: 'tape';
  version: number;
  /** The number of the question. */
  number: number;
  text: string;
  faults: { line: number; column: number; what: string; fix: string }[];
  assumed: string[];
  /** What the lines without faults make. */
  plan: Pick<PlanMessage, 'units' | 'levels' | 'features' | 'bounds'> | null;
}

export interface StartableMessage extends Worded {
  type: 'startable';
  examples: Word[];
}

export interface TakenMessage {
  type: 'taken';
  what: Taking;
  files: { name: string; at: string; bytes: number }[];
  words: string[];
}

export type ServerMessage =
  | PresentMessage
  | InvitedMessage
  | WalkAnswer
  | PaletteMessage
  | MeasuredMessage
  | TidiedMessage
  | StartableMessage
  | TakenMessage
  | TapeMessage
  | { type: 'used'; version: number }
  | PlanMessage
  | TableMessage
  | ExplainMessage
  | SpotsMessage
  | RepeatersMessage
  | { type: 'traced'; version: number; features: unknown[] }
  | { type: 'laid'; version: number; page: number; pages: number }
  | {
      type: 'saved';
      version: number;
      file: string;
      list?: { file: string; kept: boolean };
    }
  | { type: 'refused'; version: number; seq?: number; what: string; fix: string }
  | { type: 'elsewhere'; version: number; what: string }
  | { type: 'busy'; version: number; what: string; thousandths: number };

/** A map of reserves. Row 0 is at the south; a byte of 0 is a cell without a value. */
export interface HeatMap {
  version: number;
  seq: number;
  level: number;
  kind: MapKind;
  /** 0 coarse to 255, the last. */
  stage: number;
  columns: number;
  rows: number;
  /** South-west corner of the first cell. */
  x0: number;
  y0: number;
  cell: number;
  bytes: Uint8Array;
}

/** Bytes before the cells; a later version may add some behind them. */
const HEAD = 36;

/** Reads a binary message; `null` for what is no map of this version. */
export function readMap(data: ArrayBuffer): HeatMap | null {
  if (data.byteLength < HEAD) return null;
  const view = new DataView(data);
  const name = String.fromCharCode(...new Uint8Array(data, 0, 4));
  const [columns, rows] = [view.getUint16(18, true), view.getUint16(20, true)];
  if (name !== 'DM1\0' || data.byteLength < HEAD + columns * rows) return null;
  return {
    version: view.getUint32(4, true),
    seq: view.getUint32(8, true),
    level: view.getInt32(12, true),
    kind: view.getUint8(16) === 0 ? 'here' : 'anywhere',
    stage: view.getUint8(17),
    columns,
    rows,
    x0: view.getFloat32(24, true),
    y0: view.getFloat32(28, true),
    cell: view.getFloat32(32, true),
    bytes: new Uint8Array(data, data.byteLength - columns * rows),
  };
}

/** The reserve that a byte of a map stands for, dB; none for 0. */
export const reserveOf = (byte: number): number | null => (byte === 0 ? null : (byte - 100) * 0.5);
