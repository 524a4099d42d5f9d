// The plan goes on under a finger that draws at its edge; all tools stand in one row.

import assert from 'node:assert/strict';
import { test } from 'node:test';
import type { Page } from 'playwright-core';
import { skip, until, withPage } from './browser.ts';

const PHONE = { viewport: { width: 360, height: 740 }, hasTouch: true, isMobile: true };

const middleOf = async (page: Page): Promise<number[]> =>
  ((await page.locator('.frame').getAttribute('data-view')) ?? '').split(' ').map(Number);

test('the plan goes on while a finger rests at its edge, and stops with it', { skip }, () =>
  withPage(PHONE, async ({ page, complaints }) => {
    await page.locator('.tool[data-tool="wall"]').tap();
    await page.locator('.frame').scrollIntoViewIfNeeded();
    const box = await page.locator('.frame').boundingBox();
    assert.ok(box);
    const client = await page.context().newCDPSession(page);
    const touch = (type: 'touchStart' | 'touchMove' | 'touchEnd', x = 0, y = 0) =>
      client.send('Input.dispatchTouchEvent', {
        type,
        touchPoints: type === 'touchEnd' ? [] : [{ x: box.x + x, y: box.y + y }],
      });
    const [east = 0, north = 0] = await middleOf(page);
    const at = box.height / 2;
    await touch('touchStart', box.width / 2, at);
    await touch('touchMove', box.width - 60, at);
    await page.waitForTimeout(600);
    assert.equal((await middleOf(page))[0], east, 'it moves only at the edge');
    await touch('touchMove', box.width - 4, at);
    await until('it moves', async () => ((await middleOf(page))[0] ?? 0) > east + 0.5);
    // The cross stays under the finger: it goes on over the plan.
    const cross = async () =>
      Number((await page.locator('.cross-layer').getAttribute('data-at'))?.split(' ')[0]);
    const before = await cross();
    await until('the cross goes on', async () => (await cross()) > before + 0.3);
    assert.ok(Math.abs(((await middleOf(page))[1] ?? 0) - north) < 1e-6, 'and not up or down');
    await touch('touchMove', box.width / 2, at);
    await page.waitForTimeout(100);
    const still = (await middleOf(page))[0];
    await page.waitForTimeout(500);
    assert.equal((await middleOf(page))[0], still);
    // The cross stands above the finger, so it comes to the upper edge first.
    await touch('touchMove', box.width / 2, 64);
    await until('it moves up', async () => ((await middleOf(page))[1] ?? 0) > north + 0.3);
    await touch('touchEnd');
    // What was drawn of it last shows with the next frame.
    await page.waitForTimeout(100);
    const [, end] = await middleOf(page);
    await page.waitForTimeout(500);
    assert.equal((await middleOf(page))[1], end);
    assert.deepEqual(complaints, []);
  }),
);

for (const locale of ['en-GB', 'es-ES']) {
  test(`all tools are in one row at 1280 pixels, ${locale}`, { skip }, () =>
    withPage({ locale }, async ({ page }) => {
      const strip = await page.locator('.tool-bar').evaluate((bar) => ({
        tops: [...bar.querySelectorAll('.tool')].map((tool) => tool.getBoundingClientRect().top),
        widths: [...bar.querySelectorAll('.tool')].map((tool) => tool.clientWidth),
        out: bar.scrollWidth - bar.clientWidth,
      }));
      assert.ok(strip.tops.length > 12);
      assert.equal(new Set(strip.tops).size, 1);
      assert.equal(strip.out, 0);
      assert.ok(Math.min(...strip.widths) >= 40, String(strip.widths));
    }),
  );
}
