import { resolve } from 'node:path';
import { describe, expect, it } from 'vitest';
import { openRig } from '../../../drivers/open-rig.ts';
import type { Emulation } from '../../../drivers/plant/emulate/emulation.ts';
import { readTrouble } from '../../../drivers/plant/emulate/trouble.ts';
import type { ConditionRecord } from '../../../harness/record/run-record.ts';
import { readSpec } from '../../../harness/spec-language/spec-file.ts';
import { RigLane } from '../../../harness/workflow/lanes/rig-lane.ts';
import { lamp } from '../../drivers/conformance/shipped-bench.ts';
import { openTestEmulation, rigFor } from '../../drivers/emulate/open-test-bench.ts';
import { runPlans } from '../../drivers/emulate/run-plans.ts';
import { storyOf, verdictsOf } from './run-claims.ts';

/** A fade from full level, whose record says by itself which level it was. */
const fadeTo = (level: string): string => `spec: fade
claim: The lamp follows to ${level}.
stimulus:
  - set: { level: 100 %, mix: all }
  - hold: 300 ms
  - mark: full
  - hold: 200 ms
  - mark: fading
  - fade: { level: ${level}, over: 300 ms }
  - hold: 200 ms
  - mark: low
  - hold: 300 ms
capture:
  - { signal: light, rate: 20 kHz }
criteria:
  - { metric: level-ratio, of: light, during: low, reference: full, target: ${level}, tolerance: ± 15 % }
`;

const darkness = `spec: darkness
claim: A lamp that is off gives no light.
stimulus:
  - set: { level: 0 %, mix: all }
  - hold: 300 ms
  - mark: off
  - hold: 300 ms
capture:
  - { signal: light, rate: 20 kHz }
criteria:
  - { metric: modulation, of: light, during: off, at-most: 100 % }
`;

/** A run of its own on a bench that has been used before. */
async function runOn(
  emulation: Emulation,
  level: string,
  { trouble, spec = fadeTo(level) }: { trouble?: string; spec?: string } = {},
): Promise<readonly ConditionRecord[]> {
  const read = readSpec(spec, { file: 'x', folder: 'x', digest: '0'.repeat(64), lamp });
  if (!('plan' in read)) throw new Error(read.issues.map(({ message }) => message).join('\n'));
  const rig = rigFor(emulation);
  const to = { rig, lamp, folder: resolve('specs/rigs') };
  const bench = await openRig(to);
  const lane = new RigLane(to, bench, new Map());
  const set = trouble === undefined ? null : readTrouble(trouble, ['digitiser']);
  if (set && 'problem' in set) throw new Error(set.problem);
  emulation.troubles.set(set ? [set] : []);
  try {
    const record = await runPlans([read.plan], rig, lane);
    return record.specs.flatMap(({ conditions }) => conditions);
  } finally {
    await lane.close();
  }
}

const patience = { timeout: 60_000 };

describe('a digitiser that hands over a record from before the run', () => {
  it.each([
    ['once, and counts it', 'replay-counted,on=digitiser,once', ['pass']],
    ['once, and does not', 'replay,on=digitiser,once', ['pass']],
    ['for ever', 'replay-counted,on=digitiser', ['error']],
    ['at its second record', 'replay-counted,on=digitiser,from=2,once', ['error']],
  ])('%s', patience, async (_, trouble, verdicts) => {
    const emulation = await openTestEmulation({ factoryFresh: true });
    try {
      const first = await runOn(emulation, '50 %');
      expect(verdictsOf(first), storyOf(first)).toEqual(['pass']);
      // The records of both runs are of one length, as an old one may be cut to what was asked for.
      const then = await runOn(emulation, '10 %', { trouble });
      expect(verdictsOf(then), storyOf(then)).toEqual(verdicts);
    } finally {
      await emulation.close();
    }
  });
});

describe('what is known of the freshness of a record', () => {
  it('stands in the record of each condition', patience, async () => {
    const emulation = await openTestEmulation({ factoryFresh: true });
    try {
      const [lit] = await runOn(emulation, '50 %');
      expect(lit!.freshness).toEqual([{ instrument: 'digitiser', proof: 'light' }]);
      // Dark before and dark now: nothing shows whether the record is of now.
      const [dark] = await runOn(emulation, '0 %', { spec: darkness });
      expect(dark!.freshness, dark!.reason ?? '').toEqual([
        { instrument: 'digitiser', proof: 'not proved' },
      ]);
    } finally {
      await emulation.close();
    }
  });
});
