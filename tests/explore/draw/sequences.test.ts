import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { sequences } from '../../../harness/explore/draw/sequences.ts';
import type { WrittenStep } from '../../../harness/plan/verbs/verb.ts';
import { shippedLamp } from '../../spec-language/shipped-lamp.ts';

const drawn = fc.sample(sequences(shippedLamp('alcove-6')), { numRuns: 4000, seed: 11 });
const share = (has: (steps: readonly WrittenStep[]) => boolean) =>
  drawn.filter(has).length / drawn.length;
const texts = (steps: readonly WrittenStep[]) => steps.map((step) => JSON.stringify(step));

describe('what a search draws', () => {
  it('has fades beyond 2^16 ms, waited for, that the lamp itself times', () => {
    const onConsole = share((steps) =>
      texts(steps).some((text) =>
        /"fade".*"over":"(66|70|132) s","wait":true,"link":"console"/.test(text),
      ),
    );
    expect(onConsole).toBeGreaterThan(0.005);
    expect(onConsole).toBeLessThan(0.1);
  });

  it('has the longest fade times of DALI, and extended ones, looked at for long enough', () => {
    const within = (setting: string, least: number) => (steps: readonly WrittenStep[]) => {
      const all = texts(steps);
      return all.some((text, index) => {
        const value = /"dtr0".*"value":(\d+)/.exec(text)?.[1];
        return (
          Number(value) >= least &&
          all[index + 1]?.includes(setting) &&
          all[index + 2]?.includes('"level"') &&
          /"hold":"(70|100) s"/.test(all[index + 3] ?? '')
        );
      });
    };
    expect(share(within('set-fade-time', 14))).toBeGreaterThan(0.001);
    expect(share(within('set-extended-fade-time', 0x31))).toBeGreaterThan(0.001);
  });
});
