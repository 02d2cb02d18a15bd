import { describe, expect, it } from 'vitest';
import { commandLatency } from '../../../harness/measure/metrics/control/command-latency.ts';
import {
  levelAfterLoss,
  recallLevel,
} from '../../../harness/measure/metrics/control/kept-level.ts';
import { memoryWrites } from '../../../harness/measure/metrics/control/memory-writes.ts';
import { processorLoad } from '../../../harness/measure/metrics/control/processor-load.ts';
import type { Observation, SignalRecord } from '../../../harness/measure/observation.ts';
import type { Waveform } from '../../../harness/measure/waveform.ts';
import { fade, observe, steps } from '../lamp-of.ts';
import { recorded } from '../recorded.ts';
import { found, refused } from '../well-formed.ts';

function pin(
  signal: 'busy' | 'memory-write' | 'sync',
  volts: readonly number[],
  rest: Partial<Waveform> = {},
) {
  const samples = Float64Array.from(volts);
  const plain = { samples, rate: 1000, start: 0, unit: 'V', clipped: 0 } as const;
  return recorded(signal, signal, { ...plain, ...rest });
}

/** So many samples of each level in turn, high first. */
function turns(...counts: readonly number[]): readonly number[] {
  return counts.flatMap((count, k) => new Array<number>(count).fill(k % 2 ? 0 : 3.3));
}

describe('processor load, of few samples', () => {
  const busy = (volts: readonly number[], rest: Partial<Waveform> = {}, parameters = {}) =>
    observe(processorLoad, [], 'lamp', {
      records: [pin('busy', volts, rest)],
      window: { from: 0, to: volts.length / 1000 },
      parameters,
    });

  it('counts the samples above the threshold, and the changes', () => {
    const { value, evidence } = found(processorLoad, busy(turns(10, 30, 20, 40)));
    expect(value).toBe(0.3);
    expect(evidence).toEqual({
      charts: [],
      notes: { 'changes-of-the-pin': 3, 'highest-within-10-ms': 1 },
    });
  });

  it('takes a sample at the threshold for low, and another threshold where one is stated', () => {
    const volts = [...turns(10, 10)].map((value, k) => (k < 5 ? 1.5 : value));
    expect(found(processorLoad, busy(volts)).value).toBe(0.25);
    expect(found(processorLoad, busy(volts, {}, { threshold: 1.4 })).value).toBe(0.5);
    expect(found(processorLoad, busy(turns(5, 5), {}, { threshold: 3.2 })).value).toBe(0.5);
    const bare = { ...busy(volts), parameters: {} };
    expect(found(processorLoad, bare).value).toBe(0.25);
  });

  it('says the highest load of 10 ms, which is never less than that of all', () => {
    const most = (volts: readonly number[]) =>
      found(processorLoad, busy(volts)).evidence.notes['highest-within-10-ms'];
    expect(most(turns(2, 8, 5, 5, 3, 7))).toBeCloseTo(0.5, 12);
    expect(most(turns(0, 5, 2, 3, 8, 2))).toBeCloseTo(0.8, 12);
    // The last 5 ms make no whole stretch.
    expect(most(turns(2, 8, 4, 6, 5))).toBeCloseTo(11 / 25, 12);
    expect(most(turns(3, 2))).toBeCloseTo(0.6, 12);
  });

  it('errs by where the edges lie within a sample', () => {
    const standard = (volts: readonly number[]) =>
      (found(processorLoad, busy(volts)).contributions[0]?.standard ?? 0) * volts.length;
    // One change, no rise: an even distribution of a sample, 1/√12.
    expect(standard(turns(20, 20))).toBeCloseTo(Math.sqrt(1 / 12), 9);
    // A pin that never falls: no less.
    expect(standard(turns(40))).toBeCloseTo(Math.sqrt(1 / 12), 9);
    // Rises every 10 samples exactly all err alike: 4 stretches, each 1/√6, beside 7 changes of their own.
    expect(standard(turns(...new Array<number>(8).fill(5)).slice(0, 40))).toBeCloseTo(
      Math.hypot(Math.sqrt(7 / 12), 3 / Math.sqrt(6)),
      9,
    );
  });

  it.each([
    [1, [10, 10, 10, 10, 10, 10]],
    [2, [10, 11, 10, 11, 10, 11]],
    [3, [10, 10, 11, 10, 10, 11]],
  ])('errs in %i ways where the stretches meet the samples in as many, %j apart', (ways, apart) => {
    // The pin falls in the middle of each stretch, and rises at its end; it is low at first.
    const volts = [
      ...turns(0, 5),
      ...apart.flatMap((length) => turns(5, length - 5)),
      ...turns(5, 2),
    ];
    const { contributions } = found(processorLoad, busy(volts));
    const [rises, changes] = [apart.length + 1, 2 * apart.length + 2];
    expect((contributions[0]?.standard ?? 0) * volts.length).toBeCloseTo(
      Math.hypot(Math.sqrt(changes / 12), rises / ways / Math.sqrt(6)),
      9,
    );
  });

  it('has as many ways as stretches where they are too few to tell', () => {
    const { contributions } = found(processorLoad, busy([...turns(0, 5, 5, 5, 5, 5)]));
    expect((contributions[0]?.standard ?? 0) * 25).toBeCloseTo(
      Math.hypot(Math.sqrt(4 / 12), 1 / Math.sqrt(6)),
      9,
    );
  });

  it('is refused of a pin that is never high for two samples together', () => {
    expect(refused(processorLoad, busy(turns(0, 5, 1, 5, 1, 5)))).toMatchObject({
      reason: 'unresolved',
      note: 'the pin never rises for two samples: it is not wired, or busy for less than a sample',
    });
    expect(found(processorLoad, busy(turns(0, 9, 2, 9))).value).toBe(0.1);
  });

  it('is refused where more than one in twenty stretches is of one sample, with what would be enough', () => {
    // 3 changes make 4 stretches; one whole stretch of one sample is a quarter of them.
    expect(refused(processorLoad, busy(turns(10, 1, 10, 10)))).toMatchObject({
      reason: 'unresolved',
      found: 1e-3,
      needed: 2e-3,
      unit: 's',
      note: 'busy or idle stretches of one sample',
    });
    const many = (singles: number, others: number) =>
      turns(
        ...Array.from({ length: others + singles }, (_, k) => (k > 3 && k < 4 + singles ? 1 : 4)),
      );
    expect(found(processorLoad, busy(many(1, 19))).measured).toBe(true);
    expect(refused(processorLoad, busy(many(1, 18))).found).toBe(1e-3);
    // What the window cuts off is no stretch of one sample.
    expect(found(processorLoad, busy([0, ...turns(8, 8, 8), 0])).measured).toBe(true);
  });

  it('says which pin is not recorded, and reads one on the end of its range', () => {
    const none = { ...busy(turns(5, 5)), records: [] };
    expect(refused(processorLoad, none)).toMatchObject({
      reason: 'no-record',
      note: 'no busy pin',
    });
    expect(found(processorLoad, busy(turns(5, 5), { clipped: 5 })).value).toBe(0.5);
  });
});

describe('command latency, of exact light', () => {
  const rate = 10_000;
  const at = 0.5;

  /** Light that jumps from `before` to `after` so late, a second long. */
  function jump(
    late: number,
    [before, after]: readonly [number, number] = [0.2, 0.8],
    change: Partial<Observation> = {},
    rest: Partial<Waveform> = {},
  ): Observation {
    const segments = steps([
      [before, at],
      [after, 0.5],
    ]);
    const samples = Float64Array.from({ length: rate }, (_, k) =>
      Math.round(k - (at + late) * rate) < 0 ? before : after,
    );
    const waveform = { samples, rate, start: 0, unit: 'A', clipped: 0, ...rest } as const;
    const window = { from: at, to: 1 };
    return observe(commandLatency, [{ channel: 'warm', segments, waveform }], 'warm', {
      window,
      ...change,
    });
  }

  function withSync(observation: Observation, sync: SignalRecord): Observation {
    return { ...observation, records: [...observation.records, sync] };
  }

  it.each([
    [0.0123, [0.2, 0.8]],
    [0.0123, [0.8, 0.2]],
    [0.1, [0, 1]],
    [0, [1, 0]],
  ] as const)('of %f s is found within a sample, from %s', (late, levels) => {
    const { value, evidence, contributions } = found(commandLatency, jump(late, levels));
    expect(Math.abs(value - late)).toBeLessThan(1 / rate);
    expect(evidence.notes).toEqual({
      command: at,
      'command-from': 'time line',
      light: expect.closeTo(at + late, 3),
    });
    // An eighth of 4 ms, evenly distributed; the command's own instant is exact.
    expect(contributions).toEqual([
      { name: 'instant of the light', standard: expect.closeTo(0.004 / 8 / Math.sqrt(3), 9) },
      { name: 'instant of the command', standard: 0 },
    ]);
  });

  it('averages over the smoothing that is stated, and no less than a sample', () => {
    const standard = (smoothing: number) =>
      found(commandLatency, jump(0.03, [0.2, 0.8], { parameters: { smoothing } })).contributions[0]
        ?.standard;
    expect(standard(0.008)).toBeCloseTo(0.008 / 8 / Math.sqrt(3), 9);
    expect(standard(0)).toBeCloseTo(1 / rate / 8 / Math.sqrt(3), 12);
    const bare = { ...jump(0.03), parameters: {} };
    expect(found(commandLatency, bare).contributions[0]?.standard).toBeCloseTo(
      0.004 / 8 / Math.sqrt(3),
      9,
    );
  });

  it('counts from where the sync pin passes its threshold, between two samples (closed form)', () => {
    // 0 V in the middle of sample 519 and 3 V in that of 520: 1.5 V half a sample further, at 0.52 s.
    const volts = Array.from({ length: 1000 }, (_, k) => (k >= 520 && k < 525 ? 3 : 0));
    const { value, evidence, contributions } = found(
      commandLatency,
      withSync(jump(0.03), pin('sync', volts)),
    );
    expect(value).toBeCloseTo(0.01, 3);
    expect(evidence.notes).toMatchObject({ 'command-from': 'sync pin' });
    expect(evidence.notes['command']).toBeCloseTo(0.52, 9);
    expect(contributions[1]?.standard).toBeCloseTo(1e-3 / Math.sqrt(12), 12);
    const quarter = withSync(jump(0.03), pin('sync', volts));
    const at075 = { ...quarter, parameters: { ...quarter.parameters, threshold: 0.75 } };
    expect(found(commandLatency, at075).evidence.notes['command']).toBeCloseTo(0.51975, 9);
    const raised = volts.map((value) => value + 0.5);
    const half = found(commandLatency, withSync(jump(0.03), pin('sync', raised)));
    expect(half.evidence.notes['command']).toBeCloseTo(0.5195 + 1e-3 / 3, 9);
    const bare = { ...quarter, parameters: {} };
    expect(found(commandLatency, bare).evidence.notes['command']).toBeCloseTo(0.52, 9);
  });

  it('counts from a rising edge of the pin alone', () => {
    const high = Array.from({ length: 1000 }, (_, k) => (k < 510 || k >= 520 ? 3 : 0));
    const { evidence } = found(commandLatency, withSync(jump(0.03), pin('sync', high)));
    expect(evidence.notes['command']).toBeCloseTo(0.52, 9);
    const still = found(
      commandLatency,
      withSync(
        jump(0.03),
        pin(
          'sync',
          high.map(() => 3),
        ),
      ),
    );
    expect(still.evidence.notes).toMatchObject({ command: at, 'command-from': 'time line' });
  });

  it('says that no change is commanded, or that the light follows none', () => {
    const { commanded, ...rest } = jump(0.03);
    const channels = commanded.channels.map((one) => ({ ...one, segments: steps([[0.5, 1]]) }));
    const still = { ...rest, commanded: { ...commanded, channels } };
    expect(refused(commandLatency, still)).toMatchObject({
      reason: 'no-fade',
      note: 'no change is commanded',
    });
    const dead = jump(0.03);
    const [record] = dead.records;
    if (!record) throw new Error('no record');
    record.waveform.samples.fill(0.2);
    const edge = { reason: 'no-edge', note: 'the light does not follow the command' };
    expect(refused(commandLatency, jump(0.6))).toMatchObject(edge);
    expect(refused(commandLatency, dead)).toMatchObject(edge);
  });

  it('needs four samples of light on either side', () => {
    const plateau = {
      reason: 'no-plateau',
      note: 'no light is recorded on one side of the change',
    };
    const late = jump(0.01, [0.2, 0.8], {}, { start: at });
    expect(refused(commandLatency, late)).toMatchObject(plateau);
    const full = jump(0.01).records[0]?.waveform.samples ?? new Float64Array();
    const early = jump(0.01, [0.2, 0.8], {}, { samples: full.slice(0, 0.75 * rate) });
    expect(refused(commandLatency, early)).toMatchObject(plateau);
  });

  it('finds four samples enough, and three too few', () => {
    const full = jump(0.01).records[0]?.waveform.samples ?? new Float64Array();
    const upTo = (count: number) => jump(0.01, [0.2, 0.8], {}, { samples: full.slice(0, count) });
    // The level after the jump is that from 0.8 s on.
    expect(found(commandLatency, upTo(0.8 * rate + 4)).value).toBeCloseTo(0.01, 3);
    expect(refused(commandLatency, upTo(0.8 * rate + 3)).reason).toBe('no-plateau');
  });

  it('takes no step for an edge that is less than eight times the scatter of the averages before it', () => {
    // A square wave of ± 0.01 and 20 ms, of which averages over 4 ms scatter by nearly 0.01.
    const stepped = (size: number) => {
      const observation = jump(0.02, [0.5, 0.6]);
      const [record] = observation.records;
      const samples = record?.waveform.samples ?? new Float64Array();
      for (let k = 0; k < samples.length; k++)
        samples[k] = k < (at + 0.02) * rate ? 0.5 + (k % 200 < 100 ? 0.01 : -0.01) : 0.5 + size;
      return observation;
    };
    expect(refused(commandLatency, stepped(0.05))).toMatchObject({
      reason: 'no-edge',
      note: 'the light does not follow the command',
    });
    expect(found(commandLatency, stepped(0.1)).value).toBeCloseTo(0.02, 3);
  });

  it('of one channel is not that of another, which fades', () => {
    const one = jump(0.02);
    const [channel] = one.commanded.channels;
    if (!channel) throw new Error('no channel');
    const other = { ...channel, channel: 'cool', segments: fade(0.1, 1, 0.2, { before: 0.8 }) };
    const commanded = { ...one.commanded, channels: [channel, other] };
    expect(found(commandLatency, { ...one, commanded }).value).toBeCloseTo(0.02, 3);
  });
});

describe.each([levelAfterLoss, recallLevel])('$id, of exact light', (metric) => {
  it('shows both levels, and states its scatter as noise', () => {
    const samples = Float64Array.from({ length: 3000 }, (_, k) => (k < 1000 ? 0.4 : 0.1));
    const waveform = { samples, rate: 1000, start: 0, unit: 'A', clipped: 0 } as const;
    const lamp = [{ channel: 'warm', segments: steps([[0.4, 3]]), waveform }];
    const windows = { reference: { from: 0, to: 1 }, window: { from: 2, to: 3 } };
    const { value, evidence, contributions } = found(
      metric,
      observe(metric, lamp, 'warm', windows),
    );
    expect(value).toBeCloseTo(0.25, 9);
    expect(evidence.notes).toEqual({
      mean: expect.closeTo(0.1, 9),
      reference: expect.closeTo(0.4, 9),
    });
    expect(contributions).toEqual([
      {
        ...{ name: 'scatter within the windows', standard: expect.closeTo(0, 9), isNoise: true },
        // Student's, of the pieces that the scatter is known from.
        allowance: 1.2144,
      },
    ]);
  });
});

describe('writes of memory, of few samples', () => {
  const writing = (volts: readonly number[], parameters = {}) =>
    observe(memoryWrites, [], 'lamp', {
      records: [pin('memory-write', volts)],
      window: { from: 0, to: volts.length / 1000 },
      parameters,
    });

  it('counts the rises of the pin, and not one that began before', () => {
    expect(found(memoryWrites, writing(turns(0, 10, 4, 10, 4, 10))).value).toBe(2);
    expect(found(memoryWrites, writing(turns(4, 10, 4, 10))).value).toBe(1);
    expect(found(memoryWrites, writing(turns(0, 30))).value).toBe(0);
    expect(found(memoryWrites, writing(turns(0, 10, 4, 10), { threshold: 3.4 })).value).toBe(0);
  });

  it('is not measurable where a write lasts for a single sample, or nobody recorded the pin', () => {
    expect(refused(memoryWrites, writing(turns(0, 10, 1, 10))).reason).toBe('unresolved');
    const without = { ...writing(turns(0, 10)), records: [pin('busy', turns(0, 10))] };
    expect(refused(memoryWrites, without).reason).toBe('no-record');
  });
});
