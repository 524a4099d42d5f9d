// Messages of a walk past all devices with readings.

import type { Language } from '../live/numbers.ts';
import type { Finding } from '../live/protocol.ts';

/** A row for the file of readings, by the names of its columns. */
export type Entry = Record<string, string>;

export type WalkWish =
  | { type: 'walk'; file: string | null; from: string | null; ends?: boolean }
  | { type: 'reading'; seq: number; file: string; entry: Entry }
  | {
      type: 'scales';
      seq: number;
      file: string;
      bars: string | null;
      percent: string | null;
    }
  | { type: 'accept'; file: string };

/** Expected, least and most of nine in ten, and from where it passes. */
export type Four = [number, number, number, number];

/** One device of the walk. */
export interface Stop {
  id: string;
  number: number | null;
  name: string;
  level: number;
  place: string;
  /** The way from the device before, metres. */
  leg_m: number | null;
  stairs: boolean;
  unreached: 'outdoors' | 'room' | 'level' | 'shut' | 'way' | null;
  /** The repeater at which its reading is taken. */
  at: string | null;
  at_name: string | null;
  finding: Finding | null;
  expected: { dbm: Four; bars: Four | null; percent: Four | null } | null;
  /** How it is tried, and what to look for. */
  see: string | null;
  /** Its newest row in the file. */
  row: Entry | null;
  rows: number;
}

export interface Refused {
  what: string;
  fix: string;
}

export interface WalkMessage {
  type: 'walk';
  version: number;
  file: string;
  refused?: Refused;
  from: string | null;
  /** Why the devices are not in walking order. */
  unordered: string | null;
  stops: Stop[];
  entries: { id: string; name: string }[];
  scales: { bars: number[] | null; percent: [number, number] | null };
  faults: { line: number; what: string; fix: string }[];
  language?: Language;
}

interface Outlook {
  margin_db: number;
  fault_per_year: number | null;
  finding: Finding;
}

export interface NextTest {
  test: string;
  note: string | null;
  minutes: number;
  effort: string;
}

/** What `diagnose --format json` prints, as far as it is shown. */
export interface Diagnosed {
  readings: { rows: number; used: number; devices: number };
  site_offset_db: { after: { mean: number; sigma: number } };
  devices: { id: string; before: Outlook; after: Outlook; finding_by_readings: Finding | null }[];
  causes: {
    id: string;
    number: number | null;
    name: string;
    out_of_reach: boolean;
    causes: { cause: string; chance: number; first_step: string }[];
    next_tests: NextTest[];
  }[];
  warnings: string[];
}

export interface DiagnosisMessage {
  type: 'diagnosis';
  version: number;
  file: string;
  /** Whether the plan holds just this. */
  calibrated: boolean;
  refused: Refused | null;
  report: Diagnosed | null;
  /** Causes, first steps and tests of the report, each in the page's language. */
  words?: Record<string, string>;
}

export type WalkAnswer =
  | WalkMessage
  | DiagnosisMessage
  | { type: 'written'; version: number; seq: number; file: string }
  | { type: 'accepted'; version: number; file: string };
