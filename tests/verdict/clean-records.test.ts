import { describe, expect, it } from 'vitest';
import { findMetric } from '../../harness/measure/metrics.ts';
import { assess } from '../../harness/verdict/assess.ts';
import { diceOf } from '../coverage/dice.ts';
import { realise } from '../coverage/realise.ts';
import { scenes } from '../coverage/scenes.ts';

/** Scenes that take seconds have tests of their own kind. */
const slow = /^(pst-lm|p-inst|band-limited|dither|svm|camera|ieee1789|strongest|phantom|ja10)/;
const quick = Object.entries(scenes).filter(([name]) => !slow.test(name));
/** Of the value: what the computation rounds. */
const rounding = 1e-6;

describe('a record without noise, codes or any other error', () => {
  it.each(quick)('lets U of %s hold the truth, be U 0 or not', (name, make) => {
    const metric = findMetric(name.split(' ')[0] ?? '');
    if (!metric) throw new Error(`no metric for ${name}`);
    for (const seed of [5, 36, 67]) {
      const dice = diceOf(seed);
      const scene = make(dice);
      if (typeof scene.truth !== 'number') continue;
      const { observation, calibration } = realise(metric, scene, { white: 0 }, dice);
      const assessed = assess(metric, observation, calibration, 2);
      if (!('expanded' in assessed)) {
        // Samples all alike, and no step told of the codes: what flicker they hide nobody knows.
        expect([name, assessed.outcome.reason]).toEqual([
          expect.stringMatching(/of steady light$/),
          'unresolved',
        ]);
        continue;
      }
      const off = Math.abs(assessed.outcome.value - scene.truth);
      expect(off).toBeLessThanOrEqual(assessed.expanded + rounding * Math.abs(scene.truth));
    }
  });
});
