import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { driverSettings } from '../../drivers/registry.ts';
import type { Rig } from '../../harness/bench/rig.ts';
import { readRig } from '../../harness/bench/rig-file.ts';
import type { Plan } from '../../harness/plan/plan.ts';
import { preflight } from '../../harness/preflight/preflight.ts';
import { readSpec } from '../../harness/spec-language/spec-file.ts';
import { shippedLamp, specsFolder } from '../spec-language/shipped-lamp.ts';

const lamp = shippedLamp('alcove-6');

function rigFrom(file: string): Rig {
  const read = readRig(readFileSync(file, 'utf8'), file, driverSettings);
  if ('rig' in read) return read.rig;
  throw new Error(read.issues.map(({ message }) => message).join('\n'));
}

const lowEnd = (name: string): Rig =>
  rigFrom(join(import.meta.dirname, 'golden', 'rigs', `${name}.rig.yaml`));

function planOf(text: string): Plan {
  const read = readSpec(text, { file: 'x', folder: 'x', digest: '0', lamp });
  if ('plan' in read) return read.plan;
  throw new Error(read.issues.map(({ line, message }) => `${line}: ${message}`).join('\n'));
}

const reachesBottom = planOf(`spec: reaches-bottom
claim: Each channel dims to 0.1 %.
stimulus:
  - mark: full
  - set: { level: 100 %, mix: all }
  - hold: 500 ms
  - mark: bottom
  - set: { level: 0.1 % }
  - hold: 500 ms
capture:
  - { signal: channel-current, rate: 10 kHz }
criteria:
  - { metric: level-ratio, of: each-channel, during: bottom, reference: full, between: [0.08 %, 0.12 %] }
`);

const strobing = planOf(`spec: no-strobing
claim: Nothing strobes.
stimulus:
  - set: { level: 100 %, mix: all }
  - hold: 2 s
capture:
  - { signal: light, rate: 20 kHz }
criteria:
  - { metric: svm, at-most: 0.4 }
`);

const asModelled = (signal: string, reference = ''): Plan =>
  planOf(`spec: as-modelled
claim: The lamp does as its model says.
stimulus:
  - set: { level: 100 %, mix: all }
  - hold: 1 s
  - mark: full
  - hold: 1 s
capture:
  - { signal: ${signal}, rate: 10 kHz }
criteria:
  - { metric: time-outside-model${reference}, at-most: 5 ms }
  - { metric: wrong-answers, at-most: 0 }
`);

const twoRecords = (signal: string, first: string, second: string): Plan =>
  planOf(`spec: two-records
claim: Current and light keep level.
stimulus:
  - set: { level: 100 %, mix: all }
  - mark: early
  - hold: 1 s
  - mark: late
  - hold: 1 s
capture:
  - { signal: ${signal}, ${first} }
  - { signal: light, ${second} }
criteria:
  - { metric: modulation, of: light, at-most: 50 % }
`);

function told(plan: Plan, rig: Rig, today = '2026-11-25'): string[] {
  return preflight(plan, rig, lamp, today).map(
    ({ severity, metric, message }) => `${severity} ${metric ?? 'claim'}: ${message}`,
  );
}

describe('preflight', () => {
  it('has no doubt about a good rig', () => {
    const good = rigFrom(join(specsFolder, 'rigs', 'simulated.rig.yaml'));
    expect(told(reachesBottom, good)).toEqual([]);
    expect(told(strobing, good)).toEqual([]);
  });

  it('refuses 8 bit for a claim at 0.1 %, with the bits that would be enough', () => {
    // One step of 8 bit over +-1 A is 7.8 mA; 0.1 % of 500 mA is 500 uA; a tenth of that needs 1 A / 2^15 (computed).
    expect(told(reachesBottom, lowEnd('eight-bit'))).toEqual([
      'refuse level-ratio: at 0.1 % of full light channel-current is about 500 µA, but one step of the 8 bit of input ch1 is 7.8 mA; at least 16 bit would be enough',
    ]);
  });

  it('refuses to hold a lamp against its model where a link does not tell what it sends', () => {
    const emulated = rigFrom(join(specsFolder, 'rigs', 'emulated.rig.yaml'));
    expect(told(asModelled('channel-current'), emulated)).toEqual([]);
    const instruments = emulated.instruments.map((one) =>
      one.name === 'console' ? { ...one, driver: './own.mjs' } : one,
    );
    const why =
      'needs to know everything that is sent to the lamp, but console of rig emulated, which carries console, does not tell; leave the claim to a rig whose links have the drivers console, dali, dmx, sacn';
    expect(told(asModelled('channel-current'), { ...emulated, instruments })).toEqual([
      `refuse time-outside-model: ${why}`,
      `refuse wrong-answers: ${why}`,
    ]);
    expect(told(strobing, { ...emulated, instruments })).toEqual(told(strobing, emulated));
  });

  it('refuses to hold light in lx against the model where no window says what full light is', () => {
    const simulated = rigFrom(join(specsFolder, 'rigs', 'simulated.rig.yaml'));
    expect(told(asModelled('light'), simulated)).toEqual([
      'refuse time-outside-model: needs a window of steady light to relate light to; add "reference: MARK", or record channel-current',
    ]);
    expect(told(asModelled('light', ', reference: full'), simulated)).toEqual([]);
  });

  it('refuses records that overlap on a digitiser which takes one at a time, where one pass has to hold both', () => {
    const emulated = rigFrom(join(specsFolder, 'rigs', 'emulated.rig.yaml'));
    const refusal = (one: string, other: string): string =>
      `refuse claim: needs digitiser to record sync at ${one} and light at ${other} at a time, but it takes one record after another; give both captures one rate and one window, or wire them to two digitisers`;
    expect(told(twoRecords('sync', 'rate: 10 kHz', 'rate: 20 kHz'), emulated)).toEqual([
      refusal('10 kS/s', '20 kS/s'),
    ]);
    expect(
      told(twoRecords('sync', 'rate: 20 kHz', 'rate: 20 kHz, during: late'), emulated),
    ).toEqual([refusal('20 kS/s', '20 kS/s during late')]);
    expect(told(twoRecords('sync', 'rate: 20 kHz', 'rate: 20 kHz'), emulated)).toEqual([]);
    const apart = twoRecords('sync', 'rate: 10 kHz, during: early', 'rate: 20 kHz, during: late');
    expect(told(apart, emulated)).toEqual([]);
    // What no metric holds against the light instant by instant gets a pass of its own.
    const current = twoRecords('channel-current', 'rate: 10 kHz', 'rate: 20 kHz');
    expect(told(current, emulated)).toEqual([]);
    const simulated = rigFrom(join(specsFolder, 'rigs', 'simulated.rig.yaml'));
    expect(told(twoRecords('sync', 'rate: 10 kHz', 'rate: 20 kHz'), simulated)).toEqual([]);
  });

  it('refuses more samples than the digitiser keeps', () => {
    const emulated = rigFrom(join(specsFolder, 'rigs', 'emulated.rig.yaml'));
    const small = emulated.instruments.map((entry) =>
      entry.name === 'digitiser'
        ? { ...entry, limits: { ...entry.limits, memory: 30_000 } }
        : entry,
    );
    expect(told(strobing, { ...emulated, instruments: small })).toEqual([
      'refuse svm: records 40000 samples (2 s at 20 kS/s), but digitiser keeps at most 30000; lower the rate or shorten the record',
    ]);
  });

  it('refuses 2 kS/s and too short a memory for SVM, with the figures that would be enough', () => {
    expect(told(strobing, lowEnd('slow'))).toEqual([
      'refuse svm: needs 20 kS/s, but digitiser samples at most at 2 kS/s; 20 kS/s would be enough',
      'refuse svm: records 2 s, but digitiser records at most 1 s; 2 s would be enough',
    ]);
  });

  it.each([
    ['warn', 'its figures are taken on trust'],
    ['refuse', 'the rig file says to refuse, so have it calibrated and write down the certificate'],
  ] as const)('%ss an instrument without calibration', (calibrationPolicy, words) => {
    const rig = lowEnd('overdue-warn');
    const instruments = rig.instruments.map(
      ({ calibration, ...rest }) => rest as (typeof rig.instruments)[number],
    );
    expect(told(strobing, { ...rig, calibrationPolicy, instruments })).toEqual([
      `${calibrationPolicy} claim: digitiser states no calibration; ${words}`,
    ]);
  });

  it('warns or refuses an overdue calibration as the rig file says', () => {
    const found = 'the calibration of digitiser (C-17) was due on 2026-05-01, 208 days ago';
    expect(told(strobing, lowEnd('overdue-warn'))).toEqual([
      `warn claim: ${found}; the rig file says to warn`,
    ]);
    expect(told(strobing, lowEnd('overdue-refuse'))).toEqual([
      `refuse claim: ${found}; the rig file says to refuse`,
    ]);
    expect(told(strobing, lowEnd('overdue-warn'), '2026-04-20')).toEqual([
      'warn claim: the calibration of digitiser (C-17) is due in 11 days, on 2026-05-01',
    ]);
    expect(told(strobing, lowEnd('overdue-warn'), '2026-03-01')).toEqual([]);
  });

  it('warns of folding where a digitiser samples instants without a filter', () => {
    // 20 MHz / 2^16 = 305.2 Hz: the slowest pattern of the modulator (computed).
    expect(told(strobing, lowEnd('point-sampling'))).toEqual([
      "warn svm: digitiser samples instants, so the modulator's tones from 305.2 Hz on fold into a record of 20 kS/s; an anti-alias filter of at most 10 kHz, a rate above 400 kS/s, or an integrating acquisition would be enough",
    ]);
  });

  it('refuses a claim whose signal has no input', () => {
    expect(told(strobing, lowEnd('no-light'))).toEqual([
      'refuse claim: needs a record of light, but rig no-light has no input for it; add a line to its wiring',
    ]);
  });

  describe('of a signal that is captured twice checks the capture that will be judged', () => {
    const twoHeads = lowEnd('two-heads');
    const judging = (of: string, during: string, captures: readonly string[]): Plan =>
      planOf(`spec: judging
claim: Nothing strobes.
stimulus:
  - set: { level: 100 %, mix: all }
  - mark: early
  - hold: 1 s
  - mark: late
  - hold: 2 s
capture:
${captures.map((capture) => `  - { signal: light, ${capture} }`).join('\n')}
criteria:
  - { metric: svm, of: ${of}, during: ${during}, at-most: 0.4 }
`);
    const slowMix = 'of: light, rate: 1 kHz, during: early';
    const fastWarm = 'of: warm, rate: 20 kHz, during: late';

    it('on the wire of the subject, whichever comes first in spec and rig', () => {
      const captures = [slowMix, fastWarm];
      for (const order of [captures, captures.toReversed()]) {
        expect(told(judging('warm', 'late', order), twoHeads)).toEqual([]);
        expect(told(judging('light', 'early', order), twoHeads)).toEqual([
          'refuse svm: needs 10 kS/s, but slow samples at most at 2 kS/s; 10 kS/s would be enough',
          'refuse svm: needs 10 kS/s, but the capture light-early has 1 kS/s; raise its rate',
        ]);
      }
    });

    it('in the window of the criterion, with its own length and rate', () => {
      // 1 s at 20 kS/s is 20,000 samples, 2 s at 60 kS/s are 120,000 (computed); the digitiser keeps 100,000.
      const captures = [
        'of: warm, rate: 20 kHz, during: early',
        'of: warm, rate: 60 kHz, during: late',
      ];
      const refusal =
        'refuse svm: records 120000 samples (2 s at 60 kS/s), but fast keeps at most 100000; lower the rate or shorten the record';
      for (const order of [captures, captures.toReversed()]) {
        expect(told(judging('warm', 'early', order), twoHeads)).toEqual([]);
        expect(told(judging('warm', 'late', order), twoHeads)).toEqual([refusal]);
      }
    });

    it('names the channel that has no input where others have one', () => {
      const only = { ...twoHeads, wiring: twoHeads.wiring.filter(({ of }) => of === 'warm') };
      expect(told(judging('cool', 'late', ['of: cool, rate: 20 kHz']), only)).toEqual([
        'refuse claim: needs a record of light of cool, but rig two-heads has no input for it; add a line to its wiring',
      ]);
    });
  });

  it('counts the time that commands take on a slow link of this lamp', () => {
    // A mix of six channels takes 28 frames of 31 ms (computed): with a hold of 0.5 s the window lasts 1.4 s.
    const plan = planOf(`spec: slow-link
claim: Nothing strobes.
needs: { links: [dali] }
stimulus:
  - mark: all
  - set: { level: 100 %, mix: all, link: dali }
  - hold: 500 ms
capture: [{ signal: light, of: warm, rate: 20 kHz, during: all }]
criteria: [{ metric: svm, of: warm, during: all, at-most: 0.4 }]
`);
    expect(told(plan, lowEnd('two-heads'))).toEqual([]);
  });

  it('refuses a tolerance finer than the uncertainty, and warns below four times', () => {
    const spec = (tolerance: string): Plan =>
      planOf(`spec: mean
claim: The current is right.
stimulus: [{ set: { level: 100 %, mix: all } }, { hold: 1 s }]
capture: [{ signal: channel-current, rate: 1 MHz }]
criteria: [{ metric: mean-current, target: 500 mA, tolerance: ± ${tolerance} }]
`);
    const good = rigFrom(join(specsFolder, 'rigs', 'simulated.rig.yaml'));
    // U = 2 * hypot(0.1 % of 500 mA, 2 uA) = 1.0 mA (computed).
    expect(told(spec('0.1 %'), good)[0]).toMatch(
      /^refuse mean-current: the tolerance of ± 0\.5 mA is 0\.5 times/,
    );
    expect(told(spec('0.5 %'), good)[0]).toMatch(
      /^warn mean-current: the tolerance of ± 2\.5 mA is 2\.5 times/,
    );
    expect(told(spec('1 %'), good)).toEqual([]);
  });

  it('refuses a link that the rig does not carry and a supply that it has not', () => {
    const plan = planOf(`spec: links
claim: Links.
needs: { links: [dali], supply: dc }
stimulus:
  - set: { level: 100 %, mix: all, link: dali }
  - supply: { volts: low }
  - hold: 1 s
capture: [{ signal: light, rate: 20 kHz }]
criteria: [{ metric: modulation, at-most: 10 % }]
`);
    expect(told(plan, lowEnd('slow')).slice(0, 2)).toEqual([
      'refuse claim: needs the dali link, but rig slow has console; add dali to its links, or leave the claim to a rig that has it',
      'refuse claim: changes the supply, but rig slow has none that can be set; add "supply" to the rig, or leave the claim to a rig that has one',
    ]);
  });
});

it('leaves a claim that takes weeks to the simulated lamp', () => {
  const weeks = planOf(`spec: after-weeks
claim: After weeks the lamp is lit.
needs: { simulated: true }
stimulus:
  - set: { level: 100 %, mix: all }
  - hold: 50 d
  - mark: awake
  - hold: 1 s
capture:
  - { signal: light, rate: 20 kHz, during: awake }
criteria:
  - { metric: modulation, of: light, during: awake, at-most: 50 % }
`);
  const on = (name: string) =>
    preflight(weeks, rigFrom(join(specsFolder, 'rigs', `${name}.rig.yaml`)), lamp, '2026-06-01');
  expect(on('simulated')).toEqual([]);
  const refused = on('emulated').filter(({ severity }) => severity === 'refuse');
  expect(refused.map(({ message }) => message)).toContainEqual(
    expect.stringMatching(/^needs the simulated lamp, since it takes weeks, and rig emulated has/),
  );
});
