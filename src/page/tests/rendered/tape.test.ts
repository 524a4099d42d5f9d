// The tape list beside the drawing, on the page of the real program.

import assert from 'node:assert/strict';
import { existsSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { test } from 'node:test';
import type { Page } from 'playwright-core';
import { violations } from './axe.ts';
import { SHOTS, until } from './browser.ts';
import { command, fileIn, ofKind, skip, withProgram } from './program.ts';

const LIST = `name Wren Corner
walls outside brick-cavity
walls inside stud-partition
room Hall 2.0 x 5.0
room Kitchen 3.6 x 3.2 right-of Hall
door Hall front 0.9 entry
door Hall Kitchen 0.8
panel Hall left at 1.0
contact Hall front number 1
`;

async function open(page: Page): Promise<void> {
  await page.getByRole('button', { name: 'Tape list …' }).click();
  await page.locator('.tape textarea:enabled').waitFor();
}

const field = (page: Page) => page.locator('.tape textarea');

const use = (page: Page) => page.getByRole('button', { name: 'Use this as the plan' });

for (const [width, height] of [
  [360, 740],
  [820, 1180],
  [1280, 800],
] as const) {
  for (const locale of ['en-GB', 'es-ES']) {
    test(`the list is drawn as it is typed at ${width} pixels, ${locale}`, { skip }, () =>
      withProgram({ viewport: { width, height }, locale }, async ({ page, complaints }) => {
        await page.getByRole('button', { name: /Tape list|Lista de medidas/ }).click();
        await page.locator('.tape-frame').waitFor();
        await page.waitForTimeout(400);
        assert.deepEqual(await violations(page), []);
        const wide = await page
          .locator('dialog.tape')
          .evaluate((one) => [one.scrollWidth, one.clientWidth]);
        assert.ok((wide[0] ?? 0) <= (wide[1] ?? 0), String(wide));
        assert.deepEqual(complaints, []);
        await page.screenshot({ path: `${SHOTS}tape-${width}-${locale.slice(0, 2)}.png` });
      }),
    );
  }
}

test('faults stand at their lines, and the rest is drawn', { skip }, () =>
  withProgram({}, async ({ page, complaints }) => {
    await open(page);
    await field(page).fill(LIST.replace('3.6 x 3.2', '3.6 by').replace('entry', 'entri'));
    const faults = page.locator('.tape .faults li');
    await until('faults', async () => (await faults.count()) >= 2);
    const said = await faults.allTextContents();
    assert.ok(
      said.some((one) => one.startsWith('Line 5') && /depth/.test(one)),
      said.join(),
    );
    assert.ok(
      said.some((one) => one.startsWith('Line 6')),
      said.join(),
    );
    assert.ok(await use(page).isDisabled());
    const label = () => page.locator('.tape-frame').getAttribute('aria-label');
    assert.match((await label()) ?? '', /Hall/);
    assert.doesNotMatch((await label()) ?? '', /Kitchen/);
    await page.getByRole('button', { name: 'Line 5' }).first().click();
    const chosen = await field(page).evaluate((one) => {
      const { value, selectionStart, selectionEnd } = one as HTMLTextAreaElement;
      return value.slice(selectionStart, selectionEnd);
    });
    assert.equal(chosen, 'room Kitchen 3.6 by right-of Hall');
    await field(page).fill(LIST);
    await until('the kitchen', async () => /Kitchen/.test((await label()) ?? ''));
    await until('no fault', async () => (await faults.count()) === 0);
    assert.ok(await use(page).isEnabled());
    assert.deepEqual(complaints, []);
  }),
);

test('it becomes the plan in one step, is kept beside it and found again', { skip }, () =>
  withProgram({}, async (real) => {
    const { page, folder, complaints } = real;
    await open(page);
    await field(page).fill(LIST);
    await use(page).click({ timeout: 15_000 });
    await until('the plan', () => ofKind(real, 'room').length === 2);
    assert.equal(real.heard.plan?.undo, 1);
    await page.getByRole('button', { name: 'Save as …' }).click();
    await page.locator('#save-rule').waitFor();
    await page.getByLabel('File name in the same folder').fill('wren.geojson');
    await page.locator('dialog[open] button[type="submit"]').click();
    await page.getByText('wren.txt').waitFor();
    assert.equal(fileIn(folder, 'wren.txt'), LIST);
    // What import makes of the list is the plan.
    command(folder, 'import', 'wren.txt');
    const made = JSON.parse(fileIn(folder, 'output/wren.geojson')) as { features: object[] };
    const saved = JSON.parse(fileIn(folder, 'wren.geojson')) as { features: object[] };
    assert.deepEqual(saved.features, made.features);
    await page.getByRole('button', { name: 'Undo' }).click();
    await until('nothing drawn', () => ofKind(real, 'room').length === 0);
    await page.getByRole('button', { name: 'Redo' }).click();
    await until('the plan', () => ofKind(real, 'room').length === 2);
    await page.reload();
    await page.locator('.mark.panel').waitFor();
    await open(page);
    assert.equal(await field(page).inputValue(), LIST);
    assert.deepEqual(complaints, []);
  }),
);

test('another file of that name stays as it is', { skip }, () =>
  withProgram({}, async ({ page, folder }) => {
    writeFileSync(join(folder, 'wren.txt'), 'my own notes\n');
    await open(page);
    await field(page).fill(LIST);
    await use(page).click({ timeout: 15_000 });
    await page.locator('.mark.panel').waitFor();
    await page.getByRole('button', { name: 'Save as …' }).click();
    await page.getByLabel('File name in the same folder').fill('wren.geojson');
    await page.locator('dialog[open] button[type="submit"]').click();
    await page.locator('.notice').getByText('wren.txt').waitFor();
    assert.equal(fileIn(folder, 'wren.txt'), 'my own notes\n');
    assert.ok(existsSync(join(folder, 'wren.geojson')));
  }),
);

test('rooms by the row of the form alone, by touch', { skip }, () =>
  withProgram(
    { viewport: { width: 360, height: 740 }, hasTouch: true },
    async ({ page, complaints }) => {
      await page.getByRole('button', { name: 'Tape list …' }).tap();
      await page.locator('.tape textarea:enabled').waitFor();
      await field(page).fill('');
      const add = async (name: string, width: string, depth: string, side?: string) => {
        await page.locator('.tape-row').getByLabel('Name').fill(name);
        await page.getByLabel('Width').fill(width);
        await page.getByLabel('Depth').fill(depth);
        if (side) await page.getByLabel('Which side').selectOption(side);
        await page.getByRole('button', { name: 'Add the line' }).tap();
      };
      await add('Hall', '2', '5');
      await add('Living room', '4,2', '360cm', 'left-of');
      await page.locator('.tape-row select').nth(1).selectOption('Hall');
      await page.locator('.tape-row').getByLabel('Name').fill('Bath');
      await page.getByLabel('Width').fill('2');
      await page.getByLabel('Depth').fill('1.8');
      await page.getByLabel('Which side').selectOption('behind');
      // Enter on the keypad adds it, too.
      await page.getByLabel('Depth').press('Enter');
      const lines = ['room Hall 2 x 5', 'room "Living room" 4,2 x 360cm left-of Hall'];
      lines.push('room Bath 2 x 1.8 behind Hall', '');
      assert.equal(await field(page).inputValue(), lines.join('\n'));
      const label = () => page.locator('.tape-frame').getAttribute('aria-label');
      await until('the rooms', async () => /Hall, Living room, Bath/.test((await label()) ?? ''));
      assert.deepEqual(complaints, []);
    },
  ),
);
