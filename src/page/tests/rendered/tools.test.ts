// Every tool in use, at every width: no rule is broken, nothing reaches out of the page.

import assert from 'node:assert/strict';
import { test } from 'node:test';
import type { Page } from 'playwright-core';
import type { Point } from '../../src/live/protocol.ts';
import { overflows, violations } from './axe.ts';
import { SHOTS, skip, withPage } from './browser.ts';
import { clickAt, pixelOf } from './pencil.ts';

const SKETCH: Point[] = [
  [6.8, 0.45],
  [9.45, 0.45],
];

/** Begins something with the tool, and points at what is next. */
async function begin(page: Page, name: string): Promise<void> {
  await page.locator(`.tool[data-tool="${name}"]`).click();
  await page.locator('.frame').scrollIntoViewIfNeeded();
  const isMany = ['wall', 'stairs'].includes(name);
  if (isMany) await clickAt(page, ...SKETCH);
  const { x, y } = await pixelOf(page, [9.4, 1.95]);
  await page.mouse.move(x, y, { steps: 2 });
  await page.waitForTimeout(120);
}

for (const [width, height] of [
  [1280, 800],
  [820, 1180],
  [360, 740],
] as const) {
  for (const locale of ['en-GB', 'es-ES']) {
    test(`no rule is broken with any tool at ${width} pixels, ${locale}`, { skip }, () =>
      withPage({ viewport: { width, height }, locale }, async ({ page, complaints }) => {
        const names = await page
          .locator('.tool')
          .evaluateAll((all) => all.map((one) => (one as HTMLElement).dataset.tool ?? ''));
        assert.ok(names.length >= 12, names.join());
        for (const name of names) {
          await begin(page, name);
          assert.deepEqual(await overflows(page), [], name);
          // In one language: rules do not depend on it.
          if (locale === 'en-GB') assert.deepEqual(await violations(page), [], name);
        }
        await begin(page, 'wall');
        await page.locator('.constructions button[aria-expanded]').click();
        await page.waitForTimeout(200);
        assert.deepEqual(await violations(page), [], 'the list of constructions');
        await page.locator('.constructions button[aria-expanded]').click();
        const shot = (what: string) => `${SHOTS}draw-${what}-${width}-${locale.slice(0, 2)}.png`;
        await page.screenshot({ path: shot('drag') });
        await page.locator('.in-use .switch label').nth(1).click();
        await page.locator('.set-point').waitFor();
        await page.waitForTimeout(200);
        assert.deepEqual(await violations(page), [], 'aiming');
        assert.deepEqual(await overflows(page), [], 'aiming');
        await page.screenshot({ path: shot('aim') });
        assert.deepEqual(complaints, []);
      }),
    );
  }
}

test('tools and their options fit at text of 200 %', { skip }, () =>
  withPage({ viewport: { width: 720, height: 900 } }, async ({ page }) => {
    await page.evaluate(() => {
      document.documentElement.style.fontSize = '200%';
    });
    await begin(page, 'wall');
    assert.deepEqual(await overflows(page), []);
    await page.locator('.in-use .switch label').nth(1).click();
    await page.locator('.set-point').waitFor();
    assert.deepEqual(await overflows(page), []);
    await page.screenshot({ path: `${SHOTS}draw-200.png`, fullPage: true });
  }),
);
