import { spawnSync } from 'node:child_process';
import { existsSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { describe, expect, test } from 'vitest';
import { renderJunit } from '../../../harness/report/exchange/junit.ts';
import {
  channels,
  condition,
  finding,
  hostileRecord,
  recordOf,
  sampleRecord,
  shortRecord,
  spec,
} from '../sample-record.ts';

describe('the whole output', () => {
  test('strict profile', async () => {
    await expect(renderJunit(shortRecord(), 'strict')).toMatchFileSnapshot('../golden/strict.xml');
  });

  test('extended profile', async () => {
    await expect(renderJunit(shortRecord(), 'extended')).toMatchFileSnapshot(
      '../golden/extended.xml',
    );
  });
});

describe('what readers of JUnit files trip over', () => {
  test('only fail is a failure; error and inconclusive are errors; not run and not applicable are skipped', () => {
    const xml = renderJunit(shortRecord(), 'strict');
    expect(xml).toMatch(/<testsuites name="evenfall" tests="\d+" failures="1" errors="2">/);
    expect(xml).toContain('type="arrival-spread"');
    expect(xml).toMatch(/<error message="[^"]*" type="inconclusive"/);
    expect(xml).toMatch(
      /<error message="Expected a reading from the colour sensor[^"]*" type="bench"/,
    );
    expect(xml).toContain('<skipped message="The rig carries no DMX link.');
    expect(xml).toContain('<skipped message="Not applicable: The claim needs a fixed-off-time');
  });

  test('the root carries no count of skipped cases, which the schema does not know', () => {
    const root = /<testsuites[^>]*>/.exec(renderJunit(shortRecord(), 'strict'))?.[0];
    expect(root).not.toContain('skipped');
  });

  test('times have at most three decimals and no exponent', () => {
    const point = condition(
      {},
      channels.map((of) => made(of)),
    );
    for (const length of [1e-7, 1 / 3, 12345.678912]) {
      const xml = renderJunit(
        recordOf([spec('a', 'b', 'c', [{ ...point, duration: length }])]),
        'strict',
      );
      const times = [...xml.matchAll(/ time="([^"]*)"/g)].map(([, time]) => time!);
      expect(times.length).toBeGreaterThan(0);
      for (const time of times) expect(time).toMatch(/^\d+(\.\d{1,3})?$/);
    }
  });

  test('a class and a name occur once, also when two findings have the same', () => {
    const point = condition({}, [made('warm'), made('warm'), made('warm')]);
    const xml = renderJunit(recordOf([spec('a', 'b', 'c', [point])]), 'strict');
    const names = [...xml.matchAll(/<testcase classname="[^"]*" time="[^"]*" name="([^"]*)"/g)];
    expect(names).toHaveLength(3);
    expect(new Set(names.map(([, name]) => name)).size).toBe(3);
  });

  test('instants are UTC without a zone', () => {
    const xml = renderJunit(shortRecord(), 'strict');
    expect(xml).toContain('timestamp="2026-11-24T18:03:14"');
    expect(xml).not.toMatch(/timestamp="[^"]*Z"/);
  });

  test('a run that judged nothing is not an empty file but an error', () => {
    const xml = renderJunit({ ...recordOf([]), ended: 'failed' }, 'strict');
    expect(xml).toContain('<error message="The run ended failed with 0 claims recorded');
  });

  test('a run that was interrupted says so besides what it judged', () => {
    const xml = renderJunit({ ...shortRecord(), ended: 'interrupted' }, 'strict');
    expect(xml).toContain('The run ended interrupted');
  });

  test('a bench error of a condition is not lost behind findings that passed', () => {
    const point = {
      ...condition({}, [made('warm')]),
      verdict: 'error' as const,
      reason: 'no answer',
    };
    const xml = renderJunit(recordOf([spec('a', 'b', 'c', [point])]), 'strict');
    expect(xml).toContain('<error message="no answer"');
  });
});

describe('the schema that one consumer validates with', () => {
  const schema = fileURLToPath(new URL('../../../shared/references/junit-10.xsd', import.meta.url));
  const missing = missingReason(schema);

  test.skipIf(missing)(`strict output is valid${missing}`, () => {
    expect(problems(renderJunit(sampleRecord(), 'strict'), schema)).toBe('');
  });

  test.skipIf(missing)(`strict output is valid whatever the bench was like${missing}`, () => {
    for (const state of ['good', 'broken', 'failed', 'not checked'] as const) {
      const record = sampleRecord();
      const after = { state, why: 'no answer', checks: [] };
      const xml = renderJunit({ ...record, rig: { ...record.rig, after } }, 'strict');
      expect(xml).toContain('the bench is good after the last claim');
      expect(problems(xml, schema)).toBe('');
    }
  });

  test.skipIf(missing)(`strict output is valid with hostile text everywhere${missing}`, () => {
    expect(problems(renderJunit(hostileRecord(), 'strict'), schema)).toBe('');
  });

  test.skipIf(missing)(`the check can fail: extended output is not valid${missing}`, () => {
    expect(problems(renderJunit(sampleRecord(), 'extended'), schema)).toContain("attribute 'file'");
  });
});

test('hostile text ends neither an element nor a CDATA section', () => {
  const xml = renderJunit(hostileRecord(), 'extended');
  // Outside of its own CDATA sections no word of a stranger is markup.
  const outside = xml.replace(/<!\[CDATA\[.*?\]\]>/gs, '');
  expect(outside).not.toMatch(/<(script|img)/);
  expect(outside).not.toContain('CDATA');
  expect(xml).not.toMatch(/[\u0000-\u0008\u000b-\u001f\ufffe\u202e]/);
});

function made(of: string) {
  return finding({
    metric: 'level-ratio',
    title: 'level ratio',
    of,
    unit: '1',
    shown: '%',
    value: 0.5,
    expanded: 0.01,
    upper: 1,
    text: 'at most 100 %',
  });
}

/** Why the schema cannot be asked here, as part of the test's title. */
function missingReason(schema: string): string {
  if (!existsSync(schema)) return ' (skipped: junit-10.xsd is not beside the project)';
  const found = spawnSync('xmllint', ['--version']).status === 0;
  return found ? '' : ' (skipped: xmllint is not installed; apt-get install libxml2-utils)';
}

function problems(xml: string, schema: string): string {
  const ran = spawnSync('xmllint', ['--noout', '--schema', schema, '-'], { input: xml });
  const text = ran.stderr.toString();
  return ran.status === 0 ? '' : text || `xmllint ended with ${ran.status}`;
}
