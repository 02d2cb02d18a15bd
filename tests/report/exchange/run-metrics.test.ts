import { describe, expect, it } from 'vitest';
import type { RunRecord } from '../../../harness/record/run-record.ts';
import { renderRunMetrics } from '../../../harness/report/exchange/run-metrics.ts';
import { sampleRecord } from '../sample-record.ts';

/** Lines as OpenMetrics 1.0 allows them (its ABNF, from memory): families one after another, each with its type before its samples. */
const label = /[a-zA-Z_]\w*="(?:[^"\\\n]|\\[\\"n])*"/.source;
const sample = new RegExp(
  `^([a-z_]+)(\\{${label}(?:,${label})*\\})? (-?\\d+(?:\\.\\d+)?(?:e[+-]\\d+)?)$`,
);

function read(text: string): ReadonlyMap<string, number> {
  const lines = text.split('\n');
  expect(lines.slice(-2)).toEqual(['# EOF', '']);
  const samples = new Map<string, number>();
  const families = new Set<string>();
  let family = '';
  for (const line of lines.slice(0, -2)) {
    const [, kind, name = ''] = /^# (TYPE|UNIT|HELP) ([a-z_]+) .+$/.exec(line) ?? [];
    if (kind === 'TYPE') {
      expect(families.has(name), name).toBe(false);
      families.add(name);
      family = name;
    } else if (kind) {
      expect(name).toBe(family);
      if (kind === 'UNIT') expect(name.endsWith(`_${line.split(' ')[3]}`), line).toBe(true);
    } else {
      const [, own = '', labels = '', value] = sample.exec(line) ?? [];
      expect([family, `${family}_info`], line).toContain(own);
      expect(samples.has(own + labels), line).toBe(false);
      samples.set(own + labels, Number(value));
    }
  }
  return samples;
}

describe('a run as metrics for monitoring', () => {
  const record = sampleRecord();

  it('counts claims, and says verdict, times and calibrations', () => {
    const metrics = read(renderRunMetrics(record));
    const failed = record.specs.filter(({ verdict }) => verdict === 'fail').length;
    expect(metrics.get('evenfall_claims{verdict="fail"}')).toBe(failed);
    expect(metrics.get(`evenfall_run_verdict{evenfall_run_verdict="${record.verdict}"}`)).toBe(1);
    const verdicts = [...metrics].filter(([name]) => name.startsWith('evenfall_run_verdict'));
    expect(verdicts.reduce((sum, [, value]) => sum + value, 0)).toBe(1);
    expect(metrics.get('evenfall_run_ended_timestamp_seconds')).toBe(
      Date.parse(record.endedAt ?? '') / 1000,
    );
    const { name, calibration } = record.rig.instruments.find((one) => one.calibration)!;
    expect(
      metrics.get(
        `evenfall_calibration_due_timestamp_seconds{rig="${record.rig.name}",instrument="${name}"}`,
      ),
    ).toBe(Date.parse(calibration!.due) / 1000);
  });

  it('tells how far a failing claim is beyond its limit', () => {
    const metrics = read(renderRunMetrics(record));
    for (const { spec, folder, verdict } of record.specs) {
      const margin = metrics.get(`evenfall_claim_margin_ratio{claim="${spec}",folder="${folder}"}`);
      if (verdict === 'fail') expect(margin, spec).toBeLessThan(0);
    }
  });

  it('cannot be led astray by the names of strangers', () => {
    const lamp = { ...record.lamp, build: '1"} 2\n# EOF\\' };
    read(renderRunMetrics({ ...record, lamp } as RunRecord));
  });
});
