// A house drawn from nothing to a finding on the page of the real program: by mouse, by finger, by
// keys alone. The plan that comes out is read by `check` with the same figures.

import assert from 'node:assert/strict';
import { test } from 'node:test';
import type { Page } from 'playwright-core';
import type { Point, TableMessage } from '../../src/live/protocol.ts';
import { SHOTS, until } from './browser.ts';
import { clickAt, touchAt } from './pencil.ts';
import { command, fileIn, ofKind, type Real, skip, withProgram } from './program.ts';

const OUTSIDE: Point[] = [
  [1, 1],
  [9, 1],
  [9, 7],
  [1, 7],
  [1, 1],
];
const INSIDE: Point[] = [
  [5, 1],
  [5, 7],
];

/** A way to draw: how a tool is taken, a point set, a control used. */
interface Hand {
  name: string;
  take(page: Page, tool: string): Promise<void>;
  setAt(page: Page, ...places: Point[]): Promise<void>;
  /** Uses the control of a selector. */
  use(page: Page, selector: string): Promise<void>;
  end(page: Page): Promise<void>;
  /** Chooses what device is hung next. */
  hang(page: Page, word: string): Promise<void>;
}

const toolOf = (name: string): string => `.tool[data-tool="${name}"]`;

const mouse: Hand = {
  name: 'mouse',
  take: (page, tool) => page.locator(toolOf(tool)).click(),
  setAt: clickAt,
  use: (page, selector) => page.locator(selector).first().click(),
  end: (page) => page.getByRole('button', { name: 'End', exact: true }).click(),
  hang: (page, word) => page.locator('.sort').getByText(word, { exact: true }).click(),
};

const finger: Hand = {
  name: 'finger',
  take: (page, tool) => page.locator(toolOf(tool)).tap(),
  async setAt(page, ...places) {
    await page.locator('.frame').scrollIntoViewIfNeeded();
    await touchAt(page, ...places);
  },
  use: (page, selector) => page.locator(selector).first().tap(),
  end: (page) => page.getByRole('button', { name: 'End', exact: true }).tap(),
  hang: (page, word) => page.locator('.sort').getByText(word, { exact: true }).tap(),
};

/** Whether something of a selector has the keyboard. */
const hasKeys = (page: Page, selector: string): Promise<boolean> =>
  page.locator(selector).evaluateAll((all) => all.some((one) => one === document.activeElement));

/** Goes on with Tab until something of a selector has the keyboard. */
async function tabTo(page: Page, selector: string, back = false): Promise<void> {
  for (let stop = 0; stop < 150; stop += 1) {
    if (await hasKeys(page, selector)) return;
    await page.keyboard.press(back ? 'Shift+Tab' : 'Tab');
  }
  throw new Error(`Tab never comes to ${selector}`);
}

/** Moves the cross by arrows to a place: metres, tens of centimetres, single ones. */
async function arrowsTo(page: Page, [x, y]: Point): Promise<void> {
  await tabTo(page, '.target', true);
  for (let turn = 0; turn < 12; turn += 1) {
    const at = await page.locator('.cross-layer').getAttribute('data-at');
    if (!at) {
      await page.keyboard.press('Enter');
      continue;
    }
    const [right = 0, up = 0] = at.split(' ').map(Number);
    const off: [number, string, string][] = [
      [x - right, 'ArrowRight', 'ArrowLeft'],
      [y - up, 'ArrowUp', 'ArrowDown'],
    ];
    if (off.every(([by]) => Math.abs(by) < 0.004)) return;
    for (const [by, more, less] of off) {
      const far = Math.abs(by);
      const [size, step] = far > 0.95 ? ['Shift+', 1] : far > 0.095 ? ['', 0.1] : ['Alt+', 0.01];
      const times = Math.floor(far / (step as number) + 0.1);
      for (let press = 0; press < times; press += 1) {
        await page.keyboard.press(`${size}${by > 0 ? more : less}`);
      }
    }
  }
}

const keys: Hand = {
  name: 'keys',
  async take(page, tool) {
    await tabTo(page, '.tool', true);
    for (let at = 0; at < 30; at += 1) {
      if (await hasKeys(page, toolOf(tool))) break;
      await page.keyboard.press('ArrowRight');
    }
    await page.keyboard.press('Enter');
  },
  async setAt(page, ...places) {
    for (const place of places) {
      await arrowsTo(page, place);
      await page.keyboard.press('Enter');
    }
  },
  async use(page, selector) {
    await tabTo(page, selector);
    await page.keyboard.press(selector.includes('input') ? 'Space' : 'Enter');
  },
  async end(page) {
    await tabTo(page, '.target', true);
    await page.keyboard.press('Escape');
  },
  async hang(page, word) {
    await tabTo(page, 'input[name="device-sort"]');
    const chosen = page.locator('.sorts :checked + .sort');
    for (let at = 0; at < 15 && (await chosen.textContent()) !== word; at += 1) {
      await page.keyboard.press('ArrowDown');
    }
  },
};

/** Chooses what the next thing is built of. */
async function builtOf(page: Page, hand: Hand, name: string): Promise<void> {
  const choice = `.construction[data-construction="${name}"]`;
  if ((await page.locator(choice).count()) === 0) {
    await hand.use(page, '.constructions button[aria-expanded]');
  }
  await hand.use(page, choice);
}

/** Waits until so many things of a kind are of the plan, and nothing is being worked out. */
async function has(real: Real, kind: string, count: number): Promise<void> {
  await until(`${count} of ${kind}`, () => ofKind(real, kind).length === count);
}

async function drawHouse(real: Real, hand: Hand): Promise<void> {
  const { page } = real;
  await hand.use(page, '.start button.main');
  await page.locator('.start').waitFor({ state: 'detached' });
  // Four walls, closed; the first construction must be chosen.
  await hand.take(page, 'wall');
  await builtOf(page, hand, 'brick-cavity');
  await hand.setAt(page, ...OUTSIDE);
  await has(real, 'wall', 1);
  await builtOf(page, hand, 'stud-partition');
  await hand.setAt(page, ...INSIDE);
  await page.screenshot({ path: `${SHOTS}house-${hand.name}.png` });
  await hand.end(page);
  await has(real, 'wall', 2);
  await hand.take(page, 'door');
  await hand.setAt(page, [3, 1]);
  await has(real, 'opening', 1);
  await hand.take(page, 'window');
  await hand.setAt(page, [1, 4]);
  await has(real, 'opening', 2);
  await hand.setAt(page, [9, 4]);
  await has(real, 'opening', 3);
  await hand.take(page, 'device');
  await hand.hang(page, 'panel');
  await hand.setAt(page, [4.7, 4]);
  await has(real, 'panel', 1);
  await hand.hang(page, 'contact');
  for (const [at, place] of (
    [
      [3, 1.3],
      [1.3, 4.5],
      [8.7, 4.5],
    ] as Point[]
  ).entries()) {
    await hand.setAt(page, place);
    await has(real, 'sensor', at + 1);
  }
}

/** The forecast of the newest text. */
async function settled({ heard }: Real): Promise<TableMessage> {
  await until('a forecast', () => heard.table?.version === heard.plan?.version);
  assert.ok(heard.table);
  return heard.table;
}

async function stepAll({ page, heard }: Real, key: string, left: 'undo' | 'redo') {
  await page.locator('.target').focus();
  while (heard.plan?.[left]) {
    const before = heard.plan.version;
    await page.keyboard.press(key);
    await until('a step', () => heard.plan?.version !== before);
  }
}
const undoAll = (real: Real) => stepAll(real, 'Control+z', 'undo');
const redoAll = (real: Real) => stepAll(real, 'Control+Shift+z', 'redo');

const HANDS: [Hand, object][] = [
  [mouse, {}],
  [finger, { viewport: { width: 820, height: 1180 }, hasTouch: true, isMobile: true }],
  [keys, {}],
];

for (const [hand, options] of HANDS) {
  test(`a house from nothing to a finding: ${hand.name}`, { skip }, () =>
    withProgram(options, async (real) => {
      const { page, complaints } = real;
      await drawHouse(real, hand);
      const { check } = await settled(real);
      await page.locator('.devices li').nth(2).waitFor();
      // Not the whole page: for that the browser takes all room from the plan for a moment.
      await page.screenshot({ path: `${SHOTS}house-${hand.name}.png` });
      assert.deepEqual(real.heard.plan?.faults, []);
      assert.deepEqual(
        ofKind(real, 'wall').map(({ geometry }) => geometry?.coordinates),
        [OUTSIDE, INSIDE],
        'the walls are where they were set, to the millimetre',
      );
      assert.equal(check.sensors.length, 3);
      for (const { finding, name } of check.sensors) assert.equal(finding, 'sound', name);

      await hand.use(page, 'header button:text-is("Save as …")');
      await page.locator('dialog[open] input').waitFor();
      await page.keyboard.type('house.geojson');
      await page.keyboard.press('Enter');
      await page.getByText('Saved to house.geojson').waitFor();
      const said = JSON.parse(command(real.folder, 'check', 'house.geojson', '--format', 'json'));
      // The file's name is new; every figure is the page's.
      assert.deepEqual(said, JSON.parse(JSON.stringify((await settled(real)).check)));

      // Step by step back to nothing, and forth again to the same bytes.
      const whole = fileIn(real.folder, 'house.geojson');
      await undoAll(real);
      assert.equal(real.heard.plan?.features.length, 0);
      await redoAll(real);
      await page.getByRole('button', { name: 'Save', exact: true }).waitFor();
      assert.ok(await page.getByRole('button', { name: 'Save', exact: true }).isDisabled());
      assert.equal(fileIn(real.folder, 'house.geojson'), whole);
      assert.deepEqual(complaints, []);
    }),
  );
}

test('a room by typed lengths, in feet and inches', { skip }, () =>
  withProgram({}, async (real) => {
    const { page, complaints } = real;
    await page.locator('.start button.main').nth(1).click();
    await mouse.take(page, 'wall');
    await builtOf(page, mouse, 'stud-partition');
    await mouse.setAt(page, [2, 2]);
    const legs: [string, string][] = [
      [`20' 6"`, 'right'],
      [`10'6"`, 'left'],
      ['20.5', 'left'],
      ['126 in', 'left'],
    ];
    const field = page.getByLabel('Length', { exact: true });
    for (const [at, [length, turn]] of legs.entries()) {
      await page.locator('.leg select').selectOption(turn);
      await field.fill('twenty');
      await page.locator('#leg-fault').getByText(/./).waitFor();
      await field.fill(length);
      await until('no fault', async () => (await page.locator('#leg-fault').textContent()) === '');
      await page.keyboard.press('Enter');
      if (at < 3) await until('an empty field', async () => (await field.inputValue()) === '');
    }
    await has(real, 'wall', 1);
    const [wall] = ofKind(real, 'wall');
    const line = wall?.geometry?.coordinates as Point[];
    assert.equal(line.length, 5);
    assert.deepEqual(line[0], line[4], 'it is closed');
    const wide = (line[1]?.[0] ?? 0) - (line[0]?.[0] ?? 0);
    const deep = (line[2]?.[1] ?? 0) - (line[1]?.[1] ?? 0);
    assert.ok(Math.abs(wide - 20.5 * 0.3048) < 4e-4, `${wide}`);
    assert.ok(Math.abs(deep - 10.5 * 0.3048) < 4e-4, `${deep}`);
    assert.deepEqual(complaints, []);
  }),
);
