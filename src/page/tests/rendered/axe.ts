// Rules of accessibility and of room on the page.

import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import type { Page } from 'playwright-core';

const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');

/** What breaks a rule of accessibility, with the elements. */
export async function violations(page: Page): Promise<string[]> {
  const client = await page.context().newCDPSession(page);
  // Past the page's own policy, as the developer tools go.
  await client.send('Runtime.evaluate', { expression: axe });
  const { result } = await client.send('Runtime.evaluate', {
    expression:
      'axe.run().then(({ violations }) => violations.flatMap(({ id, nodes }) => ' +
      'nodes.map(({ html, failureSummary }) => id + ": " + html + " " + failureSummary)))',
    awaitPromise: true,
    returnByValue: true,
  });
  return result.value as string[];
}

/** What reaches out of the page, or out of its own box. */
export const overflows = (page: Page) =>
  page.evaluate(() => {
    const width = document.documentElement.clientWidth;
    const faults = [];
    if (document.documentElement.scrollWidth > width) faults.push('the page scrolls sideways');
    for (const element of document.querySelectorAll(
      'header *, .beside *, .tools *, .key *, .in-use *',
    )) {
      const box = element.getBoundingClientRect();
      if (box.width > 1 && box.right > width + 0.5) {
        faults.push(`${element.tagName} ${element.textContent?.slice(0, 30)} ends at ${box.right}`);
      }
    }
    return faults;
  });
