import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { parse, stringify } from 'yaml';
import type { LampLink, Supply } from '../../harness/bench/ports.ts';
import { CommandedLight } from '../../harness/plan/commanded.ts';
import { allSteps, type Step, stepWords, verbOf, verbs } from '../../harness/plan/verbs/verbs.ts';
import { perform, type StimulusContext } from '../../harness/run/condition/stimulus.ts';
import { readSpec } from '../../harness/spec-language/spec-file.ts';
import { stepSchema } from '../../harness/spec-language/spec-schema.ts';
import { shippedLamp, specsFolder } from '../spec-language/shipped-lamp.ts';

const lamp = shippedLamp('alcove-6');

/** Every step that specs/README.md shows, read as it stands there. */
const steps: readonly Step[] = stimuliOf(readFileSync(join(specsFolder, 'README.md'), 'utf8'));

function stimuliOf(page: string): readonly Step[] {
  const examples = [...page.matchAll(/^```yaml\n([\s\S]*?)^```$/gm)].map(([, text]) =>
    parse(text ?? ''),
  );
  return examples.flatMap(({ stimulus, conditions = {} }) => {
    if (!stimulus) return [];
    const read = readSpec(
      stringify({
        spec: 'example',
        claim: 'A claim.',
        conditions,
        stimulus: [...stimulus, { hold: '1 s' }],
        capture: [{ signal: 'light', rate: '10 kHz' }],
        criteria: [{ metric: 'modulation', 'at-most': '100 %' }],
      }),
      { file: 'README.md', folder: 'x', digest: '0', lamp },
    );
    if (!('plan' in read)) throw new Error(JSON.stringify(read.issues));
    return allSteps(read.plan.conditions.flatMap((condition) => condition.stimulus));
  });
}

/** A condition on ports that do nothing but say what they were asked. */
function stimulusContext(asked: string[]): StimulusContext {
  const link = new Proxy({} as LampLink, {
    get: (_, name) =>
      name === 'kind'
        ? 'lamp-link'
        : ['name', 'link', 'exchange', 'firstFrame'].includes(String(name))
          ? undefined
          : name === 'shape'
            ? () => null
            : async () => {
                asked.push(String(name));
                return name === 'ask' ? { value: 3, resolution: 1, from: 0, to: 0 } : null;
              },
  });
  const supply: Partial<Supply> = {
    kind: 'supply',
    name: 'psu',
    set: async () => void asked.push('volts'),
    output: async () => void asked.push('output'),
  };
  const names = ['console', 'dali', 'dmx', 'sacn'];
  const chamber = { kind: 'chamber', name: 'air', set: async () => void asked.push('air') };
  return {
    bench: {
      clock: { kind: 'virtual', now: () => 0, waitUntil: async () => {} },
      instruments: new Map<string, unknown>([
        ['lines', link],
        ['air', chamber],
        ['psu', supply],
      ]),
    },
    rig: {
      rig: 'r',
      links: Object.fromEntries(names.map((name) => [name, 'lines'])),
      supply: { instrument: 'psu', highestVolts: 60, highestAmps: 1 },
      chamber: { instrument: 'air' },
      instruments: [],
    },
    lamp,
    light: new CommandedLight(lamp),
    zero: 0,
    solo: null,
    air: { celsius: 25, watch: null },
    seed: 1,
    signal: new AbortController().signal,
    supplied: { on: true, volts: lamp.supply.nominal, startedAt: Number.NEGATIVE_INFINITY },
    commands: [],
    answers: [],
    selfReports: [],
    saidOfItself: [],
  } as unknown as StimulusContext;
}

describe('every verb', () => {
  for (const { verb, about } of verbs) {
    const own = steps.filter((step) => step.verb === verb);

    it(`has an example in specs/README.md, a schema and words: ${verb}`, () => {
      expect(own.length).toBeGreaterThan(0);
      expect(about).toMatch(/^[A-Z].*\.$/);
      expect(stepSchema.safeParse({ [verb]: { nonsense: [] } }).success).toBe(false);
      for (const step of own) expect(stepWords(step)).not.toMatch(/^$|undefined|NaN|\[object/);
    });

    it(`takes a time, and is carried out and told, or only lets time pass: ${verb}`, async () => {
      for (const step of own) {
        const { lasts, perform: does, holds } = verbOf(step);
        expect(lasts(step, lamp)).toBeGreaterThanOrEqual(0);
        if (!does) {
          expect(lasts(step, lamp) > 0 || holds !== undefined).toBe(true);
          continue;
        }
        const asked: string[] = [];
        const context = stimulusContext(asked);
        await perform({ at: 0, step }, context);
        const { marks } = context.light.finish(1);
        expect(marks.length > 0 || (asked.length > 0 && context.commands.length === 1)).toBe(true);
        if (context.commands[0]) expect(context.commands[0].verb).toBe(verb);
      }
    });
  }

  it('carries on no link without a signal, and says so when the spec is read', () => {
    const read = readSpec(
      stringify({
        spec: 'example',
        claim: 'A claim.',
        stimulus: [{ carry: { link: 'console', on: false } }, { hold: '1 s' }],
        capture: [{ signal: 'light', rate: '10 kHz' }],
        criteria: [{ metric: 'modulation', 'at-most': '100 %' }],
      }),
      { file: 'example.spec.yaml', folder: 'x', digest: '0', lamp },
    );
    expect('issues' in read && read.issues.map(({ message }) => message)).toEqual([
      'console has no signal that can be stopped; use one of dali, dmx, sacn',
    ]);
  });

  it('says once what it is called', () => {
    const names = verbs.map(({ verb }) => verb);
    expect(new Set(names).size).toBe(names.length);
  });
});
