import { describe, expect, it } from 'vitest';
import type { Heard } from '../../../harness/bench/heard.ts';
import { modelledLamp } from '../../../harness/run/judge/modelled-lamp.ts';
import type { HeardPass } from '../../../harness/run/records/heard-pass.ts';
import { lamp } from '../../firmware/judge.ts';

const commanded = { channels: [], marks: [], duration: 3, curve: lamp.curve };

/** `dim` with every channel at its full intensity, or one alone. */
const dim = (at: number, level: number, solo?: string): Heard => {
  const mix = lamp.channels.map(({ channel }) => (solo && channel !== solo ? 0 : 100));
  return { kind: 'console', at, line: `dim ${level} mix ${mix.join(' ')}` };
};
const powered: Heard = { kind: 'supply', at: -0.5, volts: lamp.supply.nominal };

function passOf(heard: readonly Heard[], change: Partial<HeardPass> = {}): HeardPass {
  return { ...{ solo: null, answered: [], standardInstant: 0, isFresh: true }, heard, ...change };
}

function modelOf(...passes: readonly HeardPass[]) {
  const model = modelledLamp(passes, lamp, { commanded, calibration: [] });
  if (!model) throw new Error('expected a model');
  return model;
}

describe('the model of a lamp on a condition’s time line', () => {
  it('is none where nothing tells what was sent', () => {
    expect(modelledLamp([], lamp, { commanded, calibration: [] })).toBeNull();
  });

  it('begins where the lamp got its power, before the condition did', () => {
    const model = modelOf(passOf([powered, dim(1, 50)]));
    expect(model.levelAt('warm', 0.9).high).toBeLessThan(1e-3);
    expect(model.levelAt('warm', 1.1)).toMatchObject({
      low: expect.closeTo(0.5 / 1.055, 3),
      high: expect.closeTo(0.5 * 1.055, 3),
    });
    expect(model.leadAt('warm', 2)).toMatch(/^console “dim 50 .*” at 1\.000 s$/);
    expect(model.whyWide(2)).toBeNull();
  });

  it('takes what was sent after the last window', () => {
    const model = modelOf(passOf([powered, dim(1, 50), dim(4, 80)]));
    expect(model.levelAt('warm', 2).high).toBeCloseTo(0.5 * 1.055, 3);
  });

  it('takes each channel from the pass in which it was lit alone', () => {
    const model = modelOf(
      passOf([powered, dim(1, 50, 'warm')], { solo: 'warm' }),
      passOf([powered, dim(1, 80, 'cool')], { solo: 'cool', standardInstant: 2e-3 }),
    );
    expect(model.levelAt('warm', 2).high).toBeCloseTo(0.5 * 1.055, 3);
    expect(model.levelAt('cool', 2).high).toBeCloseTo(0.8 * 1.055, 3);
    expect(model.levelAt('red', 2).high).toBeLessThan(1e-3);
    expect(model.standardInstant).toBe(2e-3);
  });

  it('knows nothing of light that was set before the bench was opened', () => {
    const model = modelOf(passOf([powered, dim(1, 50)], { isFresh: false }));
    expect(model.levelAt('warm', 0.9)).toEqual({ low: 0, high: 1 });
    expect(model.whyWide(0.9)).toMatch(/before the bench was opened/);
    expect(model.levelAt('warm', 2).high).toBeLessThan(0.6);
    expect(model.whyWide(2)).toBeNull();
  });

  it('forgets at a power cycle that an earlier condition left the gear unknown', () => {
    const dali = (at: number, ...frame: readonly number[]): Heard => ({ kind: 'dali', at, frame });
    // A level for power-on from a data transfer register that nobody has set since the power came (IEC 62386-102 11.4).
    const unknown = [-9, -8.95].map((at) => dali(at, 0xff, 0x2d));
    const before: Heard[] = [{ ...powered, at: -12 }, dim(-10, 50), ...unknown];
    const cycle: Heard[] = [
      { kind: 'supply', at: -2, volts: 0 },
      { ...powered, at: -1 },
    ];
    const now = [dim(0.2, 100), dali(1, 0xfe, 170)];
    const model = modelOf(passOf([...before, ...cycle, ...now], { isFresh: false }));
    expect(model.whyWide(2)).toBeNull();
    expect(model.levelAt('warm', 2).high).toBeCloseTo(0.1 * 1.055, 2);
    // Without one it stays so.
    const powerless = modelOf(passOf([...before, ...now], { isFresh: false }));
    expect(powerless.whyWide(2)).not.toBeNull();
  });

  it('knows what its modulator leaves open', () => {
    expect(modelOf(passOf([powered])).pulse).toBe(1 / 20e6);
    const modulation = { kind: 'pwm', bits: 16, frequency: 1000, phaseShift: 0 } as const;
    const model = modelledLamp(
      [passOf([])],
      { ...lamp, modulation },
      { commanded, calibration: [] },
    );
    expect(model).toMatchObject({ pulse: 0, period: 1e-3 });
  });
});
