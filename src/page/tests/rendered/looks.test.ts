// How the page looks and reads: rules of accessibility, sizes, languages, faults, answers.

import assert from 'node:assert/strict';
import { test } from 'node:test';
import type { Page } from 'playwright-core';
import { overflows, violations } from './axe.ts';
import { middleOf, SHOTS, skip, until, withPage } from './browser.ts';

/** Rests until the map is drawn. */
const rest = (page: Page) => page.waitForTimeout(600);

for (const [width, height] of [
  [1280, 800],
  [820, 1180],
  [360, 740],
] as const) {
  for (const language of ['en', 'es']) {
    test(`no rule is broken at ${width} pixels in ${language}`, { skip }, () =>
      withPage(
        { viewport: { width, height }, locale: language === 'en' ? 'en-GB' : 'es-ES' },
        async ({ page, complaints }) => {
          assert.equal(await page.locator('html').getAttribute('lang'), language);
          await page.locator('.mark[data-id="m-office"]').click();
          await page.locator('.card .remedy').first().waitFor();
          await rest(page);
          assert.deepEqual(await overflows(page), []);
          assert.deepEqual(await violations(page), []);
          assert.deepEqual(complaints, []);
          await page.screenshot({ path: `${SHOTS}${width}-${language}.png`, fullPage: true });
        },
      ),
    );
  }
}

test('the rules can be broken', { skip }, () =>
  withPage({}, async ({ page }) => {
    await page.evaluate(() => {
      const pale = document.createElement('button');
      pale.style.color = '#ddd';
      pale.textContent = 'pale';
      const wide = document.createElement('p');
      wide.style.width = '3000px';
      wide.textContent = 'wide';
      document.querySelector('.beside')?.append(pale, wide);
    });
    assert.match((await violations(page)).join(), /color-contrast/);
    assert.notDeepEqual(await overflows(page), []);
  }),
);

test('text at 200 % still fits', { skip }, () =>
  withPage({ viewport: { width: 720, height: 900 } }, async ({ page }) => {
    await page.evaluate(() => {
      document.documentElement.style.fontSize = '200%';
    });
    await page.locator('.mark[data-id="m-office"]').click();
    await page.locator('.card .remedy').first().waitFor();
    await rest(page);
    await page.screenshot({ path: `${SHOTS}text-200.png`, fullPage: true });
    assert.deepEqual(await overflows(page), []);
  }),
);

test('the language can be changed on the page', { skip }, () =>
  withPage({}, async ({ page }) => {
    await page.getByLabel('Language').selectOption('es');
    await page.getByRole('button', { name: 'Deshacer' }).waitFor();
    assert.equal(await page.locator('html').getAttribute('lang'), 'es');
    assert.match((await page.locator('.found h1').textContent()) ?? '', /2 con fallo/);
  }),
);

test('what the program says is in the language of the page', { skip }, () =>
  withPage({ locale: 'es-ES' }, async ({ page, server }) => {
    const marked = (within: string) => page.locator(`${within} [lang="en"]`).count();
    await page.locator('.devices .why').filter({ hasText: 'sin obstáculos' }).first().waitFor();
    assert.equal(await marked('.devices'), 0);
    await page.locator('.mark[data-id="m-office"]').click();
    await page.locator('.card').getByText('Un resumen.').waitFor();
    await page
      .locator('.card .remedy')
      .getByText(/^Remedio \d/)
      .first()
      .waitFor();
    assert.equal(await marked('.card'), 0);
    await page.getByRole('button', { name: 'Los cinco mejores lugares' }).click();
    await page.getByText('Lugar 1: pared 1').waitFor();
    await page.getByRole('button', { name: 'Pared', exact: true }).click();
    const built = page.locator('.in-use .construction').first();
    assert.match((await built.textContent()) ?? '', /construcción \d/);
    assert.equal(await marked('.in-use .constructions'), 0);
    assert.deepEqual(await violations(page), []);
    await page.screenshot({ path: `${SHOTS}spanish.png`, fullPage: true });
    // What is said of faults stays English, and is marked so.
    server.setFaults(FAULTS.map((fault) => ({ ...fault })) as never);
    await page.locator('[lang="en"]').getByText('it is on no wall').waitFor();
    // In another language all of it is said anew.
    await page.getByLabel('Idioma').selectOption('en');
    await page.getByText('Spot 1: Hall side of the Bedroom 2 wall').waitFor();
    await page.locator('.devices .why').filter({ hasText: 'clear' }).first().waitFor();
    assert.equal(await page.locator('[lang="es"]').count(), 1, 'but its own name in the list');
    const said = server.heard.filter((one) => one.type === 'hello' || one.type === 'language');
    const tags = said.map((one) => (one.type === 'hello' ? one.language : one.to));
    assert.deepEqual(tags, ['es', 'en']);
  }),
);

test('with what a plan begins is in the language of the page', { skip }, () =>
  withPage({ locale: 'es-ES', isNew: true }, async ({ page }) => {
    const example = page.getByRole('button', { name: /Una casita/ });
    await example.waitFor();
    assert.equal(await example.getAttribute('lang'), null);
    await page.getByLabel('Idioma').selectOption('en');
    await page.getByRole('button', { name: /A cottage/ }).waitFor();
  }),
);

test('the map shows failing floor hatched and its colours', { skip }, () =>
  withPage({}, async ({ page }) => {
    await rest(page);
    const tones = await page.evaluate(() => {
      const canvas = document.querySelector<HTMLCanvasElement>('.ol-layer canvas');
      const context = canvas?.getContext('2d');
      if (!canvas || !context) return 0;
      const { data } = context.getImageData(0, 0, canvas.width, canvas.height);
      const seen = new Set<number>();
      for (let at = 0; at < data.length; at += 4) {
        seen.add(((data[at] ?? 0) << 16) | ((data[at + 1] ?? 0) << 8) | (data[at + 2] ?? 0));
      }
      return seen.size;
    });
    assert.ok(tones > 20, `${tones} tones`);
  }),
);

test('the finding is read out once it rests', { skip }, () =>
  withPage({}, async ({ page }) => {
    const aloud = page.locator('#finding-aloud');
    await until('words', async () => /2 failing/.test((await aloud.textContent()) ?? ''));
    assert.match((await aloud.textContent()) ?? '', /Worst: 14 Office motion, 32\.4 % a year/);
  }),
);

const FAULTS = [
  { number: 1, feature: 'fridge', at: [9.7, 5.7], level: 0, what: 'it floats', fix: 'put it down' },
  { number: 2, feature: 'front-door', what: 'it is on no wall', fix: 'move it onto a wall' },
] as const;

test('faults have rings and a list, and the last forecast stays under a veil', { skip }, () =>
  withPage({}, async ({ page, server }) => {
    server.setFaults(FAULTS.map((fault) => ({ ...fault })) as never);
    await page.getByRole('heading', { name: 'Plan faults' }).waitFor();
    await page.locator('.behind .veil').waitFor();
    assert.equal(await page.locator('.marks .ring').count(), 2);
    assert.ok((await page.locator('.devices li').count()) === 15, 'the last forecast stays');
    await rest(page);
    await page.screenshot({ path: `${SHOTS}veil.png` });
    await page.getByRole('button', { name: 'Show fault 2' }).click();
    await rest(page);
    await page.screenshot({ path: `${SHOTS}faults.png` });
    assert.deepEqual(await violations(page), []);
    const frame = await middleOf(page, '.frame');
    const ring = await middleOf(page, '.marks .ring:nth-of-type(2)');
    assert.ok(Math.hypot(frame.x - ring.x, frame.y - ring.y) < 60, 'the fault is in the middle');
  }),
);

test('best spots are listed, marked and can be tried', { skip }, () =>
  withPage({}, async ({ page, server }) => {
    await page.getByRole('button', { name: 'Best five spots' }).click();
    await page.getByText('31 spots compared').waitFor();
    const brackets = await page.locator('.bracket').count();
    assert.ok(brackets >= 2, `${brackets} brackets`);
    await page.getByRole('button', { name: 'Repeaters' }).click();
    await page.getByText('Repeaters needed: 1.').waitFor();
    await rest(page);
    await page.screenshot({ path: `${SHOTS}spots.png`, fullPage: true });
    assert.deepEqual(await violations(page), []);
    await page.getByRole('button', { name: 'Keep as A' }).click();
    await page.getByRole('button', { name: /^Hang it here: Spot 1/ }).click();
    await until('an edit', () => server.heard.some(({ type }) => type === 'edit'));
    await page.locator('.against').getByText('Against A').waitFor();
    await rest(page);
    await page.screenshot({ path: `${SHOTS}against.png` });
    assert.deepEqual(await violations(page), []);
    await page.getByRole('button', { name: 'Panel back to A' }).click();
    await until('two edits', () => server.heard.filter(({ type }) => type === 'edit').length === 2);
    await until(
      'no difference',
      async () =>
        (await page.locator('.against').count()) === 0 ||
        /no change/.test((await page.locator('.against').textContent()) ?? ''),
    );
  }),
);

test('the plan is saved, to its file or under a new name', { skip }, () =>
  withPage({}, async ({ page, server }) => {
    await page.getByRole('button', { name: 'Save as …' }).click();
    const field = page.getByLabel('File name in the same folder');
    for (const bad of ['../up.geojson', '.hidden.geojson', 'plan.txt']) {
      await field.fill(bad);
      await page.locator('dialog').getByRole('button', { name: 'Save' }).click();
      assert.ok(!server.heard.some(({ type }) => type === 'save'), bad);
    }
    assert.deepEqual(await violations(page), []);
    await field.fill('second.geojson');
    await page.locator('dialog').getByRole('button', { name: 'Save' }).click();
    await page.getByText('Saved to second.geojson').waitFor();
    const asked = server.heard.find(({ type }) => type === 'save');
    assert.deepEqual(asked, { type: 'save', as: 'second.geojson' });
  }),
);

test('a file changed elsewhere is said, and a lost program, too', { skip }, () =>
  withPage({}, async ({ page, server }) => {
    server.send({ type: 'elsewhere', version: 1, what: 'The file was changed outside.' });
    await page.getByRole('alert').filter({ hasText: 'The file was changed outside.' }).waitFor();
    await page.getByRole('alert').getByRole('button', { name: 'Close' }).click();
    server.hangUp();
    await page.getByRole('alert').filter({ hasText: 'does not answer' }).waitFor();
    await until('no trouble', async () => (await page.locator('.trouble').count()) === 0);
    const hellos = server.heard.filter(({ type }) => type === 'hello');
    assert.equal(hellos.length, 2);
    assert.deepEqual(hellos[0], hellos[1], 'the same tab comes back');
  }),
);

test('the other map and the other level are asked for', { skip }, () =>
  withPage({}, async ({ page, server }) => {
    await page.getByText('Panel anywhere').click();
    await until('a map', () =>
      server.heard.some((one) => one.type === 'map' && one.kind === 'anywhere'),
    );
    await page.getByLabel('Level').selectOption('1');
    await until('a level', () => server.heard.some((one) => one.type === 'map' && one.level === 1));
    await until('no marks', async () => (await page.locator('.mark').count()) === 0);
  }),
);

test('a device chosen in the list leads to its details', { skip }, () =>
  withPage({ viewport: { width: 360, height: 740 } }, async ({ page }) => {
    await page.locator('.device').filter({ hasText: '12 Utility leak' }).click();
    const title = page.getByRole('heading', { name: '12 Utility leak' });
    await title.waitFor();
    await until('focus', () => page.evaluate(() => document.activeElement?.id === 'details-title'));
    const box = await title.boundingBox();
    assert.ok(box && box.y > 0 && box.y < 740, 'it is on the screen');
  }),
);

test('a plan without a panel says why nothing is forecast', { skip }, () =>
  withPage({}, async ({ page, server, complaints }) => {
    server.removePanel();
    await page.locator('.behind .veil').getByText('There is no panel on the plan').waitFor();
    await until('no mark', async () => (await page.locator('.mark.panel').count()) === 0);
    assert.deepEqual(await violations(page), []);
    await page.getByRole('button', { name: 'Undo' }).click();
    await page.locator('.mark.panel').waitFor();
    await until('a forecast', async () => (await page.locator('.behind').count()) === 0);
    assert.deepEqual(complaints, []);
  }),
);

test('no rule is broken while a device is held', { skip }, () =>
  withPage({ viewport: { width: 360, height: 740 } }, async ({ page }) => {
    await page.locator('.mark.panel').focus();
    await page.keyboard.press('Enter');
    await page.keyboard.press('Shift+ArrowLeft');
    await page.locator('.against').waitFor();
    await rest(page);
    assert.deepEqual(await overflows(page), []);
    assert.deepEqual(await violations(page), []);
    await page.screenshot({ path: `${SHOTS}held.png`, fullPage: true });
  }),
);
