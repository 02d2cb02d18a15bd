import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { metrics } from '../../harness/measure/metrics.ts';
import { coverageOfLooks, coverageOfSingle, mostAgain } from '../../harness/verdict/looks.ts';

const text = readFileSync('docs/repeating.md', 'utf8');

describe('docs/repeating.md', () => {
  it('names the metrics that are averaged, and no other', () => {
    const [, listed = ''] = /scatters both ways:\n\n([^.]*)\./.exec(text) ?? [];
    const named = [...listed.matchAll(/`([a-z-]+)`/g)].map(([, id]) => id);
    expect(named.sort()).toEqual(
      metrics.flatMap(({ id, averages }) => (averages ? [id] : [])).sort(),
    );
  });

  it('has the coverage factors that are used', () => {
    const counts = Array.from({ length: mostAgain }, (_, k) => k + 1);
    const row = (of: typeof coverageOfLooks): string =>
      counts.map((again) => of({ coverageFactor: 2, again }).toFixed(2)).join(' | ');
    expect(text).toContain(`| ${row(coverageOfLooks)} |`);
    expect(text).toContain(`| ${row(coverageOfSingle)} |`);
  });
});
