import type { Browser, Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { sampleLab, sampleShard, sampleSubmission } from '../report/sample-lab.ts';
import { launchChromium, type Watched, watchedPage } from './chromium.ts';
import { LabServer } from './lab-server.ts';

/** A browser on a busy machine. */
const patient = { timeout: 30_000 };
let browser: Browser;
let server: LabServer;
const opened: Watched[] = [];

beforeAll(async () => {
  browser = await launchChromium();
});
afterAll(() => browser?.close());
beforeEach(async () => {
  server = new LabServer(sampleLab());
  await server.start();
});
afterEach(async () => {
  for (const { page, complaints, requests } of opened.splice(0)) {
    await page.context().close();
    // The browser itself says that the server was gone, where it was.
    expect(complaints.filter((text) => !/ERR_|Failed to load/.test(text))).toEqual([]);
    const ours = [server.origin, 'data:'];
    expect(requests.filter((url) => !ours.some((own) => url.startsWith(own)))).toEqual([]);
  }
  await server.stop();
});

async function open(path = '/lab', options: Parameters<Browser['newPage']>[0] = {}): Promise<Page> {
  const watched = await watchedPage(browser, options);
  opened.push(watched);
  await watched.page.goto(server.origin + path);
  return watched.page;
}

const age = (page: Page) => page.textContent('#age');

describe('the front page of a lab', () => {
  test('changes without being loaded again, and tells those who hear it what came about', async () => {
    const page = await open();
    await expect.poll(() => age(page), patient).toMatch(/^Live: as it was at 19:00:00 UTC/);
    await page.evaluate(() => Object.assign(globalThis, { isSamePage: true }));
    const [first, second, running, ...over] = sampleLab().submissions;
    const done = { ...running!, state: 'ended', verdict: 'pass', run: 'run-4' } as const;
    const submissions = [
      sampleSubmission('s-7', { build: '2.0.0' }),
      first!,
      second!,
      done,
      ...over,
    ];
    server.tell({ ...sampleLab(), at: '2026-11-30T19:05:00Z', submissions });
    await expect.poll(() => age(page), patient).toContain('19:05:00');
    expect(await page.locator('[data-key="s-4"] .verdict').textContent()).toBe('pass');
    expect(await page.locator('[data-key="s-4"] a').last().getAttribute('href')).toBe(
      '/runs/run-4',
    );
    expect(await page.textContent('#news')).toBe(
      'New: Alcove-6, build 2.0.0, queued. Alcove-6, build 1.8.0: pass.',
    );
    expect(await page.evaluate(() => 'isSamePage' in globalThis)).toBe(true);
  });

  test('shows from the events what it would show from the server', async () => {
    const page = await open();
    await expect.poll(() => age(page), patient).toMatch(/^Live/);
    const state = sampleLab({ at: '2026-11-30T19:06:00Z' });
    const rigs = state.rigs.toReversed();
    server.tell({ ...state, rigs, submissions: state.submissions.slice(1), schedules: [] });
    await expect.poll(() => age(page), patient).toContain('19:06:00');
    const live = await page.innerHTML('#live');
    await page.reload();
    expect(live).toBe(await page.innerHTML('#live'));
  });

  test('leaves the reader where they are: the focus, what they unfolded, what did not change', async () => {
    const page = await open();
    await expect.poll(() => age(page), patient).toMatch(/^Live/);
    await page.locator('[data-key="rig 2"] summary').click();
    await page.locator('[data-key="s-5"] a').focus();
    await page.evaluate(() => {
      const row = document.querySelector('[data-key="s-3"]');
      Object.assign(globalThis, { row });
    });
    const { submissions, rigs, ...state } = sampleLab({ at: '2026-11-30T19:07:00Z' });
    const [first, second, running, ...over] = submissions;
    const shards = [sampleShard(1, { state: 'running', done: 39 })];
    // Its row moves as well: what is under way stands before it now.
    const under = { ...second!, state: 'merging' } as const;
    server.tell({
      ...state,
      rigs: rigs.map((rig) => ({ ...rig, declines: [...rig.declines, 'Another reason.'] })),
      submissions: [first!, { ...running!, shards }, under, ...over],
    });
    await expect.poll(() => age(page), patient).toContain('19:07:00');
    expect(await page.locator('[data-key="s-4"]').textContent()).toContain('39 of 40 conditions');
    const order = await page.locator('section:nth-child(2) .row .name').allTextContents();
    expect(order.map((name) => name.split('build ')[1])).toEqual(['1.8.0-rc.1', '1.8.0', '1.8.1']);
    expect(await page.evaluate(() => document.activeElement?.textContent)).toBe(
      'Alcove-6, build 1.8.0-rc.1',
    );
    const fold = page.locator('[data-key="rig 2"] details');
    expect(await fold.getAttribute('open')).toBe('');
    expect(await fold.locator('li').count()).toBe(2);
    const isSame = await page.evaluate(
      () => Reflect.get(globalThis, 'row') === document.querySelector('[data-key="s-3"]'),
    );
    expect(isSame).toBe(true);
  });

  test('keeps the focus on a submission that ends, in the list where it stands then', async () => {
    const page = await open();
    await expect.poll(() => age(page), patient).toMatch(/^Live/);
    await page.locator('[data-key="s-4"] a').focus();
    const { submissions, ...state } = sampleLab({ at: '2026-11-30T19:07:00Z' });
    const ended = submissions.map((one) =>
      one.id === 's-4' ? ({ ...one, state: 'cancelled', why: 'Cancelled by Mira.' } as const) : one,
    );
    server.tell({ ...state, submissions: ended });
    await expect.poll(() => age(page), patient).toContain('19:07:00');
    const focused = page.locator('section:nth-child(3) [data-key="s-4"] a');
    expect(await focused.evaluate((link) => link === document.activeElement)).toBe(true);
  });

  test('says that it is not live while the server is gone, and is live again by itself', async () => {
    const page = await open();
    await expect.poll(() => age(page), patient).toMatch(/^Live/);
    await server.stop();
    await expect
      .poll(() => age(page), patient)
      .toBe(
        '▲ Not live: the server does not answer. Below is what it said at 19:00:00 UTC on 30 November 2026. This page keeps trying.',
      );
    expect(await page.textContent('#news')).toBe('Not live: the server does not answer.');
    expect(await page.locator('[data-key="s-4"] .standing').textContent()).toBe('… running');
    server.state = sampleLab({ at: '2026-11-30T19:09:00Z' });
    await server.start();
    await expect.poll(() => age(page), patient).toMatch(/^Live: as it was at 19:09:00 UTC/);
    expect(await page.textContent('#news')).toBe('Live again.');
    expect(await page.locator('.lost').count()).toBe(0);
  });

  test('asks again where the server has said nothing for long, and says so where no answer comes', async () => {
    const watched = await watchedPage(browser);
    opened.push(watched);
    const { page } = watched;
    await page.clock.install();
    await page.goto(`${server.origin}/lab`);
    await expect.poll(() => age(page), patient).toMatch(/^Live/);
    expect(server.followed).toBe(1);
    await page.clock.runFor(31_000);
    await expect.poll(() => server.followed, patient).toBe(2);
    await expect.poll(() => age(page), patient).toMatch(/^Live/);
    await expect.poll(() => server.listeners, patient).toBe(1);
    // Connections are taken, and nobody answers them.
    await page.route('**/lab/events', () => undefined);
    await page.clock.runFor(42_000);
    expect(await age(page)).toMatch(/^▲ Not live/);
    await page.unroute('**/lab/events');
    await page.clock.runFor(31_000);
    await expect.poll(() => age(page), patient).toMatch(/^Live/);
  });

  test('tries again where a server in between refuses, which a browser does not by itself', async () => {
    const page = await open();
    await expect.poll(() => age(page), patient).toMatch(/^Live/);
    await page.route('**/lab/events', (route) => route.fulfill({ status: 502 }));
    await server.stop();
    await server.start();
    await expect.poll(() => age(page), patient).toMatch(/^▲ Not live/);
    await page.waitForResponse((response) => response.status() === 502, patient);
    await page.unroute('**/lab/events');
    await expect.poll(() => age(page), patient).toMatch(/^Live/);
  });

  test('reads without a script, and says how to see more', async () => {
    const page = await open('/lab', { javaScriptEnabled: false });
    expect(await age(page)).toBe('As it was at 19:00:00 UTC on 30 November 2026.');
    expect(await page.locator('.row').count()).toBe(9);
    expect(await page.textContent('noscript')).toContain('does not update: load it again');
  });

  test.each([
    ['desktop', 1280],
    ['phone', 390],
  ])('is not wider than a %s, nor is the page of a submission', async (_, width) => {
    for (const path of ['/lab', '/lab/submissions/s-4']) {
      const page = await open(path, { viewport: { width, height: 900 } });
      await expect.poll(() => age(page), patient).toMatch(/^Live/);
      const over = await page.evaluate(
        () => document.documentElement.scrollWidth - document.documentElement.clientWidth,
      );
      expect(over, path).toBeLessThanOrEqual(0);
    }
  });

  test('is on paper what it is on the screen, without ways to go', async () => {
    const page = await open('/lab/submissions/s-3');
    await page.emulateMedia({ media: 'print' });
    expect(await page.locator('.ways').isVisible()).toBe(false);
    expect(await page.locator('.lead .verdict').isVisible()).toBe(true);
    expect(await page.locator('.stacked table').isVisible()).toBe(true);
  });
});

test('the page of a submission follows its own, and tells of no other', async () => {
  const page = await open('/lab/submissions/s-4');
  await expect.poll(() => age(page), patient).toMatch(/^Live/);
  expect(await page.locator('tbody tr').nth(1).textContent()).toContain('10 of 40');
  const { submissions, ...state } = sampleLab({ at: '2026-11-30T19:07:00Z' });
  const merging = submissions.map((one) =>
    one.id === 's-4' ? ({ ...one, state: 'merging', shards: [sampleShard(1)] } as const) : one,
  );
  server.tell({ ...state, submissions: [sampleSubmission('s-7'), ...merging] });
  await expect.poll(() => age(page), patient).toContain('19:07:00');
  expect(await page.locator('tbody tr').count()).toBe(1);
  expect(await page.textContent('#news')).toBe('Alcove-6, build 1.8.0: merging.');
  // One that is older than the state tells of stays as it was.
  server.tell({ ...state, at: '2026-11-30T19:08:00Z', submissions: [] });
  await expect.poll(() => age(page), patient).toContain('19:08:00');
  expect(await page.locator('.lead').textContent()).toContain('merging');
});
