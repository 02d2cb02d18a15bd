import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { ConditionRecord, Finding, SpecRecord } from '../../harness/record/run-record.ts';
import { evidenceKey } from '../../harness/report/pages/run/page-data.ts';
import { evenfall } from '../cli/program.ts';
import { desk, recordIn, runsIn } from '../cli/small-specs.ts';
import { specsFolder } from '../spec-language/shipped-lamp.ts';
import { launchChromium, type Watched, watchedPage } from './chromium.ts';

/** Claims of the library that capture one signal in two windows. */
const claims = [
  'flicker/camera-in-fade',
  'flicker/no-effect-in-fade',
  'flicker/no-strobing-in-fade',
  'robustness/light-after-storm',
];

let folder: string;
let specs: readonly SpecRecord[];
let browser: Browser;
let opened: Watched;

beforeAll(async () => {
  const cwd = desk({});
  const files = claims.map((claim) => join(specsFolder, `${claim}.spec.yaml`));
  const { exitCode, stderr } = await evenfall(['run', ...files, '--seed', '1'], { cwd });
  expect(exitCode, stderr).toBe(0);
  folder = runsIn(cwd)[0] ?? '';
  specs = recordIn(folder).specs;
  browser = await launchChromium();
  opened = await watchedPage(browser);
  await opened.page.goto(pathToFileURL(join(folder, 'index.html')).href);
}, 300_000);

afterAll(async () => {
  await browser?.close();
  expect(opened?.complaints).toEqual([]);
});

/** Windows whose samples decide about a finding: its own, and that of full light where it is held against it. */
function windowsOf({ metric, during }: Finding): readonly string[] {
  return metric === 'level-error' ? ['full', String(during)] : [String(during)];
}

function findings() {
  return specs.flatMap((spec, s) =>
    spec.conditions.flatMap((condition, c) =>
      condition.findings.map((finding, f) => {
        return { spec, condition, finding, key: evidenceKey(s, c, f) };
      }),
    ),
  );
}

function filesOf({ captures }: ConditionRecord, finding: Finding): readonly string[] {
  return finding.captures.map((id) => captures.find((capture) => capture.id === id)?.file ?? id);
}

describe('a finding about one of two windows rests on the capture of that window', () => {
  it('in the record', () => {
    const windows = new Set<string>();
    for (const { spec, finding } of findings()) {
      const subject = finding.of === 'light' ? 'light' : `channel-current-${finding.of}`;
      const expected = windowsOf(finding).map((window) => `${subject}-${window}`);
      expect(finding.captures, `${spec.spec} ${finding.during}`).toEqual(expected);
      windows.add(String(finding.during));
    }
    expect([...windows].sort()).toEqual(['after', 'bright', 'dim']);
  });

  it('in JUnit', () => {
    const cases = readFileSync(join(folder, 'junit.xml'), 'utf8').split('<testcase').slice(1);
    const attached = cases.map((text) =>
      [...text.matchAll(/capture: captures\/(\S+)/g)].map(([, file]) => file),
    );
    expect(attached).toEqual(
      findings().map(({ condition, finding }) => filesOf(condition, finding)),
    );
    for (const [index, { finding }] of findings().entries()) {
      expect(cases[index]).toContain(` of ${finding.of}`);
      expect(cases[index]).toContain(String(finding.during));
    }
  });

  it.each(claims)('on the page: %s', async (claim) => {
    const name = claim.split('/')[1] ?? '';
    const section = opened.page.locator(`#claim-${name}`);
    await section.locator('> summary').click();
    for (const { spec, condition, finding, key } of findings()) {
      if (spec.spec !== name) continue;
      const line = section.locator(`.finding[data-finding="${key}"]`);
      if ((await line.getAttribute('open')) === null) await line.locator('> summary').click();
      const record = line.locator('.capture');
      await record.waitFor();
      if ((await record.getAttribute('open')) === null) await record.locator('> summary').click();
      await record.locator('figure').waitFor();
      const shown = (await record.textContent()) ?? '';
      const files = [...shown.matchAll(/captures\/([a-z0-9-]+\.codes)/g)].map(([, file]) => file);
      expect(files, `${name}: ${finding.during} ${finding.of}`).toEqual(
        filesOf(condition, finding),
      );
    }
  });
});
