import { describe, expect, it } from 'vitest';
import { parseRunRecord } from '../../harness/record/parse-run-record.ts';
import { sampleCapture, sampleCondition, sampleRecord, sampleSpec } from './sample-record.ts';

function faultsOf(value: unknown): readonly string[] {
  const parsed = parseRunRecord(value);
  return parsed.ok ? [] : parsed.faults;
}

describe('a run record out of a file', () => {
  it('comes back as it was, through JSON', () => {
    const record = sampleRecord();
    expect(parseRunRecord(JSON.parse(JSON.stringify(record)))).toEqual({ ok: true, record });
  });

  it('of an earlier version tells captures by their files, and readings by what they are of', () => {
    const { id: _, ...capture } = sampleCapture();
    const reading = { at: 0.1, integration: 0.1, X: 1, Y: 1, Z: 1, state: 'good', of: 'lamp' };
    const readings = [reading, { ...reading, of: 'warm' }];
    const condition = { ...sampleCondition(), captures: [capture], readings };
    const record = {
      ...sampleRecord(),
      specs: [{ ...sampleSpec('a', []), conditions: [condition] }],
    };
    const parsed = parseRunRecord(JSON.parse(JSON.stringify(record)));
    const [read] = parsed.ok ? (parsed.record.specs[0]?.conditions ?? []) : [];
    expect(read?.captures).toEqual([{ ...capture, id: capture.file }]);
    expect(read?.readings?.map(({ capture: id }) => id)).toEqual(['colour', 'colour-warm']);
  });

  it('of version 1 is read as it is, with what the lamp could not have as not run', () => {
    const record = { ...sampleRecord({ specs: [sampleSpec('a', [])] }), version: 1 };
    expect(parseRunRecord(JSON.parse(JSON.stringify(record)))).toEqual({ ok: true, record });
  });

  it('has no condition that does not apply: only a claim can be so', () => {
    const beside = { ...sampleCondition(), verdict: 'not applicable' };
    const record = { ...sampleRecord(), specs: [{ ...sampleSpec('a', []), conditions: [beside] }] };
    expect(faultsOf(record)[0]).toContain('specs[0].conditions[0].verdict');
  });

  it.each(['9999-12-31T23:59:59Z', '2200-01-01T00:00:00Z', '2026-13-45T99:99:99Z'])(
    'begins at an instant that a clock can tell, not at %s',
    (startedAt) => {
      expect(faultsOf(sampleRecord({ startedAt, endedAt: null }))).toEqual([
        'startedAt: Invalid input: expected an instant from 1970 to 2199',
      ]);
      expect(faultsOf(sampleRecord({ startedAt: '1970-01-01T00:00:00Z' }))).toEqual([]);
    },
  );

  it.each([[null], [42], ['text'], [[]], [{}], [{ format: 'other' }]])(
    'is refused when it is something else: %j',
    (value) => {
      expect(faultsOf(value)[0]).toContain('expected "format": "evenfall-run"');
    },
  );

  it('is refused where it is wrong, with the way to the place', () => {
    const record = structuredClone(sampleRecord());
    Object.assign(record.specs[0]!.conditions[0]!.findings[0]!.limits, { upper: '2 s' });
    expect(faultsOf(record)[0]).toMatch(
      /^specs\[0\]\.conditions\[0\]\.findings\[0\]\.limits\.upper: /,
    );
  });

  it.each([
    [
      'a figure that is none',
      [0, 'dark', 2],
      '.charts[0].lines[0].y[1]: Invalid input: expected number',
    ],
    ['no list of figures', '0 1 2', '.charts[0].lines[0].y: Invalid input: expected array'],
  ])('is refused where a curve holds %s', (_what, y, fault) => {
    const record = structuredClone(sampleRecord());
    const axis = { label: 'time', unit: 's', scale: 'linear' as const };
    const line = { name: 'light', role: 'measured' as const, x: [0, 1, 2], y: [1, 2, 3] };
    const chart = { kind: 'waveform' as const, title: 'light', x: axis, y: axis, marks: [] };
    const { evidence } = record.specs[0]!.conditions[0]!.findings[0]!;
    Object.assign(evidence, { charts: [{ ...chart, lines: [{ ...line, y }] }] });
    expect(faultsOf(record)[0]).toBe(`specs[0].conditions[0].findings[0].evidence${fault}`);
  });

  it.each([
    ['three figures', [[0, 1, 0.5]], '[0]: Invalid input: expected four numbers'],
    [
      'a word',
      [
        [0, 1, 0.5, 0.5],
        [1, 2, 0.5, 'dark'],
      ],
      '[1]: Invalid input: expected four numbers',
    ],
    ['no list', 'dark', ': Invalid input: expected array'],
  ])('is refused where a commanded stretch of light is %s', (_what, segments, fault) => {
    const record = structuredClone(sampleRecord());
    Object.assign(record.specs[0]!.conditions[0]!, { commanded: [{ channel: 'warm', segments }] });
    const place = 'specs[0].conditions[0].commanded[0].segments';
    expect(faultsOf(record)[0]).toBe(`${place}${fault}`);
  });

  it('is refused with a key that nobody knows, as a mistyped one would be lost in silence', () => {
    expect(faultsOf({ ...sampleRecord(), verdikt: 'pass' })[0]).toContain('verdikt');
  });

  it('names five faults and counts the rest', () => {
    const { format, version } = sampleRecord();
    const faults = faultsOf({ format, version });
    expect(faults).toHaveLength(6);
    expect(faults[5]).toMatch(/^and \d+ more$/);
  });

  it('of a later version is refused as such, whatever else it holds', () => {
    const parsed = parseRunRecord({ format: 'evenfall-run', version: 7 });
    expect(parsed).toMatchObject({ ok: false, newer: true });
  });
});
