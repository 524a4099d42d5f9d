// A guest's page on a phone held upright, against the fake server; and the desk's panel for it.

import assert from 'node:assert/strict';
import { test } from 'node:test';
import type { Page } from 'playwright-core';
import type { PresentMessage } from '../../src/guest/messages.ts';
import { overflows, violations } from './axe.ts';
import { type Opened, SHOTS, skip, until, withPage } from './browser.ts';

const rest = (page: Page) => page.waitForTimeout(400);

const present = (you: PresentMessage['you'], more: Partial<PresentMessage> = {}) =>
  ({ type: 'present', version: 1, you, desks: 1, guests: 1, ...more }) as const;

/** What people touch that is smaller than 44 pixels; a box in a label is touched by the label. */
const small = (page: Page) =>
  page.evaluate(() => {
    const found = document.querySelectorAll(
      'button, a, select, summary, input, .switch span, .sort, .flag',
    );
    return [...found].flatMap((element) => {
      const isBox = element instanceof HTMLInputElement && element.closest('label');
      if (isBox && ['radio', 'checkbox'].includes(element.type)) return [];
      const { width, height } = element.getBoundingClientRect();
      const isSeen = width > 1 && getComputedStyle(element).visibility === 'visible';
      const isSmall = isSeen && (width < 43.5 || height < 43.5);
      return isSmall ? [`${element.outerHTML.slice(0, 90)} ${width}x${height}`] : [];
    });
  });

/** That nothing of a screen is too small, too wide or against a rule, and the bar is in reach. */
async function sound(page: Page, name: string): Promise<void> {
  await rest(page);
  await page.screenshot({ path: `${SHOTS}guest-${name}.png` });
  assert.deepEqual(await small(page), [], name);
  assert.deepEqual(await overflows(page), [], name);
  assert.deepEqual(await violations(page), [], name);
  const cut = await page
    .locator('.bar button')
    .evaluateAll((all) =>
      all.filter((one) => one.scrollWidth > one.clientWidth).map((one) => one.textContent),
    );
  assert.deepEqual(cut, [], `${name}: words are cut`);
  const bar = await page.locator('.bar').boundingBox();
  const { height = 0 } = page.viewportSize() ?? {};
  assert.ok(bar && Math.abs(bar.y + bar.height - height) < 1, `${name}: the bar is at the bottom`);
  const frame = await page.locator('.frame').boundingBox();
  assert.ok(frame && frame.height >= 128 && frame.y < 200, `${name}: the plan is above`);
}

const press = (page: Page, name: string) =>
  page.locator('.bar').getByRole('button', { name, exact: true }).tap();

const asGuest = async ({ page, server }: Opened, you: 'reading' | 'editing') => {
  server.send(present(you));
  await page.locator('.bar').waitFor();
};

for (const width of [360, 390]) {
  for (const [locale, colorScheme] of [
    ['en-GB', 'light'],
    ['es-ES', 'dark'],
  ] as const) {
    const options = {
      viewport: { width, height: 740 },
      hasTouch: true,
      isMobile: true,
      locale,
      colorScheme,
    };
    const words =
      locale === 'en-GB'
        ? { devices: 'Devices', draw: 'Draw', map: 'Map', more: 'More', wall: 'Wall' }
        : { devices: 'Equipos', draw: 'Dibujar', map: 'Mapa', more: 'Más', wall: 'Pared' };
    const at = `${width}-${locale.slice(0, 2)}`;

    test(`each sheet of who edits is fit for a thumb at ${at}`, { skip }, () =>
      withPage(options, async (opened) => {
        const { page, complaints } = opened;
        await asGuest(opened, 'editing');
        await sound(page, `${at}-plan`);
        for (const name of ['devices', 'draw', 'map', 'more'] as const) {
          await press(page, words[name]);
          await sound(page, `${at}-${name}`);
          if (name === 'more') assert.ok(await page.locator('.caution').isVisible());
          await press(page, words[name]);
        }
        await page.locator('.mark[data-id="m-office"]').tap();
        await page.locator('.details').waitFor();
        await page.locator('.card .remedy').first().waitFor();
        await sound(page, `${at}-thing`);
        await page.locator('.details .row button').first().tap();
        await page.locator('.details').waitFor({ state: 'detached' });
        await press(page, words.draw);
        await page
          .locator('.tool-bar')
          .getByRole('button', { name: words.wall, exact: true })
          .tap();
        await page.locator('.in-use').waitFor();
        await sound(page, `${at}-tool`);
        assert.deepEqual(complaints, []);
      }),
    );
  }

  test(`who reads sees no button that changes anything at ${width}`, { skip }, () =>
    withPage(
      { viewport: { width, height: 740 }, hasTouch: true, isMobile: true },
      async (opened) => {
        const { page, server, complaints } = opened;
        await asGuest(opened, 'reading');
        await page.getByText('Guest, reading.').waitFor();
        const before = server.heard.length;
        const buttons = () => page.locator('button:visible').allTextContents();
        const changing =
          /^(Undo|Redo|Save|Take away|Draw|Delete|Copy|Move|Try it|Hang it here|Levels|A ph|Wall)/;
        const check = async (name: string) => {
          await sound(page, `${width}-reading-${name}`);
          assert.deepEqual(
            (await buttons()).filter((words) => changing.test(words)),
            [],
            name,
          );
        };
        await check('plan');
        for (const name of ['Devices', 'Map', 'More']) {
          await press(page, name);
          await check(name);
          await press(page, name);
        }
        await page.locator('.mark[data-id="m-office"]').tap();
        await page.locator('.card .remedy').first().waitFor();
        await check('thing');
        // Keys and fingers change nothing either.
        const panel = page.locator('.mark.panel');
        await panel.focus();
        for (const key of ['Enter', 'Shift+ArrowLeft', 'Enter', 'Delete', 'Control+z']) {
          await page.keyboard.press(key);
        }
        await rest(page);
        const asks = ['explain', 'map', 'language', 'spots', 'repeaters', 'measure', 'drop'];
        const said = server.heard.slice(before).map(({ type }) => type);
        assert.deepEqual(
          said.filter((type) => !asks.includes(type)),
          [],
        );
        assert.deepEqual(complaints, []);
      },
    ),
  );
}

test('spots asked for on the phone come as a sheet, and their marks lead to it', { skip }, () =>
  withPage(
    { viewport: { width: 360, height: 740 }, hasTouch: true, isMobile: true },
    async (opened) => {
      const { page } = opened;
      await asGuest(opened, 'editing');
      await press(page, 'Map');
      await page.getByRole('button', { name: 'Best five spots' }).tap();
      await page.getByText('31 spots compared').waitFor();
      await sound(page, 'spots');
      await press(page, 'Devices');
      assert.ok(!(await page.getByText('31 spots compared').isVisible()));
      await page.locator('.bracket').first().dispatchEvent('click');
      await until('the list', () => page.getByText('31 spots compared').isVisible());
    },
  ),
);

test('a phone that is shut out says why and does not knock again', { skip }, () =>
  withPage(
    { viewport: { width: 360, height: 740 }, hasTouch: true, isMobile: true },
    async (opened) => {
      const { page, server } = opened;
      await asGuest(opened, 'reading');
      server.shutOut('this key was withdrawn');
      await page.getByRole('alert').filter({ hasText: 'ended this connection' }).waitFor();
      await page.waitForTimeout(1500);
      assert.equal(server.heard.filter(({ type }) => type === 'hello').length, 1);
      assert.deepEqual(await overflows(page), []);
    },
  ),
);

test('the desk has no phone where nothing is shared', { skip }, () =>
  withPage({}, async ({ page }) => {
    assert.equal(await page.getByRole('button', { name: /phone/i }).count(), 0);
    assert.equal(await page.locator('.who').count(), 0);
  }),
);

test('the desk makes a key, which is shown once, and withdraws it', { skip }, () =>
  withPage({}, async ({ page, server, complaints }) => {
    const fingerprint = Array.from({ length: 32 }, () => 'AB').join(':');
    const shared = { at: 'https://192.168.1.7:4000/', fingerprint, may: null, used: null };
    server.send(present('desk', { guests: 0, shared }));
    await page.getByText('At the desk: 1, guests: 0').waitFor();
    await page.getByRole('button', { name: 'A phone …' }).click();
    await page.getByText('No key holds').waitFor();
    assert.ok(await page.getByText(fingerprint).isVisible());
    await page.locator('dialog').getByText('Read and edit').click();
    await page.getByRole('button', { name: 'Make a key' }).click();
    await until('a key', () => server.heard.some(({ type }) => type === 'share'));
    assert.deepEqual(
      server.heard.find(({ type }) => type === 'share'),
      { type: 'share', may: 'editing' },
    );
    const address = `${shared.at}#abcdefghijklmnopqrstuv`;
    const code = ['0000', '0110', '0010', '0000'];
    server.send({ type: 'invited', version: 1, address, code, may: 'editing' });
    server.send(present('desk', { guests: 0, shared: { ...shared, may: 'editing', used: false } }));
    await page.getByText(address).waitFor();
    assert.equal(
      await page.locator('.code path').getAttribute('d'),
      'M1,1h1v1h-1zM2,1h1v1h-1zM2,2h1v1h-1z',
    );
    await page.screenshot({ path: `${SHOTS}phone-panel.png` });
    assert.deepEqual(await violations(page), []);
    await page.keyboard.press('Escape');
    await page.getByRole('button', { name: 'A phone …' }).click();
    await page.getByText('A key waits for its device: Read and edit.').waitFor();
    assert.equal(await page.getByText(address).count(), 0, 'shown once');
    server.send(present('desk', { shared: { ...shared, may: 'editing', used: true } }));
    await page.getByText('A device has the key').waitFor();
    await page.getByRole('button', { name: 'Withdraw the key' }).click();
    await until('withdrawn', () => server.heard.some(({ type }) => type === 'withdraw'));
    assert.deepEqual(complaints, []);
  }),
);
