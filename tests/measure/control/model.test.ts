import { describe, expect, it } from 'vitest';
import { modelExcursion } from '../../../harness/measure/metrics/control/model-excursion.ts';
import { timeOutsideModel } from '../../../harness/measure/metrics/control/time-outside-model.ts';
import { wrongAnswers } from '../../../harness/measure/metrics/control/wrong-answers.ts';
import type { LightBounds, ModelledLamp } from '../../../harness/measure/modelled-lamp.ts';
import type { Measured } from '../../../harness/measure/outcome.ts';
import { assess } from '../../../harness/verdict/assess.ts';
import type { InputCalibration } from '../../../harness/verdict/uncertainty.ts';
import { observe, recordOf, steps } from '../lamp-of.ts';

type Level = (at: number) => number;

/** Half light, a tenth from 0.5 s on; a jump may come up to 25 ms late, and levels may differ by 5 %. */
const told: Level = (at) => (at < 0.5 ? 0.5 : 0.1);
const latency = 0.025;
const narrow = (at: number): LightBounds => {
  const all = [told(at), told(at - latency)];
  return { low: Math.min(...all) / 1.05, high: Math.max(...all) * 1.05 };
};
/** As the lamp has it: 5 ms after the command. */
const healthy: Level = (at) => told(at - 0.005);

const known: ModelledLamp = {
  levelAt: (_, at) => narrow(at),
  whyWide: () => null,
  leadAt: (_, at) => (at < 0.5 ? 'dim 50' : 'dim 10'),
  answers: [],
  standardInstant: 0,
  pulse: 0,
  inputs: new Map(),
};

const full = 0.7;
const noise = 1e-5;

interface Seen {
  readonly modelled?: Partial<ModelledLamp>;
  readonly reference?: { readonly from: number; readonly to: number };
  readonly parameters?: Readonly<Record<string, number>>;
  readonly gain?: number;
  readonly noise?: number;
}

/** A second of one channel's current. */
function seen(level: Level, { modelled, reference, parameters, gain = 1, ...made }: Seen = {}) {
  const waveform = recordOf((at) => gain * full * level(at), 1, { noise, ...made });
  const segments = steps([
    [0.5, 0.5],
    [0.1, 0.5],
  ]);
  return observe(timeOutsideModel, [{ channel: 'warm', segments, waveform }], 'warm', {
    modelled: { ...known, ...modelled },
    ...(reference && { reference }),
    ...(parameters && { parameters }),
  });
}

const without: Level = () => 0;
const during = (from: number, to: number, inside: Level, outside: Level): Level => {
  return (at) => (at >= from && at < to ? inside(at) : outside(at));
};
const longest = (level: Level, how?: Seen) => timeOutsideModel.compute(seen(level, how));
const farthest = (level: Level, how?: Seen) => modelExcursion.compute(seen(level, how));

describe('the longest time outside of the lamp model', () => {
  it('is 0 for light that does as the model says, and hides no more than the average', () => {
    const outcome = longest(healthy) as Measured;
    expect(outcome).toMatchObject({ measured: true, value: 0, floor: 1e-3 });
    expect(outcome.evidence.notes).toEqual({ times: 0 });
  });

  it.each([
    ['a drop-out of 1 ms', 1e-3, 0.6e-3],
    ['a drop-out of 8 ms', 8e-3, 0.15e-3],
  ])('sees %s at its length', (_, length, within) => {
    const outcome = longest(during(0.2, 0.2 + length, without, healthy)) as Measured;
    expect(Math.abs(outcome.value - length)).toBeLessThan(within);
    expect(outcome.evidence.notes).toMatchObject({ command: 'dim 50', times: 1 });
    expect(Number(outcome.evidence.notes['found'])).toBeLessThan(0.05);
    expect(Number(outcome.evidence.notes['allowed-from'])).toBeCloseTo((0.5 / 1.05) * 0.9, 3);
  });

  it('sees a command that comes 30 ms too late', () => {
    const late: Level = (at) => told(at - latency - 0.03);
    const outcome = longest(late) as Measured;
    expect(Math.abs(outcome.value - 0.03)).toBeLessThan(1e-3);
    expect(outcome.evidence.notes).toMatchObject({ command: 'dim 10' });
  });

  it('sees a channel that is 2 ms later than the model allows', () => {
    const outcome = longest((at) => told(at - latency - 0.002)) as Measured;
    expect(Math.abs(outcome.value - 0.002)).toBeLessThan(0.6e-3);
  });

  it('takes light that reaches a wrong target for outside to the end', () => {
    const outcome = longest((at) => (healthy(at) < 0.2 ? 0.15 : healthy(at))) as Measured;
    expect(Math.abs(outcome.value - (0.5 - latency))).toBeLessThan(2e-3);
  });

  it('is not moved by noise near the bound', () => {
    // 4 % too much of the 5 % and of the 10 % that are allowed; noise of 3 % of the light in each sample.
    const near: Level = (at) => 1.14 * healthy(at);
    const loud = { noise: 0.03 * 0.1 * full, modelled: inputs(0.03 * 0.1 * full) };
    expect(longest(near, loud)).toMatchObject({ value: 0 });
    expect(longest((at) => 1.4 * healthy(at), loud)).not.toMatchObject({ value: 0 });
  });

  it('widens the bounds by what is not known of the instants', () => {
    const late: Level = (at) => told(at - latency - 0.008);
    expect((longest(late) as Measured).value).toBeGreaterThan(6e-3);
    expect(longest(late, { modelled: { standardInstant: 5e-3 } })).toMatchObject({ value: 0 });
    const early: Level = (at) => told(at + 0.008);
    expect((longest(early) as Measured).value).toBeGreaterThan(6e-3);
    expect(longest(early, { modelled: { standardInstant: 5e-3 } })).toMatchObject({ value: 0 });
  });

  it('widens the bounds by how well the zero is known', () => {
    const dark: Level = (at) => healthy(at) + 0.002;
    const off = { levelAt: () => ({ low: 0, high: 1e-4 }) };
    const lit = () => 0.002;
    expect((longest(lit, { modelled: off }) as Measured).value).toBeGreaterThan(0.9);
    const zero = { inputs: new Map([['channel-current-warm', { standardOffset: 0.001 * full }]]) };
    expect(longest(lit, { modelled: { ...off, ...zero } })).toMatchObject({ value: 0 });
    expect(longest(dark)).toMatchObject({ value: 0 });
  });

  it('needs no tolerance of full light where a window shows it', () => {
    const reference = { from: 0.1, to: 0.4 };
    // A lamp whose full light is 30 % less than the lamp file says.
    expect((longest(healthy, { gain: 0.7 }) as Measured).value).toBeGreaterThan(0.4);
    expect(longest(healthy, { gain: 0.7, reference })).toMatchObject({ value: 0 });
    const dimmer = during(0.6, 0.7, (at) => 0.9 * healthy(at), healthy);
    expect(longest(dimmer)).toMatchObject({ value: 0 });
    expect((longest(dimmer, { reference }) as Measured).value).toBeCloseTo(0.1, 2);
  });

  it('draws the light between the bounds and marks the command', () => {
    const outcome = longest(during(0.2, 0.21, without, healthy)) as Measured;
    const [chart] = outcome.evidence.charts;
    expect(chart?.lines.map(({ role }) => role)).toEqual(['corridor', 'corridor', 'measured']);
    const [mark] = chart?.marks ?? [];
    expect(mark?.label).toBe('dim 50');
    expect(mark?.at).toBeGreaterThan(0.199);
    expect(mark?.at).toBeLessThan(0.211);
  });
});

function inputs(own: number): Partial<ModelledLamp> {
  return { inputs: new Map([['channel-current-warm', { noise: own }]]) };
}

describe('light that stands at the bound', () => {
  /** Least light that is allowed, less what noise may make of an average. */
  const bound = (0.5 / 1.05) * 0.9 - (5 * 0.003) / Math.sqrt(10);
  const at = (level: number) =>
    longest(
      during(0.2, 0.3, () => level, healthy),
      {
        noise: 0.003 * full,
        modelled: inputs(0.003 * full),
      },
    ) as Measured;

  it('has the doubt of its noise', () => {
    const noiseOf = ({ contributions }: Measured) =>
      contributions.find(({ name }) => name === 'noise of the averages')?.standard;
    expect(noiseOf(at(bound))).toBeGreaterThan(0.02);
    expect(noiseOf(at(bound / 2))).toBeLessThan(1e-3);
    expect(noiseOf(at(1.2 * bound))).toBeUndefined();
  });

  it('is allowed what the dark wiring is known to record', () => {
    const dark = { slow: 0, lines: [{ frequency: 50, amplitude: 0.01 * full }], drift: 0 };
    const hum: Level = (t) => 0.44 + 0.01 * Math.sin(2 * Math.PI * 50 * t);
    const dim: Level = (t) => (t < 0.5 ? hum(t) : 0.1);
    const own = (more: object) => ({
      modelled: { inputs: new Map([['channel-current-warm', { noise, ...more }]]) },
      parameters: { tolerance: 0.08 },
    });
    expect((longest(dim, own({})) as Measured).value).toBeGreaterThan(0);
    expect(longest(dim, own({ dark }))).toMatchObject({ value: 0 });
  });
});

describe('what cannot be held against the model', () => {
  it('is light of which nobody knows what was sent', () => {
    const { modelled: _, ...blind } = seen(healthy);
    expect(timeOutsideModel.compute(blind)).toMatchObject({
      reason: 'no-record',
      note: 'nothing tells what was sent to the lamp',
    });
  });

  it('is light of which the model says nothing, and it says why', () => {
    const modelled = { whyWide: () => 'the bus was cut' };
    expect(longest(without, { modelled })).toMatchObject({
      reason: 'out-of-domain',
      note: 'the light is open all the time: the bus was cut',
    });
  });

  it('is told as a part of the window where it is one', () => {
    const modelled = { whyWide: (at: number) => (at < 0.25 ? 'the bus was cut' : null) };
    const outcome = longest(healthy, { modelled }) as Measured;
    expect(outcome.evidence.notes['held-loosely']).toBeCloseTo(0.25, 2);
    expect(outcome.evidence.notes['held-loosely-because']).toBe('the bus was cut');
  });

  it('is light in a dark reference window, which is the lamp’s doing', () => {
    const reference = { from: 0.1, to: 0.4 };
    const outcome = longest((at) => (at < 0.5 ? 0 : healthy(at)), { reference });
    expect(outcome).toMatchObject({ measured: false, reason: 'dark' });
  });

  it('is a reference window that has to be dark', () => {
    const modelled = { levelAt: () => ({ low: 0, high: 1e-4 }) };
    const outcome = longest(healthy, { modelled, reference: { from: 0.1, to: 0.4 } });
    expect(outcome).toMatchObject({ measured: false, reason: 'no-reference' });
  });
});

describe('the farthest from the lamp model', () => {
  it('is 0 inside', () => {
    expect(farthest(healthy)).toMatchObject({ measured: true, value: 0 });
  });

  it('is relative to the bound that was passed', () => {
    const least = (0.5 / 1.05) * 0.9;
    const most = 0.5 * 1.05 * 1.1;
    const half = farthest(during(0.2, 0.3, () => least / 2, healthy)) as Measured;
    expect(half.value).toBeCloseTo(0.5, 2);
    const twice = farthest(during(0.2, 0.3, () => 2 * most, healthy)) as Measured;
    expect(twice.value).toBeCloseTo(1, 2);
  });

  it('counts from the bound itself, whatever the bench leaves open', () => {
    const zero = { inputs: new Map([['channel-current-warm', { noise, standardOffset: 0.01 }]]) };
    const half = during(0.2, 0.3, () => ((0.5 / 1.05) * 0.9) / 2, healthy);
    const { value, contributions } = farthest(half, { modelled: zero }) as Measured;
    expect(value).toBeCloseTo(0.5, 2);
    expect(contributions[0]?.standard).toBeCloseTo(0.01 / full / ((0.5 / 1.05) * 0.9), 3);
  });

  it('is relative to full light on a linear curve', () => {
    const observation = seen(during(0.2, 0.3, without, healthy));
    const { commanded } = observation;
    const linear = { ...commanded, curve: { kind: 'linear', bottom: 0.001 } } as const;
    const outcome = modelExcursion.compute({ ...observation, commanded: linear }) as Measured;
    expect(outcome.value).toBeCloseTo((0.5 / 1.05) * 0.9, 2);
  });

  it('hides what the zero leaves open where the light is least', () => {
    const zero = { inputs: new Map([['channel-current-warm', { noise, standardOffset: 7e-4 }]]) };
    const { floor } = farthest(healthy, { modelled: zero }) as Measured;
    expect(floor).toBeCloseTo(0.002 / ((0.1 / 1.05) * 0.9), 2);
  });
});

describe('with the uncertainty of the bench', () => {
  const calibration: InputCalibration = {
    ...{ capture: 'channel-current-warm', signal: 'channel-current', of: 'warm' },
    ...{ standardScale: 1e-3, standardOffset: 1e-6, noise, timeBase: 2e-6, step: 0 },
  };
  const measure = (level: Level) => {
    const observation = seen(level, {
      modelled: { inputs: new Map([[calibration.capture, calibration]]) },
    });
    return assess(timeOutsideModel, observation, [calibration], 2);
  };

  it('a sound lamp is as good as the average lets see', () => {
    expect(measure(healthy)).toMatchObject({ outcome: { value: 0 }, expanded: 1e-3 });
  });

  it('a pause of 8 ms is one beyond doubt', () => {
    const assessed = measure(during(0.2, 0.208, without, healthy));
    if (!('expanded' in assessed)) throw new Error('expected a value');
    expect(assessed.outcome.value - assessed.expanded).toBeGreaterThan(5e-3);
    expect(Math.abs(assessed.outcome.value - 8e-3)).toBeLessThan(assessed.expanded);
  });
});

describe('the number of wrong answers', () => {
  const answer = (at: number, isRight: boolean | null) => {
    return { at, asked: `DALI 0B A0 at ${at}`, found: '254', allowed: '170', isRight };
  };
  const among = (answers: ModelledLamp['answers']) =>
    wrongAnswers.compute(seen(healthy, { modelled: { answers } }));

  it('counts those that the model does not allow, and tells the first', () => {
    const outcome = among([answer(0.1, true), answer(0.2, false), answer(0.3, false)]) as Measured;
    expect(outcome.value).toBe(2);
    expect(outcome.evidence.notes).toEqual({
      ...{ held: 3, 'not-held': 0, at: 0.2, asked: 'DALI 0B A0 at 0.2' },
      ...{ found: '254', allowed: '170' },
    });
  });

  it('leaves out what came before or after the window, and what nobody can tell', () => {
    const answers = [answer(-0.1, false), answer(0.1, true), answer(0.2, null), answer(1.1, false)];
    const outcome = among(answers) as Measured;
    expect(outcome.value).toBe(0);
    expect(outcome.evidence.notes).toEqual({ held: 1, 'not-held': 1 });
  });

  it('cannot be told where nobody knows of any answer whether it is right', () => {
    expect(among([answer(0.2, null)])).toMatchObject({ reason: 'out-of-domain' });
  });

  it('is 0 where there was nothing to answer', () => {
    expect(among([])).toMatchObject({ value: 0, evidence: { notes: { held: 0 } } });
  });
});
