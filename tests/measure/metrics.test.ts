import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { findMetric, metrics } from '../../harness/measure/metrics.ts';
import { qualified } from '../../harness/measure/qualified.ts';
import { siUnit } from '../../harness/units/unit.ts';
import { observe, recordOf, steps } from './lamp-of.ts';

const sources = readFileSync(new URL('../../harness/measure/SOURCES.md', import.meta.url), 'utf8');

describe('the registry of metrics', () => {
  it('knows each metric by one id of its own', () => {
    const ids = metrics.map(({ id }) => id);
    expect(new Set(ids).size).toBe(ids.length);
    for (const metric of metrics) expect(findMetric(metric.id)).toBe(metric);
    expect(findMetric('no-such-metric')).toBeUndefined();
  });

  it.each(metrics.map((metric) => [metric.id, metric] as const))('%s is complete', (id, metric) => {
    expect(id).toMatch(/^[a-z0-9]+(-[a-z0-9]+)*$/);
    expect(metric.unit).toBe(siUnit[metric.dimension]);
    expect(metric.title.length).toBeGreaterThan(3);
    // What the lamp answered, and what its firmware tells, is in no record.
    if (!metric.needs.model && !metric.needs.probe)
      expect(metric.needs.signals.length).toBeGreaterThan(0);
    expect(sources).toContain(`## ${metric.source}\n`);
    for (const { name, about } of metric.parameters) {
      expect(name).toMatch(/^[a-z0-9-]+$/);
      expect(about.length).toBeGreaterThan(10);
    }
  });

  it.each(metrics)('$id never throws, and says why there is no number', (metric) => {
    const segments = steps([[1, 1]]);
    const empty = observe(metric, [], 'lamp');
    const bare = observe(metric, [{ channel: 'warm', segments }], 'warm');
    const tiny = observe(
      metric,
      [{ channel: 'warm', segments, waveform: recordOf(() => 1, 0.0003) }],
      'warm',
    );
    for (const observation of [empty, bare]) {
      const outcome = metric.compute(observation);
      expect(outcome.measured).toBe(false);
    }
    const outcome = metric.compute(tiny);
    if (outcome.measured) expect(Number.isFinite(outcome.value)).toBe(true);
  });

  it('PstLM says its scale wherever it is printed, the default or another', () => {
    const title = (parameters: Record<string, number>) =>
      metrics.filter(({ id }) => id === 'pst-lm').map((one) => qualified(one, parameters).title);
    expect(title({})).toEqual(['Short-term light modulation, PstLM (scale 1.1016e6)']);
    expect(title({ scale: 1.23835e6 })).toEqual([
      'Short-term light modulation, PstLM (scale 1.23835e6)',
    ]);
  });
});
