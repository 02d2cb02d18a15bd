import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { judgeTrend, type TrendSeries } from '../../harness/record/trend.ts';
import { renderTrendPage } from '../../harness/report/pages/trend-page.ts';
import { launchChromium } from './chromium.ts';

/** 24 runs of three builds; limits of two sides, one side and none, far values, and a run without one. */
function seriesOf(
  of: string,
  upper: number | null,
  lower: number | null,
  slope: number,
): TrendSeries {
  const points = Array.from({ length: 24 }, (_, k) => ({
    ...{ id: `${k}`.padStart(8, '0'), folder: `run-${k}` },
    started: new Date(Date.UTC(2026, 2, 1 + k)).toISOString(),
    build: ['1.6.2', '1.7.0-rc.1', '1.8.0'][Math.floor(k / 8)] ?? '',
    value: k === 5 ? null : 2 + slope * k + 0.01 * (k % 3),
    ...{ expanded: 0.004, lower, upper, verdict: 'pass' as const },
  }));
  return {
    ...{
      metric: 'm',
      title: 'Fade duration',
      lamp: 'Alcove-6',
      spec: 'fades',
      condition: '',
      repeat: 0,
      of,
    },
    ...{ during: null, ordinal: 0, unit: 's', shown: 'ms', points },
  };
}

const series = [
  seriesOf('warm', 2.5, 1.5, 0.01),
  seriesOf('cool', 250, 150, 0),
  seriesOf('red', 3, null, -0.002),
  seriesOf('lime', null, 0.5, 0.001),
  seriesOf('cyan', 2.001, 1.999, 0.2),
  seriesOf('indigo', 2, 2, 0.1),
];

let browser: Browser;
beforeAll(async () => {
  browser = await launchChromium();
});
afterAll(() => browser?.close());

async function opened(width: number): Promise<Page> {
  const page = await browser.newPage({ viewport: { width, height: 900 } });
  await page.setContent(renderTrendPage(series.map(judgeTrend)));
  await page.locator('.trend-group > summary').first().click();
  return page;
}

describe.each([1280, 390])('the page of trends at %i px', (width) => {
  it('has no words on each other, none outside, and scrolls only down', async () => {
    const page = await opened(width);
    const found = await page.evaluate(() =>
      [...document.querySelectorAll('svg.multiple')].map((svg) => {
        const edge = svg.getBoundingClientRect();
        const words = [...svg.querySelectorAll('text')].map((text) => {
          const { left, right, top, bottom } = text.getBoundingClientRect();
          return {
            text: text.textContent,
            left: left - edge.left,
            right: edge.right - right,
            top,
            bottom,
          };
        });
        const over = words.flatMap((a, k) =>
          words
            .slice(k + 1)
            .filter(
              (b) =>
                a.left < edge.width - b.right - 1 &&
                b.left < edge.width - a.right - 1 &&
                a.top < b.bottom - 3 &&
                b.top < a.bottom - 3,
            )
            .map((b) => `${a.text} on ${b.text}`),
        );
        const outside = words.filter(({ left, right }) => left < -0.5 || right < -0.5);
        return { words: words.length, over, outside };
      }),
    );
    expect(found).toHaveLength(5);
    for (const one of found) {
      expect(one.words).toBeGreaterThan(3);
      expect(one.over).toEqual([]);
      expect(one.outside).toEqual([]);
    }
    const overflow = await page.evaluate(
      () => document.documentElement.scrollWidth - document.documentElement.clientWidth,
    );
    expect(overflow).toBeLessThanOrEqual(0);
    await page.close();
  });
});

it('the pictures of a claim have their limits at one height, and the builds beneath', async () => {
  const page = await opened(1280);
  const limits = await page.evaluate(() =>
    [...document.querySelectorAll('svg.multiple')].map((svg) =>
      [...svg.querySelectorAll('.limit')].map((line) => line.getAttribute('d')?.split(/[ H]/)[1]),
    ),
  );
  // In the order of their drift: both sided, one sided (its limit is the upper one of all, or the lower).
  const [first] = limits;
  for (const own of limits) for (const place of own) expect(first).toContain(place);
  const text = await page.locator('svg.multiple').first().textContent();
  for (const build of ['1.6.2', '1.7.0-rc.1', '1.8.0']) expect(text).toContain(build);
  expect(await page.locator('.trend-group > summary .verdict').first().textContent()).toBe('pass');
  await page.close();
});
