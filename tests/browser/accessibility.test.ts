import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { basename, join } from 'node:path';
import { pathToFileURL } from 'node:url';
import type { AxeResults } from 'axe-core';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test, vi } from 'vitest';
import { createRunFolder, type RunFolder } from '../../harness/archive/run-folder.ts';
import type { RunRecord } from '../../harness/record/run-record.ts';
import type { Html } from '../../harness/report/html/html.ts';
import { renderSheet } from '../../harness/report/pages/archive/sheet.ts';
import { labFront } from '../../harness/report/pages/lab/lab-front.ts';
import { submissionPage } from '../../harness/report/pages/lab/submission-page.ts';
import { renderPage } from '../../harness/report/pages/run/run-page.ts';
import { keyFiles, openDesk } from '../cli/view-desk.ts';
import { headerOf } from '../record/sample-record.ts';
import { sampleLab, sampleSubmission } from '../report/sample-lab.ts';
import { sampleRecord, sampleTraces } from '../report/sample-record.ts';
import { launchChromium } from './chromium.ts';

/** A browser on a busy machine. */
vi.setConfig({ testTimeout: 240_000, hookTimeout: 240_000 });

const rules = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
const folder = mkdtempSync(join(tmpdir(), 'evenfall-accessibility-'));
const root = join(folder, 'reports');
const names: string[] = [];
let browser: Browser;
let desk: Awaited<ReturnType<typeof openDesk>>;
let running: RunFolder;

beforeAll(async () => {
  browser = await launchChromium();
  const record = withoutCaptures(sampleRecord());
  for (const [id, build, day] of [
    ['aaaa1111aaaa1111aaaa', '9.0.0', 20],
    ['bbbb2222bbbb2222bbbb', '9.0.1', 24],
  ] as const) {
    const startedAt = `2026-11-${day}T18:03:00Z`;
    names.push(await store({ ...record, id, startedAt, lamp: { ...record.lamp, build } }));
  }
  running = await half({
    ...record,
    id: 'cccc3333cccc3333cccc',
    startedAt: '2026-11-25T18:03:00Z',
  });
  desk = await openDesk(root, { keyFile: (await keyFiles(folder, 'Mira')).file });
});

afterAll(async () => {
  await browser?.close();
  await desk?.server.close();
  await running?.close();
  rmSync(folder, { recursive: true, force: true });
});

function withoutCaptures(record: RunRecord): RunRecord {
  const specs = record.specs.map((spec) => ({
    ...spec,
    conditions: spec.conditions.map((condition) => ({
      ...condition,
      captures: [],
      findings: condition.findings.map((finding) => ({ ...finding, captures: [] })),
    })),
  }));
  return { ...record, specs };
}

async function store(record: RunRecord): Promise<string> {
  mkdirSync(root, { recursive: true });
  const stored = await createRunFolder(root, headerOf(record));
  await stored.finish(record, []);
  return basename(stored.path);
}

/** A run that is being measured: one claim under way, one that failed, the others to come. */
async function half(record: RunRecord): Promise<RunFolder> {
  const stored = await createRunFolder(root, { ...headerOf(record), planned: 9 });
  const [first, second] = record.specs;
  for (const condition of first?.conditions ?? [])
    await stored.saveCondition(first?.spec ?? '', condition);
  stored.tellRunning([{ spec: second?.spec ?? '', key: '' }]);
  return stored;
}

/** A run page by itself, as it lies in a run's folder. */
function page(name: string, record: RunRecord): string {
  const file = join(folder, `${name}.html`);
  writeFileSync(file, renderPage({ record, traces: sampleTraces(record) }));
  return pathToFileURL(file).href;
}

/** A page of a lab, without its script. */
function labPage(name: string, body: Html): string {
  const file = join(folder, `${name}.html`);
  writeFileSync(file, renderSheet({ title: 'Lab', body }));
  return pathToFileURL(file).href;
}

/** What the rules find with everything unfolded, each with the elements that it is about. */
async function violations(shown: Page, scheme: 'light' | 'dark'): Promise<string[]> {
  await shown.evaluate(() => {
    for (const folded of document.querySelectorAll('details')) folded.open = true;
  });
  await shown.evaluate(rules);
  // The elements of a page are the same in both schemes, and so is what other rules than the two about colours find.
  const only = scheme === 'dark' ? { runOnly: ['color-contrast', 'link-in-text-block'] } : {};
  const results = await shown.evaluate(
    (options): Promise<AxeResults> =>
      (globalThis as unknown as { axe: typeof import('axe-core') }).axe.run(document, options),
    only,
  );
  return results.violations.map(
    ({ id, help, nodes }) =>
      `${id}: ${help}: ${nodes
        .slice(0, 3)
        .map((node) => `${node.target.join(' ')} ${node.any.map((one) => one.message).join('; ')}`)
        .join(' | ')}`,
  );
}

const clean = (): RunRecord => {
  const record = sampleRecord();
  return {
    ...record,
    verdict: 'pass',
    specs: record.specs.filter(({ verdict }) => verdict === 'pass'),
  };
};

/** All but what the clean page shows. */
const failing = (): RunRecord => {
  const record = sampleRecord();
  return { ...record, specs: record.specs.filter(({ verdict }) => verdict !== 'pass') };
};

const addresses: Readonly<Record<string, () => string>> = {
  'the page of a clean run': () => page('clean', clean()),
  'the page of a run that failed, with its diagnosis': () => page('failing', failing()),
  'the list of runs': () => '/',
  'a run’s sheet': () => `/runs/${names[0]}`,
  'a comparison': () => `/compare?a=${names[0]}&b=${names[1]}`,
  'a trend': () => '/trend?metric=fade-duration',
  'the form to sign on': () => `/runs/${names[0]}/sign`,
  'what waits for a decision': () => '/sign-off',
  'the builds by lamps': () => '/builds',
  'the front page of a lab': () => labPage('lab', labFront(sampleLab())),
  'the page of a submission': () => labPage('submission', submissionPage(sampleSubmission('s-1'))),
  'a run in progress': () => `/runs/${basename(running.path)}`,
};

describe.each(['light', 'dark'] as const)('in %s colours', (colorScheme) => {
  test.each(Object.entries(addresses))('%s breaks no rule of accessibility', async (_, address) => {
    const shown = await browser.newPage({ colorScheme });
    try {
      const path = address();
      if (!path.startsWith('file:')) await shown.goto(desk.address.href);
      await shown.goto(path.startsWith('file:') ? path : desk.address.origin + path);
      expect(await violations(shown, colorScheme)).toEqual([]);
    } finally {
      await shown.close();
    }
  });
});
