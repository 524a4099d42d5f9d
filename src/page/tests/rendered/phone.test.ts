// A phone with touch at 360 pixels as the guest of the real program: by a key of the desk's page it
// reads, or edits, over the program's own certificate.

import assert from 'node:assert/strict';
import { test } from 'node:test';
import type { Page } from 'playwright-core';
import type { PlanMessage } from '../../src/live/protocol.ts';
import { overflows } from './axe.ts';
import { opened, SHOTS, until } from './browser.ts';
import { pixelOf } from './pencil.ts';
import { ofKind, type Real, skip, withProgram } from './program.ts';

const PHONE = {
  viewport: { width: 360, height: 740 },
  hasTouch: true,
  isMobile: true,
  // Here nobody compares fingerprints.
  ignoreHTTPSErrors: true,
};

const SHARED = ['--share', '--share-address=127.0.0.1'];

/** The address that the desk's page shows for a guest. */
async function invitation({ page }: Real, may: string): Promise<string> {
  await page.getByRole('button', { name: 'A phone …' }).click();
  await page.locator('dialog[open]').getByText(may, { exact: true }).click();
  await page.getByRole('button', { name: /^Make a (new )?key/ }).click();
  const shown = page.locator('.invitation code');
  await shown.waitFor();
  const address = (await shown.textContent()) ?? '';
  await page.keyboard.press('Escape');
  return address;
}

/** What a phone without a window hears of the plan. */
function plansHeard(phone: Page): PlanMessage[] {
  const heard: PlanMessage[] = [];
  phone.on('websocket', (socket) => {
    socket.on('framereceived', ({ payload }) => {
      if (typeof payload !== 'string') return;
      const message = JSON.parse(payload) as PlanMessage;
      if (message.type === 'plan') heard.push(message);
    });
  });
  return heard;
}

async function begin({ page }: Real): Promise<void> {
  await page.getByRole('button', { name: /workshop/i }).click();
  await page.locator('.mark.panel').waitFor();
}

const panelAt = (real: Real) => ofKind(real, 'panel')[0]?.geometry?.coordinates as number[];

test('a guest who edits drags the panel, undoes and saves', { skip }, () =>
  withProgram({ args: SHARED }, async (real) => {
    await begin(real);
    const address = await invitation(real, 'Read and edit');
    assert.match(address, /^https:\/\/127\.0\.0\.1:\d+\/#[\w-]{22}$/);
    await opened(PHONE, async ({ page: phone, complaints }) => {
      await phone.goto(address);
      await phone.locator('.mark.panel').waitFor();
      await real.page.getByText('At the desk: 1, guests: 1').waitFor();
      await phone.locator('.bar').waitFor();
      await phone.locator('.found h1 .sign').waitFor();
      await phone.waitForTimeout(1500);
      await phone.screenshot({ path: `${SHOTS}phone.png` });
      assert.deepEqual(await overflows(phone), []);
      for (const mark of await phone.locator('.mark').all()) {
        const box = await mark.boundingBox();
        assert.ok(box && box.x >= -8 && box.x + box.width <= 368, 'the whole plan is seen');
      }

      const before = panelAt(real);
      const client = await phone.context().newCDPSession(phone);
      const touch = (type: 'touchStart' | 'touchMove' | 'touchEnd', x: number, y: number) =>
        client.send('Input.dispatchTouchEvent', {
          type,
          touchPoints: type === 'touchEnd' ? [] : [{ x, y }],
        });
      const { x, y } = await pixelOf(phone, [before[0] ?? 0, before[1] ?? 0]);
      await touch('touchStart', x, y);
      for (let step = 1; step <= 8; step += 1) await touch('touchMove', x - 5 * step, y + 60);
      await touch('touchEnd', 0, 0);
      await until('the panel elsewhere', () => panelAt(real)[0] !== before[0]);
      assert.equal(real.heard.plan?.undo, 2, 'one step beside the beginning');
      await until('undo', () => phone.locator('.bar').getByText('Undo').isEnabled());
      await phone.locator('.bar').getByText('Undo').tap();
      await until('the panel back', () => panelAt(real)[0] === before[0]);

      await phone.locator('.bar').getByText('More').tap();
      await phone.getByRole('button', { name: 'Save as …' }).tap();
      await phone.getByLabel('File name in the same folder').fill('phone.geojson');
      await phone.locator('dialog[open]').getByRole('button', { name: 'Save' }).tap();
      await phone.getByText('Saved to phone.geojson').waitFor();
      assert.deepEqual(complaints, []);
    });
    await real.page.getByText('At the desk: 1, guests: 0').waitFor();
    assert.deepEqual(real.complaints, []);
  }),
);

test('a guest who reads sees the forecast follow, comes back, and is shown out', { skip }, () =>
  withProgram({ args: SHARED }, async (real) => {
    await begin(real);
    const address = await invitation(real, 'Read only');
    await opened(PHONE, async ({ page: phone }) => {
      const heard = plansHeard(phone);
      await phone.goto(address);
      await phone.getByText('Guest, reading.').waitFor();
      await phone.locator('.bar').getByText('Devices').tap();
      await phone.locator('.device').first().tap();
      await phone.locator('.details').waitFor();
      assert.equal(await phone.locator('.sheet').count(), 0);
      await real.page.locator('.mark.panel').focus();
      for (const key of ['Enter', 'Shift+ArrowLeft', 'Enter']) await real.page.keyboard.press(key);
      await until('the edit', () => heard.some(({ undo }) => undo === 2));
      // The same tab comes in again after a reload.
      await phone.reload();
      await phone.getByText('Guest, reading.').waitFor();
      // Another device does not.
      await opened(PHONE, async ({ page: other }) => {
        await other.goto(address);
        await other.getByText('in use on another device').waitFor();
        assert.equal(await other.locator('.mark').count(), 0);
      });
      await real.page.getByRole('button', { name: 'A phone …' }).click();
      await real.page.getByRole('button', { name: 'Withdraw the key' }).click();
      await phone.getByText('ended this connection').waitFor();
      await real.page.getByText('No key holds').waitFor();
    });
  }),
);
