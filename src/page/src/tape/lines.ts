// Lines of a tape list: what the form for a room writes, and which rooms a list has.

export const SIDES = ['right-of', 'left-of', 'behind', 'before'] as const;
export type Side = (typeof SIDES)[number];

export interface RoomRow {
  name: string;
  width: string;
  depth: string;
  side: Side;
  /** The room that it is beside; none for the first of a storey. */
  beside: string;
}

/** A name as a list has it: in quotation marks unless it is one plain word. */
export function named(name: string): string {
  const plain = name
    .replace(/["“”„«»]/g, '')
    .trim()
    .replace(/\s+/g, ' ');
  return /^[\p{L}\p{N}-]+$/u.test(plain) ? plain : `"${plain}"`;
}

/** The rooms of a list, in its order. */
export function roomsIn(text: string): string[] {
  const names = text.split('\n').flatMap((line) => {
    const read = /^\s*room\s+(?:["“”„«»]([^"“”„«»]*)["“”„«»]|([^\s#]+))/i.exec(line);
    const name = (read?.[1] ?? read?.[2] ?? '').trim().replace(/\s+/g, ' ');
    return name ? [name] : [];
  });
  return [...new Set(names)];
}

/** The line of a room. */
export function lineOf({ name, width, depth, side, beside }: RoomRow): string {
  const size = `${width.trim()} x ${depth.trim()}`;
  const place = beside ? ` ${side} ${named(beside)}` : '';
  return `room ${named(name)} ${size}${place}`;
}

/** A list with one more line at its end. */
export const withLine = (text: string, line: string): string =>
  `${text}${text === '' || text.endsWith('\n') ? '' : '\n'}${line}\n`;

/** Where a line begins and ends in a text; lines count from 1. */
export function spanOf(text: string, line: number): [number, number] {
  const lines = text.split('\n').slice(0, Math.max(1, line));
  const own = lines.pop() ?? '';
  const start = lines.reduce((sum, { length }) => sum + length + 1, 0);
  return [start, start + own.length];
}
