// The page against the real program: sheets, levels, putting right, taking away.

import assert from 'node:assert/strict';
import { test } from 'node:test';
import type { Page } from 'playwright-core';
import { until } from './browser.ts';
import { fileIn, type Real, skip, withProgram } from './program.ts';

/** Begins with an example and opens the sheet of a thing. */
async function begin(page: Page, example: RegExp): Promise<void> {
  await page.getByRole('button', { name: example }).click();
  await page.locator('.mark.panel').waitFor();
}

async function open(page: Page, name: string): Promise<void> {
  const list = page.locator('.things');
  if ((await list.getAttribute('open')) === null) await list.locator('summary').click();
  await list.getByLabel('Search').fill(name);
  await list.locator('.thing').first().click();
  const sheet = page.locator('.sheet');
  await sheet.waitFor();
  if ((await sheet.getAttribute('open')) === null) await sheet.locator('summary').click();
}

const propertiesOf = ({ heard }: Real, id: string) =>
  heard.plan?.features.find((one) => one.id === id)?.properties ?? {};

test(
  'lengths on a sheet are read in feet and inches and written in the plan’s unit',
  { skip },
  () =>
    withProgram({}, async (real) => {
      const { page, complaints } = real;
      await begin(page, /bungalow/);
      await open(page, 'panel');
      const field = page.locator('.sheet').getByLabel('Height above the floor, ft');
      assert.equal(await field.inputValue(), "5'");
      await field.fill(`5' 6"`);
      await field.press('Enter');
      await until('a height', () => propertiesOf(real, 'panel').height === 5.5);
      await field.fill('high');
      await field.press('Enter');
      await page.locator('.sheet .fault').getByText('must be a length').waitFor();
      assert.equal(propertiesOf(real, 'panel').height, 5.5);
      assert.deepEqual(complaints, []);
    }),
);

test('how an aerial stands is chosen on the sheet, and the program counts it', { skip }, () =>
  withProgram({}, async (real) => {
    const { page, complaints } = real;
    await begin(page, /bungalow/);
    const sensor = real.heard.plan?.features.find((one) => one.kind === 'sensor');
    assert.ok(sensor);
    const stand = async (name: string, aerial: string) => {
      await open(page, name);
      await page.locator('.sheet').getByLabel('Aerial').selectOption({ label: aerial });
    };
    const reserve = () =>
      real.heard.table?.check.sensors.find((one) => one.id === sensor.id)?.margin_db ?? 0;
    await until('a table', () => reserve() > 0);
    const before = reserve();
    await stand('panel', 'upright');
    await until('the panel', () => propertiesOf(real, 'panel').aerial === 'upright');
    await stand(sensor.id, 'level');
    await until('the sensor', () => propertiesOf(real, sensor.id).aerial === 'level');
    await until('less in reserve', () => reserve() < before - 4);
    assert.deepEqual(complaints, []);
  }),
);

test('a storey is added and named, walls are put right, all of it undone', { skip }, () =>
  withProgram({}, async (real) => {
    const { page, complaints } = real;
    await begin(page, /workshop/i);
    await page.getByRole('button', { name: 'Levels …' }).click();
    await page.getByRole('button', { name: 'Add a level above' }).click();
    await until('a level', () => real.heard.plan?.levels.length === 3);
    const storey = page.getByRole('group', { name: 'Level 2' });
    await storey.getByLabel('Name').fill('Attic');
    await storey.getByLabel('Name').press('Enter');
    await until('its name', () => real.heard.plan?.levels[2]?.name === 'Attic');
    await page.keyboard.press('Escape');
    const steps = real.heard.plan?.undo ?? 0;
    await page.getByRole('button', { name: 'Undo' }).click();
    await page.getByRole('button', { name: 'Undo' }).click();
    await until('two levels', () => real.heard.plan?.levels.length === 2);
    assert.equal(real.heard.plan?.undo, steps - 2);
    assert.deepEqual(complaints, []);
  }),
);

for (const [what, file] of [
  ['Readings sheet to fill in', /readings.*\.csv/],
  ['Pictures of the forecast', /\.png/],
  ['Quote for the customer', /\.pdf/],
] as const) {
  test(`${what.toLowerCase()}: made and downloaded`, { skip }, () =>
    withProgram({}, async ({ page, complaints }) => {
      page.setDefaultTimeout(120_000);
      await begin(page, /workshop/i);
      await page.getByRole('button', { name: 'Take away …' }).click();
      await page.getByRole('button', { name: what }).click();
      const link = page.locator('dialog[open] a').filter({ hasText: file }).first();
      await link.waitFor();
      const [download] = await Promise.all([page.waitForEvent('download'), link.click()]);
      const bytes = await download.createReadStream();
      let size = 0;
      for await (const chunk of bytes) size += (chunk as Buffer).length;
      assert.ok(size > 100, `${size} bytes`);
      assert.deepEqual(complaints, []);
    }),
  );
}

test('a copied sensor is saved as the page shows it', { skip }, () =>
  withProgram({}, async (real) => {
    const { page, folder } = real;
    await begin(page, /workshop/i);
    await open(page, 'c-front-door');
    await page.getByRole('button', { name: 'Copy' }).click();
    await until('a copy', () => 'number' in propertiesOf(real, 'c-front-door-2'));
    await page.locator('#details-title').getByText('Front door').waitFor();
    await page.getByRole('button', { name: 'Save as …' }).click();
    await page.getByLabel('File name in the same folder').fill('copy.geojson');
    await page.locator('dialog[open]').getByRole('button', { name: 'Save' }).click();
    await page.getByText('Saved to copy.geojson').waitFor();
    assert.match(fileIn(folder, 'copy.geojson'), /"id": "c-front-door-2"/);
  }),
);
