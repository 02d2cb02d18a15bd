import { type ChildProcess, spawn } from 'node:child_process';
import { mkdirSync, mkdtempSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { basename, join } from 'node:path';
import type { Browser, BrowserContext, Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, describe, expect, test, vi } from 'vitest';
import { createRunFolder } from '../../harness/archive/run-folder.ts';
import type { Finding, RunRecord } from '../../harness/record/run-record.ts';
import { renderPage } from '../../harness/report/pages/run/run-page.ts';
import { judge } from '../../harness/verdict/judge.ts';
import { passphrase } from '../archive/signed-run.ts';
import { mainFile } from '../cli/program.ts';
import { keyFiles, openDesk } from '../cli/view-desk.ts';
import { headerOf } from '../record/sample-record.ts';
import { sampleRecord, sampleTraces } from '../report/sample-record.ts';
import { launchChromium, type Watched, watchedPage } from './chromium.ts';

/** A browser and a running simulation on a busy machine. */
vi.setConfig({ testTimeout: 240_000 });

const folder = mkdtempSync(join(tmpdir(), 'evenfall-view-'));
const root = join(folder, 'reports');
const opened: Watched[] = [];
const names: string[] = [];
let browser: Browser;
let desk: Awaited<ReturnType<typeof openDesk>>;

beforeAll(async () => {
  browser = await launchChromium();
  const good = { ...sampleRecord(), id: 'aaaa1111aaaa1111aaaa' };
  const later = { ...withDeeperLevels(sampleRecord()), id: 'bbbb2222bbbb2222bbbb' };
  names.push(await store({ ...good, startedAt: '2026-11-20T18:03:00Z' }));
  const lamp = { ...later.lamp, build: '9.0.1' };
  names.push(await store({ ...later, lamp, startedAt: '2026-11-24T18:03:00Z' }));
  desk = await openDesk(root, { keyFile: (await keyFiles(folder, 'Mira')).file });
});

afterAll(async () => {
  await browser?.close();
  await desk?.server.close();
  rmSync(folder, { recursive: true, force: true });
});

afterEach(async () => {
  for (const { page, complaints, requests } of opened.splice(0)) {
    await page.context().close();
    expect(complaints, 'console errors').toEqual([]);
    expect(
      requests.filter((url) => !isOurs(url)),
      'requests',
    ).toEqual([]);
  }
});

function isOurs(url: string): boolean {
  return url.startsWith(`${desk.address.origin}/`) || url.startsWith('data:');
}

/** The same run with every measured value a little off, so that a comparison has something to say. */
function withDeeperLevels(record: RunRecord): RunRecord {
  const specs = record.specs.map((spec) => ({
    ...spec,
    conditions: spec.conditions.map((condition) => ({
      ...condition,
      findings: condition.findings.map((finding) =>
        finding.outcome.measured ? larger(finding, finding.outcome) : finding,
      ),
    })),
  }));
  return { ...record, specs };
}

/** A fifth larger, where that is no other verdict. */
function larger(
  finding: Finding,
  { value, ...outcome }: Extract<Finding['outcome'], { measured: true }>,
): Finding {
  const { limits, rule, verdict, uncertainty } = finding;
  const found = judge(value * 1.2, uncertainty?.expanded ?? 0, limits, rule);
  if (found.verdict !== verdict) return finding;
  return { ...finding, outcome: { ...outcome, value: value * 1.2 } };
}

/** A sealed run with its page, as a run stores it. */
async function store(record: RunRecord): Promise<string> {
  const bare = {
    ...record,
    specs: record.specs.map((spec) => ({
      ...spec,
      conditions: spec.conditions.map((condition) => ({
        ...condition,
        captures: [],
        findings: condition.findings.map((finding) => ({ ...finding, captures: [] })),
      })),
    })),
  };
  mkdirSync(root, { recursive: true });
  const stored = await createRunFolder(root, headerOf(bare));
  const content = renderPage({ record, traces: sampleTraces(record) });
  await stored.finish(bare, [{ name: 'index.html', content }]);
  return basename(stored.path);
}

async function open(path: string, options: Parameters<Browser['newPage']>[0] = {}): Promise<Page> {
  const watched = await watchedPage(browser, options);
  opened.push(watched);
  await watched.page.goto(desk.address.href);
  if (path !== '/') await watched.page.goto(desk.address.origin + path);
  return watched.page;
}

async function overflow(page: Page): Promise<number> {
  return page.evaluate(
    () => document.documentElement.scrollWidth - document.documentElement.clientWidth,
  );
}

describe('opening', () => {
  test('the printed address opens the runs, and the token is gone from the address', async () => {
    const page = await open('/');
    expect(page.url()).toBe(`${desk.address.origin}/`);
    expect(await page.locator('.row .name').allTextContents()).toHaveLength(2);
    const [cookie] = await page.context().cookies();
    expect(cookie).toMatchObject({ httpOnly: true, sameSite: 'Strict' });
    expect(await page.evaluate(() => document.cookie)).toBe('');
  });

  test('without the token a sentence says how to get in, and nothing else is there', async () => {
    const context: BrowserContext = await browser.newContext();
    const page = await context.newPage();
    const response = await page.goto(desk.address.origin);
    expect(response?.status()).toBe(403);
    expect(await page.textContent('main')).toContain('it contains a token');
    await expect.poll(() => page.locator('nav, .row').count()).toBe(0);
    await context.close();
  });
});

describe('reading', () => {
  test('filters without a script', async () => {
    const page = await open('/', { javaScriptEnabled: false });
    await page.getByLabel('Build').fill('9.0.1');
    await page.getByRole('button', { name: 'Filter' }).click();
    await expect.poll(() => page.locator('.row .name').count()).toBe(1);
    expect(await page.textContent('.shown')).toContain('1 of 2 runs match.');
    await page.getByRole('link', { name: 'Show all' }).click();
    await expect.poll(() => page.locator('.row .name').count()).toBe(2);
  });

  test('a run leads to its own page, whose script runs and whose links lead to the claim', async () => {
    const page = await open('/');
    await page.locator('.row .name').first().click();
    expect(await page.textContent('main')).toContain(
      'All 3 files are unchanged since they were sealed.',
    );
    await page.getByRole('link', { name: /^In a crossfade/ }).click();
    await page.waitForURL(/\/page#claim-/);
    const claim = page.locator('#claim-crossfade-arrives-together');
    await claim.locator('svg.chart').first().waitFor();
    expect(await claim.getAttribute('open')).toBe('');
  });

  test('two runs are chosen with the keyboard and compared side by side', async () => {
    const page = await open('/');
    await page.getByLabel('run aaaa1111 as A').focus();
    await page.keyboard.press('Space');
    await page.getByLabel('run bbbb2222 as B').focus();
    await page.keyboard.press('Space');
    await page.keyboard.press('Enter');
    await page.waitForURL(/\/compare\?/);
    expect(await page.textContent('h1')).toContain('against build 9.0.1');
    await expect.poll(() => page.locator('figure svg.chart').count()).toBeGreaterThan(0);
    // The figures of a finding stand beside its curves, and no line runs through them.
    const first = page
      .locator('.compared')
      .filter({ has: page.locator('.curves') })
      .first();
    const side = (await first.locator('.side').first().boundingBox())!;
    const curve = (await first.locator('.curves').boundingBox())!;
    expect(curve.x).toBeGreaterThanOrEqual(side.x + side.width);
    expect(
      await page.evaluate(
        () => getComputedStyle(document.querySelector('main')!, '::before').display,
      ),
    ).toBe('none');
  });

  test('a metric is followed over the runs, and its table leads to each of them', async () => {
    const page = await open('/trend');
    await page.getByLabel('Metric').selectOption('fade-duration');
    await page.getByRole('button', { name: 'Show', exact: true }).click();
    expect(await page.locator('.trend').first().isVisible()).toBe(false);
    await page.locator('.trend-group > summary').first().click();
    const first = page.locator('.trend').first();
    expect(await first.locator('.multiple').isVisible()).toBe(true);
    await first.locator('summary').click();
    expect(await first.locator('.trend-picture.broad').isVisible()).toBe(true);
    expect(await first.locator('.trend-picture.narrow').isVisible()).toBe(false);
    await first.getByRole('link', { name: 'bbbb2222' }).click();
    expect(page.url()).toBe(`${desk.address.origin}/runs/${names[1]}`);
  });

  test('the first stop of the keyboard leads past the places to the content', async () => {
    const page = await open('/sign-off');
    await page.keyboard.press('Tab');
    expect(await page.evaluate(() => document.activeElement?.textContent)).toBe(
      'Skip to the content',
    );
    await page.keyboard.press('Enter');
    expect(await page.evaluate(() => document.activeElement?.id)).toBe('content');
  });

  test.each([
    ['desktop', 1280],
    ['phone', 390],
  ])('nothing is wider than a %s', async (_, width) => {
    const page = await open('/', { viewport: { width, height: 900 } });
    const [a, b] = names;
    const paths = [
      '/',
      `/runs/${a}`,
      `/runs/${a}/page`,
      `/runs/${a}/sign`,
      `/compare?a=${a}&b=${b}`,
      '/trend',
      '/trend?metric=fade-duration',
      '/sign-off',
      '/builds',
    ];
    for (const path of paths) {
      await page.goto(desk.address.origin + path);
      expect(await overflow(page), path).toBeLessThanOrEqual(0);
    }
    if (width > 390) return;
    // Words of a chart stay readable: on a phone they are not drawn smaller than this.
    await page.goto(`${desk.address.origin}/compare?a=${a}&b=${b}`);
    const text = page.locator('.compared .chart .tick text').first();
    expect((await text.boundingBox())!.height).toBeGreaterThan(9);
    await page.goto(`${desk.address.origin}/trend?metric=fade-duration`);
    await page.locator('.trend-group > summary').first().click();
    await page.locator('.trend summary').first().click();
    expect(await page.locator('.trend-picture.narrow').first().isVisible()).toBe(true);
    expect(await overflow(page)).toBeLessThanOrEqual(0);
  });

  test('on paper the ways to go are gone and the words are there', async () => {
    const page = await open(`/runs/${names[0]}`);
    await page.emulateMedia({ media: 'print' });
    expect(await page.locator('nav').isVisible()).toBe(false);
    expect(await page.locator('.ways').isVisible()).toBe(false);
    expect(await page.locator('.seal').isVisible()).toBe(true);
  });
});

describe('signing', () => {
  test('a decision is refused with its reason, mended, signed, and seen verified', async () => {
    const page = await open('/sign-off');
    await page.getByRole('link', { name: 'Sign a decision on run bbbb2222' }).click();
    await page.getByLabel('Your name').fill('Mira');
    await page.getByLabel('What the signature means').fill('approval of the release');
    await page.getByRole('radio', { name: /^release/ }).check();
    await page.getByLabel(/^Passphrase/).fill(passphrase);
    // A 422 is what the browser says in its console about a form that was refused.
    const [watched] = opened;
    await page.getByRole('button', { name: 'Sign this decision' }).click();
    expect(await page.getByRole('alert').textContent()).toContain('Tick each one to waive it');
    expect(watched!.complaints.splice(0).join()).toContain('422');
    expect(await page.getByLabel(/^Passphrase/).inputValue()).toBe('');
    for (const waiver of await page.locator('.waiver').all()) {
      await waiver.getByRole('checkbox').check();
      await waiver.getByRole('textbox').fill('agreed with the museum');
    }
    await page.getByLabel(/^Passphrase/).fill(passphrase);
    await page.getByRole('button', { name: 'Sign this decision' }).click();
    await page.waitForURL(`${desk.address.origin}/runs/${names[1]}`);
    expect(await page.textContent('.seal')).toBe('● released');
    expect(await page.textContent('.signoff')).toContain('Release by Mira');
    await page.getByRole('link', { name: 'Sign-off', exact: true }).click();
    expect(await page.locator('section').last().textContent()).toContain(
      '● released Signed: release by Mira.',
    );
  });
});

describe('a run in progress', () => {
  test('moves by itself while evenfall run measures, and turns into the finished sheet', async () => {
    const specs = join(folder, 'specs');
    mkdirSync(specs);
    writeFileSync(join(specs, 'holds-still.spec.yaml'), spec);
    const out = join(folder, 'flight');
    mkdirSync(out);
    const flight = await openDesk(out);
    const args = [mainFile, 'run', specs, '--out', out, '--jobs', '1', '--build', '2.0.0'];
    const run: ChildProcess = spawn(process.execPath, args, { stdio: 'ignore' });
    try {
      const name = await firstFolder(out);
      const watched = await watchedPage(browser);
      const { page } = watched;
      await page.goto(flight.address.href);
      expect(await page.textContent('.row')).toContain('… running');
      await page.goto(`${flight.address.origin}/runs/${name}`);
      const seen = new Set<string>();
      const words = page.locator('#progress-words');
      while ((await words.count()) > 0) {
        seen.add((await words.textContent({ timeout: 1000 }).catch(() => null)) ?? '');
        await page.waitForTimeout(100);
      }
      const counts = [...seen].flatMap(
        (text) => /^(\d+) of 12 conditions measured$/.exec(text)?.slice(1) ?? [],
      );
      // It moved without being loaded again.
      expect(counts.length).toBeGreaterThan(1);
      await page.locator('.seal').waitFor();
      expect(await page.textContent('main')).toContain(
        'files are unchanged since they were sealed',
      );
      expect(watched.complaints).toEqual([]);
      expect(
        watched.requests.filter(
          (url) => !url.startsWith(flight.address.origin) && !url.startsWith('data:'),
        ),
      ).toEqual([]);
      await page.context().close();
    } finally {
      run.kill();
      await flight.server.close();
    }
  });
});

/** Twelve short conditions: long enough to be watched, short enough to wait for. */
const spec = `spec: holds-still
claim: At a steady level the light is steady.
tags: [commit]
conditions:
  level: [100 %, 90 %, 80 %, 70 %, 60 %, 50 %, 40 %, 30 %, 25 %, 20 %, 15 %, 10 %]
stimulus:
  - set: { level: $level, mix: { warm: 100 % } }
  - hold: 1 s
capture:
  - { signal: light, rate: 20 kHz }
criteria:
  - { metric: modulation, of: light, at-most: 100 % }
`;

/** The run's folder, as soon as it is there. */
async function firstFolder(out: string): Promise<string> {
  for (;;) {
    const found = readdirSync(out).find((name) => /^\d{4}-/.test(name));
    if (found) return found;
    await new Promise((done) => setTimeout(done, 50));
  }
}
