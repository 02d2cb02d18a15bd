import { createHash } from 'node:crypto';
import { describe, expect, test } from 'vitest';
import { unpacked } from '../../../harness/report/html/packed.ts';
import { renderReleaseReport } from '../../../harness/report/pages/release/release-report.ts';
import type { PageRun } from '../../../harness/report/pages/run/page-data.ts';
import { renderPage } from '../../../harness/report/pages/run/run-page.ts';
import { hostileRecord, sampleRecord, sampleTraces, shortRecord } from '../sample-record.ts';

test('the whole page of a short run, but for its script and style', async () => {
  const record = shortRecord();
  const traces = sampleTraces(record).map((trace) => ({
    ...trace,
    min: Array.from(trace.min).slice(0, 4),
    max: Array.from(trace.max).slice(0, 4),
  }));
  const page = withoutAssets(renderPage({ record, traces }));
  await expect(page).toMatchFileSnapshot('../golden/page.html');
});

test('the whole release report of a short run, but for its style', async () => {
  const waiver = {
    claim: 'lost-signal-is-held',
    verdict: 'not run',
    reason: 'No room has DMX.',
  };
  const decided = { decision: 'hold', waivers: [waiver] };
  const signatures = [
    {
      ...decided,
      name: 'R. Aas',
      signedAt: '2026-11-25T08:00:00Z',
      meaning: 'review',
      key: 'd'.repeat(64),
    },
    {
      ...decided,
      name: 'M. Lund',
      signedAt: '2026-11-25T08:30:00Z',
      meaning: 'approval',
      key: 'e'.repeat(64),
    },
  ];
  const report = renderReleaseReport({
    record: shortRecord(),
    contentHash: 'c'.repeat(64),
    issuedAt: '2026-11-25T09:00:00Z',
    signatures,
    doubts: [],
  });
  expect(report).toContain('Decision: hold, by R. Aas (review) and M. Lund (approval).');
  expect(report).toContain('1 claim waived');
  expect(report).toContain('Waived by R. Aas and M. Lund: ');
  await expect(withoutAssets(report)).toMatchFileSnapshot('../golden/release-report.html');
});

describe('a page of strangers’ words', () => {
  const page = renderPage({ record: hostileRecord(), traces: [] });

  test('holds no element but our own: one script, one style, two blocks of data', () => {
    expect(page.match(/<script\b[^>]*>/g)).toEqual([
      '<script type="text/plain" id="run">',
      '<script type="text/plain" id="evidence">',
      '<script>',
    ]);
    expect(page).not.toContain('<img');
  });

  test('admits its own script and style by their hashes and nothing else', () => {
    const policy = /Content-Security-Policy" content="([^"]*)"/.exec(page)?.[1] ?? '';
    const script = /<script>([\s\S]*)<\/script>\n<\/body>/.exec(page)?.[1] ?? '';
    const style = /<style>([\s\S]*?)<\/style>/.exec(page)?.[1] ?? '';
    expect(policy).toContain(`script-src 'sha256-${sha256(script)}'`);
    expect(policy).toContain(`style-src 'sha256-${sha256(style)}'`);
    expect(policy).toContain("default-src 'none'");
    expect(policy).not.toContain('unsafe');
  });

  test('names no address outside of itself', () => {
    const body = withoutAssets(page);
    expect(body).not.toMatch(/(src|href)="(?!#|data:)/);
  });

  test('the data is the record, whatever is in it', () => {
    const data = /id="run">([\s\S]*?)<\/script>/.exec(page)?.[1] ?? '';
    const { record } = unpacked<PageRun>(data);
    expect(record.specs[0]?.claim).toBe(hostileRecord().specs[0]?.claim);
  });
});

describe('what a reader must find without opening anything', () => {
  const record = sampleRecord();
  const page = renderPage({ record, traces: [] });

  test('every claim, with its verdict as a word and its anchor', () => {
    for (const { spec, verdict } of record.specs) {
      const line = new RegExp(
        `<details class="claim ${verdict.replace(' ', '-')}" id="claim-${spec}"[\\s\\S]*?</summary>`,
      ).exec(page)?.[0];
      expect(line).toContain(`</svg>${verdict}</span>`);
    }
  });

  test('what the failures have in common, before each of them, with its findings folded under it', () => {
    const block = page.slice(page.indexOf('class="diagnosis"'), page.indexOf('class="exceptions"'));
    expect(block).toContain('what they have in common makes');
    expect(block).toContain('<details><summary><span class="count">');
    expect(block).toContain('href="#claim-crossfade-arrives-together"');
    expect(block).not.toContain('<details open');
  });

  test('what did not pass, the worst first, before the claims', () => {
    const list = page.slice(page.indexOf('class="exceptions"'), page.indexOf('<main'));
    const links = [...list.matchAll(/href="#claim-([^"]*)"/g)].map(([, spec]) => spec);
    expect(links).toHaveLength(7);
    expect(links).not.toContain('off-time-is-fixed');
    expect(links.slice(0, 3)).toEqual([
      'named-whites-hit-their-point',
      'stroboscopic-effect-stays-hidden',
      'modulation-stays-below-the-line',
    ]);
  });

  test('simulated instruments, retries, calibration that is not valid, cautions', () => {
    expect(page).toContain('digitiser, photodiode, colour sensor and supply are simulated');
    expect(page).toContain('<b>Retry. </b>');
    expect(page).toContain('<td class="attention" data-name="calibration">overdue</td>');
    expect(page).toContain('they never certify');
    expect(page).toContain('photosensitive epilepsy');
  });
});

function withoutAssets(page: string): string {
  return page
    .replace(/(<script type="text\/plain" id="\w+">)(.*?)(<\/script>)/g, inWords)
    .replace(/<style>[\s\S]*?<\/style>/g, '<style>…</style>')
    .replace(/<script>[\s\S]*<\/script>\n<\/body>/, '<script>…</script>\n</body>')
    .replace(/sha256-[A-Za-z0-9+/=]+/g, 'sha256-…');
}

/** A block of data as the JSON that it packs, so that a change of it can be read. */
function inWords(_: string, start: string, text: string, end: string): string {
  return `${start}${JSON.stringify(unpacked(text)).replaceAll('<', '\\u003c')}${end}`;
}

function sha256(text: string): string {
  return createHash('sha256').update(text).digest('base64');
}
