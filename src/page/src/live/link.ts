// The connection to the program: greets, sends, and connects again when it was lost.

import { ownSecret, random } from '../guest/here.ts';
import { language } from '../words/words.ts';
import type { ClientMessage, HeatMap, ServerMessage } from './protocol.ts';
import { readMap } from './protocol.ts';

export interface Listener {
  message(message: ServerMessage): void;
  map(map: HeatMap): void;
  /** Whether the program answers. */
  connected(is: boolean): void;
  /** The program lets this page in no more. */
  shutOut(why: string): void;
}

/** The waits before it connects again, milliseconds; the last one over and over. */
const WAITS = [300, 1000, 3000];

/** The code of a connection that is closed for what the page is or may not do (RFC 6455). */
const REFUSED = 1008;

export class Link {
  /** This tab's own name. */
  readonly tab = random();
  private readonly secret = ownSecret();
  private socket: WebSocket | null = null;
  private lost = 0;
  private readonly address: string;
  private readonly key: string;
  private readonly listener: Listener;

  constructor(address: string, key: string, listener: Listener) {
    this.address = address;
    this.key = key;
    this.listener = listener;
    this.open();
  }

  /** Sends a message; false while there is no connection. */
  send(message: ClientMessage): boolean {
    if (this.socket?.readyState !== WebSocket.OPEN) return false;
    this.socket.send(JSON.stringify(message));
    return true;
  }

  /** Sends bytes; false while there is no connection. */
  sendBytes(bytes: ArrayBuffer): boolean {
    if (this.socket?.readyState !== WebSocket.OPEN) return false;
    this.socket.send(bytes);
    return true;
  }

  private open() {
    const socket = new WebSocket(this.address, 'drillonce.1');
    socket.binaryType = 'arraybuffer';
    socket.onopen = () => {
      this.lost = 0;
      const { key, tab, secret } = this;
      this.send({ type: 'hello', key, tab, language: language.peek(), secret });
      this.listener.connected(true);
    };
    socket.onmessage = ({ data }: MessageEvent<string | ArrayBuffer>) => {
      if (typeof data === 'string') {
        this.listener.message(JSON.parse(data) as ServerMessage);
        return;
      }
      const map = readMap(data);
      if (map) this.listener.map(map);
    };
    socket.onclose = ({ code, reason }) => {
      this.listener.connected(false);
      // The same key will be refused again.
      if (code === REFUSED) {
        this.listener.shutOut(reason);
        return;
      }
      const wait = WAITS[Math.min(this.lost, WAITS.length - 1)];
      this.lost += 1;
      setTimeout(() => this.open(), wait);
    };
    this.socket = socket;
  }
}
