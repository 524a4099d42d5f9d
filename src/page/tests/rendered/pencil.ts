// Places of the plan on the screen, and what was sent of what was drawn.

import type { Page } from 'playwright-core';
import type { Change, ClientMessage, Point } from '../../src/live/protocol.ts';

/** The pixel on the screen at which a place of the plan is. */
export async function pixelOf(page: Page, [x, y]: Point): Promise<{ x: number; y: number }> {
  const frame = page.locator('.frame');
  const [view, box] = [await frame.getAttribute('data-view'), await frame.boundingBox()];
  const [right = 0, up = 0, resolution = 1] = (view ?? '').split(' ').map(Number);
  if (!view || !box) throw new Error('the plan is not on the screen');
  // The frame's own border is no part of the plan.
  return {
    x: box.x + box.width / 2 + (x - right) / resolution,
    y: box.y + box.height / 2 - (y - up) / resolution,
  };
}

/** Clicks places of the plan, one after the other. */
export async function clickAt(page: Page, ...places: Point[]): Promise<void> {
  for (const place of places) {
    const { x, y } = await pixelOf(page, place);
    await page.mouse.move(x, y, { steps: 2 });
    await page.mouse.down();
    await page.mouse.up();
  }
}

/** A finger that is pressed and drawn so that the cross above it comes to a place; lifts it. */
export async function holdAt(page: Page, place: Point): Promise<() => Promise<void>> {
  const client = await page.context().newCDPSession(page);
  const send = (type: 'touchStart' | 'touchMove' | 'touchEnd', x = 0, y = 0) =>
    client.send('Input.dispatchTouchEvent', {
      type,
      touchPoints: type === 'touchEnd' ? [] : [{ x, y }],
    });
  const { x, y } = await pixelOf(page, place);
  // The cross stands 60 pixels above the finger.
  await send('touchStart', x + 24, y + 76);
  for (let step = 1; step <= 4; step += 1) {
    await send('touchMove', x + 24 - step * 6, y + 76 - step * 4);
  }
  return async () => {
    await send('touchEnd');
  };
}

/** The same, and let go. */
export async function touchAt(page: Page, ...places: Point[]): Promise<void> {
  for (const place of places) await (await holdAt(page, place))();
}

export const edits = (heard: ClientMessage[]): Change[][] =>
  heard.flatMap((one) => (one.type === 'edit' ? [one.changes] : []));

export interface Added {
  geometry: { type: string; coordinates: unknown };
  properties: Record<string, unknown>;
}

/** The features that edits added. */
export const addedIn = (heard: ClientMessage[]): Added[] =>
  edits(heard)
    .flat()
    .flatMap((one) => (one.do === 'add' ? [one.feature as Added] : []));

/** The line that was added first. */
export const lineIn = (heard: ClientMessage[]): Point[] =>
  (addedIn(heard)[0]?.geometry.coordinates ?? []) as Point[];
