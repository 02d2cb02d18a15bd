import { expect, test } from 'vitest';
import { firmwareLines, linesOfFinding } from '../../harness/record/firmware-lines.ts';
import { findingFacts } from '../../harness/report/pages/run/finding-panel.ts';
import { renderSummary } from '../../harness/report/text/summary.ts';
import { condition } from '../report/sample-record/condition.ts';
import { finding } from '../report/sample-record/finding.ts';
import { spec } from '../report/sample-record/spec.ts';
import { recordOf } from '../report/sample-record.ts';

const late = finding({
  ...{ metric: 'fade-time', title: 'fade time', of: 'warm', unit: 's', shown: 's' },
  ...{ value: 2, expanded: 0.01, upper: 1, text: 'at most 1 s', verdict: 'fail' as const },
});
const plain = condition({}, [late]);
const [first, second] = plain.commands;
if (!first || !second) throw new Error('the sample has two commands');

/** Two passes, lines beside an answer, and a gap. */
const logged = {
  ...plain,
  marks: [
    { name: 'before', at: -1 },
    { name: 'fade', at: 0.3 },
    { name: 'after', at: 2 },
  ],
  commands: [{ ...first, besides: ['[1.2] level set'] }, second],
  firmwareLog: [
    {
      solo: 'warm',
      lines: [
        { at: -0.5, text: 'up' },
        { at: 1.5, text: 'late <b>' },
        { at: 2.5, text: 'done' },
      ],
      dropped: { lines: 7, bytes: 91, from: 0.5, to: 1.25 },
    },
  ],
};

test('lines of the log, those beside an answer and what was dropped stand in order of time', () => {
  expect(firmwareLines(logged)).toEqual([
    { at: -0.5, text: 'up', solo: 'warm' },
    { at: 0, text: '[1.2] level set', solo: null },
    {
      ...{ at: 0.5, solo: 'warm', isGap: true },
      text: '(7 more lines of 91 bytes, 0.500000 s to 1.250000 s, were not kept)',
    },
    { at: 1.5, text: 'late <b>', solo: 'warm' },
    { at: 2.5, text: 'done', solo: 'warm' },
  ]);
  expect(firmwareLines(plain)).toEqual([]);
});

test('a probe that nobody told has a line of its own', () => {
  const probe = { solo: null, name: 'fade', unit: '', at: [], values: [], missing: 'it told none' };
  expect(firmwareLines({ ...plain, probes: [probe] })).toEqual([
    { at: 0, text: '(probe fade: it told none)', solo: null, isGap: true },
  ]);
});

test('a finding of a window has the lines of that window, or all where it has none', () => {
  const texts = (during: string | null) =>
    linesOfFinding(logged, { during }).map(({ text }) => text.slice(0, 4));
  expect(texts('fade')).toEqual(['(7 m', 'late']);
  expect(texts('before')).toEqual(['up', '[1.2']);
  expect(texts(null)).toHaveLength(5);
  expect(texts(null).at(-1)).toBe('done');
});

test('a finding of the whole condition has its lines, what marks there ever are, and none of a probe', () => {
  const marks = [{ name: 'late', at: 1 }];
  const missing = { solo: null, name: 'fade', unit: '', at: [], values: [], missing: 'none' };
  const condition = { ...logged, marks, probes: [missing] };
  const texts = linesOfFinding(condition, { during: null }).map(({ text }) => text);
  expect(texts).toHaveLength(5);
  expect(texts.join()).not.toContain('probe');
});

test('the summary shows the last lines under a finding that fails', () => {
  const record = recordOf([spec('fading', 'fades', 'It fades.', [logged])]);
  const text = renderSummary(record, { colour: false, columns: 100 });
  expect(text).toContain(`      The firmware said 4 lines, at last:
        0.500000 s [warm alone] (7 more lines of 91 bytes, 0.500000 s to 1.250000 s, were not kept)
        1.500000 s [warm alone] late <b>
        2.500000 s [warm alone] done
`);
});

test('the page has them between the commands, at their instants', () => {
  const record = recordOf([spec('fading', 'fades', 'It fades.', [logged])]);
  const page = String(findingFacts(record, { condition: logged, finding: late }));
  const cells = ['up', '[1.2] level set', 'dim 100 mix', 'fade 1000', '7 more', 'late &lt;b&gt;'];
  const places = cells.map((cell) => page.indexOf(cell));
  expect(places).not.toContain(-1);
  // A command and what is said beside its answer have one instant.
  expect(places.toSorted((a, b) => a - b)).toEqual([0, 2, 1, 3, 4, 5].map((k) => places[k]));
  expect(page).toContain('<td>firmware, warm</td>');
});

test('of a long log the page shows the beginning and the end', () => {
  const lines = Array.from({ length: 300 }, (_, k) => ({ at: k, text: `line ${k}.` }));
  const long = { ...plain, firmwareLog: [{ solo: null, lines }] };
  const record = recordOf([spec('fading', 'fades', 'It fades.', [long])]);
  const page = String(findingFacts(record, { condition: long, finding: late }));
  expect(page).toContain('line 49.');
  expect(page).not.toContain('line 50.');
  expect(page).toContain('(and 200 more lines)');
  expect(page).not.toContain('line 249.');
  expect(page).toContain('line 250.');
});
