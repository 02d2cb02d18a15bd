import { describe, expect, it } from 'vitest';
import type { ConditionRecord } from '../../../harness/record/run-record.ts';
import { sampled } from '../../sampled.ts';
import { runClaims, storyOf, verdictsOf } from './run-claims.ts';

/** A command at the very edge of short windows, and fades to be on time. */
const edges = `spec: edges
claim: The lamp takes the level at once, and fades to the next.
conditions:
  level: [10 %, 40 %]
stimulus:
  - set: { level: 100 %, mix: all }
  - hold: 300 ms
  - mark: full
  - hold: 200 ms
  - mark: low
  - set: { level: $level }
  - hold: 300 ms
  - mark: fading
  - fade: { level: 100 %, over: 300 ms }
  - hold: 300 ms
capture:
  - { signal: light, rate: 20 kHz }
criteria:
  - { metric: level-ratio, of: light, during: low, reference: full, target: $level, tolerance: ± 10 % }
  - { metric: fade-duration, of: light, during: fading, target: 300 ms, tolerance: ± 10 % }
  - { metric: fade-start-delay, of: light, during: fading, at-most: 60 ms }
`;

const patience = { timeout: 90_000 };

/** Each level with its U holds the one that was commanded: the bench's lateness is in it. */
function expectLevelsHeld(conditions: readonly ConditionRecord[]): void {
  for (const { values, findings } of conditions)
    for (const { metric, outcome, uncertainty } of findings) {
      if (metric !== 'level-ratio' || !outcome.measured) continue;
      const wanted = Number.parseFloat(String(values['level'])) / 100;
      const off = Math.abs(Number(outcome['value']) - wanted);
      expect(off, storyOf(conditions)).toBeLessThan(uncertainty!.expanded + 0.03 * wanted);
    }
}

const late = [
  ['answers', 'late=20 ms'],
  ['answers', 'late=50 ms'],
  ['messages', 'held-up=20 ms'],
  ['messages', 'held-up=50 ms'],
] as const;

describe('a network that is late', () => {
  it.each(sampled(late, 2))(
    'with its %s, %s: the uncertainty holds it, and the lamp does not fail',
    patience,
    async (_, kind) => {
      const found = await runClaims(edges, [kind], { errorIsRight: true });
      expect(verdictsOf(found), storyOf(found)).not.toContain('fail');
      expectLevelsHeld(found);
    },
  );

  it('blames a lamp that is much later all the same', patience, async () => {
    const faults = [{ fault: 'command-latency', size: 0.4 }];
    const found = await runClaims(edges, ['held-up=20 ms'], { faults });
    expect(verdictsOf(found), storyOf(found)).toEqual(['fail', 'fail']);
  });
});

describe('a healthy bench', () => {
  it('passes', patience, async () => {
    const found = await runClaims(edges, []);
    expect(verdictsOf(found), storyOf(found)).toEqual(['pass', 'pass']);
    expectLevelsHeld(found);
  });
});

describe('a colour sensor that finds its range before it integrates', () => {
  const colours = `spec: colours
claim: The lamp takes its colours.
conditions:
  level: [100 %]
stimulus:
  - set: { level: $level, mix: { warm: 100 % } }
  - hold: 300 ms
  - mark: warm
  - hold: 200 ms
  - mark: red
  - set: { level: $level, mix: { red: 100 % } }
  - hold: 300 ms
capture:
  - { signal: colour, of: lamp, integration: 50 ms, every: 100 ms, during: warm }
criteria:
  - { metric: sdcm-steps, of: lamp, during: warm, at-most: 7 }
`;
  it('sees the light of its window, not of the next', patience, async () => {
    const found = await runClaims(colours, ['ranging=500 ms,on=colour-sensor']);
    expect(verdictsOf(found), storyOf(found)).toEqual(['pass']);
  });
});
