// What is done with the whole plan: begun, put right, taken away, its levels; and how each screen
// looks in both languages.

import assert from 'node:assert/strict';
import { test } from 'node:test';
import type { Page } from 'playwright-core';
import type { ClientMessage } from '../../src/live/protocol.ts';
import { overflows, violations } from './axe.ts';
import { type Opened, SHOTS, skip, until, withPage } from './browser.ts';
import { clickAt, pixelOf } from './pencil.ts';

const heard = <T extends ClientMessage['type']>({ server }: Opened, type: T) =>
  server.heard.filter((one): one is Extract<ClientMessage, { type: T }> => one.type === type);

test('a plan begins empty in feet, and says what to do first', { skip }, () =>
  withPage({ isNew: true }, async (opened) => {
    const { page, complaints } = opened;
    await page.getByRole('button', { name: 'In feet and inches' }).click();
    await until('a start', () => heard(opened, 'start').length === 1);
    assert.deepEqual(heard(opened, 'start')[0], { type: 'start', with: 'empty', units: 'ft' });
    await page.getByText('Draw the outside walls first').waitFor();
    assert.equal(await page.locator('.start').count(), 0);
    assert.deepEqual(complaints, []);
  }),
);

test('a plan begins as an example', { skip }, () =>
  withPage({ isNew: true }, async (opened) => {
    const { page } = opened;
    await page.getByRole('button', { name: 'Try the example A flat over a shop' }).click();
    await page.locator('.mark.panel').waitFor();
    assert.deepEqual(heard(opened, 'start')[0], { type: 'start', with: 'example', name: 'flat' });
    assert.equal(await page.locator('.start').count(), 0);
    assert.equal(await page.locator('.first-steps').count(), 0);
  }),
);

test('what is safe is put right, what was done and is left is said', { skip }, () =>
  withPage({}, async (opened) => {
    const { page, server } = opened;
    server.setFaults([{ number: 1, what: 'a wall stops short', fix: 'draw it on' }]);
    await page.getByRole('button', { name: 'Put right what is safe' }).click();
    await page.getByText('moved the end by 0.02 m').waitFor();
    await page.getByText('larder: the end stops').waitFor();
    assert.equal(heard(opened, 'tidy').length, 1);
    await page.getByRole('button', { name: 'Undo' }).click();
    await until('old news is gone', async () => !(await page.getByText('larder: the end').count()));
  }),
);

test('papers are taken away in the chosen language, as downloads', { skip }, () =>
  withPage({}, async (opened) => {
    const { page } = opened;
    await page.getByRole('button', { name: 'Take away …' }).click();
    const dialog = page.getByRole('dialog', { name: 'Take away' });
    await dialog.getByLabel('Language of the papers').selectOption('es');
    await dialog.getByRole('button', { name: 'Quote for the customer' }).click();
    const link = dialog.getByRole('link', { name: 'plan-quote.pdf, 41 kB' });
    await link.waitFor();
    assert.equal(await link.getAttribute('href'), '/taken/abc0/plan-quote.pdf');
    assert.equal(await link.getAttribute('download'), 'plan-quote.pdf');
    assert.deepEqual(heard(opened, 'take'), [
      { type: 'take', what: 'quote', options: { language: 'es', paper: 'a4' } },
    ]);
    await dialog.getByRole('button', { name: 'Pictures of the forecast' }).click();
    await dialog.getByRole('link', { name: 'plan-level-0.png, 41 kB' }).waitFor();
    assert.deepEqual(heard(opened, 'take')[1]?.options, {});
  }),
);

test('what cannot be made is said where it was asked for, with its fix', { skip }, () =>
  withPage({}, async (opened) => {
    const { page, server } = opened;
    server.refuseTaking = { what: 'the plan has faults', fix: 'put them right first' };
    await page.getByRole('button', { name: 'Take away …' }).click();
    await page.getByRole('button', { name: 'Quote for the customer' }).click();
    await page.getByRole('alert').filter({ hasText: 'put them right first' }).waitFor();
    assert.equal(await page.locator('.notice').count(), 0);
    await page.getByRole('button', { name: 'Quote for the customer' }).isEnabled();
  }),
);

test('a level is added above, named and measured', { skip }, () =>
  withPage({}, async (opened) => {
    const { page } = opened;
    await page.getByRole('button', { name: 'Levels …' }).click();
    const dialog = page.getByRole('dialog', { name: 'Levels' });
    await dialog.getByRole('button', { name: 'Add a level above' }).click();
    const storey = dialog.getByRole('group', { name: 'Level 2' });
    await storey.getByLabel('Name').fill('Attic');
    await storey.getByLabel('Name').press('Enter');
    await storey.getByLabel('Floor to ceiling, m').fill('2.1');
    await storey.getByLabel('Floor to ceiling, m').press('Enter');
    await until('three wishes', () => heard(opened, 'level').length === 3);
    const [add, name, high] = heard(opened, 'level');
    assert.deepEqual(add, { type: 'level', do: 'add' });
    assert.deepEqual(name, { type: 'level', do: 'set', number: 2, name: 'Attic' });
    assert.equal(high?.floor, undefined);
    const floor = Number(await storey.getByLabel('Floor, m').inputValue());
    assert.ok(Math.abs((high?.ceiling ?? 0) - floor - 2.1) < 1e-9);
    await page.keyboard.press('Escape');
    await page.locator('header select').selectOption('2');
  }),
);

/** Ways to each screen, by what the elements are and not what they are called. */
const SCREENS: Record<string, { isNew?: boolean; go: (page: Page) => Promise<void> }> = {
  start: { isNew: true, go: async () => {} },
  'first-steps': {
    isNew: true,
    go: async (page) => {
      await page.locator('.start .main').first().click();
      await page.locator('.first-steps').waitFor();
    },
  },
  sheet: {
    go: async (page) => {
      await page.locator('.mark[data-id="m-hall"]').click();
      await page.locator('.sheet summary').click();
      await page.locator('.card .remedy').first().waitFor();
    },
  },
  wall: {
    go: async (page) => {
      await clickAt(page, [14.35, 2.5]);
      await page.locator('.sheet').waitFor();
    },
  },
  several: {
    go: async (page) => {
      await page.locator('.things summary').click();
      await page.locator('.things input[type=checkbox]').check();
      await page.locator('.things input[type=search]').fill('window');
      for (const at of [0, 1, 2]) await page.locator('.thing').nth(at).click();
      await page.locator('#selected-title').waitFor();
      await page.locator('section[aria-labelledby="selected-title"] .row button').nth(1).click();
      await page.locator('.hand').waitFor();
    },
  },
  window: {
    go: async (page) => {
      await page.locator('.tool[data-tool="window"]').click();
      await page.locator('.frame').scrollIntoViewIfNeeded();
      const { x, y } = await pixelOf(page, [9.4, -0.8]);
      await page.mouse.move(x, y);
    },
  },
  device: {
    go: async (page) => {
      await page.locator('.tool[data-tool="device"]').click();
      await page.locator('.sorts input').nth(1).check();
      await page.locator('.frame').scrollIntoViewIfNeeded();
      const { x, y } = await pixelOf(page, [17.5, 5.1]);
      await page.mouse.move(x, y);
    },
  },
  levels: {
    go: async (page) => {
      await page.locator('header .tools > button').first().click();
      await page.locator('dialog[open] .storey').first().waitFor();
    },
  },
  take: {
    go: async (page) => {
      await page.locator('header .tools > button').last().click();
      await page.locator('dialog[open] .choices button').nth(1).click();
      await page.locator('dialog[open] a').first().waitFor();
    },
  },
};

for (const [name, { isNew = false, go }] of Object.entries(SCREENS)) {
  for (const [width, height] of [
    [1280, 800],
    [820, 1180],
    [360, 740],
  ] as const) {
    for (const locale of ['en-GB', 'es-ES']) {
      test(`${name} breaks no rule at ${width} pixels, ${locale}`, { skip }, () =>
        withPage({ viewport: { width, height }, locale, isNew }, async ({ page, complaints }) => {
          await go(page);
          await page.waitForTimeout(500);
          assert.deepEqual(await overflows(page), []);
          assert.deepEqual(await violations(page), []);
          assert.deepEqual(complaints, []);
          const shot = `${SHOTS}${name}-${width}-${locale.slice(0, 2)}.png`;
          await page.screenshot({ path: shot, fullPage: !['levels', 'take'].includes(name) });
        }),
      );
    }
  }
}
