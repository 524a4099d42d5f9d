// A photograph of a floor plan becomes a house with a finding on the page of the real program, by
// taps: laid under the plan, scaled, walls inked.

import assert from 'node:assert/strict';
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { test } from 'node:test';
import { crc32, deflateSync } from 'node:zlib';
import type { Page } from 'playwright-core';
import type { Backdrop, Point } from '../../src/live/protocol.ts';
import { SHOTS, until } from './browser.ts';
import { holdAt, pixelOf, touchAt } from './pencil.ts';
import { ofKind, type Real, skip, withProgram } from './program.ts';

const TABLET = { viewport: { width: 820, height: 1180 }, hasTouch: true, isMobile: true };
/** Pixels to a metre of the photograph, and what is left round the house, metres. */
const [SIZE, EDGE] = [50, 1];
const [WIDE, HIGH] = [10, 8];

/** Walls of the house: west, south, east, north, metres; a door leaves a gap in the third. */
const BARS = [
  [0, 0, WIDE, 0.3],
  [0, HIGH - 0.3, WIDE, HIGH],
  [4, 0, 4.12, 3],
  [4, 3.9, 4.12, HIGH],
  [0, 0, 0.3, HIGH],
  [WIDE - 0.3, 0, WIDE, HIGH],
] as const;

/** The photograph: a little noise, and light that falls off to one side. */
function photograph(): Buffer {
  const [columns, rows] = [(WIDE + 2 * EDGE) * SIZE, (HIGH + 2 * EDGE) * SIZE];
  const bytes = Buffer.alloc((columns + 1) * rows);
  let dice = 7;
  for (let row = 0; row < rows; row += 1) {
    for (let column = 0; column < columns; column += 1) {
      const [x, y] = [column / SIZE - EDGE, HIGH + EDGE - row / SIZE];
      const ink = BARS.some(([w, s, e, n]) => x >= w && x < e && y > s && y <= n);
      dice = (dice * 48271) % 2147483647;
      const light = 235 - 3 * x + (dice % 13) - 6;
      bytes[row * (columns + 1) + column + 1] = Math.round(ink ? light * 0.2 : light);
    }
  }
  const chunk = (name: string, data: Buffer) => {
    const body = Buffer.concat([Buffer.from(name), data]);
    const [size, sum] = [Buffer.alloc(4), Buffer.alloc(4)];
    size.writeUInt32BE(data.length);
    sum.writeUInt32BE(crc32(body));
    return Buffer.concat([size, body, sum]);
  };
  const head = Buffer.alloc(13);
  head.writeUInt32BE(columns, 0);
  head.writeUInt32BE(rows, 4);
  head.set([8, 0, 0, 0, 0], 8);
  const begin = Buffer.from([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]);
  const body = chunk('IDAT', deflateSync(bytes));
  return Buffer.concat([begin, chunk('IHDR', head), body, chunk('IEND', Buffer.alloc(0))]);
}

const backdrop = ({ heard }: Real): Backdrop => {
  const shown = heard.plan?.backdrop;
  assert.ok(shown);
  return shown;
};

/** Where a place of the house is on the plan, as the picture lies now. */
function placeOf(real: Real, [x, y]: Point): Point {
  const [a, b, c, d, e, f] = backdrop(real).transform;
  const [column, row] = [(x + EDGE) * SIZE, (HIGH + EDGE - y) * SIZE];
  return [a * column + b * row + c, d * column + e * row + f];
}

async function touch(real: Real, ...places: Point[]): Promise<void> {
  await real.page.locator('.frame').scrollIntoViewIfNeeded();
  for (const place of places) await touchAt(real.page, placeOf(real, place));
}

const take = (page: Page, name: string) => page.locator(`.tool[data-tool="${name}"]`).tap();
const tap = (page: Page, name: string) => page.getByRole('button', { name, exact: true }).tap();

test('a photograph becomes walls and a finding, by finger', { skip }, () =>
  withProgram(TABLET, async (real) => {
    const { page, folder, complaints } = real;
    await page.locator('.start button.main').first().tap();
    await page.locator('.start').waitFor({ state: 'detached' });
    const file = join(folder, 'photo of the plan.png');
    writeFileSync(file, photograph());
    await take(page, 'picture');
    await page.locator('.file-choice input').setInputFiles(file);
    await until('a picture', () => Boolean(real.heard.plan?.backdrop?.at));
    assert.equal(backdrop(real).file, 'plan-picture.png');
    await page.locator('.zoom button').nth(2).tap();

    await page.locator('.picture-options').getByText('Scale', { exact: true }).tap();
    await touch(real, [0, 0], [WIDE, 0]);
    await page.getByLabel('Its length').fill('10');
    await tap(page, 'Set the scale');
    await until('a scale', () => Math.abs(backdrop(real).transform[0] * SIZE - 1) < 0.02);

    await take(page, 'pencil');
    await tap(page, 'Look for walls');
    await page.getByText(/Pencilled walls: [5-9]/).waitFor();
    await page.screenshot({ path: `${SHOTS}pencil.png` });
    await touch(real, [WIDE / 2, 0.15]);
    await until('a wall', () => ofKind(real, 'wall').length === 1);
    await tap(page, 'Ink all');
    await until('walls', () => ofKind(real, 'wall').length >= 5);
    await page.screenshot({ path: `${SHOTS}inked.png` });
    const long = ofKind(real, 'wall').map(({ geometry }) => {
      const [[x, y] = [], [u, v] = []] = (geometry?.coordinates ?? []) as number[][];
      return Math.hypot((u ?? 0) - (x ?? 0), (v ?? 0) - (y ?? 0));
    });
    assert.ok(
      long.some((metres) => Math.abs(metres - 7.7) < 0.1),
      `${long}`,
    );

    await take(page, 'device');
    await page.locator('.sort').getByText('panel', { exact: true }).tap();
    await touch(real, [1.5, 1.5]);
    await until('a panel', () => ofKind(real, 'panel').length === 1);
    await page.locator('.sort').getByText('contact', { exact: true }).tap();
    await touch(real, [8, 6]);
    await until('a sensor', () => ofKind(real, 'sensor').length === 1);
    await until('a finding', () => real.heard.table?.check.sensors[0]?.finding === 'sound');
    assert.deepEqual(real.heard.plan?.faults, []);

    // The picture goes and comes back with undo; its file stays.
    await take(page, 'picture');
    await tap(page, 'Take it away');
    await until('no picture', () => real.heard.plan?.backdrop === null);
    await page.getByRole('button', { name: 'Undo' }).tap();
    await until('the picture', () => Boolean(real.heard.plan?.backdrop?.at));
    assert.deepEqual(complaints, []);
  }),
);

test('what is no picture is refused in words', { skip }, () =>
  withProgram(TABLET, async (real) => {
    const { page, folder } = real;
    await page.locator('.start button.main').first().tap();
    await page.locator('.start').waitFor({ state: 'detached' });
    const file = join(folder, 'torn.png');
    writeFileSync(file, photograph().subarray(0, 2000));
    await take(page, 'picture');
    await page.locator('.file-choice input').setInputFiles(file);
    await page.getByText('The picture cannot be read').waitFor();
    assert.equal(real.heard.plan?.backdrop ?? null, null);
  }),
);

/** How dark the middle of the glass is, 0 to 255, between the arms of its cross. */
const darkInGlass = (page: Page): Promise<number> =>
  page.locator('.glass').evaluate((glass: HTMLCanvasElement) => {
    const middle = glass.width / 2;
    const data = glass.getContext('2d')?.getImageData(middle - 2, middle - 2, 4, 4).data ?? [];
    return 255 - (data[4 * 5] ?? 0);
  });

for (const [width, height] of [
  [360, 740],
  [820, 1180],
] as const) {
  test(`the glass stands above the finger and shows the corner, ${width} wide`, { skip }, () =>
    withProgram({ ...TABLET, viewport: { width, height } }, async (real) => {
      const { page, folder, complaints } = real;
      await page.locator('.start button.main').first().tap();
      await page.locator('.start').waitFor({ state: 'detached' });
      const file = join(folder, 'photo.png');
      writeFileSync(file, photograph());
      await take(page, 'picture');
      await page.locator('.file-choice input').setInputFiles(file);
      await until('a picture', () => Boolean(real.heard.plan?.backdrop?.at));
      await page.locator('.picture-options').getByText('Square up', { exact: true }).tap();
      await page.locator('.frame').evaluate((frame) => frame.scrollIntoView());
      const corner = placeOf(real, [WIDE - 0.15, HIGH - 0.15]);
      for (const [place, name, dark] of [
        [corner, 'corner', true],
        [placeOf(real, [2, 3]), 'paper', false],
      ] as const) {
        const lift = await holdAt(page, place);
        const glass = page.locator('.glass');
        await glass.waitFor();
        const [box, at] = [await glass.boundingBox(), await pixelOf(page, place)];
        const frame = await page.locator('.frame').boundingBox();
        assert.ok(box && frame);
        // The cross and the finger, 60 pixels below it, are not under the glass.
        const covers = (x: number, y: number) =>
          x > box.x && x < box.x + box.width && y > box.y && y < box.y + box.height;
        assert.ok(!covers(at.x, at.y) && !covers(at.x, at.y + 60), name);
        assert.ok(box.x >= frame.x - 1 && box.x + box.width <= frame.x + frame.width + 1, name);
        assert.ok(box.y >= frame.y - 1, name);
        const look = await glass.evaluate((one) => getComputedStyle(one).borderRadius);
        assert.equal(look, '50%');
        await until('the corner', async () => (await darkInGlass(page)) > 150 === dark);
        await page.screenshot({ path: `${SHOTS}glass-${name}-${width}.png` });
        await lift();
        await glass.waitFor({ state: 'detached' });
      }
      assert.deepEqual(complaints, []);
    }),
  );
}

test('the keys have the glass at the corner that they move to', { skip }, () =>
  withProgram({ viewport: { width: 1200, height: 900 } }, async (real) => {
    const { page, folder } = real;
    await page.locator('.start button.main').first().click();
    await page.locator('.start').waitFor({ state: 'detached' });
    const file = join(folder, 'photo.png');
    writeFileSync(file, photograph());
    await page.locator('.tool[data-tool="picture"]').click();
    await page.locator('.file-choice input').setInputFiles(file);
    await until('a picture', () => Boolean(real.heard.plan?.backdrop?.at));
    await page.locator('.target').focus();
    await page.keyboard.press('ArrowRight');
    await page.locator('.glass').waitFor();
    await page.keyboard.press('Enter');
    await page.locator('.glass').waitFor({ state: 'detached' });
    await page.keyboard.press('ArrowUp');
    await page.locator('.glass').waitFor();
  }),
);

/** A PDF of two pages: one with a word, one with the walls. */
function twoPages(): Buffer {
  const point = 20;
  const walls = BARS.map(([w, s, e, n]) =>
    [w + EDGE, s + EDGE, e - w, n - s].map((one) => one * point).join(' '),
  );
  const stream = (text: string) => `<< /Length ${text.length} >>\nstream\n${text}\nendstream`;
  const leaf = (content: number) =>
    `<< /Type /Page /Parent 5 0 R /MediaBox [0 0 240 200] /Contents ${content} 0 R >>`;
  const objects = [
    stream('2 w 20 20 m 200 20 l S'),
    stream(walls.map((one) => `${one} re f`).join('\n')),
    leaf(1),
    leaf(2),
    '<< /Type /Pages /Kids [3 0 R 4 0 R] /Count 2 >>',
    '<< /Type /Catalog /Pages 5 0 R >>',
  ].map((one, index) => `${index + 1} 0 obj\n${one}\nendobj\n`);
  return Buffer.from(`%PDF-1.7\n${objects.join('')}trailer\n<< /Root 6 0 R >>\n%%EOF\n`);
}

test('a page of a PDF is laid under the plan, and another one when it is asked for', { skip }, () =>
  withProgram(TABLET, async (real) => {
    const { page, folder, complaints } = real;
    await page.locator('.start button.main').first().tap();
    await page.locator('.start').waitFor({ state: 'detached' });
    const file = join(folder, 'sheet.pdf');
    writeFileSync(file, twoPages());
    await take(page, 'picture');
    await page.locator('.file-choice input').setInputFiles(file);
    await until('the first page', () => backdropFile(real) === 'plan-picture.png');
    const number = page.getByLabel('Page of 2');
    assert.equal(await number.inputValue(), '1');
    await number.fill('2');
    await number.press('Enter');
    await until('the second page', () => backdropFile(real) === 'plan-picture-2.png');
    assert.deepEqual([backdrop(real).columns, backdrop(real).rows], [1000, 833]);
    await page.screenshot({ path: `${SHOTS}pdf-page.png` });
    writeFileSync(file, 'not a PDF but named like one');
    await page.locator('.file-choice input').setInputFiles(file);
    await page.getByText('This is no PNG or JPEG').waitFor();
    assert.deepEqual(complaints, []);
  }),
);

const backdropFile = ({ heard }: Real): string => heard.plan?.backdrop?.file ?? '';
