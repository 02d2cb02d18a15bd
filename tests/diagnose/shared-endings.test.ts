import { expect, test } from 'vitest';
import { diagnose } from '../../harness/diagnose/diagnose.ts';
import type { ConditionRecord, RunRecord } from '../../harness/record/run-record.ts';
import { renderQuietSummary } from '../../harness/report/text/summary.ts';
import { explanationText } from '../../harness/report/words/diagnosis-words.ts';
import { condition } from '../report/sample-record/condition.ts';
import { finding } from '../report/sample-record/finding.ts';
import { recordOf } from '../report/sample-record/record-of.ts';
import { spec } from '../report/sample-record/spec.ts';

const runs = { metric: 'firmware-runs', title: 'Firmware keeps running', of: 'lamp' } as const;
const limits = { unit: '1', shown: '1', value: 0, expanded: 0, lower: 1, text: 'runs' } as const;

/** A condition that a trap ended, with what the firmware had logged. */
function broken(level: string, ending: string, logged: readonly string[] = []): ConditionRecord {
  const failed = finding({ ...runs, ...limits, verdict: 'fail' });
  const reason = `The firmware broke down at 1.2 s: Firmware a.wasm: lamp_tick() ended in a trap: ${ending}.`;
  return { ...condition({ level }, [{ ...failed, reason }]), ...log(logged) };
}

function sound(level: string, logged: readonly string[] = []): ConditionRecord {
  const passed = finding({ ...runs, ...limits, value: 1, verdict: 'pass' });
  return { ...condition({ level }, [passed]), ...log(logged) };
}

const log = (texts: readonly string[]): Pick<ConditionRecord, 'firmwareLog'> => ({
  firmwareLog: [{ solo: null, lines: texts.map((text, k) => ({ at: k / 10, text })) }],
});

const run = (...conditions: ConditionRecord[]): RunRecord =>
  recordOf([spec('dimming', 'dims', 'It dims.', conditions)]);

const rows = (record: RunRecord) => diagnose(record)!.explanations.map(explanationText);

const divides = 'divide by zero, in scaled() at fade.c:41';

test('several traps of one place are one row that names it', () => {
  const [row, ...others] = rows(
    run(
      broken('1 %', `${divides}, called from lamp_tick() at main.c:12`),
      broken('5 %', `${divides}, called from step() at fade.c:60`),
    ),
  );
  expect(others).toEqual([]);
  expect(row).toContain(`. Each time: ${divides}`);
});

test('the commonest of several traps is named, with how often it was', () => {
  const record = run(
    ...['1 %', '2 %', '3 %'].map((level) => broken(level, divides)),
    broken('4 %', 'unreachable, in panic()'),
  );
  expect(rows(record)[0]).toContain(`. 3 of 4 times: ${divides}`);
});

test('traps that share nothing, and one alone, are said to share nothing', () => {
  const two = run(broken('1 %', divides), broken('2 %', 'unreachable, in panic()'));
  for (const record of [two, run(broken('1 %', divides))])
    expect(rows(record).join()).not.toMatch(/Each time|times:/);
});

test('a line that only failing conditions logged is named', () => {
  const record = run(
    broken('1 %', divides, ['up', 'table 3 chosen', 'end']),
    broken('2 %', divides, ['up', 'table 3 chosen']),
    sound('50 %', ['up', 'table 2 chosen', 'end']),
  );
  expect(rows(record)[0]).toContain(
    '. Its firmware logged "table 3 chosen" in each of these conditions, and in none that passes',
  );
});

test('a line that a passing condition logged, or one failing condition did not, is no hint', () => {
  const common = run(
    broken('1 %', divides, ['table 3 chosen']),
    broken('2 %', divides, ['table 3 chosen']),
    sound('50 %', ['table 3 chosen']),
  );
  const lacking = run(broken('1 %', divides, ['table 3 chosen']), broken('2 %', divides));
  for (const record of [common, lacking]) expect(rows(record).join()).not.toContain('logged');
});

test('a quiet run says where what several failures share is told', () => {
  const look = { colour: false, columns: 100 };
  const record = run(broken('1 %', divides), broken('2 %', divides));
  expect(renderQuietSummary(record, look, 'reports/a')).toContain(
    'What the 2 failing findings have in common: evenfall report reports/a\n',
  );
  expect(renderQuietSummary(record, look, null)).not.toContain('in common');
  expect(renderQuietSummary(run(sound('1 %')), look, 'reports/a')).not.toContain('in common');
});
