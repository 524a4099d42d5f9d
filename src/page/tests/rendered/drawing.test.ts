// Walls and areas are drawn: by mouse, by finger, aiming, by keys alone.

import assert from 'node:assert/strict';
import { test } from 'node:test';
import type { Page } from 'playwright-core';
import type { Point } from '../../src/live/protocol.ts';
import { middleOf, skip, until, withPage } from './browser.ts';
import { addedIn, clickAt, edits, lineIn, pixelOf, touchAt } from './pencil.ts';

const take = (page: Page, name: string) => page.locator(`.tool[data-tool="${name}"]`).click();
const words = (page: Page) => page.locator('.cross-words b').allTextContents();
const aloud = async (page: Page) => (await page.locator('#hand-aloud').textContent()) ?? '';
const PHONE = { viewport: { width: 360, height: 740 }, hasTouch: true, isMobile: true };

/** A closet in the living room, off every wall and its line. */
const A: Point = [6.8, 0.45];
const B: Point = [9.45, 0.45];
const C: Point = [9.45, 1.9];
const D: Point = [6.8, 1.9];

test('a run of walls by mouse: snapped, closed, one edit, one undo', { skip }, () =>
  withPage({}, async ({ page, server, complaints }) => {
    await take(page, 'wall');
    await clickAt(page, A, B, C);
    const { x, y } = await pixelOf(page, [6.83, 1.95]);
    await page.mouse.move(x, y);
    assert.deepEqual(await words(page), ['2.65 m', 'right angle, in line with the start']);
    await clickAt(page, D);
    assert.equal(edits(server.heard).length, 0);
    const start = await pixelOf(page, [6.85, 0.5]);
    await page.mouse.move(start.x, start.y);
    assert.ok((await words(page)).includes('start of the run'));
    await clickAt(page, A);
    await until('an edit', () => edits(server.heard).length === 1);
    const [shed] = addedIn(server.heard);
    assert.deepEqual(shed?.geometry, { type: 'LineString', coordinates: [A, B, C, D, A] });
    assert.deepEqual(shed?.properties, { kind: 'wall', construction: 'stud-partition', level: 0 });
    await page.getByRole('button', { name: 'Undo' }).click();
    await until('undone', () => server.heard.filter(({ type }) => type === 'undo').length === 1);
    assert.deepEqual(complaints, []);
  }),
);

test('the plan moves under a mouse that drags, and no point is set', { skip }, () =>
  withPage({}, async ({ page, server }) => {
    await take(page, 'wall');
    const { x, y } = await pixelOf(page, A);
    const before = await middleOf(page, '.mark.panel');
    await page.mouse.move(x, y);
    await page.mouse.down();
    await page.mouse.move(x + 60, y - 40, { steps: 5 });
    await page.mouse.up();
    await until('a moved plan', async () => {
      const now = await middleOf(page, '.mark.panel');
      return now.x - before.x > 30 && before.y - now.y > 20;
    });
    assert.ok(await page.getByRole('button', { name: 'Take back' }).isDisabled());
    // A click on a device sets a point, it does not choose the device.
    const mark = await middleOf(page, '.mark[data-id="m-hall"]');
    await page.mouse.click(mark.x, mark.y);
    assert.ok(await page.getByRole('button', { name: 'Take back' }).isEnabled());
    assert.equal(await page.locator('#details-title').count(), 0);
    assert.equal(edits(server.heard).length, 0);
  }),
);

test('lengths are typed as one goes, and their faults shown', { skip }, () =>
  withPage({}, async ({ page, server }) => {
    await take(page, 'wall');
    await clickAt(page, A);
    const { x, y } = await pixelOf(page, [7.8, 0.5]);
    await page.mouse.move(x, y);
    // A figure typed on the plan is a length.
    await page.keyboard.type('3.2');
    const field = page.getByLabel('Length', { exact: true });
    assert.equal(await field.inputValue(), '3.2');
    await until('the length', async () => (await words(page))[0] === '3.20 m');
    await page.keyboard.press('Enter');
    await field.fill('ten');
    await page.locator('#leg-fault').getByText('"ten" is no length').waitFor();
    await page.keyboard.press('Enter');
    await page.waitForTimeout(100);
    await field.fill(`4' 6"`);
    await page.locator('.leg select').selectOption('right');
    await until('the length', async () => (await words(page))[0] === '1.37 m');
    await page.keyboard.press('Escape');
    await field.fill(`4' 6"`);
    await page.locator('.leg select').selectOption('degrees');
    await page.getByLabel('Degrees to the left').fill('-90');
    await page.getByRole('button', { name: 'Set this leg' }).click();
    await page.getByRole('button', { name: 'End', exact: true }).click();
    await until('an edit', () => edits(server.heard).length === 1);
    assert.deepEqual(addedIn(server.heard)[0]?.geometry.coordinates, [
      [6.8, 0.45],
      [10, 0.45],
      [10, -0.9216],
    ]);
  }),
);

test('a finger draws with the cross above it, and a second one only zooms', { skip }, () =>
  withPage(PHONE, async ({ page, server }) => {
    await page.getByRole('button', { name: 'Farther' }).tap();
    await page.waitForTimeout(300);
    await take(page, 'wall');
    await page.locator('.frame').scrollIntoViewIfNeeded();
    await touchAt(page, A, B);
    await page.getByText('Take back').waitFor();
    const client = await page.context().newCDPSession(page);
    const { x, y } = await pixelOf(page, [10, 2]);
    const touch = (type: string, ...points: { x: number; y: number; id: number }[]) =>
      client.send('Input.dispatchTouchEvent', { type: type as 'touchStart', touchPoints: points });
    const view = await page.locator('.frame').getAttribute('data-view');
    await touch('touchStart', { x: x - 20, y, id: 0 });
    await touch('touchStart', { x: x - 20, y, id: 0 }, { x: x + 20, y, id: 1 });
    for (let off = 25; off <= 60; off += 5) {
      await touch('touchMove', { x: x - off, y, id: 0 }, { x: x + off, y, id: 1 });
    }
    await touch('touchEnd');
    await until(
      'a closer look',
      async () => (await page.locator('.frame').getAttribute('data-view')) !== view,
    );
    await page.getByRole('button', { name: 'End', exact: true }).tap();
    await until('an edit', () => edits(server.heard).length === 1);
    const line = lineIn(server.heard);
    assert.equal(line.length, 2, 'two fingers set nothing');
    const [first = [0, 0], second = [0, 0]] = line;
    assert.ok(Math.hypot(first[0] - A[0], first[1] - A[1]) < 0.8, `${first}`);
    assert.equal(first[1], second[1]);
  }),
);

test('aiming, the cross stands still, the plan moves, a large button sets', { skip }, () =>
  withPage(PHONE, async ({ page, server }) => {
    await take(page, 'wall');
    await page.getByText('Aim', { exact: true }).tap();
    const frame = await middleOf(page, '.frame');
    const cross = async () => {
      const box = await page.locator('svg.cross').boundingBox();
      return box ? { x: box.x + box.width / 2, y: box.y + box.height / 2 } : { x: 0, y: 0 };
    };
    const start = await cross();
    assert.ok(Math.hypot(start.x - frame.x, start.y - frame.y) < 2);
    const button = page.getByRole('button', { name: 'Set point' });
    const box = await button.boundingBox();
    assert.ok(box && box.width >= 100 && box.height >= 44, JSON.stringify(box));
    await button.tap();
    await page.getByRole('button', { name: 'Cross 10 cm right' }).tap();
    for (let step = 0; step < 9; step += 1) {
      await page.getByRole('button', { name: 'Cross 10 cm right' }).tap();
    }
    await button.tap();
    const now = await cross();
    const later = await middleOf(page, '.frame');
    assert.ok(Math.hypot(now.x - later.x, now.y - later.y) < 2, 'it stands in the middle');
    await page.getByRole('button', { name: 'End', exact: true }).tap();
    await until('an edit', () => edits(server.heard).length === 1);
    const [one, other] = lineIn(server.heard) as [Point, Point];
    assert.ok(Math.abs(other[0] - one[0] - 1) < 0.11, `${one} ${other}`);
    assert.equal(one[1], other[1]);
  }),
);

test('a cross that rests draws nothing anew', { skip }, () =>
  withPage({}, async ({ page }) => {
    await take(page, 'wall');
    await clickAt(page, A, B);
    await page.getByText('Aim', { exact: true }).click();
    await page.waitForTimeout(500);
    const drawn = await page.evaluate(async () => {
      let count = 0;
      const frame = document.querySelector('.frame');
      const watch = new MutationObserver((seen) => {
        count += seen.length;
      });
      if (frame) watch.observe(frame, { attributes: true, attributeFilter: ['data-view'] });
      await new Promise((done) => setTimeout(done, 600));
      watch.disconnect();
      return count;
    });
    assert.ok(drawn <= 2, `${drawn} times`);
  }),
);

test('by keys alone: tool, points, steps of three sizes, back, end', { skip }, () =>
  withPage({}, async ({ page, server }) => {
    await page.locator('.tool[data-tool="wall"]').focus();
    await page.keyboard.press('ArrowRight');
    await page.keyboard.press('ArrowLeft');
    await page.keyboard.press('Enter');
    const isPlan = () => page.evaluate(() => document.activeElement?.className === 'target');
    assert.ok(await isPlan(), 'the plan has the keyboard');
    for (let step = 0; step < 9; step += 1) await page.keyboard.press('Shift+ArrowDown');
    await page.keyboard.press('Enter');
    await page.keyboard.press('Shift+ArrowRight');
    await page.keyboard.press('Shift+ArrowRight');
    await page.keyboard.press('ArrowRight');
    assert.match(await aloud(page), /^(\w+, )?2\.10 m right/);
    await page.keyboard.press('Enter');
    await page.keyboard.press('Alt+ArrowUp');
    await page.keyboard.press('Alt+ArrowUp');
    assert.match(await aloud(page), /^(\w+, )?0\.02 m up/);
    await page.keyboard.press('Enter');
    await page.keyboard.press('Backspace');
    await page.keyboard.press('Escape');
    await until('an edit', () => edits(server.heard).length === 1);
    const [one, other, ...rest] = lineIn(server.heard);
    assert.deepEqual(rest, []);
    assert.ok(one && other && Math.abs(other[0] - one[0] - 2.1) < 1e-6 && other[1] === one[1]);
    await page.keyboard.press('Escape');
    assert.equal(await page.locator('.in-use').count(), 0, 'the tool is put away');
  }),
);

test('an edit of another tab does not disturb what is being drawn', { skip }, () =>
  withPage({}, async ({ page, server }) => {
    const other = await page.context().newPage();
    await other.goto(page.url());
    await other.locator('.mark.panel').waitFor();
    await page.bringToFront();
    await take(page, 'wall');
    await clickAt(page, A, B);
    await other.bringToFront();
    await other.locator('.mark.panel').focus();
    for (const key of ['Enter', 'Shift+ArrowDown', 'Enter']) await other.keyboard.press(key);
    await until('an edit', () => edits(server.heard).length === 1);
    await page.bringToFront();
    await clickAt(page, C);
    await page.keyboard.press('Escape');
    await until('a second edit', () => edits(server.heard).length === 2);
    assert.equal(lineIn(server.heard).length, 3);
  }),
);

test('what the program refuses is in the hand again', { skip }, () =>
  withPage({}, async ({ page, server }) => {
    server.refuse = { what: 'the plan is full', fix: 'remove something' };
    await take(page, 'wall');
    await clickAt(page, A, B);
    await page.keyboard.press('Escape');
    await page.getByRole('alert').getByText('the plan is full').waitFor();
    assert.ok(await page.getByRole('button', { name: 'Take back' }).isEnabled());
  }),
);

test('a construction is found by its words, with its loss', { skip }, () =>
  withPage({}, async ({ page, server }) => {
    await take(page, 'wall');
    await page.getByRole('button', { name: 'Others …' }).click();
    await page.locator('.construction-list input').fill('cavity brick ins');
    const found = page.locator('.construction-list .construction');
    assert.equal(await found.count(), 1);
    assert.match((await found.textContent()) ?? '', /brick cavity insulated\s*6\.0 dB/);
    await found.click();
    await clickAt(page, A, B);
    await page.keyboard.press('Escape');
    await until('an edit', () => edits(server.heard).length === 1);
    assert.equal(addedIn(server.heard)[0]?.properties.construction, 'brick-cavity-insulated');
  }),
);

test('floors and areas: by two corners or point after point', { skip }, () =>
  withPage({}, async ({ page, server }) => {
    await take(page, 'obstacle');
    await clickAt(page, A, C);
    await until('a box', () => edits(server.heard).length === 1);
    await take(page, 'roam');
    await page.getByText('Outline', { exact: true }).click();
    await clickAt(page, [12.6, 0.45], [13.6, 0.45], [13.6, 1.4], [12.6, 0.45]);
    await until('an outline', () => edits(server.heard).length === 2);
    await take(page, 'mountable');
    // In front of the south wall's face.
    await clickAt(page, [7, -0.7], [9, -0.7]);
    await page.keyboard.press('Escape');
    await until('a line', () => edits(server.heard).length === 3);
    await take(page, 'slab');
    await clickAt(page, A, C);
    await until('a floor', () => edits(server.heard).length === 4);
    const [obstacle, roam, mountable, slab] = addedIn(server.heard);
    assert.deepEqual(obstacle, {
      type: 'Feature',
      geometry: {
        type: 'Polygon',
        coordinates: [
          [
            [6.8, 0.45],
            [9.45, 0.45],
            [9.45, 1.9],
            [6.8, 1.9],
            [6.8, 0.45],
          ],
        ],
      },
      properties: { kind: 'obstacle', construction: 'sheet-metal', level: 0 },
    });
    assert.deepEqual(roam?.properties, { kind: 'roam', level: 0 });
    assert.deepEqual(roam?.geometry.coordinates, [
      [
        [12.6, 0.45],
        [13.6, 0.45],
        [13.6, 1.4],
        [12.6, 0.45],
      ],
    ]);
    assert.equal(mountable?.geometry.type, 'LineString');
    const [first] = (mountable?.geometry.coordinates ?? []) as Point[];
    assert.ok(first && Math.abs(first[1] + 0.823) < 0.01, `${first}`);
    assert.equal(slab?.properties.construction, 'floor-concrete');
  }),
);

test('undo takes back what is not yet of the plan first', { skip }, () =>
  withPage({}, async ({ page, server }) => {
    await take(page, 'wall');
    await clickAt(page, A, B, C);
    await page.keyboard.press('Control+z');
    await page.keyboard.press('Escape');
    await until('an edit', () => edits(server.heard).length === 1);
    assert.deepEqual(lineIn(server.heard), [A, B]);
    assert.ok(!server.heard.some(({ type }) => type === 'undo'));
    await page.keyboard.press('Control+z');
    await until('undo', () => server.heard.some(({ type }) => type === 'undo'));
  }),
);

test('a hole is cut into the floor that is there', { skip }, () =>
  withPage({}, async ({ page, server }) => {
    await take(page, 'hole');
    await clickAt(page, A, C);
    await until('an edit', () => edits(server.heard).length === 1);
    const [remove, add] = edits(server.heard)[0] ?? [];
    assert.deepEqual(remove, { do: 'remove', id: 'house-floor' });
    assert.ok(add?.do === 'add');
    const { id, geometry } = add.feature as { id: string; geometry: { coordinates: Point[][] } };
    assert.equal(id, 'house-floor');
    assert.deepEqual(geometry.coordinates[1], [A, B, C, D, A]);
  }),
);

test('a corner of a chosen wall is dragged; what hangs on it goes along', { skip }, () =>
  withPage({}, async ({ page, server }) => {
    await page.locator('.things').evaluate((one) => one.setAttribute('open', ''));
    const named = page.locator('.name', { hasText: /^suite$/ });
    await page.locator('.thing', { has: named }).click();
    const corner = page.getByRole('button', { name: 'Corner 1 of suite' });
    await corner.waitFor();
    await page.getByRole('button', { name: 'Leg 2 of suite' }).focus();
    await page.keyboard.press('Enter');
    await page.keyboard.press('ArrowDown');
    await page.keyboard.press('ArrowDown');
    await until('a try', () => server.heard.some(({ type }) => type === 'try'));
    await page.keyboard.press('Enter');
    await until('an edit', () => edits(server.heard).length === 1);
    const changes = edits(server.heard)[0] ?? [];
    const shapes = new Map(changes.map((one) => ['id' in one ? one.id : '', one]));
    assert.deepEqual(shapes.get('suite'), {
      do: 'shape',
      id: 'suite',
      coordinates: [
        [14.1, 8.2],
        [14.1, 6.2],
        [16, 6.2],
      ],
    });
    assert.deepEqual(shapes.get('suite-door'), {
      do: 'shape',
      id: 'suite-door',
      coordinates: [
        [14.3, 6.2],
        [15.06, 6.2],
      ],
    });
    const from = await pixelOf(page, [14.1, 6.2]);
    const to = await pixelOf(page, [14.7, 6.2]);
    await page.mouse.move(from.x, from.y);
    await page.mouse.down();
    await page.mouse.move(to.x, to.y + 3, { steps: 6 });
    await page.mouse.up();
    await until('a second edit', () => edits(server.heard).length === 2);
    const second = edits(server.heard)[1]?.find((one) => 'id' in one && one.id === 'suite');
    assert.deepEqual((second as { coordinates: Point[] }).coordinates[1], [14.7, 6.2]);
    await page.getByRole('button', { name: 'Corner 2 of suite' }).focus();
    await page.keyboard.press('Delete');
    await until('a third edit', () => edits(server.heard).length === 3);
  }),
);

test('a corner follows a finger, and stays above it', { skip }, () =>
  withPage({ ...PHONE, viewport: { width: 820, height: 1180 } }, async ({ page, server }) => {
    await page.locator('.things').evaluate((one) => one.setAttribute('open', ''));
    const named = page.locator('.name', { hasText: /^pantry$/ });
    await page.locator('.thing', { has: named }).tap();
    const corner = page.getByRole('button', { name: 'Corner 2 of pantry' });
    await corner.scrollIntoViewIfNeeded();
    const start = await pixelOf(page, [9, 7]);
    const client = await page.context().newCDPSession(page);
    const touch = (type: string, ...points: { x: number; y: number }[]) =>
      client.send('Input.dispatchTouchEvent', { type: type as 'touchStart', touchPoints: points });
    await touch('touchStart', start);
    const goal = await pixelOf(page, [8.6, 7]);
    for (let step = 1; step <= 5; step += 1) {
      const share = step / 5;
      const x = start.x + (goal.x - start.x) * share;
      await touch('touchMove', { x, y: start.y + 60 * share });
    }
    await until('a try', () => server.heard.some(({ type }) => type === 'try'));
    await touch('touchEnd');
    await until('an edit', () => edits(server.heard).length === 1);
    const pantry = edits(server.heard)[0]?.find((one) => 'id' in one && one.id === 'pantry');
    const { coordinates } = pantry as { coordinates: Point[] };
    const moved = coordinates[1] as Point;
    assert.ok(Math.abs(moved[0] - 8.6) < 0.15 && Math.abs(moved[1] - 7) < 0.15, `${moved}`);
  }),
);

test('aiming by keys: the plan moves under the cross, Enter sets', { skip }, () =>
  withPage({}, async ({ page, server }) => {
    await take(page, 'wall');
    await page.getByText('Aim', { exact: true }).click();
    await page.locator('.target').focus();
    await page.keyboard.press('Enter');
    for (const key of ['Shift+ArrowRight', 'ArrowRight', 'Enter', 'Shift+ArrowUp', 'Enter']) {
      await page.keyboard.press(key);
      // The plan is drawn where it was moved to; the cross must not run off by that.
      await page.waitForTimeout(60);
    }
    await page.keyboard.press('Escape');
    await until('an edit', () => edits(server.heard).length === 1);
    const [one, two, three] = lineIn(server.heard) as [Point, Point, Point];
    const by = (a: Point, b: Point) => [b[0] - a[0], b[1] - a[1]].map((it) => it.toFixed(3));
    assert.deepEqual(by(one, two), ['1.100', '0.000']);
    assert.deepEqual(by(two, three), ['0.000', '1.000']);
  }),
);
