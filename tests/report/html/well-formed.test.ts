import { describe, expect, it } from 'vitest';
import { compareRuns } from '../../../harness/record/compare-runs.ts';
import { findingLines } from '../../../harness/record/finding-line.ts';
import type { RunRecord } from '../../../harness/record/run-record.ts';
import { renderComparePage } from '../../../harness/report/pages/compare-page.ts';
import { renderReleaseReport } from '../../../harness/report/pages/release/release-report.ts';
import { renderPage } from '../../../harness/report/pages/run/run-page.ts';
import { hostileRecord, sampleRecord, sampleTraces } from '../sample-record.ts';

const sample = sampleRecord();
const hostile = hostileRecord();
const report = { contentHash: null, issuedAt: '2026-11-25T09:00:00Z', signatures: [], doubts: [] };

const pages: Readonly<Record<string, string>> = {
  'the run page': renderPage({ record: sample, traces: sampleTraces(sample) }),
  'the run page of strangers’ words': renderPage({ record: hostile, traces: [] }),
  'the release report': renderReleaseReport({ record: sample, ...report }),
  'the release report of strangers’ words': renderReleaseReport({ record: hostile, ...report }),
  'the comparison': renderComparePage(sample, hostile, compareRuns(lines(sample), lines(hostile))),
};

describe('every element that a page opens it closes, in order', () => {
  it.each(Object.entries(pages))('%s', (_, page) => {
    expect(unclosed(page)).toEqual([]);
  });

  it('sees what is left open or closed out of order', () => {
    expect(unclosed('<html><b><i></b></html>')).not.toEqual([]);
    expect(unclosed('<html><div></html>')).not.toEqual([]);
  });
});

function lines(record: RunRecord) {
  return { claims: record.specs, findings: findingLines(record) };
}

const empty = new Set(['meta', 'link', 'input', 'br', 'img']);

/** Elements that are still open at the end, and end tags that fit none. */
function unclosed(page: string): string[] {
  const markup = page.replace(/(<(script|style)\b[^>]*>)[\s\S]*?(?=<\/\2>)/g, '$1');
  const open: string[] = [];
  for (const [, end, tag = ''] of markup.matchAll(/<(\/?)([a-zA-Z][\w-]*)(?:"[^"]*"|[^">])*>/g)) {
    if (!end && !empty.has(tag)) open.push(tag);
    if (end && open.at(-1) === tag) open.pop();
    else if (end) open.push(`/${tag}`);
  }
  return open;
}
