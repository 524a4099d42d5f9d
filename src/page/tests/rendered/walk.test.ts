// The walk with readings on the page of the real program: with fingers alone, as the command says.

import assert from 'node:assert/strict';
import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { test } from 'node:test';
import type { Page } from 'playwright-core';
import type { DiagnosisMessage, WalkMessage } from '../../src/walk/messages.ts';
import { violations } from './axe.ts';
import { SHOTS, until } from './browser.ts';
import { command, fileIn, skip, withProgram } from './program.ts';

const PHONE = { viewport: { width: 360, height: 740 }, hasTouch: true, isMobile: true };
const FILE = 'foil-garage-readings.csv';
const SHIPPED = readFileSync(
  new URL(`../../../../floorplans/${FILE}`, import.meta.url).pathname,
  'utf8',
);

/** The newest messages of a walk, as they came. */
function listen(page: Page) {
  const heard: { walk?: WalkMessage; diagnosis?: DiagnosisMessage; raw: string } = { raw: '' };
  page.on('websocket', (socket) => {
    socket.on('framereceived', ({ payload }) => {
      if (typeof payload !== 'string') return;
      const message = JSON.parse(payload) as WalkMessage | DiagnosisMessage;
      if (message.type === 'walk') heard.walk = message;
      if (message.type === 'diagnosis') {
        heard.diagnosis = message;
        heard.raw = payload;
      }
    });
  });
  return heard;
}

/** The rows of a table of readings by their columns. */
function rowsOf(text: string): Record<string, string>[] {
  const [head = '', ...rows] = text.split('\n').filter((line) => line && !line.startsWith('#'));
  const names = head.split(',');
  return rows.map((row) => Object.fromEntries(row.split(',').map((cell, at) => [names[at], cell])));
}

const button = (page: Page, name: string) =>
  page.locator('dialog.walk').getByRole('button', { name, exact: true });

async function begin(page: Page): Promise<void> {
  await page.getByRole('button', { name: 'Walk with readings …' }).tap();
  await page.locator('.walk-name').waitFor();
}

test('walked with fingers alone: the same diagnosis as the command has', { skip }, () =>
  withProgram({ ...PHONE, shipped: 'foil-garage' }, async ({ page, folder, complaints }) => {
    const heard = listen(page);
    await page.reload();
    await page.locator('.mark.panel').waitFor();
    await begin(page);
    const all = rowsOf(SHIPPED);
    const stops = heard.walk?.stops ?? [];
    assert.ok(stops.length >= 13, `${stops.length}`);
    let taken = 0;
    for (const stop of stops) {
      const own = all.find(({ sensor }) => sensor === String(stop.number));
      await page.locator('.walk-name').getByText(stop.name).waitFor();
      if (!own) {
        await button(page, 'Skip').tap();
        continue;
      }
      for (const digit of own.level_dbm?.slice(1) ?? '') await button(page, digit).tap();
      if (own.heard === 'missed') await button(page, 'Missed').tap();
      else await button(page, 'Heard').tap();
      if (taken === 0) await button(page, 'Trips').tap();
      await page.locator('.walk-steps .main').tap();
      taken += 1;
      const written = () =>
        existsSync(join(folder, FILE)) && rowsOf(fileIn(folder, FILE)).length === taken;
      await until(`row ${taken} in the file`, written);
      if (taken === 3) {
        // In the middle, and everything is still there.
        await page.reload();
        await page.locator('.walk-name').waitFor();
        await page.getByText(new RegExp(`, ${taken} with a reading`)).waitFor();
      }
    }
    assert.ok(taken >= 10, `${taken}`);
    const rows = rowsOf(fileIn(folder, FILE));
    assert.equal(rows.filter(({ trips }) => trips === 'yes').length, 1);
    for (const { sensor, level_dbm } of rows) {
      const stop = stops.find(({ id }) => id === sensor);
      const own = all.find((row) => row.sensor === String(stop?.number));
      assert.equal(level_dbm ?? '', own?.level_dbm ?? '');
    }
    const says = () => {
      try {
        return command(
          folder,
          'diagnose',
          'foil-garage.geojson',
          '--readings',
          FILE,
          '--format=json',
        );
      } catch (error) {
        // Some device is failing.
        return (error as { stdout: string }).stdout;
      }
    };
    const said = says().trim();
    await until('the same diagnosis', () => heard.raw.includes(`"report":${said}`));
    await page.locator('summary').getByText('What the readings say of the house').tap();
    await button(page, 'Put this into the plan').tap();
    await page.getByText('The plan is calibrated; undo takes it back.').waitFor();
    assert.deepEqual(complaints, []);
  }),
);

test('readings by keys and in two tabs; what is wrong is said and kept', { skip }, () =>
  withProgram({ shipped: 'foil-garage' }, async ({ page, folder, complaints }) => {
    writeFileSync(join(folder, FILE), SHIPPED);
    await page.getByRole('button', { name: 'Walk with readings …' }).click();
    await page.locator('.walk-name').waitFor();
    const other = await page.context().newPage();
    await other.goto(page.url());
    await other.getByRole('button', { name: 'Walk with readings …' }).click();
    await other.locator('.walk-name').waitFor();
    const before = rowsOf(SHIPPED).length;
    const name = await page.locator('.walk-name').innerText();
    await page.locator('.walk-shown input').fill('77');
    await page.locator('.walk-shown input').press('Enter');
    await until('a row', () => rowsOf(fileIn(folder, FILE)).length === before + 1);
    await other.locator('.walk-row').getByText('−77 dBm').waitFor();
    // All that was there is there still.
    for (const line of SHIPPED.trim().split('\n').slice(2)) {
      assert.ok(fileIn(folder, FILE).includes(line), line);
    }
    await page.getByRole('button', { name: 'Back', exact: true }).click();
    await page.locator('.walk-name').getByText(name).waitFor();
    await page.locator('.walk-shown input').fill('+77');
    await page.locator('.walk-shown input').press('Enter');
    await page.locator('.walk .fault[role=alert]').getByText('is outside').waitFor();
    assert.equal(rowsOf(fileIn(folder, FILE)).length, before + 1);
    assert.equal(await page.locator('.walk-shown input').inputValue(), '+77');
    await page.locator('.walk-shown input').fill('78');
    await page.locator('.walk-shown input').press('Enter');
    await until('a correction', () => fileIn(folder, FILE).includes(',-78,'));
    assert.equal(rowsOf(fileIn(folder, FILE)).length, before + 1);
    assert.deepEqual(complaints, []);
  }),
);

for (const locale of ['en-GB', 'es-ES']) {
  test(`the walk breaks no rule on a phone, ${locale}`, { skip }, () =>
    withProgram(
      { ...PHONE, shipped: 'foil-garage', locale },
      async ({ page, folder, complaints }) => {
        writeFileSync(join(folder, FILE), SHIPPED);
        // The one before *Take away*, which is the last.
        const buttons = page.locator('.tools button[aria-haspopup=dialog]');
        await buttons.nth((await buttons.count()) - 2).tap();
        await page.locator('.walk-here').waitFor();
        const small = await page.evaluate(() =>
          [...document.querySelectorAll('.walk :is(button, select, input, summary)')]
            .filter((one) => one.getClientRects().length > 0)
            .map((one) => ({ what: one.textContent, box: one.getBoundingClientRect() }))
            .filter(({ box }) => box.width < 43.5 || box.height < 43.5 || box.right > 360.5)
            .map(({ what, box }) => `${what}: ${box.width} × ${box.height} to ${box.right}`),
        );
        assert.deepEqual(small, []);
        const shot = (what: string) => `${SHOTS}walk-${what}-${locale.slice(0, 2)}.png`;
        await page.screenshot({ path: shot('device') });
        const house = page.locator('dialog.walk > details').first();
        await house.locator('summary').tap();
        await house.evaluate((one) => one.scrollIntoView());
        const said = (await house.textContent()) ?? '';
        assert.equal(/weak transmitter|test transmissions/.test(said), locale === 'en-GB');
        assert.equal(/emisor débil|transmisiones de prueba/.test(said), locale === 'es-ES');
        await page.screenshot({ path: shot('house') });
        await house.locator('summary').tap();
        for (const summary of await page.locator('dialog.walk > details > summary').all()) {
          await summary.tap();
        }
        assert.deepEqual(await violations(page), []);
        const wide = await page.evaluate(() => {
          const dialog = document.querySelector('dialog.walk');
          return dialog ? dialog.scrollWidth - dialog.clientWidth : -1;
        });
        assert.equal(wide, 0);
        await page.locator('.walk-all').scrollIntoViewIfNeeded();
        await page.screenshot({ path: shot('found') });
        assert.deepEqual(complaints, []);
      },
    ),
  );
}

test('the device of the row is marked on the plan, which shows it', { skip }, () =>
  withProgram({ ...PHONE, shipped: 'foil-garage' }, async ({ page, complaints }) => {
    const heard = listen(page);
    await page.reload();
    await page.locator('.mark.panel').waitFor();
    await begin(page);
    for (let at = 0; at < 3; at += 1) {
      const stop = heard.walk?.stops[at];
      assert.ok(stop);
      await page.locator('.walk-name').getByText(stop.name).waitFor();
      await button(page, 'See it on the plan').tap();
      const mark = page.locator('.mark.walked');
      await mark.waitFor();
      assert.equal(await mark.getAttribute('data-id'), stop.id);
      // It is on the screen, in the frame and above what waits below.
      const boxes = [mark, page.locator('.frame'), page.locator('.walk-aside')];
      const [is, frame, aside] = await Promise.all(boxes.map((one) => one.boundingBox()));
      assert.ok(is && frame && aside);
      assert.ok(is.x >= frame.x && is.x + is.width <= Math.min(frame.x + frame.width, 360));
      assert.ok(is.y >= Math.max(frame.y, 0) && is.y + is.height <= aside.y);
      await page.screenshot({ path: `${SHOTS}walk-plan-${at}.png` });
      await page.getByRole('button', { name: 'Back to the walk' }).tap();
      await button(page, 'Skip').tap();
    }
    await button(page, 'Close').tap();
    await page.locator('.mark.walked').waitFor({ state: 'detached' });
    assert.deepEqual(complaints, []);
  }),
);

test('beside the walk on a wide screen the plan follows it', { skip }, () =>
  withProgram({ shipped: 'foil-garage' }, async ({ page }) => {
    await page.setViewportSize({ width: 1280, height: 800 });
    await page.getByRole('button', { name: 'Walk with readings …' }).click();
    await page.locator('.walk-name').waitFor();
    const boxes = [page.locator('.mark.walked'), page.locator('dialog.walk')];
    const [mark, dialog] = await Promise.all(boxes.map((one) => one.boundingBox()));
    assert.ok(mark && dialog && mark.x > 0 && mark.x + mark.width < dialog.x);
    await page.screenshot({ path: `${SHOTS}walk-wide.png` });
  }),
);
