import { describe, expect, it } from 'vitest';
import type { RunRecord } from '../../../harness/record/run-record.ts';
import { renderRunMetrics } from '../../../harness/report/exchange/run-metrics.ts';
import { sampleRecord } from '../sample-record.ts';
import { readOpenMetrics } from './open-metrics-reader.ts';

describe('a run as metrics for monitoring', () => {
  const record = sampleRecord();

  it('counts claims, and says verdict, times and calibrations', () => {
    const metrics = readOpenMetrics(renderRunMetrics(record));
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
    const metrics = readOpenMetrics(renderRunMetrics(record));
    for (const { spec, folder, verdict } of record.specs) {
      const margin = metrics.get(`evenfall_claim_margin_ratio{claim="${spec}",folder="${folder}"}`);
      if (verdict === 'fail') expect(margin, spec).toBeLessThan(0);
    }
  });

  it('cannot be led astray by the names of strangers', () => {
    const lamp = { ...record.lamp, build: '1"} 2\n# EOF\\' };
    readOpenMetrics(renderRunMetrics({ ...record, lamp } as RunRecord));
  });
});
