// Things are moved: by mouse, by finger, by keys, by buttons.

import assert from 'node:assert/strict';
import { test } from 'node:test';
import type { ClientMessage } from '../../src/live/protocol.ts';
import { middleOf, skip, until, withPage } from './browser.ts';

type Moving = Extract<ClientMessage, { type: 'edit' | 'try' }>;

const of = (heard: ClientMessage[], type: 'edit' | 'try') =>
  heard.filter((one): one is Moving => one.type === type);
const placeIn = (message: Moving | undefined) => {
  const [change] = message?.changes ?? [];
  return change?.do === 'move' ? change.to : null;
};

test('the panel follows the mouse, is tried on the way and set at the end', { skip }, () =>
  withPage({}, async ({ page, server, complaints }) => {
    const worst = () => page.locator('.found p').first().textContent();
    const before = await worst();
    const { x, y } = await middleOf(page, '.mark.panel');
    await page.mouse.move(x, y);
    await page.mouse.down();
    // Past two places of which the forecast was recorded.
    await page.mouse.move(x - 100, y + 80, { steps: 8 });
    await page.mouse.move(x - 178, y + 140, { steps: 8 });
    await until('a try', () => of(server.heard, 'try').length > 0);
    await until('another forecast', async () => (await worst()) !== before);
    await page.locator('.against').waitFor();
    assert.equal(of(server.heard, 'edit').length, 0, 'no edit while it is dragged');
    await page.mouse.up();
    await until('an edit', () => of(server.heard, 'edit').length === 1);
    const [edit] = of(server.heard, 'edit');
    const tried = of(server.heard, 'try');
    assert.ok(tried.length <= 20, `${tried.length} tries of 16 moves`);
    const numbers = [...tried, ...(edit ? [edit] : [])].map(({ seq }) => seq);
    assert.deepEqual(
      numbers,
      [...numbers].sort((one, other) => one - other),
      'numbers count up',
    );
    assert.deepEqual(placeIn(tried.at(-1)), placeIn(edit), 'what is set was tried last');
    await page.locator('button.main', { hasText: 'Save (1)' }).waitFor();
    // It goes back by undo, and its forecast with it.
    await page.getByRole('button', { name: 'Undo' }).click();
    await until('the first forecast', async () => (await worst()) === before);
    const back = await middleOf(page, '.mark.panel');
    assert.ok(Math.hypot(back.x - x, back.y - y) < 2);
    assert.deepEqual(complaints, []);
  }),
);

test('a panel let go beside a wall hangs on its face', { skip }, () =>
  withPage({}, async ({ page, server }) => {
    const { x, y } = await middleOf(page, '.mark.panel');
    await page.mouse.move(x, y);
    await page.mouse.down();
    await page.mouse.move(x + 4, y + 40, { steps: 6 });
    await page.mouse.up();
    await until('an edit', () => of(server.heard, 'edit').length === 1);
    const [right, up] = placeIn(of(server.heard, 'edit')[0]) ?? [0, 0];
    // The wall's middle is at 16 m, it is 115 mm thick: 2 cm in front of its face.
    assert.ok(Math.abs(right - 16.0775) < 0.001, String(right));
    assert.ok(up < 5.3, String(up));
  }),
);

test('a click on a mark moves nothing and shows its details', { skip }, () =>
  withPage({}, async ({ page, server }) => {
    await page.locator('.mark[data-id="m-office"]').click();
    await page.getByRole('heading', { name: '14 Office motion' }).waitFor();
    await page.getByRole('heading', { name: 'What would help' }).waitFor();
    assert.equal(of(server.heard, 'edit').length + of(server.heard, 'try').length, 0);
    const asked = () => server.heard.filter(({ type }) => type === 'explain').length;
    assert.equal(asked(), 1);
    await page
      .getByRole('button', { name: /^Try it: Plug a repeater into outlet-living$/ })
      .click();
    await until('an edit', () => of(server.heard, 'edit').length === 1);
    await until('a new answer', () => asked() === 2);
    await page.waitForTimeout(200);
    assert.equal(asked(), 2, 'asked once for each text');
  }),
);

test('keys move a device: Enter, arrows, Shift, Enter', { skip }, () =>
  withPage({}, async ({ page, server }) => {
    await page.locator('.mark[data-id="m-hall"]').focus();
    await page.keyboard.press('Enter');
    await page.keyboard.press('ArrowLeft');
    await page.keyboard.press('ArrowLeft');
    await page.keyboard.press('Shift+ArrowUp');
    await until('tries', () => of(server.heard, 'try').length > 0);
    assert.match(
      (await page.locator('#hand-aloud').textContent()) ?? '',
      /−0.20 m to the right|−0\.20 m/,
    );
    await page.keyboard.press('Enter');
    await until('an edit', () => of(server.heard, 'edit').length === 1);
    assert.deepEqual(placeIn(of(server.heard, 'edit')[0]), [11.523, 3.422]);
    const focused = await page.evaluate(() => document.activeElement?.getAttribute('data-id'));
    assert.equal(focused, 'm-hall', 'the focus stays on it');
    await page.keyboard.press('Control+z');
    await until('undo', () => server.heard.some(({ type }) => type === 'undo'));
    await page.keyboard.press('Control+Shift+z');
    await until('redo', () => server.heard.some(({ type }) => type === 'redo'));
  }),
);

test('Escape puts a device back, with no edit', { skip }, () =>
  withPage({}, async ({ page, server }) => {
    const start = await middleOf(page, '.mark[data-id="m-hall"]');
    await page.locator('.mark[data-id="m-hall"]').focus();
    await page.keyboard.press('Enter');
    await page.keyboard.press('Shift+ArrowRight');
    await until('a try', () => of(server.heard, 'try').length > 0);
    const away = await middleOf(page, '.mark[data-id="m-hall"]');
    assert.ok(away.x - start.x > 20);
    await page.keyboard.press('Escape');
    await until('a drop', () => server.heard.some(({ type }) => type === 'drop'));
    const end = await middleOf(page, '.mark[data-id="m-hall"]');
    assert.ok(Math.hypot(end.x - start.x, end.y - start.y) < 2);
    assert.equal(of(server.heard, 'edit').length, 0);
  }),
);

test('buttons move a device without dragging', { skip }, () =>
  withPage({}, async ({ page, server }) => {
    await page.locator('.mark[data-id="m-hall"]').click();
    await page.getByRole('button', { name: 'Take hold of 9 Hall motion' }).click();
    await page.getByRole('button', { name: 'Move it → 10 cm' }).click();
    await page.getByRole('button', { name: 'Set it here' }).click();
    await until('an edit', () => of(server.heard, 'edit').length === 1);
    assert.deepEqual(placeIn(of(server.heard, 'edit')[0]), [11.823, 2.422]);
  }),
);

test('a refused edit is shown and taken back', { skip }, () =>
  withPage({}, async ({ page, server }) => {
    const start = await middleOf(page, '.mark.panel');
    server.refuse = { what: 'The panel would be outside.', fix: 'Keep it in a room.' };
    await page.locator('.mark.panel').focus();
    await page.keyboard.press('Enter');
    await page.keyboard.press('Shift+ArrowRight');
    await page.keyboard.press('Enter');
    await page.getByRole('alert').filter({ hasText: 'The panel would be outside.' }).waitFor();
    const end = await middleOf(page, '.mark.panel');
    assert.ok(Math.hypot(end.x - start.x, end.y - start.y) < 2);
  }),
);

const PHONE = { viewport: { width: 360, height: 740 }, hasTouch: true, isMobile: true };

test('a finger drags the panel, which stays above it; elsewhere it moves the plan', { skip }, () =>
  withPage(PHONE, async ({ page, server }) => {
    const client = await page.context().newCDPSession(page);
    const touch = (type: string, ...points: { x: number; y: number }[]) =>
      client.send('Input.dispatchTouchEvent', { type: type as 'touchStart', touchPoints: points });
    await page.locator('.frame').scrollIntoViewIfNeeded();
    const { x, y } = await middleOf(page, '.mark.panel');
    await touch('touchStart', { x, y });
    for (let step = 1; step <= 8; step += 1)
      await touch('touchMove', { x: x - step * 6, y: y + step * 8 });
    await until('a try', () => of(server.heard, 'try').length > 0);
    const finger = { x: x - 48, y: y + 64 };
    const mark = await middleOf(page, '.mark.panel');
    assert.ok(finger.y - mark.y > 35, `${finger.y - mark.y} pixels above the finger`);
    assert.ok(Math.abs(finger.x - mark.x) < 15);
    await touch('touchEnd');
    await until('an edit', () => of(server.heard, 'edit').length === 1);

    // A finger that sets off on a small mark moves the plan.
    const sensor = await middleOf(page, '.mark[data-id="c-patio-door"]');
    const tried = of(server.heard, 'try').length;
    await touch('touchStart', sensor);
    for (let step = 1; step <= 8; step += 1) {
      await touch('touchMove', { x: sensor.x + step * 5, y: sensor.y + step * 5 });
    }
    await touch('touchEnd');
    await until('a moved plan', async () => {
      const now = await middleOf(page, '.mark[data-id="c-patio-door"]');
      return Math.hypot(now.x - sensor.x, now.y - sensor.y) > 20;
    });
    assert.equal(of(server.heard, 'try').length, tried);
    assert.equal(of(server.heard, 'edit').length, 1);
  }),
);

test('two fingers zoom the plan', { skip }, () =>
  withPage(PHONE, async ({ page }) => {
    const client = await page.context().newCDPSession(page);
    const apart = async () => {
      const [one, other] = [
        await middleOf(page, '.mark[data-id="c-bed1-window"]'),
        await middleOf(page, '.mark[data-id="smoke-corridor"]'),
      ];
      return Math.hypot(one.x - other.x, one.y - other.y);
    };
    const before = await apart();
    const { x, y } = await middleOf(page, '.frame');
    for (let step = 0; step <= 8; step += 1) {
      const type = step === 0 ? 'touchStart' : 'touchMove';
      const off = 30 + step * 8;
      await client.send('Input.dispatchTouchEvent', {
        type,
        touchPoints: [
          { x: x - off, y, id: 0 },
          { x: x + off, y, id: 1 },
        ],
      });
    }
    await client.send('Input.dispatchTouchEvent', { type: 'touchEnd', touchPoints: [] });
    await until('a closer look', async () => (await apart()) > before * 1.5);
  }),
);

test('the height of a device can be changed', { skip }, () =>
  withPage({}, async ({ page, server }) => {
    await page.locator('.mark.panel').click();
    const field = page.getByLabel('Height above the floor, m');
    assert.equal(await field.inputValue(), '1.5');
    await field.fill('1.8');
    await page.keyboard.press('Enter');
    await until('an edit', () => of(server.heard, 'edit').length === 1);
    const [change] = of(server.heard, 'edit')[0]?.changes ?? [];
    assert.deepEqual(change, { do: 'set', id: 'panel', properties: { height: 1.8 } });
  }),
);

test('a place that cannot be is said beside the plan, not in the way', { skip }, () =>
  withPage({}, async ({ page, server }) => {
    server.refuseTries = true;
    await page.locator('.mark.panel').focus();
    await page.keyboard.press('Enter');
    await page.keyboard.press('Shift+ArrowRight');
    await page.locator('.against').getByText('it would be in a wall').waitFor();
    assert.equal(await page.locator('.notice').count(), 0);
    assert.equal(await page.locator('.devices li').count(), 15, 'the last forecast stays');
    await page.keyboard.press('Escape');
    await until('nothing more', async () => (await page.locator('.against').count()) === 0);
  }),
);

test('an edit of one page is seen on another', { skip }, () =>
  withPage({}, async ({ page }) => {
    const other = await page.context().newPage();
    await other.goto(page.url());
    await other.locator('.mark.panel').waitFor();
    const start = await middleOf(other, '.mark.panel');
    await page.bringToFront();
    await page.locator('.mark.panel').focus();
    await page.keyboard.press('Enter');
    await page.keyboard.press('Shift+ArrowDown');
    await page.keyboard.press('Enter');
    await other.bringToFront();
    await until('it moves there, too', async () => {
      const now = await middleOf(other, '.mark.panel');
      return now.y - start.y > 20;
    });
    await other.getByRole('button', { name: 'Save (1)' }).waitFor();
  }),
);

test('keys move and zoom the plan', { skip }, () =>
  withPage({}, async ({ page }) => {
    const start = await middleOf(page, '.mark.panel');
    await page.locator('.target').focus();
    await page.keyboard.press('ArrowRight');
    await until('a moved plan', async () => start.x - (await middleOf(page, '.mark.panel')).x > 50);
    const before = await middleOf(page, '.mark[data-id="m-office"]');
    await page.keyboard.press('+');
    await until('a closer look', async () => {
      const now = await middleOf(page, '.mark[data-id="m-office"]');
      return before.x - now.x > 50;
    });
  }),
);
