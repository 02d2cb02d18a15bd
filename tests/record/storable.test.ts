import { describe, expect, it } from 'vitest';
import { type Finding, runRecordSchema } from '../../harness/record/run-record.ts';
import { storableRecord } from '../../harness/record/storable.ts';
import { sampleCondition, sampleFinding, sampleRecord, sampleSpec } from './sample-record.ts';

const { POSITIVE_INFINITY: infinite, NaN: none } = Number;

function recordWith(finding: Finding) {
  return sampleRecord({ specs: [sampleSpec('a', [sampleCondition({ findings: [finding] })])] });
}

function stored(finding: Finding): Finding {
  const record = storableRecord(recordWith(finding));
  const back = runRecordSchema.parse(JSON.parse(JSON.stringify(record)));
  return back.specs[0]!.conditions[0]!.findings[0]!;
}

describe('what can be stored of a record', () => {
  it('is the record itself when every figure is finite', () => {
    const record = recordWith(sampleFinding());
    expect(storableRecord(record)).toBe(record);
  });

  it('keeps the reason of an outcome whose figure is infinite', () => {
    const outcome = { measured: false, reason: 'too-slow', found: infinite, needed: 5 } as const;
    expect(stored(sampleFinding({ outcome, verdict: 'error' })).outcome).toEqual({
      measured: false,
      reason: 'too-slow',
      needed: 5,
    });
  });

  it('tells a note in words, and leaves out points and marks that lie nowhere', () => {
    const axis = { label: 'x', unit: 's', scale: 'linear' } as const;
    const chart: Finding['evidence']['charts'][number] = {
      kind: 'waveform',
      title: 't',
      x: axis,
      y: axis,
      lines: [{ name: 'l', role: 'measured', x: [0, 1, 2, infinite], y: [5, none, 7, 8] }],
      marks: [
        { at: none, label: 'lost' },
        { at: 1, label: 'kept' },
      ],
    };
    const evidence = { charts: [chart], notes: { peak: -infinite, mean: 2, word: 'x' } };
    const { charts, notes } = stored(sampleFinding({ evidence })).evidence;
    expect(notes).toEqual({ peak: '-Infinity', mean: 2, word: 'x' });
    expect(charts[0]!.lines[0]).toMatchObject({ x: [0, 2], y: [5, 7] });
    expect(charts[0]!.marks).toEqual([{ at: 1, label: 'kept' }]);
  });

  it('does not pass a value or a limit off as something else: those are refused', () => {
    const record = storableRecord(recordWith(sampleFinding({ value: none })));
    expect(runRecordSchema.safeParse(record).success).toBe(false);
  });
});
