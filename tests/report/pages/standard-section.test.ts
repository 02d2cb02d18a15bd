import { describe, expect, it } from 'vitest';
import { standardSection } from '../../../harness/report/pages/run/standard-section.ts';
import { sampleRecord } from '../sample-record.ts';

const record = sampleRecord();

const points = Array.from({ length: 9 }, (_, index) => ({
  at: `2026-11-0${index + 1}T06:00:00.000Z`,
  value: 512 + (index % 2),
  standard: 0.1,
  rule: index === 8 ? ('beyond 3 s' as const) : null,
}));

function sectionOf(
  limits: { centre: number; warning: number; action: number; baseline: number } | null,
) {
  const standard = {
    standard: 'LM-3 <0815>',
    signal: 'light',
    of: 'all',
    unit: 'lx',
    limits,
    points,
  };
  return String(standardSection({ ...record, rig: { ...record.rig, standard } }));
}

describe('the check standard on the page', () => {
  it('is drawn with its limits and the rule that this run broke', () => {
    const text = sectionOf({ centre: 512.5, warning: 1.3, action: 2.4, baseline: 8 });
    expect(text).toMatch(
      /9 measurements of LM-3 &lt;0815&gt;; the band is mean ± 3 s of the first 8/,
    );
    expect(text).toMatch(/last: beyond 3 s/);
    expect(text.match(/trend-point fail/g)).toHaveLength(2);
    expect(text.match(/class="corridor"/g)).toHaveLength(2);
  });

  it('has no band while the history is short, and is not there without one', () => {
    expect(sectionOf(null)).toMatch(/too few for limits/);
    expect(sectionOf(null)).not.toMatch(/corridor/);
    expect(standardSection(record)).toBeNull();
  });
});
