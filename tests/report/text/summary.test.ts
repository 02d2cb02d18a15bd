import { describe, expect, test } from 'vitest';
import { renderSummary } from '../../../harness/report/text/summary.ts';
import { wrap } from '../../../harness/report/text/wrap.ts';
import { condition } from '../sample-record/condition.ts';
import { finding } from '../sample-record/finding.ts';
import { spec } from '../sample-record/spec.ts';
import { hostileRecord, recordOf, sampleRecord, shortRecord } from '../sample-record.ts';

const plain = { colour: false, columns: 100 };

test('the whole summary', async () => {
  await expect(renderSummary(sampleRecord(), plain)).toMatchFileSnapshot('../golden/summary.txt');
});

test('the whole summary in 50 columns', async () => {
  const text = renderSummary(shortRecord(), { colour: false, columns: 50 });
  await expect(text).toMatchFileSnapshot('../golden/summary-narrow.txt');
});

describe('what it owes its reader', () => {
  test('the worst claims come first, and what passed stands before them with its margin', () => {
    const lines = renderSummary(shortRecord(), plain).split('\n');
    const order = lines.flatMap(
      (line) => /^[▲◐✕○●] (fail|inconclusive|error|not run|pass) {2}/.exec(line)?.[1] ?? [],
    );
    expect(order).toEqual(['error', 'fail', 'inconclusive', 'not run']);
    expect(
      lines.indexOf('Passed, with the share of the tolerance that the closest finding leaves:'),
    ).toBe(2);
    expect(lines[3]).toMatch(/^ +\d+ % {2}fading\/no-overshoot: .* ± .*, allowed/);
    expect(lines).toContain('– not applicable to Alcove-6');
  });

  test('an answer that is right has no margin, a figure near its limit has', () => {
    const passing = (metric: string, value: number) =>
      finding({
        ...{ metric, value, title: metric, of: 'lamp', unit: '1', shown: '1' },
        ...{ expanded: 0.001, lower: 1, text: '', verdict: 'pass' as const },
      });
    const of = (one: ReturnType<typeof finding>) =>
      renderSummary(recordOf([spec('control', 'answers', '', [condition({}, [one])])]), plain);
    expect(of(passing('answer-as-expected', 1))).not.toContain('< 1 %');
    expect(of(passing('level-ratio', 1.0001))).toContain('< 1 %');
  });

  test('a figure stands with its uncertainty, its limit and the reason', () => {
    const text = renderSummary(shortRecord(), plain);
    expect(text).toContain('41.2 ± 2.9 ms, allowed at most 20 ms');
    expect(text).toContain('indigo arrives 41 ms after warm');
  });

  test('colour comes only when asked for, and changes no word', () => {
    const coloured = renderSummary(sampleRecord(), { colour: true, columns: 100 });
    expect(coloured).toContain('\u001b[31m');
    expect(coloured.replace(/\u001b\[\d+m/g, '')).toBe(renderSummary(sampleRecord(), plain));
  });

  test('no control character of a stranger reaches the terminal', () => {
    expect(renderSummary(hostileRecord(), plain)).not.toMatch(
      /[\u0000-\u0009\u000b-\u001f\u007f-\u009f\u202e]/,
    );
  });

  test('a safe state that was not confirmed cannot be overlooked', () => {
    const record = {
      ...shortRecord(),
      safeState: { confirmed: false, at: null, detail: 'the supply did not answer' },
    };
    expect(renderSummary(record, plain)).toContain(
      'The safe state was NOT confirmed: the supply did not answer',
    );
  });

  test('a hundred bench errors are one line', () => {
    const deviations = Array.from({ length: 100 }, (_, k) => ({
      kind: 'bench error',
      text: `number ${k}`,
    }));
    const text = renderSummary({ ...recordOf([]), deviations }, plain);
    expect(text).toContain('deviation (bench error): 100 times, first: number 0');
    expect(text).not.toContain('number 1');
  });
});

test('a wrapped line breaks at spaces and never loses a word', () => {
  const text = 'one two three four five six seven eight nine ten';
  const lines = wrap(text, 14, '> ', '  ');
  expect(Math.max(...lines.map((line) => line.length))).toBeLessThanOrEqual(14);
  expect(lines.join(' ').replace(/>/g, '').split(/\s+/).filter(Boolean).join(' ')).toBe(text);
});
