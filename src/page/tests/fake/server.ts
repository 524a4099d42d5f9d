// A server for tests: speaks the protocol from recorded messages of one plan. What is forecast is
// what was recorded for the nearest of three panel places.

import { readFileSync } from 'node:fs';
import { createServer, type Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import { type WebSocket, WebSocketServer } from 'ws';
import type { Language } from '../../src/live/numbers.ts';
import type {
  Change,
  ClientMessage,
  Construction,
  Fault,
  Feature,
  PlanMessage,
  Report,
  TableMessage,
  UsedFor,
} from '../../src/live/protocol.ts';
import {
  CLEAR,
  inLanguage,
  levelled,
  likeOthers,
  startableIn,
  TIDIED,
  takenFor,
} from './offers.ts';

interface Recorded {
  at: [number, number];
  check: Report;
  map: { columns: number; rows: number; x0: number; y0: number; cell: number; bytes: string };
}

interface Spots {
  best: { position_m: number[]; level: number; place: string }[];
}

const recorded = <T>(name: string): T =>
  JSON.parse(readFileSync(new URL(`recorded/${name}.json`, import.meta.url), 'utf8')) as T;

const FILES: Record<string, [string, string]> = {
  '/': ['index.html', 'text/html; charset=utf-8'],
  '/page.js': ['page.js', 'text/javascript; charset=utf-8'],
  '/licences.md': ['licences.md', 'text/markdown; charset=utf-8'],
  '/page.css': ['page.css', 'text/css; charset=utf-8'],
};

/** The headers of the program's own server. */
const HEADERS = {
  'Content-Security-Policy':
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; " +
    "connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'",
  'X-Content-Type-Options': 'nosniff',
  'Referrer-Policy': 'no-referrer',
  'Cache-Control': 'no-store',
};

export const KEY = 'abcdefghijklmnopqrstuv';

export class FakeServer {
  /** Every message that came from a page. */
  readonly heard: ClientMessage[] = [];
  /** What is answered with a refusal, if anything. */
  refuse: { what: string; fix: string } | null = null;
  private readonly http: Server;
  /** The pages, and the language that each speaks. */
  private readonly sockets = new Map<WebSocket, Language>();
  private readonly tables = recorded<Recorded[]>('tables');
  private texts: Feature[][];
  private at = 0;
  private savedAt = 0;
  private version = 1;
  private faults: Fault[] = [];
  private readonly first = recorded<PlanMessage>('plan');
  private units = this.first.units;
  /** Whether what is tried cannot be. */
  refuseTries = false;
  /** How long a forecast takes, milliseconds. */
  delay = 0;
  mapKind = 0;
  level = 0;

  /** Whether nothing is begun yet. */
  private readonly isNew: boolean;
  private levels = this.first.levels;
  /** Why nothing can be taken away, if so. */
  refuseTaking: { what: string; fix: string } | null = null;

  constructor({ isNew = false } = {}) {
    this.isNew = isNew;
    if (isNew) this.levels = this.levels.slice(0, 1);
    this.texts = [isNew ? [] : this.first.features];
    this.http = createServer(({ url }, response) => {
      const file = FILES[url ?? ''];
      if (!file) {
        response.writeHead(404, HEADERS).end();
        return;
      }
      const bytes = readFileSync(new URL(`../../dist/${file[0]}`, import.meta.url));
      response.writeHead(200, { ...HEADERS, 'Content-Type': file[1] }).end(bytes);
    });
    const upgrade = new WebSocketServer({ server: this.http, path: '/live' });
    upgrade.on('connection', (socket) => this.greet(socket));
  }

  async start(port = 0): Promise<string> {
    await new Promise<void>((ready) => this.http.listen(port, '127.0.0.1', ready));
    return `http://127.0.0.1:${(this.http.address() as AddressInfo).port}/#${KEY}`;
  }

  async stop(): Promise<void> {
    for (const socket of this.sockets.keys()) socket.terminate();
    this.http.closeAllConnections();
    await new Promise((done) => this.http.close(done));
  }

  /** Breaks every connection, as a program that ends does. */
  hangUp(): void {
    for (const socket of this.sockets.keys()) socket.terminate();
  }

  /** Closes every connection for good, and says why. */
  shutOut(why: string): void {
    for (const socket of this.sockets.keys()) socket.close(1008, why);
  }

  /** The next text has these faults. */
  setFaults(faults: Fault[]): void {
    this.faults = faults;
    this.version += 1;
    this.send(this.plan());
  }

  /** The next text has no panel, and so no forecast. */
  removePanel(): void {
    const features = (this.texts[this.at] ?? []).filter(({ kind }) => kind !== 'panel');
    this.texts = [...this.texts.slice(0, this.at + 1), features];
    this.at += 1;
    this.version += 1;
    this.send(this.plan());
  }

  /** Sends a message to all pages. */
  send(message: unknown): void {
    for (const socket of this.sockets.keys()) socket.send(JSON.stringify(message));
  }

  private greet(socket: WebSocket): void {
    let tab: string | null = null;
    socket.on('close', () => this.sockets.delete(socket));
    socket.on('message', (data) => {
      const message = JSON.parse(String(data)) as ClientMessage;
      if (!tab && (message.type !== 'hello' || message.key !== KEY)) {
        socket.close();
        return;
      }
      this.heard.push(message);
      if (message.type === 'hello') {
        tab = message.tab;
        this.sockets.set(socket, message.language);
        socket.send(JSON.stringify(this.plan()));
        this.offer(socket);
        this.forecast([socket], this.texts[this.at] ?? [], 0, null);
      } else if (tab) {
        this.answer(socket, tab, message);
      }
    });
  }

  private languageOf(socket: WebSocket): Language {
    return this.sockets.get(socket) ?? 'en';
  }

  private offer(socket: WebSocket): void {
    const language = this.languageOf(socket);
    const constructions = paletteOf(this.first, language);
    const palette = { type: 'palette', version: this.version, language, constructions };
    socket.send(JSON.stringify(palette));
    if (this.isNew && this.at === 0) socket.send(JSON.stringify(startableIn(language)));
  }

  private answer(socket: WebSocket, tab: string, message: ClientMessage): void {
    const features = this.texts[this.at] ?? [];
    const version = this.version;
    switch (message.type) {
      case 'edit':
        if (this.refuse) {
          socket.send(
            JSON.stringify({ type: 'refused', version, seq: message.seq, ...this.refuse }),
          );
          return;
        }
        this.texts = [...this.texts.slice(0, this.at + 1), changed(features, message.changes)];
        this.step(1, message.seq, tab);
        break;
      case 'try':
        if (this.refuseTries) {
          const why = { what: 'it would be in a wall', fix: 'move it elsewhere' };
          socket.send(JSON.stringify({ type: 'refused', version, seq: message.seq, ...why }));
          return;
        }
        this.forecast([socket], changed(features, message.changes), message.seq, tab);
        break;
      case 'undo':
        if (this.at > 0) this.step(-1, 0, tab);
        break;
      case 'redo':
        if (this.at + 1 < this.texts.length) this.step(1, 0, tab);
        break;
      case 'save':
        this.savedAt = this.at;
        this.send({ type: 'saved', version, file: message.as ?? this.first.file });
        this.send(this.plan());
        break;
      case 'map':
        this.mapKind = message.kind === 'here' ? 0 : 1;
        this.level = message.level;
        this.forecast([socket], features, 0, null);
        break;
      case 'language':
        this.sockets.set(socket, message.to);
        this.offer(socket);
        this.forecast([socket], features, 0, null);
        break;
      case 'measure': {
        const read = message.texts.map(measured);
        const [metres, faults] = [read.map((one) => one.metres), read.map((one) => one.fault)];
        socket.send(JSON.stringify({ type: 'measured', seq: message.seq, metres, faults }));
        break;
      }
      case 'tidy':
        this.texts = [...this.texts.slice(0, this.at + 1), features];
        this.faults = [];
        this.step(1, 0, tab);
        this.send({ type: 'tidied', version: this.version, ...TIDIED });
        break;
      case 'start':
        if (message.with === 'example') this.texts = [this.first.features];
        this.units = message.with === 'empty' ? message.units : this.first.units;
        this.step(0, 0, tab);
        break;
      case 'level':
        this.levels = levelled(this.levels, message);
        this.texts = [...this.texts.slice(0, this.at + 1), features];
        this.step(1, 0, tab);
        break;
      case 'take': {
        const why = this.refuseTaking;
        const answer = why ? { type: 'refused', version, ...why } : takenFor(message);
        setTimeout(() => socket.send(JSON.stringify(answer)), this.delay);
        break;
      }
      case 'explain':
        socket.send(JSON.stringify(this.explained(message.id, this.languageOf(socket))));
        break;
      case 'spots':
        socket.send(JSON.stringify({ type: 'busy', version, what: 'spots', thousandths: 500 }));
        socket.send(JSON.stringify(this.spots(this.languageOf(socket))));
        break;
      case 'repeaters':
        socket.send(
          JSON.stringify({ type: 'repeaters', version, ...recorded<object>('repeaters') }),
        );
        break;
    }
  }

  private step(by: number, seq: number, tab: string): void {
    this.at += by;
    this.version += 1;
    this.send(this.plan());
    this.forecast([...this.sockets.keys()], this.texts[this.at] ?? [], seq, tab);
  }

  private plan(): PlanMessage {
    return {
      ...this.first,
      version: this.version,
      levels: this.levels,
      units: this.units,
      features: this.texts[this.at] ?? [],
      undo: this.at,
      redo: this.texts.length - 1 - this.at,
      unsaved: Math.abs(this.at - this.savedAt),
      faults: this.faults,
    };
  }

  private forecast(to: WebSocket[], features: Feature[], seq: number, tab: string | null): void {
    const panel = features.find(({ kind }) => kind === 'panel');
    const [x = 0, y = 0] = panel?.geometry?.type === 'Point' ? panel.geometry.coordinates : [];
    const off = ({ at }: Recorded) => Math.hypot(at[0] - x, at[1] - y);
    const [near] = [...this.tables].sort((one, other) => off(one) - off(other));
    if (!near || !panel) return;
    const version = this.version;
    const { check } = near;
    const map = this.map(near, seq);
    const tell = () => {
      for (const socket of to) {
        const language = this.languageOf(socket);
        const words = wordsOf(check, language);
        const table = { type: 'table', version, seq, tab, check, language, words };
        socket.send(JSON.stringify(table));
        socket.send(map);
      }
    };
    if (this.delay > 0) setTimeout(tell, this.delay);
    else tell();
  }

  private map({ map }: Recorded, seq: number): Buffer {
    const head = Buffer.alloc(36);
    head.write('DM1\0', 'latin1');
    head.writeUInt32LE(this.version, 4);
    head.writeUInt32LE(seq, 8);
    head.writeInt32LE(this.level, 12);
    head.writeUInt8(this.mapKind, 16);
    head.writeUInt8(255, 17);
    head.writeUInt16LE(map.columns, 18);
    head.writeUInt16LE(map.rows, 20);
    head.writeFloatLE(map.x0, 24);
    head.writeFloatLE(map.y0, 28);
    head.writeFloatLE(map.cell, 32);
    return Buffer.concat([head, Buffer.from(map.bytes, 'base64')]);
  }

  private explained(id: string, language: Language): unknown {
    const answer = recorded<{ remedies: { action: string }[] }>('explain');
    const worded = answer.remedies.map((remedy, at) =>
      language === 'en' ? remedy : { ...remedy, words: `remedio ${at + 1}` },
    );
    const remedies = worded.map((remedy) =>
      remedy.action === 'repeater'
        ? { ...remedy, changes: [{ do: 'set', id, properties: { via: 'repeater-1' } }] }
        : remedy,
    );
    const words = language === 'en' ? {} : { summary: ['Un resumen.'] };
    return { type: 'explain', version: this.version, id, ...answer, language, words, remedies };
  }

  private spots(language: Language): unknown {
    const answer = recorded<Spots>('spots');
    const best = answer.best.map((spot, at) => ({
      ...spot,
      words: { place: inLanguage(language, spot.place, `pared ${at + 1}`) },
      changes: [
        { do: 'move', id: 'panel', to: spot.position_m.slice(0, 2), level: spot.level },
      ] satisfies unknown[],
    }));
    return { type: 'spots', version: this.version, language, ...answer, best };
  }
}

/** The wall that costs most on the straight way. */
function heaviest(device: object, language: Language): string {
  const { crossings } = device as { crossings: { feature: string; loss_db: number }[] };
  const [most] = [...crossings].sort((one, other) => other.loss_db - one.loss_db);
  return most ? `${most.feature} ${most.loss_db.toFixed(0)} dB` : CLEAR[language];
}

/** What the program adds for people; the limits are those of this plan's pictures. */
function wordsOf({ sensors, devices }: Report, language: Language): TableMessage['words'] {
  const rows = [...sensors, ...devices].map((device) => [
    device.id,
    { chance: '', reserve: '', why: heaviest(device, language) },
  ]);
  return {
    devices: Object.fromEntries(rows),
    thresholds: { failing_below_db: 5.8, sound_from_db: 17.4 },
  };
}

/** The features after changes. */
export const changed = (features: Feature[], changes: Change[]): Feature[] =>
  changes.reduce(afterOne, features);

function afterOne(features: Feature[], change: Change): Feature[] {
  const at = (id: string, next: (feature: Feature) => Feature) =>
    features.map((one) => (one.id === id ? next(one) : one));
  switch (change.do) {
    case 'move':
      return at(change.id, (one) => ({
        ...one,
        level: change.level ?? one.level,
        geometry: { type: 'Point', coordinates: [...change.to] },
      }));
    case 'shape':
      return at(change.id, (one) => ({
        ...one,
        geometry:
          one.geometry?.type === 'Polygon'
            ? { type: 'Polygon', coordinates: [[...change.coordinates]] }
            : { type: 'LineString', coordinates: [...change.coordinates] },
      }));
    case 'set':
      return at(change.id, (one) => ({
        ...one,
        properties: withoutNull({ ...one.properties, ...change.properties }),
        level: typeof change.properties.level === 'number' ? change.properties.level : one.level,
      }));
    case 'remove':
      return features.filter(({ id }) => id !== change.id);
    case 'add':
      return [...features, added(features, change.feature as Feature)];
    case 'ground':
      return features;
  }
}

/** A new feature with an id that no other has, as the program gives it. */
function added(features: Feature[], feature: Feature): Feature {
  const { kind, level } = feature.properties as { kind: string; level?: number };
  const taken = new Set(features.map(({ id }) => id));
  const wanted = feature.id ?? `${kind}-${features.filter((one) => one.kind === kind).length + 1}`;
  let id = wanted;
  for (let count = 2; taken.has(id); count += 1) id = `${wanted}-${count}`;
  return likeOthers({ ...feature, id, kind, level: level ?? 0 }, features);
}

const withoutNull = (properties: object) =>
  Object.fromEntries(Object.entries(properties).filter(([, value]) => value !== null));

const FEET = /^(\d+(?:\.\d+)?)'\s*(?:(\d+(?:\.\d+)?)")?$/;

/** Lengths in the writing that the tests use. */
function measured(text: string): { metres: number | null; fault: string | null } {
  const feet = FEET.exec(text.trim());
  if (feet) {
    const metres = Number(feet[1]) * 0.3048 + Number(feet[2] ?? 0) * 0.0254;
    return { metres, fault: null };
  }
  const metres = text.trim() === '' ? Number.NaN : Number(text);
  return Number.isFinite(metres)
    ? { metres, fault: null }
    : { metres: null, fault: `"${text}" is no length; write 3.2 or 10' 6"` };
}

/** What things are built of: those of the plan, with losses made up for the tests. */
function paletteOf(
  { constructions }: PlanMessage & { constructions?: Row[] },
  language: Language,
): Construction[] {
  const uses = (name: string): UsedFor[] => {
    if (/^(floor|ceiling)/.test(name)) return ['slab'];
    if (/door/.test(name)) return ['door'];
    if (/^glass/.test(name)) return ['window', 'wall'];
    return ['wall', 'obstacle'];
  };
  return (constructions ?? []).map(({ name, class: sort }, at) => ({
    name,
    called: inLanguage(language, name, `construcción ${at + 1}`),
    words: inLanguage(language, name.replaceAll('-', ' '), `capas ${at + 1}`),
    class: sort,
    for: uses(name),
    loss_db: 1 + at / 2,
    own: false,
  }));
}

interface Row {
  name: string;
  class: string;
}
