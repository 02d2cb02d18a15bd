import { describe, expect, it } from 'vitest';
import { channelFades } from '../../../harness/measure/features/fade/channel-fades.ts';
import { commandedFade } from '../../../harness/measure/features/fade/commanded-fade.ts';
import { observedFade } from '../../../harness/measure/features/fade/observed-fade.ts';
import { passings } from '../../../harness/measure/features/fade/passings.ts';
import { arrivalSpread } from '../../../harness/measure/metrics/fade/channel-spread.ts';
import { fadeDuration } from '../../../harness/measure/metrics/fade/fade-duration.ts';
import type { Segment } from '../../../harness/measure/observation.ts';
import { isMeasurable } from '../../../harness/measure/outcome.ts';
import { fade, levelAt, observe, recordOf } from '../lamp-of.ts';
import { changedRecord } from '../recorded.ts';

type Step = readonly [to: number, startLevel: number, endLevel: number];

function segmentsOf(...steps: readonly Step[]): readonly Segment[] {
  return steps.map(([to, startLevel, endLevel], k) => ({
    ...{ from: steps[k - 1]?.[0] ?? 0, to, startLevel, endLevel },
  }));
}

const commandedBy = (segments: readonly Segment[], window: { from: number; to: number }) =>
  commandedFade(observe(fadeDuration, [{ channel: 'warm', segments }], 'warm', { window }));

describe('the plateaus of one fade among others', () => {
  it('begin where an earlier fade ended, over marks and repeated commands', () => {
    // A fade to 0.5 ends at 1 s; that level is held, and ordered again at 2 s.
    const down = segmentsOf(
      [0.5, 1, 1],
      [1, 1, 0.5],
      [2, 0.5, 0.5],
      [3, 0.5, 0.5],
      [4, 0.5, 0.1],
      [5, 0.1, 0.1],
    );
    expect(commandedBy(down, { from: 2.5, to: 5 })).toMatchObject({ before: { from: 1, to: 3 } });
    // Nor do they reach over another level that was only held.
    const jump = segmentsOf(
      [1, 0.8, 0.8],
      [2, 0.5, 0.5],
      [3, 0.5, 0.5],
      [4, 0.5, 0.1],
      [5, 0.1, 0.1],
    );
    expect(commandedBy(jump, { from: 0, to: 5 })).toMatchObject({ before: { from: 1, to: 3 } });
    // A fade that began at the same level and left it.
    const back = segmentsOf(
      [1, 0.5, 0.8],
      [2, 0.8, 0.5],
      [3, 0.5, 0.5],
      [4, 0.5, 0.1],
      [5, 0.1, 0.1],
    );
    expect(commandedBy(back, { from: 2.5, to: 5 })).toMatchObject({ before: { from: 2, to: 3 } });
  });

  it('end where the level leaves, by a jump or by a fade', () => {
    const jump = segmentsOf([1, 1, 1], [2, 1, 0.5], [3, 0.5, 0.5], [4, 0.8, 0.5], [5, 0.5, 0.5]);
    expect(commandedBy(jump, { from: 0, to: 2.5 })).toMatchObject({ after: { from: 2, to: 3 } });
    const rise = segmentsOf([1, 1, 1], [2, 1, 0.5], [3, 0.5, 0.5], [4, 0.5, 0.8], [5, 0.8, 0.8]);
    expect(commandedBy(rise, { from: 0, to: 2.5 })).toMatchObject({ after: { from: 2, to: 3 } });
  });

  it('have the levels that are ordered, also where a ramp begins or ends at nothing', () => {
    const up = segmentsOf([1, 0, 0], [2, 0, 0.5], [3, 0.5, 0.5]);
    expect(commandedBy(up, { from: 0, to: 3 })).toMatchObject({ startLevel: 0, endLevel: 0.5 });
    const down = segmentsOf([1, 0.5, 0.5], [2, 0.5, 0], [3, 0, 0]);
    expect(commandedBy(down, { from: 0, to: 3 })).toMatchObject({ startLevel: 0.5, endLevel: 0 });
  });

  it('are none, in words, where there is not one fade', () => {
    const steady = segmentsOf([1, 1, 1], [2, 1, 1]);
    expect(commandedBy(steady, { from: 0, to: 2 })).toEqual({
      ...{ measured: false, reason: 'no-fade', note: 'no fade of warm is commanded in the window' },
    });
    const overlapping = segmentsOf([1, 1, 1], [2, 1, 0.5], [3, 0.5, 0.1], [4, 0.1, 0.1]);
    expect(commandedBy(overlapping, { from: 0, to: 1.5 })).toEqual({
      ...{ measured: false, reason: 'no-fade' },
      note: 'another fade follows or goes before without a plateau',
    });
    // Of two channels one goes down faster than the other comes up.
    const one = { channel: 'warm', segments: fade(1, 0.01, 1), lumen: 100 };
    const two = { channel: 'cool', segments: fade(0.01, 1, 1), lumen: 100 };
    expect(commandedFade(observe(fadeDuration, [one, two], 'lamp'))).toEqual({
      ...{ measured: false, reason: 'out-of-domain' },
      note: 'the mixed light does not rise or fall steadily; judge channel by channel',
    });
  });
});

describe('a channel of several that cannot be fitted', () => {
  const channel = (name: string, rate: number) => {
    const segments = fade(1, 0.1, 1);
    return {
      channel: name,
      segments,
      waveform: recordOf((t) => levelAt(segments, t), 1.8, { rate }),
    };
  };

  it('is named where the reason has no words of its own', () => {
    const slow = observe(arrivalSpread, [channel('warm', 1000), channel('cool', 20)], 'lamp');
    expect(channelFades(slow)).toEqual({
      ...{ measured: false, reason: 'too-slow', found: 20, needed: 32, unit: 'Hz', note: 'cool' },
    });
  });

  it('is named before words that do not name it', () => {
    const segments = fade(1, 0.1, 1);
    const flat = { channel: 'cool', segments, waveform: recordOf(() => 0.5, 1.8, { rate: 1000 }) };
    expect(
      channelFades(observe(arrivalSpread, [channel('warm', 1000), flat], 'lamp')),
    ).toMatchObject({ reason: 'no-fade', note: 'cool: the light is the same before and after' });
  });
});

describe('the passing of a share of the way', () => {
  const segments = fade(1, 0.01, 1, { before: 0.5, after: 0.7 });
  const observed = (step?: number) => {
    const waveform = recordOf((t) => levelAt(segments, t), 2.2, { rate: 1000 });
    const made = observe(fadeDuration, [{ channel: 'warm', segments, waveform }], 'warm');
    const records = made.records.map((record) =>
      step === undefined ? record : changedRecord(record, { step }),
    );
    const found = observedFade({ ...made, records });
    if (!isMeasurable(found)) throw new Error(found.reason);
    return found;
  };

  it('is told free of what a wide average adds to a bent course', () => {
    // A Hann mean over 0.2 s of an exponential of ln 100 a second is 1.4 % more than its middle: 3 ms.
    const { at } = passings(observed(), [0.3, 0.5, 0.7], 0.2);
    for (const [k, share] of [0.3, 0.5, 0.7].entries())
      expect(Math.abs((at[k] ?? 0) - 0.5 - share)).toBeLessThan(3e-4);
  });

  it('is known as well as half of what codes hide, and 0.3 % of the light, over its speed', () => {
    const { standard } = passings(observed(0.002), [0.5], 0.04);
    const speed = 0.1 * Math.log(100);
    expect(standard[0]).toBeCloseTo(Math.hypot(0.001, 0.003 * 0.1) / speed, 5);
  });
});
