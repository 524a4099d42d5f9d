// The page of the real program, which DRILLONCE_BIN names, in a folder of its own.

import { type ChildProcess, execFileSync, spawn } from 'node:child_process';
import { copyFileSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { BrowserContextOptions, Page } from 'playwright-core';
import type { Feature, PlanMessage, TableMessage } from '../../src/live/protocol.ts';
import { skip as noBrowser, opened, until } from './browser.ts';

const program = process.env.DRILLONCE_BIN ?? '';

/** The shipped plans. */
const PLANS = new URL('../../../../floorplans/', import.meta.url).pathname;

/** Why these tests cannot run. */
export const skip: string | false =
  noBrowser || (program ? false : 'DRILLONCE_BIN names no program');

export interface Real {
  page: Page;
  folder: string;
  complaints: string[];
  /** The newest messages of the program. */
  heard: { plan: PlanMessage | null; table: TableMessage | null };
}

async function addressOf(process: ChildProcess): Promise<string> {
  let said = '';
  process.stdout?.on('data', (bytes) => {
    said += String(bytes);
  });
  await until('an address', () => /^http\S+#\S+\n/.test(said));
  return said.trim();
}

/** Starts the program without a plan, or with a shipped one, and hands its page to a test. */
export async function withProgram(
  options: BrowserContextOptions & { shipped?: string; args?: string[] },
  test: (real: Real) => Promise<void>,
): Promise<void> {
  const { shipped, args: more = [], ...asBrowser } = options;
  const folder = mkdtempSync(join(tmpdir(), 'drillonce-page-'));
  if (shipped) {
    copyFileSync(join(PLANS, `${shipped}.geojson`), join(folder, `${shipped}.geojson`));
    for (const name of ['business.toml', 'prices.csv', 'logo.png']) {
      copyFileSync(join(PLANS, 'quote', name), join(folder, name));
    }
  }
  const args = ['serve', shipped ? `${shipped}.geojson` : '--new', '--no-open', ...more];
  const running = spawn(program, args, { cwd: folder, stdio: ['ignore', 'pipe', 'ignore'] });
  try {
    const address = await addressOf(running);
    await opened(asBrowser, async ({ page, complaints }) => {
      const heard: Real['heard'] = { plan: null, table: null };
      page.on('websocket', (socket) => {
        socket.on('framereceived', ({ payload }) => {
          if (typeof payload !== 'string') return;
          const message = JSON.parse(payload) as PlanMessage | TableMessage;
          if (message.type === 'plan') heard.plan = message;
          if (message.type === 'table') heard.table = message;
        });
      });
      await page.goto(address);
      await page.locator(shipped ? '.mark.panel' : '.start').waitFor();
      await test({ page, folder, complaints, heard });
    });
  } finally {
    running.kill();
    rmSync(folder, { recursive: true, force: true });
  }
}

/** What a command says of a plan. */
export const command = (folder: string, ...args: string[]): string =>
  execFileSync(program, args, { cwd: folder, encoding: 'utf8' });

/** A plan as it stands in the file. */
export const fileIn = (folder: string, name: string): string =>
  readFileSync(join(folder, name), 'utf8');

export const ofKind = ({ heard }: Real, kind: string): Feature[] =>
  heard.plan?.features.filter((one) => one.kind === kind) ?? [];
