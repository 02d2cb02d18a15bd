import { describe, expect, it } from 'vitest';
import { levelRatio } from '../../../harness/measure/metrics/level/level-ratio.ts';
import type { Observation } from '../../../harness/measure/observation.ts';
import { verdictOfUnmeasurable } from '../../../harness/verdict/unmeasurable.ts';
import { observe, recordOf, steps } from '../lamp-of.ts';

const reference = { from: 0, to: 1 };
const window = { from: 1, to: 2 };

/** Full light is commanded, then a tenth; `lit` is what the lamp gives of either. */
function lamp(commanded: readonly [number, number], lit: readonly [number, number]): Observation {
  const segments = steps([
    [commanded[0], 1],
    [commanded[1], 1],
  ]);
  const waveform = recordOf((t) => lit[t < 1 ? 0 : 1], 2, {});
  return observe(levelRatio, [{ channel: 'warm', segments, waveform }], 'warm', {
    reference,
    window,
  });
}

function outcome(observation: Observation) {
  const found = levelRatio.compute(observation);
  return found.measured
    ? found.value
    : `${found.reason}, so ${verdictOfUnmeasurable(found.reason)}`;
}

describe('a reference window without light', () => {
  it('is the fault of a lamp that was told to be lit and never was', () => {
    expect(outcome(lamp([1, 0.1], [0, 0]))).toBe('dark, so fail');
  });

  it('is the fault of a spec that takes its reference where it commands dark', () => {
    expect(outcome(lamp([0, 0.1], [0, 0.1]))).toBe('no-reference, so error');
  });

  it('is none where there is light', () => {
    expect(outcome(lamp([1, 0.1], [1, 0.1]))).toBeCloseTo(0.1, 9);
  });
});
