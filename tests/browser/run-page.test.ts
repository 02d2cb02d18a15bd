import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import type { Browser, Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, describe, expect, test } from 'vitest';
import type { RunRecord } from '../../harness/record/run-record.ts';
import { renderPage } from '../../harness/report/pages/run/run-page.ts';
import type { Trace } from '../../harness/report/pages/run/trace.ts';
import { bigRecord, bigTraces } from '../report/big-record.ts';
import { hostile, hostileRecord, sampleRecord, sampleTraces } from '../report/sample-record.ts';
import { launchChromium, type Watched, watchedPage } from './chromium.ts';

const folder = mkdtempSync(join(tmpdir(), 'evenfall-page-'));
const opened: Watched[] = [];
let browser: Browser;
let sample: string;

beforeAll(async () => {
  browser = await launchChromium();
  const record = sampleRecord();
  sample = stored('sample', record, sampleTraces(record));
});

afterAll(async () => {
  await browser?.close();
  rmSync(folder, { recursive: true, force: true });
});

afterEach(async () => {
  for (const { page, complaints, requests } of opened.splice(0)) {
    const own = page.url().replace(/#.*/, '');
    await page.close();
    expect(complaints, 'console errors').toEqual([]);
    expect(
      requests.filter((url) => url !== own && !url.startsWith('data:')),
      'requests',
    ).toEqual([]);
  }
});

describe('opening', () => {
  test('a claim opens on its worst finding with its charts, budget, commands and record', async () => {
    const page = await open(sample);
    const claim = page.locator('#claim-crossfade-arrives-together');
    await claim.locator('> summary').click();
    const first = claim.locator('.finding').first();
    await first.locator('svg.chart').first().waitFor();
    expect(await first.getAttribute('open')).toBe('');
    await expect.poll(() => first.locator('svg.chart').count()).toBe(2);
    const text = (await first.textContent()) ?? '';
    for (const word of [
      '41.2 ± 2.9 ms',
      'indigo arrives 41 ms after warm',
      'Uncertainty budget',
      'scale of the photodiode',
      'fade 8000 dim 100 mix 10 0 65 0 30 0',
      'certificate HDL-D-118',
    ].map((word) => word.replaceAll(' ', '\u00a0'))) {
      expect(text.replaceAll(' ', '\u00a0')).toContain(word);
    }
    await expect.poll(() => claim.locator('.finding').count()).toBe(21);
  });

  test('the record under a finding is drawn when it is asked for', async () => {
    const page = await open(sample);
    const claim = page.locator('#claim-crossfade-arrives-together');
    await claim.locator('> summary').click();
    const fold = claim.locator('.capture').first();
    await expect.poll(() => fold.locator('svg.chart').count()).toBe(0);
    await fold.locator('> summary').click();
    await fold.locator('svg.chart').waitFor();
    await expect.poll(() => fold.locator('path.measured').count()).toBe(6 * 2);
    expect(await fold.textContent()).toContain('10 kHz (20000 samples)');
  });

  test('a claim that does not apply, and a bench error, say why', async () => {
    const page = await open(sample);
    await page.locator('#claim-off-time-is-fixed > summary').click();
    await page.locator('#claim-named-whites-hit-their-point > summary').click();
    const evidenceOf = (claim: string) => page.locator(`#claim-${claim} .evidence`).textContent();
    await expect
      .poll(() => evidenceOf('off-time-is-fixed'))
      .toContain('needs a fixed-off-time output stage');
    await expect
      .poll(() => evidenceOf('named-whites-hit-their-point'))
      .toContain('look at its cable');
  });

  test('a link to a claim opens it', async () => {
    const page = await open(`${sample}#claim-no-overshoot`);
    await page.locator('#claim-no-overshoot[open] svg.chart').waitFor();
    await page.locator('.exceptions a[href="#claim-crossfade-arrives-together"]').first().click();
    await page.locator('#claim-crossfade-arrives-together[open] svg.chart').first().waitFor();
  });
});

describe('finding', () => {
  test('verdict buttons show only what they name, and can be taken back', async () => {
    const page = await open(sample);
    await page.locator('[data-verdict="fail"]').click();
    expect(await shown(page)).toEqual([
      'crossfade-arrives-together',
      'modulation-stays-below-the-line',
    ]);
    expect(await page.locator('.shown').textContent()).toBe('2 of 39 claims shown');
    await expect.poll(() => page.locator('.folder:not([hidden])').count()).toBe(2);
    await page.locator('[data-verdict="error"]').click();
    expect(await shown(page)).toHaveLength(4);
    await page.locator('[data-verdict="fail"]').click();
    await page.locator('[data-verdict="error"]').click();
    expect(await shown(page)).toHaveLength(39);
  });

  test('the search takes every word, in claims, metrics and reasons', async () => {
    const page = await open(sample);
    await page.locator('input[name=search]').fill('quieter PHOTODIODE');
    expect(await shown(page)).toEqual(['no-bands-on-a-camera']);
    await page.locator('input[name=search]').fill('no such word');
    expect(await shown(page)).toEqual([]);
    expect(await page.locator('.none').isVisible()).toBe(true);
  });

  test('tag, requirement and channel each narrow what is shown', async () => {
    const page = await open(sample);
    await page.locator('select[name=requirement]').selectOption('LUM-041');
    expect(await shown(page)).toEqual(['crossfade-arrives-together']);
    await page.locator('select[name=requirement]').selectOption('');
    await page.locator('select[name=tag]').selectOption('commit');
    expect(await shown(page)).toHaveLength(14);
    await page.locator('select[name=channel]').selectOption('indigo');
    expect(await shown(page)).toEqual([
      'levels-follow-the-curve',
      'bottom-level-holds-still',
      'crossfade-arrives-together',
      'fade-takes-its-time',
    ]);
    await page.locator('#claim-crossfade-arrives-together > summary').click();
    // Its own three, and the three of the whole lamp.
    await expect
      .poll(() => page.locator('#claim-crossfade-arrives-together .finding').count())
      .toBe(6);
  });
});

describe('by keyboard alone', () => {
  test('from the search to a claim, into its chart and out again', async () => {
    const page = await open(sample);
    await page.keyboard.press('/');
    await page.keyboard.type('arrives');
    expect(await shown(page)).toEqual(['crossfade-arrives-together']);
    await page.keyboard.press('Escape');
    expect(await shown(page)).toHaveLength(39);
    await page.keyboard.press('j');
    await page.keyboard.press('j');
    expect(await focused(page)).toBe('claim-bottom-level-holds-still');
    await page.keyboard.press('k');
    expect(await focused(page)).toBe('claim-levels-follow-the-curve');
    await page.keyboard.press('Enter');
    await page.locator('#claim-levels-follow-the-curve[open] .finding[open]').waitFor();
    await page.keyboard.press('Escape');
    expect(await page.locator('#claim-levels-follow-the-curve').getAttribute('open')).toBeNull();
    expect(await focused(page)).toBe('claim-levels-follow-the-curve');
  });

  test('a focused chart zooms, moves and shows all', async () => {
    const page = await open(`${sample}#claim-no-overshoot`);
    const plot = page.locator('#claim-no-overshoot .plot').first();
    await plot.locator('svg').waitFor();
    const whole = await xTicks(page);
    await plot.focus();
    await page.keyboard.press('+');
    await page.keyboard.press('+');
    const near = await xTicks(page);
    expect(span(near)).toBeLessThan(span(whole) * 0.4);
    await page.keyboard.press('ArrowRight');
    expect((await xTicks(page))[0]!).toBeGreaterThan(near[0]!);
    await page.keyboard.press('0');
    expect(await xTicks(page)).toEqual(whole);
  });
});

test('dragging over a chart zooms to what was dragged over, and a double click shows all', async () => {
  const page = await open(`${sample}#claim-no-overshoot`);
  const plot = page.locator('#claim-no-overshoot .plot').first();
  await plot.locator('svg').waitFor();
  const whole = await xTicks(page);
  await plot.scrollIntoViewIfNeeded();
  await page.waitForTimeout(500); // the page scrolls smoothly
  const box = (await plot.boundingBox())!;
  await page.mouse.move(box.x + box.width * 0.5, box.y + 120);
  await page.mouse.down();
  await page.mouse.move(box.x + box.width * 0.6, box.y + 130, { steps: 4 });
  await expect.poll(() => plot.locator('.choice').count()).toBe(1);
  await page.mouse.up();
  const near = await xTicks(page);
  expect(span(near)).toBeLessThan(span(whole) * 0.2);
  expect(near[0]!).toBeGreaterThan(0.6);
  expect(near[near.length - 1]!).toBeLessThan(1.3);
  await page.mouse.move(box.x + box.width * 0.4, box.y + 130);
  expect(await page.locator('#claim-no-overshoot .reading').first().textContent()).toMatch(
    /^time [\d.]+ m?s {3}light [\d.]+ m?lx/,
  );
  await plot.dblclick();
  expect(await xTicks(page)).toEqual(whole);
});

test('on a phone nothing is wider than the screen and every claim has its ruler below it', async () => {
  const page = await open(sample, { viewport: { width: 390, height: 844 } });
  for (const id of [
    'crossfade-arrives-together',
    'levels-follow-the-curve',
    'no-bands-on-a-camera',
  ]) {
    await page.locator(`#claim-${id} > summary`).click();
  }
  await page.locator('#claims svg.chart').first().waitFor();
  expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBe(390);
  const ruler = (await page.locator('#claim-no-step-back .ruler').boundingBox())!;
  const words = (await page.locator('#claim-no-step-back .words').boundingBox())!;
  expect(ruler.y).toBeGreaterThanOrEqual(words.y + words.height);
});

test('words lie on nothing: no two texts of a chart or a ruler overlap', async () => {
  const page = await open(sample);
  for (const width of [1280, 390]) {
    await page.setViewportSize({ width, height: 900 });
    await page.reload();
    for (const id of [
      'crossfade-arrives-together',
      'modulation-stays-below-the-line',
      'levels-follow-the-curve',
      'no-overshoot',
      'crossfade-keeps-to-its-path',
    ]) {
      await page.locator(`#claim-${id} > summary`).click();
      await page.locator(`#claim-${id} svg.chart`).first().waitFor();
    }
    expect(await page.evaluate(overlaps)).toEqual([]);
  }
});

test('on paper, claims that did not pass are open with their charts, and nothing is cut off', async () => {
  const page = await open(sample);
  await page.emulateMedia({ media: 'print' });
  await page.setViewportSize({ width: 680, height: 960 });
  await page.evaluate(() => window.dispatchEvent(new Event('beforeprint')));
  await expect.poll(() => page.locator('.claim[open]').count()).toBe(7);
  await expect
    .poll(() => page.locator('#claim-crossfade-arrives-together svg.chart').count())
    .toBeGreaterThan(1);
  expect(await page.locator('.filters').isVisible()).toBe(false);
  expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(680);
  await page.evaluate(() => window.dispatchEvent(new Event('afterprint')));
  await expect.poll(() => page.locator('.claim[open]').count()).toBe(0);
  const pdf = await page.pdf({ format: 'A4' });
  expect(pdf.subarray(0, 5).toString()).toBe('%PDF-');
});

test('hostile words stay words: no dialog, no element, no request', async () => {
  const record = hostileRecord();
  const page = await open(stored('hostile', record, sampleTraces(record)));
  for (const summary of await page.locator('.claim > summary').all()) await summary.click();
  await page.locator('svg.chart').first().waitFor();
  await expect.poll(() => page.locator('img, iframe, object, embed').count()).toBe(0);
  await expect.poll(() => page.locator('script:not([type])').count()).toBe(1);
  // What is left of the hostile text is shown as text.
  expect(await page.locator('.claim h3').first().textContent()).toContain(hostile.slice(0, 40));
});

test('text and marks stand out from the paper, in light and in dark', async () => {
  for (const colorScheme of ['light', 'dark'] as const) {
    const page = await open(sample, { colorScheme });
    const ratios = await page.evaluate(contrasts);
    expect(ratios.length).toBeGreaterThanOrEqual(5);
    // WCAG 2.2, 1.4.3: 4.5 for text (from memory).
    for (const { name, ratio } of ratios)
      expect(ratio, `${name} in ${colorScheme}`).toBeGreaterThanOrEqual(4.5);
  }
});

test('everything that can be pressed has a name, and rulers and charts speak', async () => {
  const page = await open(sample);
  await page.locator('#claim-crossfade-arrives-together > summary').click();
  await page.locator('svg.chart').first().waitFor();
  const nameless = await page.evaluate(() =>
    [...document.querySelectorAll('button, input, select, a, svg[role=img], [tabindex="0"]')]
      .filter(
        (node) =>
          !(node.getAttribute('aria-label') || node.textContent?.trim() || node.closest('label')),
      )
      .map((node) => node.outerHTML.slice(0, 80)),
  );
  expect(nameless).toEqual([]);
});

test('3,000 findings and 200 captures open at once and stay usable', async () => {
  const record = bigRecord();
  const page = await open(stored('big', record, bigTraces(record)));
  await expect.poll(() => page.locator('.claim').count()).toBe(50);
  // Only what is opened is built.
  await expect.poll(() => page.locator('.finding').count()).toBe(0);
  expect(await page.evaluate(() => document.querySelectorAll('*').length)).toBeLessThan(3000);
  await page.locator('#claim-claim-0 > summary').click();
  await page.locator('#claim-claim-0 svg.chart').first().waitFor();
  await expect.poll(() => page.locator('#claim-claim-0 .finding').count()).toBe(60);
  await page.locator('input[name=search]').fill('number 49');
  expect(await shown(page)).toEqual(['claim-49']);
});

function stored(name: string, record: RunRecord, traces: readonly Trace[]): string {
  const file = join(folder, `${name}.html`);
  writeFileSync(file, renderPage({ record, traces }));
  return pathToFileURL(file).href;
}

async function open(url: string, options: Parameters<Browser['newPage']>[0] = {}): Promise<Page> {
  const watched = await watchedPage(browser, {
    viewport: { width: 1280, height: 900 },
    ...options,
  });
  opened.push(watched);
  await watched.page.goto(url);
  return watched.page;
}

function shown(page: Page): Promise<string[]> {
  return page
    .locator('.claim:not([hidden])')
    .evaluateAll((claims) => claims.map((claim) => claim.id.slice('claim-'.length)));
}

function focused(page: Page): Promise<string | undefined> {
  return page.evaluate(() => document.activeElement?.closest('.claim')?.id);
}

/** Ticks of the time axis, s. */
function xTicks(page: Page): Promise<number[]> {
  return page
    .locator('#claim-no-overshoot svg.chart')
    .first()
    .evaluate((chart) => {
      const factor = chart.textContent?.includes('time (ms)') ? 1000 : 1;
      const texts = [...chart.querySelectorAll('.tick text[text-anchor=middle]')];
      return texts.map((text) => Number(text.textContent) / factor);
    });
}

function span(ticks: readonly number[]): number {
  return ticks[ticks.length - 1]! - ticks[0]!;
}

/** Pairs of texts in one drawing whose boxes lie on each other. Runs in the page. */
function overlaps(): string[] {
  const found: string[] = [];
  for (const drawing of document.querySelectorAll('svg.chart, svg.ruler')) {
    const texts = [...drawing.querySelectorAll('text')]
      .map((text) => ({ text: text.textContent, box: text.getBoundingClientRect() }))
      .filter(({ box }) => box.width > 0);
    for (const [k, a] of texts.entries())
      for (const b of texts.slice(k + 1)) {
        const wide = Math.min(a.box.right, b.box.right) - Math.max(a.box.left, b.box.left);
        const high = Math.min(a.box.bottom, b.box.bottom) - Math.max(a.box.top, b.box.top);
        if (wide > 1 && high > 3)
          found.push(`${a.text} / ${b.text} in ${drawing.getAttribute('aria-label')}`);
      }
  }
  return found;
}

/** Contrast of the colours in use against the paper. Runs in the page. */
function contrasts(): { name: string; ratio: number }[] {
  const rgb = (text: string): number[] => (text.match(/[\d.]+/g) ?? []).slice(0, 3).map(Number);
  const light = (colour: string): number => {
    const [r, g, b] = rgb(colour).map((part) => {
      const s = part / 255;
      return s <= 0.04045 ? s / 12.92 : ((s + 0.055) / 1.055) ** 2.4;
    });
    return 0.2126 * r! + 0.7152 * g! + 0.0722 * b!;
  };
  const paper = light(getComputedStyle(document.body).backgroundColor);
  const seen = new Map<string, string>();
  for (const node of document.querySelectorAll('body *')) {
    if (!(node instanceof HTMLElement) || !node.checkVisibility()) continue;
    if (![...node.childNodes].some((child) => child.nodeType === 3 && child.textContent?.trim()))
      continue;
    seen.set(getComputedStyle(node).color, node.className || node.tagName);
  }
  return [...seen].map(([colour, name]) => {
    const [a, b] = [light(colour), paper].sort((x, y) => y - x);
    return { name, ratio: (a! + 0.05) / (b! + 0.05) };
  });
}
