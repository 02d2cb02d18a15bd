import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { compareRuns } from '../../harness/record/compare-runs.ts';
import { findingLines } from '../../harness/record/finding-line.ts';
import type { Finding, RunRecord } from '../../harness/record/run-record.ts';
import { renderComparePage } from '../../harness/report/pages/compare-page.ts';
import { scratchFolders } from '../archive/scratch.ts';
import { launchChromium, watchedPage } from '../browser/chromium.ts';
import {
  sampleCondition,
  sampleFinding,
  sampleRecord,
  sampleSpec,
} from '../record/sample-record.ts';

const scratch = scratchFolders();
const hostile = `<img src=x onerror="alert(1)">'"&\u202e</script><script>alert(2)</script>`;

function runWith(build: string, value: number, verdict: Finding['verdict']): RunRecord {
  const light = (kind: 'waveform' | 'bands'): Finding['evidence']['charts'][number] => ({
    kind,
    title: hostile,
    x: { label: 'time', unit: 's', scale: 'linear' },
    y: { label: hostile, unit: 'lx', scale: 'linear' },
    lines: [
      { name: hostile, role: 'measured', x: [0, 1, 2], y: [0, value, 10] },
      { name: 'ideal', role: 'ideal', x: [0, 1, 2], y: [0, 5, 10] },
    ],
    marks: [{ at: 1, label: hostile }],
  });
  const finding = sampleFinding({
    value,
    verdict,
    title: hostile,
    reason: hostile,
    evidence: { charts: [light('waveform'), light('bands')], notes: {} },
  });
  const { lamp } = sampleRecord();
  return sampleRecord({
    lamp: { ...lamp, name: hostile, build },
    specs: [sampleSpec('fade-on-time', [sampleCondition({ findings: [finding] })])],
  });
}

function linesOf(record: RunRecord) {
  const claims = record.specs.map(({ spec, verdict }) => ({ spec, verdict }));
  return { claims, findings: findingLines(record) };
}

describe('the page of a comparison', () => {
  let browser: Browser;
  beforeAll(async () => {
    browser = await launchChromium();
  });
  afterAll(() => browser?.close());

  it.each([
    ['desktop', 1280],
    ['phone', 390],
  ])(
    'opens from disk on a %s without a complaint, a request or a sideways scroll',
    async (_, width) => {
      const [a, b] = [runWith('1.4.2', 2, 'pass'), runWith('1.5.0', 2.4, 'fail')];
      const file = join(scratch(), 'compare.html');
      writeFileSync(file, renderComparePage(a, b, compareRuns(linesOf(a), linesOf(b))));
      const { page, complaints, requests } = await watchedPage(browser, {
        viewport: { width, height: 900 },
      });
      await page.goto(`file://${file}`);
      expect(await page.locator('h2').allTextContents()).toEqual(['Newly failing: 1']);
      // One picture for the waveforms of both, one each for the bands; and one ruler for both.
      expect(await page.locator('figure svg.chart').count()).toBe(3);
      // Both runs are named beneath the picture that they share.
      const pens = await page.locator('figure').first().locator('.pens li').allTextContents();
      expect(pens.filter((name) => /^[AB] /.test(name.trim()))).toHaveLength(2);
      expect(await page.locator('svg.ruler').count()).toBe(1);
      expect(await page.locator('img, script').count()).toBe(0);
      const overflow = await page.evaluate(
        () => document.documentElement.scrollWidth - document.documentElement.clientWidth,
      );
      expect(overflow).toBeLessThanOrEqual(0);
      expect(complaints).toEqual([]);
      expect(requests).toEqual([`file://${file}`]);
      await page.close();
    },
  );

  it('names both runs in a legend, says the share, and puts the largest movement first', async () => {
    const base = runWith('1.4.2', 2, 'pass');
    const many = (build: string, values: readonly number[]) => {
      const findings = values.map((value, k) => sampleFinding({ of: `channel-${k}`, value }));
      const specs = [sampleSpec('many', [sampleCondition({ findings })])];
      return { ...base, lamp: { ...base.lamp, name: 'Alcove-6', build }, specs };
    };
    const values = Array.from({ length: 12 }, () => 2);
    const [a, b] = [
      many('1.4.2', values),
      many(
        '1.5.0',
        values.map((value, k) => value + 0.03 + k / 1000),
      ),
    ];
    const file = join(scratch(), 'compare.html');
    writeFileSync(file, renderComparePage(a, b, compareRuns(linesOf(a), linesOf(b))));
    const { page } = await watchedPage(browser, {});
    await page.goto(`file://${file}`);
    expect(await page.locator('.where').allTextContents()).toEqual([
      'A Alcove-6, build 1.4.2, 2026-03-04 05:06 UTC, run 3fa9c01b: ● pass; rig simulated',
      'B Alcove-6, build 1.5.0, 2026-03-04 05:06 UTC, run 3fa9c01b: ● pass; rig simulated',
    ]);
    const first = page.locator('.compared').first();
    expect(await first.locator('h3').textContent()).toContain('channel-11');
    expect(await first.locator('.moved').textContent()).toBe('41 %, worse');
    expect(await page.locator('.compared:visible').count()).toBe(10);
    await page.getByText('Show 2 more findings').click();
    expect(await page.locator('.compared:visible').count()).toBe(12);
    await page.close();
  });

  it('keeps the words of its curves inside their pictures on a phone', async () => {
    const chart: Finding['evidence']['charts'][number] = {
      kind: 'waveform',
      title: 'Fade of warm',
      x: { label: 'time', unit: 's', scale: 'linear' },
      y: { label: 'level of full light', unit: '%', scale: 'linear' },
      lines: [{ name: 'warm', role: 'measured', x: [0, 1, 2], y: [0, 50, 100] }],
      marks: [{ at: 1.95, label: 'commanded end' }],
    };
    const of = (build: string, value: number) => {
      const finding = sampleFinding({ value, evidence: { charts: [chart], notes: {} } });
      const { lamp } = sampleRecord();
      const specs = [sampleSpec('fades', [sampleCondition({ findings: [finding] })])];
      return sampleRecord({ lamp: { ...lamp, build }, specs });
    };
    const [a, b] = [of('1.4.2', 2), of('1.5.0', 2.08)];
    const file = join(scratch(), 'compare.html');
    writeFileSync(file, renderComparePage(a, b, compareRuns(linesOf(a), linesOf(b))));
    const { page } = await watchedPage(browser, { viewport: { width: 390, height: 900 } });
    await page.goto(`file://${file}`);
    const outside = await page.evaluate(() =>
      [...document.querySelectorAll('.compared .chart text')]
        .filter((text) => {
          const edge = text.closest('svg')?.getBoundingClientRect();
          const { left, right } = text.getBoundingClientRect();
          return !edge || left < edge.left - 1 || right > edge.right + 1;
        })
        .map((text) => text.textContent),
    );
    expect(await page.locator('.compared .chart text').count()).toBeGreaterThan(4);
    expect(outside).toEqual([]);
    await page.close();
  });

  it('begins with what changed, leads there, and keeps folded what did not', async () => {
    const [a, b] = [runWith('1.4.2', 2, 'pass'), runWith('1.5.0', 2.4, 'fail')];
    const same = sampleSpec('same', [sampleCondition({ findings: [sampleFinding()] })]);
    const [before, after] = [a, b].map((run) => ({ ...run, specs: [...run.specs, same] }));
    const file = join(scratch(), 'compare.html');
    const compared = compareRuns(linesOf(before!), linesOf(after!));
    writeFileSync(file, renderComparePage(before!, after!, compared));
    const { page, complaints } = await watchedPage(browser, {});
    await page.goto(`file://${file}`);
    expect(await page.locator('.changes a').allTextContents()).toEqual([
      'Newly failing: 1 finding of 1 claim',
      'Unchanged: 1 finding of 1 claim',
    ]);
    expect(await page.locator('#newly-failing .compared').isVisible()).toBe(true);
    expect(await page.locator('#unchanged .compared').isVisible()).toBe(false);
    await page.locator('.changes a').last().click();
    expect(page.url()).toBe(`file://${file}#unchanged`);
    await page.locator('#unchanged summary').press('Enter');
    expect(await page.locator('#unchanged .compared').isVisible()).toBe(true);
    expect(complaints).toEqual([]);
    await page.close();
  });
});
