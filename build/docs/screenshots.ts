import { execFileSync } from 'node:child_process';
import { mkdtempSync, readdirSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { pathToFileURL } from 'node:url';
import { chromium } from 'playwright-core';

/**
 * `npm run screenshots`: takes the pictures of pages that the documentation shows, of runs that the built program makes for them. By hand,
 * after a change to the pages: fonts differ from computer to computer, so that no test can hold them. Chromium from CHROMIUM_PATH.
 */
const root = resolve(import.meta.dirname, '../..');
const folder = mkdtempSync(join(tmpdir(), 'evenfall-screenshots-'));
const command = 'run specs --only fades-on-time --fault linear-dimming --quiet --out'.split(' ');
try {
  failedRun();
  const page = join(
    folder,
    readdirSync(folder).find((name) => name.includes('alcove')) ?? '',
    'index.html',
  );
  await take(page, join(root, 'docs/tutorials/failed-run.png'));
} finally {
  rmSync(folder, { recursive: true });
}

/** A run with failures ends with 1. */
function failedRun(): void {
  const args = [join(root, 'dist/main.js'), ...command, folder];
  try {
    execFileSync(process.execPath, args, { cwd: root, stdio: 'ignore' });
  } catch (error) {
    if (!(error instanceof Error && 'status' in error && error.status === 1)) throw error;
  }
}

async function take(page: string, picture: string): Promise<void> {
  const executablePath = process.env['CHROMIUM_PATH'] || '/usr/bin/chromium';
  const browser = await chromium.launch({ executablePath, args: ['--no-sandbox'] });
  try {
    const tab = await browser.newPage({ viewport: { width: 1000, height: 760 } });
    await tab.goto(pathToFileURL(page).href);
    await tab.screenshot({ path: picture });
  } finally {
    await browser.close();
  }
  process.stdout.write(`${picture}\n`);
}
