// The sale at the table, on the page of the real program.

import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { test } from 'node:test';
import type { Page } from 'playwright-core';
import { violations } from './axe.ts';
import { SHOTS, until } from './browser.ts';
import { command, skip, withProgram } from './program.ts';

const PAPERS = ['--business=business.toml', '--prices=prices.csv'];

async function show(page: Page, by: 'click' | 'tap' = 'click', name = 'Show the customer') {
  page.setDefaultTimeout(120_000);
  await page.getByRole('button', { name })[by]();
  await page.locator('.sale-offer').waitFor();
}

/** What is wider than its window. */
const tooWide = (page: Page) =>
  page.evaluate(() => {
    const view = document.querySelector('dialog.sale') as HTMLElement;
    const out = [...view.querySelectorAll<HTMLElement>('*')].filter(
      (one) => one.getBoundingClientRect().right > innerWidth + 0.5,
    );
    return [view.scrollWidth > view.clientWidth ? 'it scrolls sideways' : '']
      .concat(out.map((one) => `${one.tagName} ${one.className}`))
      .filter(Boolean);
  });

const lineAt = (page: Page) => page.locator('.wipe input[type="range"]').first().inputValue();

for (const [width, height] of [
  [360, 740],
  [820, 1180],
  [1280, 800],
] as const) {
  for (const [locale, opener] of [
    ['en-GB', 'Show the customer'],
    ['es-ES', 'Mostrar al cliente'],
  ] as const) {
    test(`the customer reads it at ${width} pixels, ${locale}`, { skip }, () =>
      withProgram(
        { shipped: 'corner-shop', args: PAPERS, viewport: { width, height }, locale },
        async ({ page, complaints }) => {
          await show(page, 'click', opener);
          await page.locator('.wipe img').first().waitFor();
          const said = ((await page.locator('dialog.sale').textContent()) ?? '').toLowerCase();
          for (const technical of [/\bdb\b/, /dbm/, /mhz/, /\breserve\b/, /cold-room/]) {
            assert.doesNotMatch(said, technical);
          }
          assert.deepEqual(await tooWide(page), []);
          assert.deepEqual(await violations(page), []);
          assert.deepEqual(complaints, []);
          const shot = `${SHOTS}sale-${width}-${locale.slice(0, 2)}`;
          await page.screenshot({ path: `${shot}.png` });
          await page.locator('.wipe').first().scrollIntoViewIfNeeded();
          await page.screenshot({ path: `${shot}-plan.png` });
          await page.locator('.sale-rooms').scrollIntoViewIfNeeded();
          await page.screenshot({ path: `${shot}-rooms.png` });
        },
      ),
    );
  }
}

for (const [locale, opener, said] of [
  ['en-GB', 'Show the customer', 'Panic fob at the desk'],
  ['es-ES', 'Mostrar al cliente', 'Panic fob at the desk'],
] as const) {
  test(`where a fob works, without and with the repeater, ${locale}`, { skip }, () =>
    withProgram(
      { shipped: 'foil-garage', viewport: { width: 360, height: 740 }, locale },
      async ({ page, complaints }) => {
        await show(page, 'click', opener);
        const desk = page.locator('.sale-where li').filter({ hasText: said });
        const lines = await desk.locator('.sale-signal').allTextContents();
        assert.equal(lines.length, 2);
        assert.match(lines[1] ?? '', locale === 'en-GB' ? /^without.*: 0.% of/ : /^sin.*: el 0.%/);
        await desk.scrollIntoViewIfNeeded();
        assert.deepEqual(await tooWide(page), []);
        assert.deepEqual(await violations(page), []);
        assert.deepEqual(complaints, []);
        await page.screenshot({ path: `${SHOTS}sale-fob-${locale.slice(0, 2)}.png` });
      },
    ),
  );
}

test('without and with under one line, by mouse and by keys', { skip }, () =>
  withProgram({ shipped: 'corner-shop' }, async ({ page, complaints }) => {
    await show(page);
    const frame = page.locator('.wipe-frame').first();
    await frame.scrollIntoViewIfNeeded();
    const box = await frame.boundingBox();
    assert.ok(box);
    // Both pictures are of one size, or the line would compare two places.
    const sizes = await frame.locator('img').evaluateAll((all) =>
      all.map((one) => {
        const image = one as HTMLImageElement;
        return [image.naturalWidth, image.naturalHeight, image.clientWidth, image.clientHeight];
      }),
    );
    assert.equal(sizes.length, 2);
    assert.deepEqual(sizes[0], sizes[1]);
    assert.ok((sizes[0]?.[0] ?? 0) > 400);
    assert.equal(await lineAt(page), '50');
    const y = box.y + Math.min(box.height, 300) / 2;
    await page.mouse.move(box.x + box.width / 2, y);
    await page.mouse.down();
    await page.mouse.move(box.x + box.width * 0.05, y, { steps: 5 });
    await page.mouse.up();
    assert.equal(await lineAt(page), '5');
    assert.equal(await page.locator('.wipe-side.before').isVisible(), false);
    assert.equal(await page.locator('.wipe-side.after').isVisible(), true);
    // Let go, the line stays.
    await page.mouse.move(box.x + box.width * 0.9, y);
    assert.equal(await lineAt(page), '5');
    const range = page.getByRole('slider');
    await range.focus();
    await page.keyboard.press('End');
    assert.equal(await lineAt(page), '100');
    await page.keyboard.press('ArrowLeft');
    assert.equal(await lineAt(page), '95');
    assert.match((await range.getAttribute('aria-valuetext')) ?? '', /95 %.*5 %/);
    const clip = await page
      .locator('.wipe-after')
      .first()
      .evaluate((one) => one.style.clipPath);
    assert.match(clip, /95%/);
    await page.keyboard.press('Escape');
    await page.locator('.sale-offer').waitFor({ state: 'detached' });
    assert.deepEqual(complaints, []);
  }),
);

test('a finger draws the line', { skip }, () =>
  withProgram(
    { shipped: 'corner-shop', viewport: { width: 360, height: 740 }, hasTouch: true },
    async ({ page }) => {
      await show(page, 'tap');
      const frame = page.locator('.wipe-frame').first();
      await frame.scrollIntoViewIfNeeded();
      const box = await frame.boundingBox();
      assert.ok(box);
      const client = await page.context().newCDPSession(page);
      const y = box.y + box.height / 2;
      const touch = (type: 'touchStart' | 'touchMove' | 'touchEnd', share?: number) =>
        client.send('Input.dispatchTouchEvent', {
          type,
          touchPoints: share === undefined ? [] : [{ x: box.x + box.width * share, y }],
        });
      await touch('touchStart', 0.5);
      for (const share of [0.6, 0.7, 0.8, 0.9]) await touch('touchMove', share);
      await touch('touchEnd');
      await until('the line', async () => (await lineAt(page)) === '90');
    },
  ),
);

test('one tap makes the quote that the command writes, byte for byte', { skip }, () =>
  withProgram({ shipped: 'corner-shop', args: PAPERS }, async ({ page, folder, complaints }) => {
    await show(page);
    const total = (await page.locator('.sale-total').textContent()) ?? '';
    await page.getByRole('button', { name: 'Make the quote' }).click();
    const links = page.locator('dialog.sale a[download]');
    await links.nth(1).waitFor();
    command(folder, 'quote', 'corner-shop.geojson', ...PAPERS, '--paper=a4', '--out=command');
    for (const link of await links.all()) {
      const [download] = await Promise.all([page.waitForEvent('download'), link.click()]);
      const name = download.suggestedFilename();
      const own = readFileSync(await download.path());
      assert.ok(own.equals(readFileSync(join(folder, 'command', name))), name);
      if (name.endsWith('.html')) assert.ok(String(own).includes(total.trim()), total);
    }
    assert.deepEqual(complaints, []);
  }),
);

test('business and prices are named on the page; a wrong one is refused there', { skip }, () =>
  withProgram({ shipped: 'workshop' }, async ({ page }) => {
    await show(page);
    assert.equal(await page.locator('.sale-total').count(), 0);
    const open = () => page.locator('.sale-papers summary').click();
    await open();
    await page.getByLabel('Business (.toml)').fill('business.toml');
    await page.getByLabel('Prices (.csv)').fill('none.csv');
    await page.getByRole('button', { name: 'Use these' }).click();
    await page.locator('dialog.sale [role="alert"]').getByText('none.csv').waitFor();
    await open();
    await page.getByLabel('Prices (.csv)').fill('prices.csv');
    await page.getByRole('button', { name: 'Use these' }).click();
    await page.locator('.sale-total').waitFor();
    assert.match((await page.locator('.sale-total').textContent()) ?? '', /\d/);
    await page.locator('.sale-price summary').click();
    assert.equal(await page.locator('.sale-price tfoot tr').count(), 3);
  }),
);

test('a new place of the panel against the one that was kept', { skip }, () =>
  withProgram({ shipped: 'corner-shop' }, async (real) => {
    const { page, complaints } = real;
    page.setDefaultTimeout(120_000);
    await page.getByRole('button', { name: 'Keep as A' }).click();
    await page.locator('.mark.panel').focus();
    await page.keyboard.press('Enter');
    for (let step = 0; step < 3; step += 1) await page.keyboard.press('Shift+ArrowLeft');
    await page.keyboard.press('Enter');
    await until('an edit', () => real.heard.plan?.undo === 1);
    await show(page);
    assert.equal(await page.locator('.wipe-side.before').first().textContent(), 'Panel as it was');
    const captions = await page.locator('.wipe-captions span').allTextContents();
    assert.equal(captions.length, 2);
    for (const caption of captions) assert.match(caption, /^Devices heard well: \d+$/);
    const shots = await page
      .locator('.wipe-frame img')
      .evaluateAll((all) => all.map((one) => (one as HTMLImageElement).src));
    assert.equal(shots.length, 2);
    assert.notEqual(shots[0], shots[1]);
    // The plan itself is as it was left.
    assert.equal(real.heard.plan?.undo, 1);
    assert.deepEqual(complaints, []);
    await page.screenshot({ path: `${SHOTS}sale-place.png` });
  }),
);
