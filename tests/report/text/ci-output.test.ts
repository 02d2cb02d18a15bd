import { describe, expect, test } from 'vitest';
import { renderCodeQuality } from '../../../harness/report/exchange/code-quality.ts';
import { renderEventLine } from '../../../harness/report/exchange/event-line.ts';
import { renderAnnotations } from '../../../harness/report/text/annotations.ts';
import { renderMarkdown } from '../../../harness/report/text/markdown.ts';
import {
  condition,
  finding,
  hostileRecord,
  recordOf,
  shortRecord,
  spec,
} from '../sample-record.ts';

test('the whole job summary', async () => {
  await expect(renderMarkdown(shortRecord())).toMatchFileSnapshot('../golden/job-summary.md');
});

test('the whole set of annotations', async () => {
  await expect(renderAnnotations(shortRecord())).toMatchFileSnapshot('../golden/annotations.txt');
});

describe('what did not pass, at its line', () => {
  const claims = [failing('too-bright', 18), failing('no-line'), passing('fine')];
  const sentence =
    'It is not too bright. level ratio of warm: 200.0 ± 1.0 %, allowed at most 100 %. too much';

  test('as workflow commands with file and line', () => {
    expect(renderAnnotations(recordOf(claims))).toBe(
      `::error file=specs/dimming/too-bright.spec.yaml,line=18,title=fail%3A too-bright::${sentence.replaceAll('%', '%25')}\n` +
        `::error file=specs/dimming/no-line.spec.yaml,title=fail%3A no-line::${sentence.replaceAll('%', '%25')}\n`,
    );
  });

  test('as a code quality report, with line 1 where none is known, and nothing of what passed', () => {
    const entry = (claim: string, begin: number) => ({
      description: `fail: ${sentence}`,
      check_name: claim,
      fingerprint: `evenfall ${claim}`,
      severity: 'critical',
      location: { path: `specs/dimming/${claim}.spec.yaml`, lines: { begin } },
    });
    const text = renderCodeQuality(recordOf(claims));
    expect(JSON.parse(text)).toEqual([entry('too-bright', 18), entry('no-line', 1)]);
  });

  test('a run that was altered says so before all', () => {
    const [first] = JSON.parse(renderCodeQuality(recordOf(claims), 'altered since it was sealed'));
    expect(first).toMatchObject({
      severity: 'blocker',
      description: 'altered since it was sealed',
    });
  });
});

describe('text of strangers', () => {
  test('is no markup, link or table cell in Markdown', () => {
    const text = renderMarkdown(hostileRecord());
    expect(text).not.toContain('<script');
    expect(text).not.toContain('[a](');
    const rows = text.split('\n').filter((line) => line.startsWith('|'));
    for (const row of rows) expect(row.match(/(?<!\\)\|/g)).toHaveLength(4);
  });

  test('starts no command of its own in a log: every line is ours', () => {
    const lines = renderAnnotations(hostileRecord()).trimEnd().split('\n');
    expect(lines).toHaveLength(3);
    for (const line of lines)
      expect(line).toMatch(/^::(error|warning) file=[^:,]*(,line=\d+)?,title=[^:,]*::/);
  });
});

describe('limits of a job runner', () => {
  test('ten errors are shown at most, and the last says how many more there are', () => {
    const claims = Array.from({ length: 37 }, (_, k) => failing(`claim-${k}`));
    const lines = renderAnnotations(recordOf(claims)).trimEnd().split('\n');
    expect(lines).toHaveLength(10);
    expect(lines[9]).toBe('::error title=Evenfall::28 more claims like these');
  });

  test('a job summary stays below 1 MiB and counts what it left out', () => {
    const claims = Array.from({ length: 4000 }, (_, k) => ({
      ...failing(`claim-${k}`),
      claim: 'x'.repeat(500),
    }));
    const text = renderMarkdown(recordOf(claims));
    expect(Buffer.byteLength(text)).toBeLessThan(1024 * 1024);
    expect(text).toMatch(/\d+ more claims in the stored run/);
  });
});

describe('event lines', () => {
  test('one event is one line of JSON with a version, without samples', () => {
    const point = condition({}, []);
    const line = renderEventLine({
      event: 'condition-ended',
      spec: 'a',
      condition: point,
      captures: [1, 2, 3],
    } as never);
    expect(line.endsWith('\n')).toBe(true);
    expect(line.trimEnd()).not.toContain('\n');
    expect(JSON.parse(line)).toEqual({
      version: 1,
      event: 'condition-ended',
      spec: 'a',
      condition: point,
    });
  });

  test('a whole record is told by its id, verdict and totals', () => {
    const record = shortRecord();
    const told = JSON.parse(renderEventLine({ event: 'run-ended', record } as never));
    expect(told.record).toEqual({
      id: record.id,
      verdict: 'error',
      ended: 'complete',
      seed: 41,
      lamp: 'Alcove-6',
      build: '2.4.0-rc3',
      rig: 'simulated bench',
      totals: record.totals,
    });
  });
});

function passing(id: string) {
  return spec('dimming', id, 'It is dim.', [condition({}, [])]);
}

function failing(id: string, line?: number) {
  const bad = finding({
    metric: 'level-ratio',
    title: 'level ratio',
    of: 'warm',
    unit: '1',
    shown: '%',
    value: 2,
    expanded: 0.01,
    upper: 1,
    text: 'at most 100 %',
    verdict: 'fail',
    reason: 'too much',
  });
  return spec('dimming', id, 'It is not too bright.', [
    condition({}, [line === undefined ? bad : { ...bad, line }]),
  ]);
}
