import { resolve } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { openRig } from '../../../drivers/open-rig.ts';
import type { Emulation } from '../../../drivers/plant/emulate/emulation.ts';
import type { Plan } from '../../../harness/plan/plan.ts';
import type { ConditionRecord } from '../../../harness/record/run-record.ts';
import { readSpec } from '../../../harness/spec-language/spec-file.ts';
import { RigLane } from '../../../harness/workflow/lanes/rig-lane.ts';
import { lamp } from '../conformance/shipped-bench.ts';
import { openTestEmulation, rigFor } from './open-test-bench.ts';
import { runPlans } from './run-plans.ts';

let emulation: Emulation;
beforeAll(async () => {
  emulation = await openTestEmulation();
});
afterAll(() => emulation.close());

function planOf(capture: string): Plan {
  const text = `spec: records
claim: The lamp fades.
stimulus:
  - set: { level: 100 %, mix: all }
  - hold: 200 ms
  - mark: early
  - hold: 300 ms
  - mark: late
  - fade: { level: 20 %, over: 300 ms }
capture:
${capture}
criteria:
  - { metric: modulation, of: light, at-most: 100 % }
`;
  const read = readSpec(text, { file: 'x', folder: 'x', digest: '0'.repeat(64), lamp });
  if ('plan' in read) return read.plan;
  throw new Error(read.issues.map(({ message }) => message).join('\n'));
}

/** Commands come late on a busy machine, and the run says so: it is tried again, as a run does. */
const busyMachine = 2;

async function run(capture: string, retries = 0): Promise<ConditionRecord> {
  const rig = rigFor(emulation);
  const to = { rig, lamp, folder: resolve('specs/rigs') };
  const lane = new RigLane(to, await openRig(to), new Map());
  const record = await runPlans([planOf(capture)], rig, lane, [], retries);
  return record.specs[0]!.conditions[0]!;
}

describe('records of a digitiser that takes one at a time', () => {
  it('follow each other where their windows do: the later one waits until the earlier is handed over', async () => {
    const { captures, reason } = await run(
      `  - { signal: channel-current, rate: 10 kHz, during: early }
  - { signal: light, rate: 20 kHz, during: late }`,
      busyMachine,
    );
    expect(
      captures.map(({ signal }) => signal),
      reason ?? '',
    ).toContain('light');
    const [early] = captures;
    const late = captures.find(({ signal }) => signal === 'light')!;
    expect(late.start).toBeGreaterThan(early!.start + early!.samples / early!.rate);
  });

  it('that ended before what they were to show are an error of the bench, with the lateness', async () => {
    // Seven commands go before the claim's own, for the look at a lit lamp; the last of all is late.
    const late = { kind: 'late', on: 'console', from: 8, once: true, seconds: 0.6 } as const;
    emulation.troubles.set([late]);
    const { verdict, reason, findings } = await run('  - { signal: light, rate: 20 kHz }');
    emulation.troubles.set([]);
    expect({ verdict, findings }).toEqual({ verdict: 'error', findings: [] });
    expect(reason).toMatch(
      /^digitiser: commands came up to 0\.\d+ s later than planned, so that the record ended 0\.\d+ s before/,
    );
  });

  it('last until the fade that was commanded last has ended, however late its command was', async () => {
    const one = await run('  - { signal: light, rate: 20 kHz }');
    const { captures, commands, marks, commanded, reason } = one;
    // The last window is as long as planned, however late it began.
    const end = commanded![0]!.segments.at(-1)![1];
    expect(end - marks.at(-1)!.at).toBeGreaterThanOrEqual(0.3);
    const light = captures[0];
    expect(light, reason ?? '').toBeDefined();
    const fade = commands.find(({ verb }) => verb === 'fade')!;
    // Commands take their time on a console of 115200 baud: without a margin the record would end before.
    expect(light!.start + light!.samples / light!.rate).toBeGreaterThan(fade.at + 0.3);
    // The lamp acted while its confirmation was awaited: about 100 bytes at 115 200 baud take 9 ms.
    const known = commands.map(({ standardInstant }) => standardInstant ?? 0);
    expect(Math.min(...known)).toBeGreaterThan(1e-3);
    expect(light!.standardStart).toBeGreaterThan(0);
  });
});
