// A picture on its way to the program, in pieces.

import { signal } from '@preact/signals';
import { laid, level, notice, sendBytes } from '../live/state.ts';
import { say } from '../words/words.ts';

/** Most bytes of a picture, and of a piece. */
const [MOST, PIECE] = [25 << 20, 512 << 10];
/** Bytes before what a piece holds. */
const HEAD = 20;

/** Whether a picture is on its way; the plan that has it, or a refusal, ends it. */
export const onItsWay = signal(false);

/** A piece as the program reads it. */
export function pieceOf(bytes: Uint8Array, at: number, on: number, page = 1): ArrayBuffer {
  const part = bytes.subarray(at, at + PIECE);
  const piece = new ArrayBuffer(HEAD + part.length);
  const view = new DataView(piece);
  [...'PG2\0'].forEach((letter, index) => {
    view.setUint8(index, letter.charCodeAt(0));
  });
  view.setUint32(4, bytes.length, true);
  view.setUint32(8, at, true);
  view.setInt32(12, on, true);
  view.setUint32(16, page, true);
  new Uint8Array(piece, HEAD).set(part);
  return piece;
}

/** The file that was sent last. */
let sent: File | null = null;

/** Sends a picture or a page of a PDF, to lie under the level that is shown. */
export async function upload(file: File, page = 1): Promise<void> {
  if (file.size > MOST || file.size === 0) {
    const what = say('pictureTooLarge');
    notice.value = { type: 'refused', version: 0, what, fix: say('pictureSmaller') };
    return;
  }
  if (file !== sent) laid.value = null;
  sent = file;
  const bytes = new Uint8Array(await file.arrayBuffer());
  for (let at = 0; at < bytes.length; at += PIECE) {
    if (!sendBytes(pieceOf(bytes, at, level.value, page))) return;
  }
  onItsWay.value = true;
}

/** Sends another page of the file that was sent last. */
export const turnTo = (page: number): void => {
  if (sent) upload(sent, page);
};
