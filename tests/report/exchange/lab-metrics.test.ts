import { describe, expect, it } from 'vitest';
import { type LabFigures, renderLabMetrics } from '../../../harness/report/exchange/lab-metrics.ts';
import { readOpenMetrics } from './open-metrics-reader.ts';

const figures: LabFigures = {
  ...{ shards: { queued: 3, running: 1 }, oldestWaiting: 61.5, conditions: 12, bytes: 4096 },
  rigs: [
    { name: 'bench-3', simulated: false, heard: true },
    { name: 'left', simulated: true, heard: false },
  ],
  submissions: [
    { state: 'queued', count: 1 },
    { state: 'ended', count: 0 },
  ],
  verdicts: [
    {
      ...{ lamp: 'Alcove-6', build: '1.4.2', simulated: false, verdict: 'inconclusive' },
      endedAt: '2026-11-30T20:00:00.000Z',
    },
  ],
  cleared: { files: 7, bytes: 9000, at: '2026-11-30T20:23:00.000Z', unproven: 1 },
};

describe('a lab as metrics for monitoring', () => {
  it('says what waits, who is heard, and how large it is', () => {
    const metrics = readOpenMetrics(renderLabMetrics(figures));
    expect(Object.fromEntries(metrics)).toMatchObject({
      'evenfall_lab_shards{state="queued"}': 3,
      'evenfall_lab_shards{state="running"}': 1,
      evenfall_lab_oldest_waiting_seconds: 61.5,
      'evenfall_lab_rig_heard{rig="bench-3",simulated="false"}': 1,
      'evenfall_lab_rig_heard{rig="left",simulated="true"}': 0,
      evenfall_lab_conditions_stored: 12,
      'evenfall_lab_submissions{state="queued"}': 1,
      'evenfall_lab_submissions{state="ended"}': 0,
      evenfall_lab_files_bytes: 4096,
      evenfall_lab_cleared_files_total: 7,
      evenfall_lab_cleared_bytes_total: 9000,
      evenfall_lab_cleared_timestamp_seconds: Date.parse('2026-11-30T20:23:00Z') / 1000,
      evenfall_lab_submissions_unproven: 1,
    });
  });

  it('says nothing of clearing where nothing is ever cleared, nor when before it was', () => {
    expect(renderLabMetrics({ ...figures, cleared: null })).not.toMatch(/cleared|unproven/);
    const cleared = { files: 0, bytes: 0, at: null, unproven: 0 };
    const metrics = readOpenMetrics(renderLabMetrics({ ...figures, cleared }));
    expect(metrics.get('evenfall_lab_cleared_files_total')).toBe(0);
    expect(metrics.has('evenfall_lab_cleared_timestamp_seconds')).toBe(false);
  });

  it('says the last verdict on each build, and no other', () => {
    const metrics = readOpenMetrics(renderLabMetrics(figures));
    const of = 'lamp="Alcove-6",build="1.4.2",simulated="false"';
    const said = [...metrics].filter(([name]) => name.startsWith('evenfall_lab_verdict{'));
    expect(said.filter(([, value]) => value === 1)).toEqual([
      [`evenfall_lab_verdict{${of},evenfall_lab_verdict="inconclusive"}`, 1],
    ]);
    expect(said).toHaveLength(5);
    const ended = metrics.get(`evenfall_lab_verdict_timestamp_seconds{${of}}`);
    expect(ended).toBe(Date.parse('2026-11-30T20:00:00Z') / 1000);
  });

  it('leaves out what there is none of, and is not led astray by names of strangers', () => {
    const [one] = figures.verdicts;
    const evil = { ...one, build: '1"} 2\n# EOF\\' } as LabFigures['verdicts'][number];
    readOpenMetrics(renderLabMetrics({ ...figures, verdicts: [evil] }));
    const empty = renderLabMetrics({ ...figures, rigs: [], verdicts: [] });
    expect(empty).not.toContain('evenfall_lab_rig_heard');
    readOpenMetrics(empty);
  });
});
