import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { pageStyle } from '../../harness/report/html/assets.js';
import { pairRuler } from '../../harness/report/pictures/pair-ruler.ts';
import { toleranceRuler } from '../../harness/report/pictures/tolerance-ruler.ts';
import { finding } from '../report/sample-record.ts';
import { launchChromium } from './chromium.ts';

/** Value, U, limits: near and far apart, at either end, beyond it, about zero. */
const cases = [
  [2, 0.02, 1.9, 2.1],
  [50, 0.5, 1.9, 2.1],
  [-50, 0.5, 1.9, 2.1],
  [0.0001, 0, undefined, 0.02],
  [52.68, 0.39, undefined, 0.11],
  [0.0412, 0.0029, undefined, 0.02],
  [5, 0.1, 10, undefined],
  [0, 0, undefined, 0],
  [1e-7, 1e-9, 1e-5, 2],
  [123_456.7, 10, 123_400, 123_500],
] as const;

const widths = [1280, 390] as const;
let browser: Browser;
const pages = new Map<number, Page>();

beforeAll(async () => {
  browser = await launchChromium();
  const rulers = cases.map(([value, expanded, lower, upper]) => {
    const limits = { ...(lower !== undefined && { lower }), ...(upper !== undefined && { upper }) };
    const made = { metric: 'm', title: 'fade duration', of: 'warm', unit: 's', shown: 'ms' };
    return toleranceRuler(finding({ ...made, value, expanded, ...limits, text: 'as asked' }));
  });
  const html = `<!doctype html><style>${pageStyle.text}</style><div class="sheet">${rulers.map((ruler) => `<div class="gauge">${ruler}</div>`).join('')}</div>`;
  for (const width of widths) {
    const page = await browser.newPage({ viewport: { width, height: 800 } });
    await page.setContent(html);
    pages.set(width, page);
  }
});

afterAll(() => browser?.close());

describe.each(widths)('at %i px', (width) => {
  it('no words of a ruler lie on each other or leave the page', async () => {
    const found = await pages.get(width)?.evaluate(() =>
      [...document.querySelectorAll('.ruler')].map((ruler) =>
        [...ruler.querySelectorAll('text')].map((text) => {
          const { left, right } = text.getBoundingClientRect();
          return { left, right, text: text.textContent };
        }),
      ),
    );
    expect(found).toHaveLength(cases.length);
    for (const words of found ?? []) {
      expect(words.length).toBeGreaterThan(0);
      const inOrder = words.toSorted((a, b) => a.left - b.left);
      for (const [k, word] of inOrder.entries()) {
        expect(word.left, JSON.stringify(words)).toBeGreaterThanOrEqual(0);
        expect(word.right, JSON.stringify(words)).toBeLessThanOrEqual(width);
        const next = inOrder[k + 1];
        if (next) expect(word.right, JSON.stringify(words)).toBeLessThan(next.left);
      }
    }
  });

  it('a scale that is not straight says so', async () => {
    const found = await pages.get(width)?.locator('.ruler').allTextContents();
    const said = (found ?? []).map((text) => text.includes('log'));
    expect(said).toEqual([false, true, false, true, true, false, false, false, false, false]);
  });
});

it('two findings that are compared stand on one ruler, with their limit at one place and told once', () => {
  const made = { metric: 'm', title: 't', of: 'warm', unit: 's', shown: 'ms', text: 'as asked' };
  const [a, b] = [0.01, 0.2].map((value) =>
    finding({ ...made, value, expanded: 0.001, upper: 0.02 }),
  );
  const limitIn = (ruler: unknown) => [...`${ruler}`.matchAll(/class="limit" d="M([\d.]+)/g)];
  const ruler = `${pairRuler(a ?? null, b ?? null, 'both')}`;
  const [first, second, ...more] = limitIn(ruler).map(([, at]) => at);
  expect(first).toBe(second);
  expect(more).toEqual([]);
  expect(ruler.match(/20 ms/g)).toHaveLength(1);
  expect(ruler).toMatch(/>A<.*>B</s);
  // Each by itself would have a scale of its own.
  expect(limitIn(a && toleranceRuler(a))[0]?.[1]).not.toBe(first);
});

it('a ruler for two has one lane where the other finding was not measured', () => {
  const made = { metric: 'm', title: 't', of: 'warm', unit: 's', shown: 'ms', text: 'as asked' };
  const one = finding({ ...made, value: 0.01, expanded: 0.001, upper: 0.02 });
  const ruler = `${pairRuler(null, one, 'B alone')}`;
  expect(ruler).toContain('>B<');
  expect(ruler).not.toContain('>A<');
  expect(pairRuler(null, null, 'neither')).toBeNull();
});
