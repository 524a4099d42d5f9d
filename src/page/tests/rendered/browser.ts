// A page in a browser without a window, against the fake server.

import { existsSync, mkdirSync } from 'node:fs';
import { type Browser, type BrowserContextOptions, chromium, type Page } from 'playwright-core';
import { FakeServer } from '../fake/server.ts';

const PROGRAMS = ['/usr/bin/chromium-headless-shell', '/usr/bin/chromium'];
const program = PROGRAMS.find((path) => existsSync(path));

/** Why these tests cannot run; where they are required, they fail instead. */
export const skip: string | false =
  program || process.env.DRILLONCE_RENDERED === 'required' ? false : 'no browser is installed';

export const SHOTS = new URL('../shots/', import.meta.url).pathname;
mkdirSync(SHOTS, { recursive: true });

export interface Opened {
  page: Page;
  server: FakeServer;
  /** What the page or the browser complained of. */
  complaints: string[];
}

export const WIDE = { width: 1280, height: 800 };

/** Opens a browser that notes what goes wrong in it. */
export async function opened(
  options: BrowserContextOptions,
  test: (opened: Omit<Opened, 'server'>) => Promise<void>,
): Promise<void> {
  const browser: Browser = await chromium.launch({
    executablePath: program ?? PROGRAMS[0] ?? '',
    // As root, as in CI, there is no sandbox to be had. The page is our own.
    args: ['--no-sandbox', '--disable-gpu', '--disable-dev-shm-usage'],
  });
  try {
    const context = await browser.newContext({ viewport: WIDE, locale: 'en-GB', ...options });
    const page = await context.newPage();
    page.setDefaultTimeout(15_000);
    const complaints: string[] = [];
    page.on('console', (message) => {
      if (['error', 'warning'].includes(message.type())) complaints.push(message.text());
    });
    page.on('pageerror', (error) => complaints.push(String(error.stack)));
    page.on('request', (request) => {
      const url = new URL(request.url());
      if (url.hostname !== '127.0.0.1' && url.protocol !== 'data:') complaints.push(url.href);
    });
    await test({ page, complaints });
  } finally {
    await browser.close();
  }
}

/** Opens the page of a fresh server and hands it to a test. */
export async function withPage(
  options: BrowserContextOptions & { isNew?: boolean },
  test: (opened: Opened) => Promise<void>,
): Promise<void> {
  const { isNew = false, ...asBrowser } = options;
  const server = new FakeServer({ isNew });
  try {
    const address = await server.start();
    await opened(asBrowser, async ({ page, complaints }) => {
      await page.goto(address);
      if (isNew) await page.locator('.start').waitFor();
      else {
        await page.locator('.mark.panel').waitFor();
        await page.locator('.devices li').first().waitFor();
      }
      await test({ page, server, complaints });
    });
  } finally {
    await server.stop();
  }
}

/** The middle of an element on the screen. */
export async function middleOf(page: Page, selector: string): Promise<{ x: number; y: number }> {
  const box = await page.locator(selector).boundingBox();
  if (!box) throw new Error(`${selector} is not on the screen`);
  return { x: box.x + box.width / 2, y: box.y + box.height / 2 };
}

/** Waits until something holds. */
export async function until(what: string, holds: () => boolean | Promise<boolean>): Promise<void> {
  const end = Date.now() + 10_000;
  while (Date.now() < end) {
    if (await holds()) return;
    await new Promise((next) => setTimeout(next, 30));
  }
  throw new Error(`never: ${what}`);
}
