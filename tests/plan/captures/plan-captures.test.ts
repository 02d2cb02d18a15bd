import { readdirSync, readFileSync } from 'node:fs';
import { basename, join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { driverSettings } from '../../../drivers/registry.ts';
import type { Rig } from '../../../harness/bench/rig.ts';
import { readRig } from '../../../harness/bench/rig-file.ts';
import { type CapturePlan, planCaptures } from '../../../harness/plan/captures/plan-captures.ts';
import type { CaptureRequest } from '../../../harness/plan/plan.ts';
import { unmetNeed } from '../../../harness/plan/unmet-need.ts';
import type { Step } from '../../../harness/plan/verbs/verbs.ts';
import { readSpec } from '../../../harness/spec-language/spec-file.ts';
import { shippedLamp, specsFolder } from '../../spec-language/shipped-lamp.ts';

const rigOf = (name: string): Rig => {
  const file = join(specsFolder, 'rigs', `${name}.rig.yaml`);
  const read = readRig(readFileSync(file, 'utf8'), file, driverSettings);
  if ('rig' in read) return read.rig;
  throw new Error(JSON.stringify(read.issues));
};
const simulated = rigOf('simulated');
const lamp = shippedLamp('alcove-6');
const channels = ['warm', 'cool', 'red', 'lime', 'cyan', 'indigo'];
const current = { signal: 'channel-current', of: 'each-channel', rate: 10e3 } as const;
const light = { signal: 'light', of: 'each-channel', rate: 10e3 } as const;
/** One second of `early`, one of `late`. */
const stimulus: readonly Step[] = [
  { verb: 'mark', name: 'early' },
  { verb: 'hold', time: 1 },
  { verb: 'mark', name: 'late' },
  { verb: 'hold', time: 1 },
];

function planned(captures: readonly CaptureRequest[], rig: Rig, position = 3): CapturePlan {
  return planCaptures({ captures, stimulus }, { lamp, rig, position });
}

const idsOf = ({ captures }: CapturePlan): string[] => captures.map(({ id }) => id);
const waysOf = ({ captures }: CapturePlan): string[] => captures.map(({ taken }) => taken);

function withCurrentInputs(count: number): Rig {
  const own = simulated.wiring.filter(({ signal }) => signal === 'channel-current').slice(0, count);
  const rest = simulated.wiring.filter(({ signal }) => signal !== 'channel-current');
  return { ...simulated, wiring: [...own, ...rest] };
}

describe('planCaptures', () => {
  it('takes every channel at once where the digitiser has an input for each', () => {
    const plan = planned([current], simulated);
    expect(plan.passes).toHaveLength(1);
    expect(plan.captures.map(({ of }) => of)).toEqual(channels);
    expect(waysOf(plan)).toEqual(new Array(6).fill('at-once'));
  });

  it('repeats the condition where channels share inputs, and says so', () => {
    const plan = planned([current], withCurrentInputs(4));
    expect(plan.passes.map(({ captures }) => captures.map(({ of }) => of))).toEqual([
      ['warm', 'cool', 'red', 'lime'],
      ['cyan', 'indigo'],
    ]);
    expect(waysOf(plan)).toEqual(new Array(6).fill('multiplexed'));
    expect(plan.captures.map(({ pass }) => pass)).toEqual([0, 0, 0, 0, 1, 1]);
  });

  it('lights one channel at a time where a single photodiode has to see them apart', () => {
    const plan = planned([light], simulated);
    expect(plan.passes.map(({ solo }) => solo)).toEqual(channels);
    expect(plan.passes.every(({ captures }) => captures.length === 1)).toBe(true);
    expect(waysOf(plan)).toEqual(new Array(6).fill('solo'));
  });

  it('says what no input of the rig serves', () => {
    const { unserved, captures } = planned([current], withCurrentInputs(0));
    expect(unserved).toEqual(channels.map((of) => ({ signal: 'channel-current', of })));
    expect(captures).toEqual([]);
  });

  it('runs the stimulus once even when nothing is recorded', () => {
    expect(planned([], simulated).passes).toEqual([{ solo: null, captures: [] }]);
  });

  it('knows the window, rate and wire of each, as its kind of signal has them', () => {
    const { captures } = planned(
      [
        { signal: 'light', of: 'light', rate: 20e3, during: 'late' },
        { signal: 'colour', of: 'colour', integration: 0.1 },
        { signal: 'frame', of: 'frame', exposure: 1e-3, frameRate: 25, during: 'early' },
      ],
      simulated,
    );
    expect(captures).toMatchObject([
      {
        kind: 'waveform',
        id: 'light-late',
        file: '0003-light-late.codes',
        rate: 20e3,
        window: { from: 1, to: 2 },
        wire: { instrument: 'digitiser', input: 'light' },
      },
      { kind: 'colour', id: 'colour', integration: 0.1, every: 0.1, window: { from: 0, to: 2 } },
      { kind: 'frame', id: 'frame-early', file: '0003-frame-early.codes', exposure: 1e-3 },
    ]);
    expect(captures[1]).not.toHaveProperty('file');
    expect(captures[1]).not.toHaveProperty('rate');
  });

  describe('on a digitiser that takes one record at a time', () => {
    const single: Rig = {
      ...simulated,
      instruments: simulated.instruments.map((entry) =>
        entry.name === 'digitiser'
          ? { ...entry, limits: { ...entry.limits, oneRecord: true } }
          : entry,
      ),
    };
    const signalsOf = (captures: readonly CaptureRequest[], rig: Rig): string[][] =>
      planned(captures, rig).passes.map((pass) => [
        ...new Set(pass.captures.map(({ signal }) => signal)),
      ]);
    const busy = { signal: 'busy', of: 'busy', rate: 10e3 } as const;
    const fast = { signal: 'light', of: 'light', rate: 20e3 } as const;

    it('repeats the stimulus for records of another rate or window that overlap', () => {
      expect(signalsOf([current, fast, busy], single)).toEqual([
        ['channel-current', 'busy'],
        ['light'],
      ]);
      expect(signalsOf([busy, { ...fast, rate: 10e3, during: 'late' }], single)).toEqual([
        ['busy'],
        ['light'],
      ]);
      expect(waysOf(planned([current, fast], single))).toEqual(new Array(7).fill('multiplexed'));
    });

    it('takes them in one pass where one ends before the other begins, or both are one record', () => {
      const early = { ...busy, during: 'early' };
      expect(signalsOf([early, { ...fast, during: 'late' }], single)).toEqual([['busy', 'light']]);
      expect(signalsOf([busy, { ...fast, rate: 10e3 }], single)).toEqual([['busy', 'light']]);
    });

    it('does so on no other digitiser', () => {
      expect(signalsOf([current, fast, busy], simulated)).toEqual([
        ['channel-current', 'light', 'busy'],
      ]);
    });
  });
});

describe('the id of a planned capture', () => {
  const once = { signal: 'light', of: 'light', rate: 10e3, during: 'early' } as const;

  it('tells signal, subject and window apart', () => {
    const plan = planned(
      [once, { ...once, during: 'late' }, { ...current, of: 'warm' }],
      simulated,
    );
    expect(idsOf(plan)).toEqual(['light-early', 'light-late', 'channel-current-warm']);
  });

  it('gets a number where these are the same', () => {
    const plan = planned([once, { ...once, rate: 20e3 }, { ...once, rate: 50e3 }], simulated);
    expect(idsOf(plan)).toEqual(['light-early', 'light-early-2', 'light-early-3']);
  });

  it('does not depend on how the rig serves it, nor on the place in the run', () => {
    const ids = idsOf(planned([current, once], simulated));
    expect(idsOf(planned([current, once], withCurrentInputs(4))).toSorted()).toEqual(
      ids.toSorted(),
    );
    expect(idsOf(planned([current, once], simulated, 77))).toEqual(ids);
  });

  it('is a word that any file system takes, whatever marks are called', () => {
    const names = ['Größe: 5 %', '../../x', 'GRÖSSE 5', '%'];
    const { captures } = planCaptures(
      {
        stimulus: names.flatMap((name): Step[] => [
          { verb: 'mark', name },
          { verb: 'hold', time: 1 },
        ]),
        captures: names.map((during) => ({ ...once, during })),
      },
      { lamp, rig: simulated, position: 1 },
    );
    expect(captures.map(({ id }) => id)).toEqual([
      'light-gro-e-5',
      'light-x',
      'light-grosse-5',
      'light',
    ]);
  });

  it.each(['alcove-1', 'alcove-6', 'alcove-9', 'alcove-pwm'])(
    'is unique in every condition of the library on %s and both rigs, and so is its file',
    (name) => {
      const own = shippedLamp(name);
      let count = 0;
      for (const rig of [simulated, rigOf('emulated')]) {
        for (const [index, { conditions }] of libraryFor(name).entries()) {
          for (const condition of conditions) {
            const { captures } = planCaptures(condition, { lamp: own, rig, position: index + 1 });
            const ids = captures.map(({ id }) => id);
            expect(ids).toEqual([...new Set(ids)]);
            const files = captures.flatMap((capture) => ('file' in capture ? [capture.file] : []));
            expect(files).toEqual([...new Set(files)]);
            expect([...ids, ...files].every((word) => /^[a-z0-9-]+(\.codes)?$/.test(word))).toBe(
              true,
            );
            count += ids.length;
          }
        }
      }
      expect(count).toBeGreaterThan(200);
    },
  );
});

/** Every spec of the library that the lamp has a part for. */
function libraryFor(name: string) {
  const own = shippedLamp(name);
  return readdirSync(specsFolder, { recursive: true, encoding: 'utf8' })
    .filter((file) => file.endsWith('.spec.yaml'))
    .flatMap((file) => {
      const text = readFileSync(join(specsFolder, file), 'utf8');
      const read = readSpec(text, { file: basename(file), folder: 'x', digest: '0', lamp: own });
      if (!('plan' in read)) throw new Error(`${file}: ${JSON.stringify(read.issues)}`);
      return unmetNeed(read.plan.needs, own) === null ? [read.plan] : [];
    });
}
