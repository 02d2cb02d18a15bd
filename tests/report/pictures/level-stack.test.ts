import { describe, expect, it } from 'vitest';
import type { EvidenceChart } from '../../../harness/report/pictures/drawn-chart.ts';
import { findingCharts } from '../../../harness/report/pictures/finding-charts.ts';
import { type LevelRows, levelRows } from '../../../harness/report/pictures/level-rows.ts';
import { levelStack } from '../../../harness/report/pictures/level-stack.ts';
import { condition, finding, spec } from '../sample-record.ts';

function held(level: number, off: number): EvidenceChart {
  return {
    kind: 'waveform',
    title: 'Level of warm',
    x: { label: 'time', unit: 's', scale: 'linear' },
    y: { label: 'level of full light', unit: '1', shown: '%', scale: 'linear' },
    lines: [
      { name: 'commanded', role: 'commanded', x: [0, 2], y: [level, level] },
      { name: 'warm', role: 'measured', x: [0.1, 1, 1.9], y: [level, level * (1 + off), level] },
    ],
    marks: [],
  };
}

function levelFinding(level: number, off: number, of = 'warm') {
  const made = finding({
    ...{ metric: 'level-error', title: 'Deviation from the dimming curve', of, unit: '1' },
    ...{ shown: '%', value: off, expanded: 0.002, lower: -0.08, upper: 0.08, text: '± 8 %' },
    verdict: Math.abs(off) > 0.08 ? 'fail' : 'pass',
  });
  return { ...made, evidence: { charts: [held(level, off)], notes: {} } };
}

type Levels = readonly (readonly [level: string, off: number])[];

function claim(levels: Levels, others: Record<string, string> = {}) {
  const conditions = levels.map(([level, off]) =>
    condition({ ...others, level }, [
      levelFinding(Number.parseFloat(level) / 100, off),
      levelFinding(Number.parseFloat(level) / 100, 0, 'cool'),
    ]),
  );
  return spec('dimming', 'follows-curve', 'The light follows.', conditions, []);
}

const three: Levels = [
  ['1 %', 0.01],
  ['50 %', 0.1],
  ['10 %', -0.02],
];

function rowsOf(levels: Levels, others = {}): LevelRows | null {
  return levelRows(
    claim(levels, others),
    ({ finding: { evidence } }) => evidence.charts.length > 0,
  );
}

function drawn(rows: LevelRows | null, width = 880): string {
  if (!rows) throw new Error('no rows');
  const stack = levelStack(rows, ({ placed }) => findingCharts(placed.finding)[0] ?? null, {
    width,
    id: 'stack',
  });
  return `${stack}`;
}

describe('the levels of a claim', () => {
  it('stand in order of their light, each with the worst finding of the question and channel that decides', () => {
    const rows = rowsOf(three);
    expect(rows?.rows.map(({ level }) => level)).toEqual(['50 %', '10 %', '1 %']);
    expect(rows?.rows.map(({ placed }) => placed.finding.of)).toEqual(['warm', 'warm', 'warm']);
    expect(rows?.worst.condition.values['level']).toBe('50 %');
  });

  it('are none without an axis of levels, and none of two', () => {
    expect(rowsOf(three.slice(0, 2))).toBeNull();
    const timed = claim(three);
    const conditions = timed.conditions.map((one, k) => ({
      ...one,
      values: { 'fade-time': `${k + 1} s` },
    }));
    expect(levelRows({ ...timed, conditions }, () => true)).toBeNull();
  });

  it('are told from other axes by their name, or else by their unit', () => {
    expect(rowsOf(three, { intensity: '50 %' })?.rows).toHaveLength(3);
    const from = claim(three);
    const conditions = from.conditions.map((one) => ({
      ...one,
      values: { time: '2 s', from: one.values['level'] ?? '' },
    }));
    expect(levelRows({ ...from, conditions }, () => true)?.rows.map(({ level }) => level)).toEqual([
      '50 %',
      '10 %',
      '1 %',
    ]);
  });

  it('have the worst of what else varies', () => {
    const both: Levels = [...three, ['10 %', 0.07]];
    const row = rowsOf(both)?.rows.find(({ level }) => level === '10 %');
    expect(row?.placed.finding.outcome).toMatchObject({ value: 0.07 });
  });
});

describe('the picture of all levels', () => {
  it('has a strip a level with curve and tolerance, its value, and marks the worst', () => {
    const text = drawn(rowsOf(three));
    expect(text.match(/<clipPath/g)).toHaveLength(3);
    expect(text.match(/class="measured pen-0"/g)?.length).toBeGreaterThanOrEqual(3);
    expect(text.match(/<path class="corridor" d="M/g)).toHaveLength(4); // the fourth in the legend
    expect(text.match(/worst-row off/g)).toHaveLength(1);
    expect(text).toMatch(/>worst<\/text><text class="worst-word"[^>]*>10\.0/);
    expect(text).toContain('3 levels, the brightest first');
    expect(text.indexOf('>50 %<')).toBeLessThan(text.indexOf('>1 %<'));
  });

  it('calls the worst of a claim that holds the closest', () => {
    const text = drawn(rowsOf(three.map(([level, off]) => [level, off / 2])));
    expect(text).toMatch(/>closest<\/text><text class="worst-word"[^>]*>5\.0/);
    expect(text).not.toContain('>worst<');
  });

  it('shows the limits of every level within its strip, though their points lie beyond the record', () => {
    const text = drawn(rowsOf(three));
    const bands = [...text.matchAll(/<path class="corridor" d="M([^"]*)z"/g)].slice(0, 3);
    const strips = [
      ...text.matchAll(
        /<clipPath[^>]*><rect x="[^"]*" y="([^"]*)" width="[^"]*" height="([^"]*)"/g,
      ),
    ];
    for (const [k, [, path = '']] of bands.entries()) {
      const heights = path.split('L').map((place) => Number(place.split(' ')[1]));
      const [top, height] = [Number(strips[k]?.[1]), Number(strips[k]?.[2])];
      expect(Math.min(...heights)).toBeGreaterThan(top);
      expect(Math.max(...heights)).toBeLessThan(top + height);
    }
  });

  it('puts the value above its curve where there is no room beside it', () => {
    const text = drawn(rowsOf(three), 360);
    expect(text).toContain('viewBox="0 0 360');
    expect(text.match(/text-anchor="end">[^<]*\u00a0%</g)?.length).toBeGreaterThanOrEqual(3);
    expect(text).toContain('>worst: 10.0');
  });
});
