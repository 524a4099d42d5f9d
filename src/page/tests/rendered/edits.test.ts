// Five hundred edits made on the page of the real program, drawn by lot with a fixed seed: undone,
// they give the first bytes back, and made again the last.

import assert from 'node:assert/strict';
import { test } from 'node:test';
import type { Page } from 'playwright-core';
import { fileIn, skip, withProgram } from './program.ts';

const EDITS = 500;

async function saveAs(page: Page, name: string): Promise<void> {
  await page.getByRole('button', { name: 'Save as …' }).click();
  await page.getByLabel('File name in the same folder').fill(name);
  await page.locator('dialog[open]').getByRole('button', { name: 'Save' }).click();
  await page.getByText(`Saved to ${name}`).waitFor();
  await page.locator('.notice button').click();
}

/** Presses a button of the head until it has nothing left to do; how often that was. */
const pressAll = (page: Page, name: string): Promise<number> =>
  page.evaluate(async (words) => {
    const button = () =>
      [...document.querySelectorAll<HTMLButtonElement>('header button')].find(
        (one) => one.textContent === words,
      );
    const tick = () => new Promise((next) => setTimeout(next, 4));
    let times = 0;
    for (let rest = 0; rest < 50; ) {
      if (button()?.disabled) {
        rest += 1;
        await tick();
        continue;
      }
      rest = 0;
      button()?.click();
      times += 1;
      await tick();
    }
    return times;
  }, name);

/** Makes edits by what the page offers, until so many are unsaved; how many of each sort. */
const editByLot = (page: Page, count: number, seed: number): Promise<Record<string, number>> =>
  page.evaluate(
    async ({ count, seed }) => {
      let state = seed;
      const lot = (below: number) => {
        state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
        return Math.floor((state / 2 ** 32) * below);
      };
      const pick = <T>(from: T[]): T | undefined => from[lot(from.length)];
      const tick = (ms = 5) => new Promise((next) => setTimeout(next, ms));
      const all = <E extends HTMLElement>(selector: string) => [
        ...document.querySelectorAll<E>(selector),
      ];
      const unsaved = () => {
        const words = all('header button.main').map((one) => one.textContent ?? '');
        return Number(/\((\d+)\)/.exec(words.join())?.[1] ?? 0);
      };
      const write = async (field: HTMLInputElement, text: string) => {
        field.focus();
        field.value = text;
        field.dispatchEvent(new InputEvent('input', { bubbles: true }));
        await tick();
        field.blur();
        await tick(15);
      };
      const choose = async (field: HTMLSelectElement) => {
        field.value = pick([...field.options])?.value ?? field.value;
        field.dispatchEvent(new Event('change', { bubbles: true }));
      };
      const button = (words: RegExp) =>
        all<HTMLButtonElement>('.card .row button').find((one) =>
          words.test(one.textContent ?? ''),
        );
      const sorts: Record<string, number> = {};
      const done = (sort: string) => {
        sorts[sort] = (sorts[sort] ?? 0) + 1;
      };
      const summary = document.querySelector<HTMLElement>('.things summary');
      summary?.click();
      for (let turn = 0; turn < count * 8 && unsaved() < count; turn += 1) {
        const before = unsaved();
        const things = all<HTMLButtonElement>('.thing');
        pick(things)?.click();
        await tick();
        for (let more = lot(4); more > 1; more -= 1) {
          pick(all<HTMLButtonElement>('.thing'))?.dispatchEvent(
            new MouseEvent('click', { bubbles: true, shiftKey: true }),
          );
          await tick();
        }
        const fields = all<HTMLInputElement>('.sheet .field input');
        const sort = pick(['copy', 'mirror', 'delete', 'move', 'text', 'choice', 'flag', 'tidy']);
        if (sort === 'copy' && things.length < 120) button(/^Copy$/)?.click();
        if (sort === 'mirror') pick([button(/left and right/), button(/up and down/)])?.click();
        if (sort === 'delete' && things.length > 40) button(/^Delete$/)?.click();
        if (sort === 'move') {
          button(/^Move$/)?.click();
          await tick();
          for (let step = lot(5); step >= 0; step -= 1) {
            pick(all<HTMLButtonElement>('.hand button[aria-label]'))?.click();
          }
          await tick(20);
          document.querySelector<HTMLButtonElement>('.hand .main')?.click();
        }
        const field = pick(fields);
        if (sort === 'text' && field) {
          await write(field, pick(['1.2', '0.4', 'Old store', '"quoted" \\ ñ', '77', '']) ?? '');
        }
        const choice = pick(all<HTMLSelectElement>('.sheet select'));
        if (sort === 'choice' && choice) await choose(choice);
        if (sort === 'flag') pick(all<HTMLInputElement>('.sheet input[type=checkbox]'))?.click();
        if (sort === 'tidy' && lot(4) === 0) {
          all<HTMLButtonElement>('.beside button')
            .find((one) => one.textContent === 'Put right what is safe')
            ?.click();
        }
        for (let wait = 0; wait < 12 && unsaved() === before; wait += 1) await tick();
        if (unsaved() !== before) done(sort ?? '');
        // What was refused is read and closed.
        document.querySelector<HTMLButtonElement>('.notice button')?.click();
      }
      return sorts;
    },
    { count, seed },
  );

test('500 edits drawn by lot are undone to the first byte and made again', { skip }, () =>
  withProgram({}, async ({ page, folder, complaints }) => {
    await page.getByRole('button', { name: /workshop/i }).click();
    await page.locator('.mark.panel').waitFor();
    await saveAs(page, 'first.geojson');
    const sorts = await editByLot(page, EDITS, 20_240_607);
    const total = Object.values(sorts).reduce((sum, one) => sum + one, 0);
    assert.ok(total >= EDITS * 0.9, JSON.stringify(sorts));
    for (const sort of ['copy', 'mirror', 'delete', 'move', 'text', 'choice', 'flag']) {
      assert.ok((sorts[sort] ?? 0) > 5, `${sort}: ${JSON.stringify(sorts)}`);
    }
    await saveAs(page, 'last.geojson');
    assert.notEqual(fileIn(folder, 'last.geojson'), fileIn(folder, 'first.geojson'));
    const undone = await pressAll(page, 'Undo');
    assert.ok(undone > EDITS, `${undone} undone`);
    // The first step of all was to begin with the example.
    await page.getByRole('button', { name: 'Redo' }).click();
    await page.locator('.mark.panel').waitFor();
    await saveAs(page, 'back.geojson');
    assert.equal(fileIn(folder, 'back.geojson'), fileIn(folder, 'first.geojson'));
    await pressAll(page, 'Redo');
    await saveAs(page, 'again.geojson');
    assert.equal(fileIn(folder, 'again.geojson'), fileIn(folder, 'last.geojson'));
    assert.deepEqual(complaints, []);
  }),
);
