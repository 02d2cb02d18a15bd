import { expect, test } from 'vitest';
import { loadFirmware } from '../../drivers/plant/firmware/load-firmware.ts';
import { openFirmware } from '../../drivers/plant/firmware/open-firmware.ts';
import { probeHighest } from '../../harness/measure/metrics/control/probe-value.ts';
import type { Criterion } from '../../harness/plan/plan.ts';
import type { ConditionRecord, Finding } from '../../harness/record/run-record.ts';
import { buildSource } from './build-firmware.ts';
import { claim, judge, lamp } from './judge.ts';

const prober = buildSource('sources/prober.c');

interface Asked {
  /** Sent a second apart. */
  readonly letters: string;
  readonly probes?: readonly string[];
  readonly criteria?: readonly Criterion[];
  /** s after the last letter. */
  readonly hold?: number;
}

async function run({ letters, probes, criteria, hold = 1 }: Asked): Promise<ConditionRecord> {
  const image = await loadFirmware(prober, 'prober.wasm');
  const { conditions, ...plan } = claim('dimming/reaches-bottom');
  const stimulus = [...letters].flatMap((line) => [
    { verb: 'mark', name: `before-${line}` } as const,
    { verb: 'hold', time: 1 } as const,
    { verb: 'send', message: { link: 'console', line } } as const,
  ]);
  const end = [{ verb: 'mark', name: 'end' } as const, { verb: 'hold', time: hold } as const];
  const { captures: _, ...own } = conditions[0]!;
  const only = {
    ...own,
    captures: [],
    stimulus: [...stimulus, ...end],
    criteria: criteria ?? [],
    ...(probes && { probes }),
  };
  return judge({ ...plan, conditions: [only] }, 0, { firmware: () => openFirmware(image) });
}

function held(metric: string, of: string, during: string, upper: number): Criterion {
  const limits = { lower: null, upper, target: null, text: `at most ${upper}` };
  return { metric, of, during, parameters: {}, limits, line: 1 };
}

function figureOf({ outcome }: Finding): number {
  if (!outcome.measured) throw new Error(outcome.reason);
  return outcome.value;
}

test('a probe that is asked for stands in the record with every change at its instant', async () => {
  const { probes } = await run({ letters: 'gs', probes: ['count', 'half'] });
  const [count, half] = probes ?? [];
  expect(half).toMatchObject({ solo: null, name: 'half', unit: '%', values: [50] });
  expect(half?.at[0]).toBeLessThan(0);
  expect(count?.unit).toBe('ticks');
  expect(count?.values).toEqual(Array.from({ length: 1001 }, (_, k) => k));
  expect(count?.at[1]).toBeCloseTo(1, 2);
  expect((count?.at[500] ?? 0) - (count?.at[499] ?? 0)).toBeCloseTo(1e-3, 9);
});

test('nothing of probes stands in the record of a claim that asks for none', async () => {
  expect(await run({ letters: 'gs' })).not.toHaveProperty('probes');
});

test('metrics read the values within their window, with the uncertainty of its instants', async () => {
  const criteria = ['probe-highest', 'probe-lowest', 'probe-mean'].map((metric) =>
    held(metric, 'count', 'before-s', 2000),
  );
  const { findings, verdict } = await run({ letters: 'gs', probes: ['count'], criteria });
  expect(verdict).toBe('pass');
  const [highest, lowest, mean] = findings.map(figureOf);
  expect(highest).toBeCloseTo(1000, -0.5);
  expect(lowest).toBe(0);
  expect(mean).toBeCloseTo(500, -0.5);
  // It counts to the end of the window: a tick less moves it by one, a tick more by none. As a rectangle: (1 / 2) / sqrt(3), twice.
  expect(findings[0]?.uncertainty?.expanded).toBeCloseTo(1 / Math.sqrt(3), 6);
  expect(findings[0]?.evidence.notes).toMatchObject({ unit: 'ticks' });
});

test('the last value of an instant counts', async () => {
  const { probes } = await run({ letters: 'i', probes: ['half'] });
  expect(probes?.[0]?.values).toEqual([50, 20]);
});

test('a probe that the firmware never told has a sentence and no figure', async () => {
  const criteria = [held('probe-highest', 'fade', 'end', 1)];
  const { findings, probes } = await run({ letters: 'g', probes: ['fade'], criteria });
  const why = 'it never told probe fade; it told count, half';
  expect(probes?.[0]).toMatchObject({ name: 'fade', values: [], missing: why });
  expect(findings[0]).toMatchObject({ verdict: 'inconclusive', outcome: { measured: false } });
  expect(findings[0]?.reason).toContain(why);
});

test('what cannot be kept is told once in the log', async () => {
  const { firmwareLog } = await run({ letters: 'bbunm', probes: ['many-n'] });
  const texts = firmwareLog?.[0]?.lines.map(({ text }) => text);
  expect(texts).toEqual([
    '(probe "Bad Name" was not kept: expected a name of lower-case letters, digits and hyphens, 32 at most)',
    '(a value of probe half was not kept: its unit was "%" before, and is "V" now)',
    '(a value of probe half was not kept: it is no number)',
    ...['o', 'p', 'q', 'r', 's', 't'].map(
      (last) => `(probe many-${last} was not kept: a lamp has 16 probes at most)`,
    ),
  ]);
});

test('of too many changes the first are kept, and a window behind them has no figure', async () => {
  const criteria = [held('probe-highest', 'count', 'end', 1e6)];
  const { probes, findings } = await run({ letters: 'g', probes: ['count'], criteria, hold: 12 });
  expect(probes?.[0]?.values).toHaveLength(10_000);
  expect(probes?.[0]?.until).toBeCloseTo(11, 1);
  expect(findings[0]?.verdict).toBe('inconclusive');
  expect(findings[0]?.reason).toMatch(
    /changed more often than can be kept: it is known until 1[01]\.\d+ s/,
  );
});

test('a probe that is heard later than it changed has that in its uncertainty', () => {
  const ramp = Array.from({ length: 1000 }, (_, k) => k);
  const track = {
    name: 'ramp',
    unit: '',
    at: ramp.map((k) => k / 1000),
    values: ramp,
    until: null,
  };
  const of = (late: { readonly late?: number }) => {
    const outcome = probeHighest.compute({
      ...{ of: 'ramp', window: { from: 0.2, to: 0.5 }, records: [], colour: [], frames: [] },
      commanded: { channels: [], marks: [], duration: 1, curve: lamp.curve },
      probes: [{ ...track, ...late }],
      parameters: {},
    });
    return outcome.measured ? outcome.contributions[0]?.standard : Number.NaN;
  };
  // The value moves by one each millisecond: a tick, and 20 ms more, either way, as a rectangle.
  expect(of({})).toBeCloseTo(1 / Math.sqrt(3), 1);
  expect(of({ late: 0.02 })).toBeCloseTo(21 / Math.sqrt(3), 1);
});
