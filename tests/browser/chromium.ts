import { existsSync } from 'node:fs';
import { type Browser, chromium, type Page } from 'playwright-core';

const path = process.env['CHROMIUM_PATH'] || '/usr/bin/chromium';

/** The real browser; without it these tests fail with the sentence that says what to install. */
export async function launchChromium(): Promise<Browser> {
  if (!existsSync(path))
    throw new Error(
      `browser tests need Chromium, found none at ${path}: apt-get install chromium, or set CHROMIUM_PATH`,
    );
  return chromium.launch({ executablePath: path, args: ['--no-sandbox'] });
}

/** The loader of the sources puts calls of this around functions that have a name, and tests hand such functions to pages. */
const namedFunctions = 'globalThis.__name = (target) => target;';

/** What went wrong on a page, and what it asked for besides itself. Both are to stay empty. */
export interface Watched {
  readonly page: Page;
  readonly complaints: string[];
  readonly requests: string[];
}

export async function watchedPage(
  browser: Browser,
  options: Parameters<Browser['newPage']>[0] = {},
): Promise<Watched> {
  const page = await browser.newPage(options);
  await page.addInitScript(namedFunctions);
  const complaints: string[] = [];
  const requests: string[] = [];
  page.on('console', (message) => {
    if (message.type() === 'error' || message.type() === 'warning') complaints.push(message.text());
  });
  page.on('pageerror', (error) => complaints.push(error.message));
  page.on('dialog', (dialog) => {
    complaints.push(`dialog: ${dialog.message()}`);
    void dialog.dismiss();
  });
  page.on('request', (request) => requests.push(request.url()));
  return { page, complaints, requests };
}
