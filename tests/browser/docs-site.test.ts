import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import type { AxeResults } from 'axe-core';
import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test, vi } from 'vitest';
import { makeSite } from '../../build/docs/make-site.ts';
import { chapters } from '../../build/docs/pages.ts';
import { launchChromium, watchedPage } from './chromium.ts';

/** A browser on a busy machine. */
vi.setConfig({ testTimeout: 240_000, hookTimeout: 240_000 });

const rules = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
const folder = mkdtempSync(join(tmpdir(), 'evenfall-site-'));
const at = (path: string): string => pathToFileURL(join(folder, path)).href;
let browser: Browser;
beforeAll(async () => {
  await makeSite('.', chapters, folder);
  browser = await launchChromium();
});
afterAll(async () => {
  await browser?.close();
  rmSync(folder, { recursive: true, force: true });
});

describe('the documentation, opened from disk', () => {
  test('finds words, leads to their place, and asks no network for anything', async () => {
    const { page, complaints, requests } = await watchedPage(browser);
    await page.goto(at('docs/bench/index.html'));
    await page.fill('input[type=search]', 'reload a scanner');
    await page.getByText('Nothing about').waitFor();
    await page.fill('input[type=search]', 'exit codes');
    await page.locator('#found a', { hasText: 'Exit codes' }).first().click();
    await page.waitForURL(/index\.html#exit-codes$/);
    expect(await page.locator('#exit-codes').textContent()).toBe('Exit codes');
    expect(complaints).toEqual([]);
    expect(requests.filter((url) => !/^(file|data):/.test(url))).toEqual([]);
  });

  test('never scrolls sideways as a whole at 390 px, on any page', async () => {
    const { page } = await watchedPage(browser, { viewport: { width: 390, height: 800 } });
    const pages = readdirSync(folder, { recursive: true, encoding: 'utf8' }).filter((name) =>
      name.endsWith('.html'),
    );
    expect(pages.length).toBeGreaterThan(20);
    const wide: string[] = [];
    for (const name of pages) {
      await page.goto(at(name));
      if (await page.evaluate(() => document.documentElement.scrollWidth > innerWidth))
        wide.push(name);
    }
    expect(wide).toEqual([]);
  });

  test.each([
    ['light', { width: 1280, height: 900 }],
    ['dark', { width: 390, height: 800 }],
  ] as const)('can be read by everybody, %s', async (colorScheme, viewport) => {
    const { page } = await watchedPage(browser, { colorScheme, viewport });
    await page.goto(at('docs/bench/index.html'));
    await page.evaluate(rules);
    const { violations } = await page.evaluate<AxeResults>('axe.run()');
    expect(violations.map(({ id, nodes }) => [id, nodes[0]?.html])).toEqual([]);
  });

  test('prints the text alone', async () => {
    const { page } = await watchedPage(browser);
    await page.goto(at('specs/index.html'));
    await page.emulateMedia({ media: 'print' });
    expect(await page.locator('form').isVisible()).toBe(false);
    expect(await page.locator('nav:visible').count()).toBe(0);
    expect(await page.locator('h1').isVisible()).toBe(true);
  });
});
